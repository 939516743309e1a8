#include "viewer/app/scene_opening.h"

#include "engine/hold/mesh_import.h"
#include "engine/io/text.h"

namespace steepwright::viewer {

namespace {

Result<OpenedScene> read(const SceneSource& source) {
  if (!source.leftover) return source.path.empty() ? open_default_scene() : open_scene(source.path);
  const Result<UnsavedScene> kept = load_leftover(*source.leftover);
  if (!kept) return tl::unexpected<Findings>(kept.error());
  return open_scene_text(kept->text, kept->path);
}

}  // namespace

std::string name_of_file(const std::filesystem::path& path) {
  return path.empty() ? std::string("the example scene") : io::in_quotes(path.filename().string());
}

ShadedShapes load_shaded_shapes(const io::Inventory& inventory, const std::filesystem::path& folder) {
  ShadedShapes shapes;
  for (const io::ImportedShape& shape : inventory.imported) {
    const auto imported = hold::load_mesh(folder / shape.mesh, io::make_import_options(shape));
    if (imported) {
      shapes.meshes.emplace_back(shape.name, render::make_shaded_mesh(imported->mesh));
    } else {
      shapes.findings.insert(shapes.findings.end(), imported.error().begin(), imported.error().end());
    }
  }
  return shapes;
}

void SceneOpening::start(SceneSource source) {
  stop();
  std::string text = "opening " + name_of_file(source.leftover ? source.leftover->scene_path : source.path);
  job_.start(std::move(text), [source = std::move(source)] {
    const std::optional<FileStamp> stamp = find_stamp(source.leftover ? source.leftover->scene_path : source.path);
    ReadScene scene{source, read(source), {}, stamp};
    if (scene.opened)
      scene.shapes = load_shaded_shapes(*scene.opened->state.inventory, scene.opened->state.inventory_folder);
    return scene;
  });
}

}  // namespace steepwright::viewer
