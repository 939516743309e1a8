#pragma once

/// The whole answer for one stance: a posture, and what it takes to hold it.

#include "engine/posture/bundle.h"
#include "engine/posture/search.h"
#include "engine/posture/starts.h"
#include "engine/statics/friction.h"

#include <optional>

namespace steepwright::posture {

struct StanceParams {
  int wanted_starts = 4;    ///< postures that meet the contacts before the best is improved
  int max_starts = 24;      ///< tries before the contacts are said to be out of reach
  int searched_starts = 1;  ///< how many of them are improved fully
  int extra_starts = 10;    ///< more starts for a stance that nearly holds
  int max_polish = 80;      ///< iterations on the effort itself when the eased posture does not hold
  double comfort_weight = 2e-3;
  std::optional<body::DofVector> rest;  ///< hinge angles that comfort draws to; none: half-bent limbs
  std::uint64_t seed = 1;
  double friction_guess = 0.0;  ///< needed factor on mu of a stance near by: saves time only; 0: none
  /// Where the solver does not come to its own tolerance, a posture is one when every contact is met within this,
  double accepted_contact_m = 1e-4;
  double accepted_clearance_m = 2e-3;  ///< and no part is deeper inside than this: lengths of the wall, for every body
  SearchParams search;
  RowOptions rows;  ///< which constraints count at all
};

struct StanceAnswer {
  bool has_posture = false;
  body::Posture posture;  ///< the best found, even when has_posture is false
  Violation violation;
  int starts_tried = 0;
  int evaluations = 0;

  statics::Distribution distribution;
  statics::Effort effort;
  statics::NeededFriction friction;

  /// Every limit holds: posture met, equilibrium inside cones and strength.
  [[nodiscard]] bool is_held() const {
    return has_posture && effort.status == statics::Status::kSolved && effort.rho <= 1.0 + kEffortTolerance;
  }
  static constexpr double kEffortTolerance = 1e-6;
};

/// Storage for solve_stance; one per thread and body. Allocates once, when made.
struct StanceWorkspace {
  explicit StanceWorkspace(const body::Body& body);

  StartHinges hinges;
  body::DofVector rest;
  SearchWorkspace search;
  BundleWorkspace bundle;
  LoadObjective load;
  EffortObjective effort_objective;
  statics::StaticsProblem statics;
  statics::EffortWorkspace effort;
  statics::FrictionWorkspace friction;
  body::TorqueLimits limits;
  static constexpr int kMaxCandidates = 8;
  std::array<body::Posture, kMaxCandidates> candidates;
  std::array<double, kMaxCandidates> candidate_values{};
};

/// Finds a posture of least effort and its three answers. `warm`: a neighbouring stance's posture, tried first and kept
/// when it leads to a stance that holds. Deterministic for params.seed; allocation-free.
[[nodiscard]] StanceAnswer solve_stance(const StanceProblem& problem, const StanceParams& params,
                                        const body::Posture* warm, StanceWorkspace& workspace);

/// The stance nearest to `start`: its projection on the constraints, which is improved only where its effort is above
/// `wanted_effort` (infinite: never). One start, so that neighbouring stances get neighbouring postures; has_posture is
/// false where the projection fails. Allocation-free.
[[nodiscard]] StanceAnswer solve_stance_near(const StanceProblem& problem, const StanceParams& params,
                                             const body::Posture& start, double wanted_effort,
                                             StanceWorkspace& workspace);

/// The three answers at a given posture. `friction_guess` as in StanceParams.
void solve_answers(const StanceProblem& problem, StanceWorkspace& workspace, StanceAnswer& answer,
                   double friction_guess = 0.0);

/// How near `limb` (index into problem.limbs) can come to its place while all other constraints are met.
struct NearestReach {
  bool has_posture = false;  ///< the other contacts can be met
  body::Posture posture;
  double distance_m = 0.0;
};
[[nodiscard]] NearestReach solve_nearest_reach(const StanceProblem& problem, int limb, const StanceParams& params,
                                               const body::Posture* warm, StanceWorkspace& workspace);

/// The posture that meets the contacts with the body least deep inside wall or room, and what is in the way there.
struct Obstruction {
  body::Posture posture;
  double clearance_m = 0.0;  ///< negative: depth inside
  std::string capsule;       ///< part of the body
  wall::Nearest obstacle;
};
[[nodiscard]] Obstruction solve_least_obstruction(const StanceProblem& problem, const StanceParams& params,
                                                  const body::Posture& start, StanceWorkspace& workspace);

}  // namespace steepwright::posture
