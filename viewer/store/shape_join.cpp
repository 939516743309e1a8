#include "viewer/store/shape_join.h"

#include "engine/core/units.h"
#include "engine/io/atomic_file.h"
#include "engine/io/text.h"

#include <fmt/format.h>

#include <system_error>
#include <utility>

namespace steepwright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLongestName = 60;  // of 80 bytes that a file allows: room for a number

/// What the inventory calls the mesh: its file's name, printable, and no other shape's.
std::string find_free_name(const io::Inventory& inventory, const fs::path& mesh) {
  std::string base;
  for (const char c : mesh.stem().string()) {
    if (base.size() < kLongestName) base += c >= ' ' && c <= '~' ? c : '_';
  }
  if (base.empty()) base = "mesh";
  std::string name = base;
  for (int number = 2; inventory.find(name) != nullptr; ++number) name = fmt::format("{} {}", base, number);
  return name;
}

/// The entry with all that was guessed written down, so that it is read the same ever after.
io::ImportedShape make_entry(const hold::ImportReport& report, const std::string& name, const fs::path& copy) {
  io::ImportedShape entry;
  entry.name = name;
  entry.mesh = copy.filename().string();
  entry.unit = report.unit;
  entry.out_axis = io::find_axis_name(report.R_HM.row(2).transpose());
  entry.up_axis = io::find_axis_name(report.R_HM.row(1).transpose());
  entry.p_bolt_m = 1e-6 * (1e6 * report.p_MH_m).array().round().matrix();
  return entry;
}

std::string describe_sites(const hold::Hold& hold) {
  std::string text = fmt::format("{} site{}", hold.sites.size(), hold.sites.size() == 1 ? "" : "s");
  for (const hold::Site& site : hold.sites) {
    text += fmt::format("; {}: depth {:.0f} mm, incut {:.0f}°, lip rounding {:.0f} mm", site.name,
                        mm_from_m(site.depth_m), deg_from_rad(site.incut), mm_from_m(site.lip_radius_m));
  }
  return text;
}

}  // namespace

JoinPlace::JoinPlace(const Document& document)
    : scene_path(document.path()),
      inventory(document.state().inventory),
      inventory_folder(document.inventory_folder()),
      inventory_file(document.state().source.inventory_file) {}

bool JoinPlace::is_of(const Document& document) const {
  return scene_path == document.path() && inventory == document.state().inventory;
}

Result<JoinedShape> join_mesh(const JoinPlace& place, const fs::path& mesh) {
  if (place.scene_path.empty()) return failure("the scene has no file yet", "save it first: the mesh goes beside it");
  Result<hold::ImportedMesh> imported = hold::load_mesh(mesh);
  if (!imported) return tl::unexpected<Findings>(imported.error());

  const bool is_own_folder = !place.inventory_folder.empty();
  fs::path folder = is_own_folder ? place.inventory_folder : place.scene_path.parent_path();
  if (folder.empty()) folder = ".";
  const fs::path copy = find_free_file(folder, mesh.stem().string(), mesh.extension().string());
  const fs::path file = find_free_file(folder, place.scene_path.stem().string() + "-holds", ".toml");
  JoinedShape joined;
  std::error_code error;
  joined.files.add(copy);
  if (!fs::copy_file(mesh, copy, error)) {
    return failure(fmt::format("{} cannot be copied to {}: {}", io::in_quotes(mesh.filename().string()),
                               io::in_quotes(folder.string()), error.message()),
                   "save the scene in a folder that may be written");
  }
  const std::string name = find_free_name(*place.inventory, mesh);
  io::Inventory inventory = *place.inventory;
  inventory.imported.push_back(make_entry(imported->report, name, copy));
  hold::Shape shape;
  shape.name = name;
  shape.family = hold::Family::kImported;
  inventory.shapes.push_back(shape);
  if (const auto saved = io::save_atomically(file, io::write_inventory(inventory)); !saved)
    return tl::unexpected<Findings>(saved.error());
  joined.files.add(file);
  // As it will be read when the scene is opened again.
  Result<io::LoadedInventory> loaded = io::load_inventory(file);
  if (!loaded) return tl::unexpected<Findings>(std::move(loaded.error()));

  joined.mesh = std::move(imported->mesh);
  joined.command.shape = name;
  joined.command.source.folder = folder;
  const fs::path reference = fs::path(place.inventory_file).parent_path();
  joined.command.source.inventory_file =
      is_own_folder ? (reference / file.filename()).string() : file.filename().string();
  joined.summary = describe_sites(loaded->inventory.make_hold(*loaded->inventory.find(name)));
  joined.command.source.inventory = std::make_shared<const io::Inventory>(std::move(loaded->inventory));
  return joined;
}

}  // namespace steepwright::viewer
