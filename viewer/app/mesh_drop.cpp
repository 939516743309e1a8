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
  std::string text = fmt::format("reading {}", io::in_quotes(file.filename().string()));
  if (!error) text += fmt::format(" ({:.1f} MB)", static_cast<double>(bytes) / kBytesPerMB);
  job_.start(std::move(text), [place = std::move(place), file = std::move(file)] {
    DroppedMesh dropped{place, file, join_mesh(place, file), nullptr};
    if (dropped.joined) dropped.shaded = render::make_shaded_mesh(dropped.joined->mesh);
    return dropped;
  });
}

}  // namespace steepwright::viewer
