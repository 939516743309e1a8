#pragma once

/// The border of a reach map found again by bisection along a line.

#include "engine/study/reach_goals.h"
#include "engine/study/warm_stance.h"

#include <optional>
#include <utility>

namespace steepwright::tests {

/// Walks from a held place along a line, each step from the posture of the last one, and bisects where it is lost.
class Bisection {
 public:
  Bisection(const move::Scene& scene, const body::Body& body, const study::ReachQuestion& question, int strip)
      : goals_(scene, body, question), warm_(body), strip_(strip) {
    const posture::StanceAnswer start = posture::solve_stance(goals_.make_support({}), {}, nullptr, warm_.workspace());
    start_ = start.posture;
  }

  /// Distance from (across, up) along `direction` at which the place is lost; nothing when it is not held to begin
  /// with.
  std::optional<double> find_lost(const Eigen::Vector2d& from, const Eigen::Vector2d& direction, double most_m) {
    std::optional<std::pair<body::Posture, study::ForearmBins>> held = solve(from, start_, {});
    if (!held) held = solve(from, find_cold(from), {});
    if (!held) return std::nullopt;
    double inner_m = 0.0;
    double step_m = 0.01;
    while (step_m > 5e-4 && inner_m < most_m) {
      const Eigen::Vector2d place = from + (inner_m + step_m) * direction;
      auto next = solve(place, held->first, held->second);
      if (!next) next = solve(place, find_cold(place), {});
      if (next) {
        held = next;
        inner_m += step_m;
      } else {
        step_m *= 0.5;
      }
    }
    return inner_m;
  }

 private:
  /// From several starts, as a stance is solved that has no neighbour.
  body::Posture find_cold(const Eigen::Vector2d& place) {
    return posture::solve_stance(goals_.make_touch({}, strip_, place.x(), place.y()), {}, nullptr, warm_.workspace())
        .posture;
  }

  std::optional<std::pair<body::Posture, study::ForearmBins>> solve(const Eigen::Vector2d& place,
                                                                    const body::Posture& from,
                                                                    study::ForearmBins bins) {
    for (int pass = 0; pass < 3; ++pass) {
      const posture::StanceProblem problem = goals_.make_touch(bins, strip_, place.x(), place.y());
      const study::WarmAnswer answer = warm_.solve(problem, from, study::Care::kPatient);
      if (!answer.has_posture) return std::nullopt;
      body::update_kinematics(problem.body->tree, answer.posture, warm_.workspace().search.posture.kinematics);
      const study::ForearmBins found = goals_.find_bins(warm_.kinematics(), bins);
      if (found == bins) {
        if (!answer.is_held) return std::nullopt;
        return std::pair{answer.posture, bins};
      }
      bins = found;
    }
    return std::nullopt;
  }

  study::ReachGoals goals_;
  study::WarmStance warm_;
  body::Posture start_;
  int strip_;
};

}  // namespace steepwright::tests
