#pragma once

/// Reads scenes with their inventories and meshes beside the thread that draws: a scanned hold takes seconds.

#include "viewer/app/background_job.h"
#include "viewer/render/hold_mesh.h"
#include "viewer/store/file_stamp.h"
#include "viewer/store/recovery.h"
#include "viewer/store/scene_store.h"

#include <string>
#include <utility>
#include <vector>

namespace steepwright::viewer {

/// Imported holds as they are drawn, by the names of their shapes.
struct ShadedShapes {
  std::vector<std::pair<std::string, render::MeshHandle>> meshes;
  Findings findings;  ///< of those that cannot be read
};
[[nodiscard]] ShadedShapes load_shaded_shapes(const io::Inventory& inventory, const std::filesystem::path& folder);

/// What is to be opened: a file, the scene that comes with the program, or unsaved work.
struct SceneSource {
  std::filesystem::path path;        ///< "": the scene that comes with the program
  std::optional<Leftover> leftover;  ///< instead
};

struct ReadScene {
  SceneSource source;
  Result<OpenedScene> opened;
  ShadedShapes shapes;
  std::optional<FileStamp> stamp;  ///< of the scene's file, before it was read
};

class SceneOpening {
 public:
  /// `on_done` is called on the reading thread.
  explicit SceneOpening(std::function<void()> on_done) : job_(std::move(on_done)) {}

  [[nodiscard]] bool is_busy() const { return job_.is_busy(); }
  /// What is being read gives way.
  void start(SceneSource source);
  /// Waits for what is read, no longer than `most`.
  void wait(std::chrono::milliseconds most) const { job_.wait(most); }
  [[nodiscard]] std::optional<ReadScene> take() { return job_.take(); }
  /// Stops waiting for it. Nothing has changed.
  void stop() { job_.drop(); }
  /// "opening 'wall.toml'", "" when nothing is read.
  [[nodiscard]] const std::string& describe() const { return job_.describe(); }

 private:
  BackgroundJob<ReadScene> job_;
};

/// "'wall.toml'", or what a scene without a file is called.
[[nodiscard]] std::string name_of_file(const std::filesystem::path& path);

}  // namespace steepwright::viewer
