#include "viewer/app/mesh_drop.h"

#include "engine/io/text.h"

#include <fmt/format.h>

#include <system_error>
#include <utility>

namespace steepwright::viewer {

void MeshDrop::start(JoinPlace place, std::filesystem::path file) {
  constexpr double kBytesPerMB = 1e6;
  std::error_code error;
  const auto bytes = std::filesystem::file_size(file, error);
  text_ = fmt::format("reading {}", io::in_quotes(file.filename().string()));
  if (!error) text_ += fmt::format(" ({:.1f} MB)", static_cast<double>(bytes) / kBytesPerMB);
  is_done_ = false;
  job_ = std::async(std::launch::async, [this, place = std::move(place), file = std::move(file)] {
    DroppedMesh dropped{place, file, join_mesh(place, file), nullptr};
    if (dropped.joined) dropped.shaded = render::make_shaded_mesh(dropped.joined->mesh);
    is_done_ = true;
    if (on_done_) on_done_();
    return dropped;
  });
}

std::optional<DroppedMesh> MeshDrop::take() {
  if (!is_done_.exchange(false)) return std::nullopt;
  text_.clear();
  return job_.get();
}

}  // namespace steepwright::viewer
