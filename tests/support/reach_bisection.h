#pragma once

/// The border of a reach map found again by bisection along a line.

#include "engine/posture/stance.h"
#include "engine/study/reach_goals.h"

#include <optional>
#include <utility>

namespace steepwright::tests {

/// Walks from a held place along a line, each step from the posture of the last one, and bisects where it is lost.
class Bisection {
 public:
  Bisection(const move::Scene& scene, const body::Body& body, const study::ReachQuestion& question, int strip)
      : goals_(scene, body, question), workspace_(body), strip_(strip) {
    start_.posture = posture::solve_stance(goals_.make_support({}), {}, nullptr, workspace_).posture;
  }

  /// Distance from (across, up) along `direction` at which the place is lost; nothing when it is not held to begin
  /// with.
  std::optional<double> find_lost(const Eigen::Vector2d& from, const Eigen::Vector2d& direction, double most_m) {
    std::optional<Held> held = solve(from, start_);
    if (!held) return std::nullopt;
    double inner_m = 0.0;
    double step_m = 0.01;
    while (step_m > 5e-4 && inner_m < most_m) {
      if (auto next = solve(from + (inner_m + step_m) * direction, *held)) {
        held = std::move(next);
        inner_m += step_m;
      } else {
        step_m *= 0.5;
      }
    }
    return inner_m;
  }

 private:
  /// The posture of a place that is held, and the forearms that its capacity sets are for.
  struct Held {
    body::Posture posture;
    study::ForearmBins bins;
  };

  /// As any stance is solved: from the neighbour's posture, and from several starts where that does not hold.
  std::optional<Held> solve(const Eigen::Vector2d& place, const Held& from) {
    Held held = from;
    for (int pass = 0; pass < 3; ++pass) {
      const posture::StanceProblem problem = goals_.make_touch(held.bins, strip_, place.x(), place.y());
      const posture::StanceAnswer answer = posture::solve_stance(problem, {}, &held.posture, workspace_);
      if (!answer.is_held()) return std::nullopt;
      held.posture = answer.posture;
      body::update_kinematics(problem.body->tree, held.posture, workspace_.search.posture.kinematics);
      const study::ForearmBins found = goals_.find_bins(workspace_.search.posture.kinematics, held.bins);
      if (found == held.bins) return held;
      held.bins = found;
    }
    return std::nullopt;
  }

  study::ReachGoals goals_;
  posture::StanceWorkspace workspace_;
  Held start_;
  int strip_;
};

}  // namespace steepwright::tests
