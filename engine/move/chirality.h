#pragma once

/// One hand of every move: problems are solved as if a left limb moved and the target stood at x = 0, on a grid of
/// lengths, and the answer is brought back. A scene and its mirror image so become the same numbers to the last bit,
/// and their answers mirror images, which searches that stop early would not give by themselves.

#include "engine/core/limb.h"
#include "engine/posture/stance.h"

#include <array>

namespace steepwright::move {

class Chirality {
 public:
  /// `is_mirrored`: left becomes right. `x_W`: what becomes x = 0.
  Chirality(const body::Body& body, const wall::Wall& wall, bool is_mirrored, double x_W);
  // Problems point at the wall in here.
  Chirality(const Chirality&) = delete;
  Chirality& operator=(const Chirality&) = delete;
  ~Chirality() = default;

  [[nodiscard]] posture::StanceProblem to_common(const posture::StanceProblem& problem) const;
  [[nodiscard]] body::Posture to_common(const body::Posture& posture) const;
  [[nodiscard]] body::Posture from_common(const body::Posture& posture) const;
  /// The answer of to_common(problem) as that of `problem`: posture, forces, torques, limits. Indices of the violation
  /// are those of the common problem.
  [[nodiscard]] posture::StanceAnswer from_common(const posture::StanceProblem& problem,
                                                  posture::StanceAnswer answer) const;
  /// Hinge angles without a root.
  [[nodiscard]] body::DofVector turn_angles(const body::DofVector& angles) const;
  [[nodiscard]] Limb limb(Limb limb) const;
  [[nodiscard]] bool is_mirrored() const { return sign_ < 0.0; }

 private:
  [[nodiscard]] Vec3 point(const Vec3& p_W) const;
  [[nodiscard]] Vec3 direction(const Vec3& v) const { return {sign_ * v.x(), v.y(), v.z()}; }
  [[nodiscard]] posture::LimbGoal goal(const posture::LimbGoal& goal) const;
  struct LoadedLimbs;
  [[nodiscard]] LoadedLimbs find_loaded(const posture::StanceProblem& problem) const;
  [[nodiscard]] statics::LimitShare turn_limit(const statics::LimitShare& limit, const LoadedLimbs& loaded) const;

  double sign_ = 1.0;
  int n_hinges_ = 0;
  double x_W_ = 0.0;
  double grid_m_ = 0.0;  ///< to which lengths are rounded
  wall::Wall wall_;
  std::array<int, body::kMaxHinges> hinges_{};  ///< the partner on the other side, or the hinge itself
  std::array<double, body::kMaxHinges> hinge_signs_{};
  std::array<int, body::kMaxSegments> segments_{};
};

}  // namespace steepwright::move
