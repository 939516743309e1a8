#pragma once

/// The border of a reach map found again along a line, without the map's results: several postures of a place well
/// inside are led outward in small steps, each as far as it holds; where all are lost, postures found from nothing
/// further out are led back in, and on when they meet.

#include "engine/posture/bundle.h"
#include "engine/posture/loads.h"
#include "engine/study/reach_goals.h"
#include "engine/study/warm_stance.h"

#include <cmath>
#include <optional>

namespace steepwright::tests {

class Bisection {
 public:
  Bisection(const move::Scene& scene, const body::Body& body, const study::ReachQuestion& question, int strip)
      : goals_(scene, body, question), workspace_(body), strip_(strip) {
    start_.posture = posture::solve_stance(goals_.make_support({}), {}, nullptr, workspace_).posture;
    objective_.comfort.weight = 1e-5;
    objective_.comfort.rest = workspace_.rest;
  }

  /// Distance from (across, up) along `direction` to which the place is held; nothing when it is not held to begin
  /// with.
  std::optional<double> find_lost(const Eigen::Vector2d& from, const Eigen::Vector2d& direction, double most_m) {
    constexpr int kStarts = 4;
    const Line line{from, direction};
    double held_m = -1.0;
    for (int k = 0; k < kStarts; ++k) {
      std::optional<Held> branch = search(line, 0.0, k == 0 ? &start_ : nullptr, static_cast<std::uint64_t>(k + 1));
      if (branch) held_m = std::max(held_m, lead(line, 0.0, most_m, *branch));
    }
    if (held_m < 0.0) return std::nullopt;
    while (const std::optional<double> further_m = go_on(line, held_m, most_m)) held_m = *further_m;
    return held_m;
  }

  /// Exact statics at a posture that a map claims to hold a place: its effort, infinite where contacts, ranges or
  /// clearance are not met.
  double find_effort(const Eigen::Vector2d& place, const study::ForearmBins& bins, body::Posture posture) {
    const posture::StanceProblem problem = goals_.make_touch(bins, strip_, place.x(), place.y());
    return find_effort(problem, posture);
  }

 private:
  struct Line {
    Eigen::Vector2d from, direction;
    [[nodiscard]] Eigen::Vector2d at(double along_m) const { return from + along_m * direction; }
  };
  /// The posture of a place, and the forearms that its capacity sets are for.
  struct Held {
    body::Posture posture;
    study::ForearmBins bins;
  };

  double find_effort(const posture::StanceProblem& problem, body::Posture& posture) {
    posture::ContactParams contacts;
    contacts.contact_tolerance = 1e-7;
    const bool is_met =
        solve_contacts(problem, contacts, posture, workspace_.search.posture).status == posture::ContactStatus::kMet;
    if (!is_met) return INFINITY;
    make_statics_problem(problem, posture, workspace_.search.posture.kinematics, posture::PointModel::kAll,
                         workspace_.limits, workspace_.statics);
    const statics::Effort effort = statics::solve_effort(workspace_.statics, workspace_.effort);
    return effort.status == statics::Status::kSolved ? effort.rho : INFINITY;
  }

  /// Led into balance, then down in effort, until it holds with something to spare; nothing when it does not hold.
  std::optional<Held> descend(const Eigen::Vector2d& place, Held held) {
    for (int pass = 0; pass < 4; ++pass) {
      const posture::StanceProblem problem = goals_.make_touch(held.bins, strip_, place.x(), place.y());
      double effort = find_effort(problem, held.posture);
      if (!std::isfinite(effort)) {
        posture::BalanceRegion region;
        if (!enter_balance(problem, {}, region, held.posture, workspace_)) return std::nullopt;
        effort = find_effort(problem, held.posture);
      }
      if (effort > kSpare) effort = lower_effort(problem, effort, held.posture);
      if (!study::is_enough(effort)) return std::nullopt;
      body::update_kinematics(problem.body->tree, held.posture, workspace_.search.posture.kinematics);
      const study::ForearmBins found = goals_.find_bins(workspace_.search.posture.kinematics, held.bins);
      if (found == held.bins) return held;
      held.bins = found;
    }
    return std::nullopt;
  }

  double lower_effort(const posture::StanceProblem& problem, double before, body::Posture& posture) {
    const body::Posture start = posture;
    posture::SearchParams search;
    search.max_iterations = 20;
    search.relative_tolerance = 1e-3;
    search.patience = 3;
    search.first_turn = 0.05;
    search.good_enough = kSpare;
    search.contacts.max_iterations = 12;
    search_posture(problem, search, objective_, posture, workspace_.search);
    posture::BundleParams bundle;
    bundle.max_evaluations = 120;
    bundle.patience = 8;
    bundle.good_enough = kSpare;
    bundle.contacts = search.contacts;
    search_bundle(problem, bundle, objective_, posture, workspace_.search.posture, bundle_);
    const double after = find_effort(problem, posture);
    if (after < before) return after;
    posture = start;
    return find_effort(problem, posture);
  }

  /// As any stance is solved, from several starts, then down in effort.
  std::optional<Held> search(const Line& line, double along_m, const Held* warm, std::uint64_t seed) {
    Held held = start_;
    const Eigen::Vector2d place = line.at(along_m);
    posture::StanceParams params;
    params.seed = seed;
    const posture::StanceAnswer answer =
        posture::solve_stance(goals_.make_touch(held.bins, strip_, place.x(), place.y()), params,
                              warm != nullptr ? &warm->posture : nullptr, workspace_);
    if (!answer.has_posture) return std::nullopt;
    held.posture = answer.posture;
    return descend(place, held);
  }

  /// Leads a held posture from one place of the line towards another; returns how far it gets.
  double lead(const Line& line, double from_m, double to_m, Held& held) {
    constexpr double kLongest_m = 0.005, kShortest_m = 6e-4;
    const double sign = to_m > from_m ? 1.0 : -1.0;
    double along_m = from_m;
    double step_m = kLongest_m;
    while (step_m > kShortest_m && sign * (to_m - along_m) > 1e-9) {
      const double next_m = along_m + sign * std::min(step_m, std::abs(to_m - along_m));
      if (std::optional<Held> next = descend(line.at(next_m), held)) {
        held = *next;
        along_m = next_m;
        step_m = std::min(kLongest_m, 1.5 * step_m);
      } else {
        step_m *= 0.5;
      }
    }
    return along_m;
  }

  /// From postures found further out that can be led back to where the others were lost.
  std::optional<double> go_on(const Line& line, double held_m, double most_m) {
    for (const double ahead_m : {0.004, 0.012, 0.025, 0.05}) {
      if (held_m + ahead_m > most_m) break;
      for (const std::uint64_t seed : {11U, 12U}) {
        std::optional<Held> found = search(line, held_m + ahead_m, nullptr, seed);
        if (!found) continue;
        Held back = *found;
        if (lead(line, held_m + ahead_m, held_m, back) > held_m + 1e-9) continue;
        return lead(line, held_m + ahead_m, most_m, *found);
      }
    }
    return std::nullopt;
  }

  static constexpr double kSpare = 0.97;  ///< effort that leaves something to spare for the next step

  study::ReachGoals goals_;
  posture::StanceWorkspace workspace_;
  posture::BundleWorkspace bundle_;
  posture::EffortObjective objective_;
  Held start_;
  int strip_;
};

}  // namespace steepwright::tests
