#pragma once

/// The one place where the engine's vectors (Eigen, double) and the viewer's (glm) meet.

#include "engine/core/frames.h"

#include <glm/glm.hpp>

namespace steepwright::viewer::render {

[[nodiscard]] inline glm::vec3 to_glm(const Vec3& v) { return glm::vec3(glm::dvec3(v.x(), v.y(), v.z())); }
[[nodiscard]] inline glm::dvec3 to_dvec3(const Vec3& v) { return {v.x(), v.y(), v.z()}; }
[[nodiscard]] inline Vec3 to_eigen(const glm::dvec3& v) { return {v.x, v.y, v.z}; }

[[nodiscard]] inline glm::mat4 to_glm(const Pose& X) {
  return {glm::vec4(to_glm(Vec3(X.R.col(0))), 0.0F), glm::vec4(to_glm(Vec3(X.R.col(1))), 0.0F),
          glm::vec4(to_glm(Vec3(X.R.col(2))), 0.0F), glm::vec4(to_glm(X.p), 1.0F)};
}

}  // namespace steepwright::viewer::render
