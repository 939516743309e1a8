#pragma once

/// Reads meshes that were dropped on the window, beside the thread that draws.

#include "viewer/app/background_job.h"
#include "viewer/render/hold_mesh.h"
#include "viewer/store/shape_join.h"

#include <filesystem>
#include <functional>
#include <optional>
#include <string>

namespace steepwright::viewer {

struct DroppedMesh {
  JoinPlace place;
  std::filesystem::path file;
  Result<JoinedShape> joined;
  render::MeshHandle shaded;  ///< as it is drawn; none where the join failed
};

/// One mesh at a time.
class MeshDrop {
 public:
  /// `on_done` is called on the reading thread, e.g. to wake the window.
  explicit MeshDrop(std::function<void()> on_done) : job_(std::move(on_done)) {}

  [[nodiscard]] bool is_busy() const { return job_.is_busy(); }
  /// Precondition: not busy.
  void start(JoinPlace place, std::filesystem::path file);
  /// What was read, once it is there.
  [[nodiscard]] std::optional<DroppedMesh> take() { return job_.take(); }
  /// "reading 'scan.stl' (210 MB)", "" when nothing is read.
  [[nodiscard]] const std::string& describe() const { return job_.describe(); }

 private:
  BackgroundJob<DroppedMesh> job_;
};

}  // namespace steepwright::viewer
