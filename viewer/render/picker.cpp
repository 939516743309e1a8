#include "viewer/render/picker.h"

#include <limits>
#include <optional>

namespace steepwright::viewer::render {

namespace {

/// Things that one aims at, before what they stand on.
bool is_small(const PickId& id) {
  switch (id.kind) {
    case PickId::Kind::kHold:
    case PickId::Kind::kLimb:
    case PickId::Kind::kArrow:
    case PickId::Kind::kPanelEdge:
      return true;
    case PickId::Kind::kNone:
    case PickId::Kind::kPanel:
    case PickId::Kind::kOther:
      break;
  }
  return false;
}

}  // namespace

glm::dmat4 find_pick_matrix(const PickPlace& place, const Camera& camera) {
  const double n_px = 2.0 * place.reach_px + 1.0;
  const double x = 2.0 * (place.x_px + 0.5) / place.viewport.width_px - 1.0;
  const double y = 1.0 - 2.0 * (place.y_px + 0.5) / place.viewport.height_px;
  glm::dmat4 enlarge(1.0);
  enlarge[0][0] = place.viewport.width_px / n_px;
  enlarge[1][1] = place.viewport.height_px / n_px;
  enlarge[3][0] = -x * enlarge[0][0];
  enlarge[3][1] = -y * enlarge[1][1];
  return enlarge * find_projection_matrix(camera, place.viewport) * find_view_matrix(camera);
}

PickResult find_picked(const PickPixels& pixels, const PickPlace& place, const glm::dmat4& VP) {
  const int reach = place.reach_px;
  const int n_px = 2 * reach + 1;
  const auto index_of = [n_px](int x, int y) {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(n_px) + static_cast<std::size_t>(x);
  };
  int x = reach;
  int y = reach;
  if (!is_small(unpack_pick_id(pixels.ids[index_of(x, y)]))) {
    int nearest = std::numeric_limits<int>::max();
    for (int j = 0; j < n_px; ++j) {
      for (int i = 0; i < n_px; ++i) {
        const int distance = (i - reach) * (i - reach) + (j - reach) * (j - reach);
        if (distance > reach * reach || distance >= nearest) continue;
        if (!is_small(unpack_pick_id(pixels.ids[index_of(i, j)]))) continue;
        nearest = distance;
        x = i;
        y = j;
      }
    }
  }
  PickResult result;
  result.id = unpack_pick_id(pixels.ids[index_of(x, y)]);
  const double depth = pixels.depths[index_of(x, y)];
  if (depth >= 1.0) return result;
  const glm::dvec4 p(2.0 * (x + 0.5) / n_px - 1.0, 2.0 * (y + 0.5) / n_px - 1.0, 2.0 * depth - 1.0, 1.0);
  const glm::dvec4 p_W = glm::inverse(VP) * p;
  result.p_W = glm::dvec3(p_W) / p_W.w;
  return result;
}

}  // namespace steepwright::viewer::render
