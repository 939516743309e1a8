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

Result<void> copy_inventory(const SceneToSave& scene, const fs::path& folder, NewHome& home) {
  io::Inventory inventory = *scene.inventory;
  for (io::ImportedShape& shape : inventory.imported) {
    const fs::path mesh = scene.inventory_folder / shape.mesh;
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
  const fs::path name = fs::path(scene.source.inventory_file).filename();
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

Result<NewHome> make_new_home(const SceneToSave& scene, const fs::path& path) {
  NewHome home;
  const io::SceneSource& source = scene.source;
  const fs::path folder = io::find_folder(path);
  // By the inventory's own folder: undo may lead back to shapes from before the scene was saved here.
  const bool is_inventory_here =
      scene.inventory_folder.empty() ||
      is_same_file(scene.inventory_folder / fs::path(source.inventory_file).filename(), folder / source.inventory_file);
  if (!is_inventory_here) {
    if (auto copied = copy_inventory(scene, folder, home); !copied)
      return tl::unexpected<Findings>(std::move(copied.error()));
  }
  if (scene.path_before.empty()) return home;
  const fs::path before = io::find_folder(scene.path_before);
  if (is_same_file(before, folder)) return home;
  std::error_code error;
  home.has_own_climber = !source.climber_file.empty() && fs::exists(before / source.climber_file, error) &&
                         !is_same_file(before / source.climber_file, folder / source.climber_file);
  if (home.has_own_climber) {
    home.summary += home.summary.empty() ? "" : "; ";
    home.summary += "the climber now stands in the scene";
  }
  return home;
}

}  // namespace steepwright::viewer
