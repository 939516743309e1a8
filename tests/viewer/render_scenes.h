#pragma once

/// Scenes for tests and benchmarks of the renderer: what ships, a climber in a fixed posture, and a GL context whose
/// errors are collected.

#include "engine/figure/primitive.h"
#include "engine/io/scene_file.h"
#include "viewer/gl/context.h"
#include "viewer/render/hold_mesh.h"
#include "viewer/render/render_scene.h"
#include "viewer/render/renderer.h"
#include "viewer/render/wall_mesh.h"

#include <memory>
#include <string>
#include <vector>

namespace steepwright::tests {

/// Off-screen context and renderer; GL's complaints are kept, to be checked when a test ends.
struct OffscreenRenderer {
  std::vector<std::string> complaints;
  std::unique_ptr<viewer::gl::GlContext> context;
  std::unique_ptr<viewer::render::Renderer> renderer;
  std::string failure;  ///< why there is none

  OffscreenRenderer();
};

/// Wall, room and holds of a scene.
[[nodiscard]] viewer::render::RenderScene make_wall_scene(const move::Scene& scene, viewer::render::Theme theme,
                                                          viewer::render::HoldMeshes& meshes);

/// Limbs, head, arrows, centre of mass of a figure.
void append_figure(const figure::Figure& figure, viewer::render::Theme theme, viewer::render::RenderScene& scene);

/// A wall of two sections (kicker, 35 deg, roof; slab) in a room, with holds of every family and surface. Made here, so
/// that golden pictures do not hang on files that people edit.
[[nodiscard]] move::Scene make_sample_scene();

/// A climber before the wall in a posture that no solver was asked for, with arrows of chosen use.
[[nodiscard]] figure::Figure make_posed_figure(const move::Scene& scene);

}  // namespace steepwright::tests
