#pragma once

/// What a posture search minimises: a smooth function of the posture with its gradient.

#include "engine/body/kinematics.h"
#include "engine/posture/loads.h"
#include "engine/posture/stance_problem.h"
#include "engine/statics/distribution.h"
#include "engine/statics/effort.h"

#include <limits>

namespace steepwright::posture {

class Objective {
 public:
  Objective() = default;
  Objective(const Objective&) = delete;
  Objective& operator=(const Objective&) = delete;
  virtual ~Objective() = default;

  /// Value at the posture; writes the gradient (n_dof). `kinematics` belongs to `posture`. Allocation-free.
  virtual double calc_value(const StanceProblem& problem, const body::Posture& posture,
                            const body::Kinematics& kinematics, body::DofVector& gradient) = 0;
};

/// Pull towards a posture of comfort: 1/2 weight |angles - rest|^2. Keeps the search's answer unique and free limbs
/// quiet.
struct Comfort {
  double weight = 0.0;
  body::DofVector rest;  ///< n_hinges

  /// Adds value and gradient.
  double add(const body::Posture& posture, body::DofVector& gradient) const;
};

/// Least squared activation with softened equilibrium: always defined, leads to balance first, then to ease.
class LoadObjective final : public Objective {
 public:
  double calc_value(const StanceProblem& problem, const body::Posture& posture, const body::Kinematics& kinematics,
                    body::DofVector& gradient) override;

  Comfort comfort;
  PointModel point_model = PointModel::kAll;
  double soft_weight = 1e4;
  [[nodiscard]] const statics::Distribution& last() const { return distribution_; }
  /// The force solver, warm from the last posture that was valued. reset() it where answers must not depend on what was
  /// asked before.
  [[nodiscard]] statics::DistributionWorkspace& workspace() { return workspace_; }

 private:
  statics::StaticsProblem statics_;
  statics::DistributionWorkspace workspace_;
  statics::Distribution distribution_;
  body::TorqueLimits limits_;
};

/// The effort rho itself (smallest scale on all limits). Has kinks: use it to polish, after LoadObjective.
class EffortObjective final : public Objective {
 public:
  double calc_value(const StanceProblem& problem, const body::Posture& posture, const body::Kinematics& kinematics,
                    body::DofVector& gradient) override;

  Comfort comfort;
  double value_share = 0.0;  ///< of the effort, that it may be off by
  [[nodiscard]] const statics::Effort& last() const { return effort_; }

 private:
  statics::StaticsProblem statics_;
  statics::EffortWorkspace workspace_;
  statics::Effort effort_;
  body::TorqueLimits limits_;
};

/// Half the squared distance of one limb from its place, in units of kReachUnit^2: how near can it come.
inline constexpr double kReachUnit = 0.1;  ///< m times Body::scale
class ReachObjective final : public Objective {
 public:
  explicit ReachObjective(int limb) : limb_(limb) {}
  double calc_value(const StanceProblem& problem, const body::Posture& posture, const body::Kinematics& kinematics,
                    body::DofVector& gradient) override;

 private:
  int limb_;
};

/// How deep the body is inside wall and room (calc_obstruction).
class ObstructionObjective final : public Objective {
 public:
  double calc_value(const StanceProblem& problem, const body::Posture& posture, const body::Kinematics& kinematics,
                    body::DofVector& gradient) override;
};

}  // namespace steepwright::posture
