#pragma once

/// Seeded random postures for the tests of the body.

#include "engine/body/body.h"
#include "engine/core/random.h"

namespace steepwright::tests {

/// Hinges uniform within their ranges (the coupled limits are not looked at), the root anywhere and any way up.
[[nodiscard]] inline body::Posture draw_posture(const body::Tree& tree, RandomStream& random) {
  body::Posture posture;
  posture.p_WB = Vec3(random.symmetric(2.0), random.symmetric(2.0), random.uniform(0.5, 3.0));
  posture.R_WB = rotation_by(Vec3(random.symmetric(1.7), random.symmetric(1.7), random.symmetric(1.7)));
  posture.angles.resize(tree.n_hinges());
  for (int i = 0; i < tree.n_hinges(); ++i) {
    const body::Hinge& hinge = tree.hinges[static_cast<std::size_t>(i)];
    posture.angles[i] = random.uniform(hinge.lower, hinge.upper);
  }
  return posture;
}

[[nodiscard]] inline body::DofVector draw_dof_vector(int n_dof, RandomStream& random) {
  body::DofVector v(n_dof);
  for (int i = 0; i < n_dof; ++i) v[i] = random.symmetric(1.0);
  return v;
}

/// Reference person of the survey: the mean of ANSUR II.
[[nodiscard]] inline body::Measures make_measures(body::Sex sex) {
  body::Measures measures;
  measures.sex = sex;
  measures.stature_m = sex == body::Sex::kMale ? 1.7562 : 1.6285;
  measures.mass_kg = sex == body::Sex::kMale ? 72.0 : 58.0;
  return measures;
}

}  // namespace steepwright::tests
