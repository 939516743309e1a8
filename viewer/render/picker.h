#pragma once

/// What a small picture of ids says: pure maths behind Renderer::pick.

#include "viewer/camera/camera.h"
#include "viewer/render/renderer.h"
#include "viewer/render/targets.h"

#include <array>
#include <cstdint>

namespace steepwright::viewer::render {

/// A pixel of a view, and how far around it counts.
struct PickPlace {
  int x_px = 0, y_px = 0, reach_px = 0;
  Viewport viewport;
};

/// Square of 2 reach + 1 pixels, rows from the bottom as GL reads them.
struct PickPixels {
  std::array<std::uint32_t, static_cast<std::size_t>(kPickSize) * kPickSize> ids{};
  std::array<float, static_cast<std::size_t>(kPickSize) * kPickSize> depths{};
};

/// View and projection that show just that square.
[[nodiscard]] glm::dmat4 find_pick_matrix(const PickPlace& place, const Camera& camera);

/// The thing at the middle; when that is none, a panel or no named thing, the nearest hold, limb, arrow or edge around.
[[nodiscard]] PickResult find_picked(const PickPixels& pixels, const PickPlace& place, const glm::dmat4& VP);

}  // namespace steepwright::viewer::render
