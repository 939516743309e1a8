#include "viewer/store/new_home.h"

#include "engine/io/atomic_file.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <system_error>
#include <utility>

namespace steepwright::viewer {

namespace {

namespace fs = std::filesystem;

bool is_same_file(const fs::path& a, const fs::path& b) {
  std::error_code error;
  return fs::equivalent(a, b, error);
}

Result<void> copy_inventory(const Document& document, const fs::path& folder, NewHome& home) {
  io::Inventory inventory = document.inventory();
  for (io::ImportedShape& shape : inventory.imported) {
    const fs::path mesh = document.inventory_folder() / shape.mesh;
    const fs::path copy = find_free_file(folder, mesh.stem().string(), mesh.extension().string());
    std::error_code error;
    home.files.add(copy);
    if (!fs::copy_file(mesh, copy, error))
      return failure(
          fmt::format("the mesh {} of the inventory cannot be copied to {}: {}",
                      io::in_quotes(mesh.filename().string()), io::in_quotes(folder.string()), error.message()),
          "save the scene in a folder that may be written");
    shape.mesh = copy.filename().string();
  }
  const fs::path name = fs::path(document.state().source.inventory_file).filename();
  const fs::path file = find_free_file(folder, name.stem().string(), name.extension().string());
  if (auto saved = io::save_atomically(file, io::write_inventory(inventory)); !saved) return saved;
  home.files.add(file);
  Result<io::LoadedInventory> loaded = io::load_inventory(file);
  if (!loaded) return tl::unexpected<Findings>(std::move(loaded.error()));
  home.inventory = InventorySource{std::make_shared<const io::Inventory>(std::move(loaded->inventory)), folder,
                                   file.filename().string()};
  const std::size_t meshes = inventory.imported.size();
  home.summary = "its inventory";
  if (meshes > 0) home.summary += fmt::format(" and {} mesh{}", meshes, meshes == 1 ? "" : "es");
  home.summary += meshes > 0 ? " were copied beside it" : " was copied beside it";
  return {};
}

}  // namespace

Result<NewHome> make_new_home(const Document& document, const fs::path& path) {
  NewHome home;
  if (document.path().empty()) return home;
  const fs::path before = io::find_folder(document.path());
  const fs::path folder = io::find_folder(path);
  if (is_same_file(before, folder)) return home;
  const io::SceneSource& source = document.state().source;
  std::error_code error;
  const bool is_inventory_here = document.inventory_folder().empty() ||
                                 is_same_file(before / source.inventory_file, folder / source.inventory_file);
  if (!is_inventory_here) {
    if (auto copied = copy_inventory(document, folder, home); !copied)
      return tl::unexpected<Findings>(std::move(copied.error()));
  }
  home.has_own_climber = !source.climber_file.empty() && fs::exists(before / source.climber_file, error) &&
                         !is_same_file(before / source.climber_file, folder / source.climber_file);
  if (home.has_own_climber) {
    home.summary += home.summary.empty() ? "" : "; ";
    home.summary += "the climber now stands in the scene";
  }
  return home;
}

}  // namespace steepwright::viewer
