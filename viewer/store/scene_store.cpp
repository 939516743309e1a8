#include "viewer/store/scene_store.h"

#include "engine/io/scene_writer.h"
#include "engine/io/text_file.h"
#include "viewer/store/new_home.h"

#include <utility>

namespace steepwright::viewer {

Result<OpenedScene> open_scene_text(std::string_view text, const std::filesystem::path& path) {
  const std::filesystem::path folder = path.empty() ? path : io::find_folder(path);
  const std::string name = path.empty() ? std::string(io::kDefaultScene) : path.string();
  Result<io::LoadedScene> loaded = io::parse_scene(text, name, folder);
  if (!loaded) return tl::unexpected<Findings>(std::move(loaded.error()));
  OpenedScene opened;
  opened.state.scene = std::move(loaded->scene);
  opened.state.source = std::move(loaded->source);
  opened.state.inventory = std::move(loaded->inventory);
  opened.state.inventory_folder = std::move(loaded->inventory_folder);
  opened.path = path;
  opened.warnings = std::move(loaded->warnings);
  return opened;
}

Result<OpenedScene> open_scene(const std::filesystem::path& path) {
  const Result<std::string> text = io::load_text(path);
  if (!text) return tl::unexpected<Findings>(text.error());
  return open_scene_text(*text, path);
}

Result<OpenedScene> open_default_scene() {
  const auto text = io::embedded_file(io::kDefaultScene);
  if (!text) return failure("this program was built without its default scene");
  return open_scene_text(*text, {});
}

SceneToSave::SceneToSave(const Document& document)
    : path_before(document.path()),
      revision(document.revision()),
      scene(document.snapshot()),
      source(document.state().source),
      inventory(document.state().inventory),
      inventory_folder(document.inventory_folder()) {}

Result<SavedScene> save_scene(const std::filesystem::path& path, const SceneToSave& scene) {
  Result<NewHome> home = make_new_home(scene, path);
  if (!home) return tl::unexpected<Findings>(std::move(home.error()));
  io::SceneSource source = scene.source;
  if (home->inventory) source.inventory_file = home->inventory->inventory_file;
  if (home->has_own_climber) source.climber_file.clear();
  const Result<io::SaveReport> report = io::save_scene(path, *scene.scene, source);
  if (!report) return tl::unexpected<Findings>(report.error());
  home->files.keep();
  return SavedScene{path,
                    scene.revision,
                    report->comments_lost,
                    home->summary,
                    scene.inventory,
                    std::move(home->inventory),
                    home->has_own_climber};
}

void mark_saved(SavedScene saved, Document& document) {
  // Shapes that were joined or taken back meanwhile stay with their own files; the next save takes those along.
  const bool is_same_inventory = document.state().inventory == saved.inventory_before;
  if (saved.inventory && is_same_inventory) document.take_inventory(std::move(*saved.inventory));
  if (saved.has_own_climber) document.take_climber_in();
  document.mark_saved(saved.path, saved.revision);
}

}  // namespace steepwright::viewer
