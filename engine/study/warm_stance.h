#pragma once

/// Stances solved from a neighbour's posture: the workhorse of maps, at a fraction of what a stance from several starts
/// costs.

#include "engine/posture/lead.h"
#include "engine/posture/stance.h"

namespace steepwright::study {

struct WarmAnswer {
  bool has_posture = false;
  bool is_held = false;
  double effort = 0.0;        ///< infinite without balance
  statics::LimitShare limit;  ///< what the effort hangs on; only with balance
  bool has_limit = false;
  body::Posture posture;
  posture::BalanceRegion balance;  ///< what is known of it at these contacts and capacities
};

/// How much a stance that does not hold yet is worked on.
enum class Care {
  kQuick,      ///< eased, not more
  kThorough,   ///< near the limit the effort itself is lowered, and balance sought
  kPatient,    ///< from a neighbour that holds: until it holds here too, or will not
  kStubborn,   ///< the same, until there is something to spare, and not given up while the effort falls; a map leads to
               ///< it
  kSearching,  ///< from several starts first
  kSeeking,    ///< from these alone, then stubborn
};

[[nodiscard]] inline bool is_enough(double effort) { return effort <= 1.0 + posture::StanceAnswer::kEffortTolerance; }

/// One thread's solver for one body. Answers depend on the arguments only.
class WarmStance {
 public:
  explicit WarmStance(const body::Body& body, double comfort_weight = posture::StanceParams{}.comfort_weight);

  /// Solves the stance from `warm` alone. `balance`: what is known of it from a stance whose loaded limbs have the same
  /// contacts and capacities. Allocation-free.
  [[nodiscard]] WarmAnswer solve(const posture::StanceProblem& problem, const body::Posture& warm, Care care,
                                 const posture::BalanceRegion& balance = {});

  /// Leads the last limb from its place in `from` to that in `to`, as far as the stance holds; `warm` holds it at
  /// `from`. The answer is of `to`, from the last posture that held. Allocation-free.
  [[nodiscard]] WarmAnswer lead(const posture::StanceProblem& from, const posture::StanceProblem& to,
                                const body::Posture& warm, const posture::BalanceRegion& balance = {});

  /// True when the contacts can be met from there with the body let through wall and room.
  [[nodiscard]] bool is_met_without_clearance(const posture::StanceProblem& problem, const body::Posture& warm);

  /// Effort at a given posture; infinite without balance.
  [[nodiscard]] double find_effort(const posture::StanceProblem& problem, const body::Posture& posture);

  /// Kinematics of the last answer's posture.
  [[nodiscard]] const body::Kinematics& kinematics() const { return ws_.search.posture.kinematics; }
  [[nodiscard]] posture::StanceWorkspace& workspace() { return ws_; }

 private:
  bool meet(const posture::StanceProblem& problem, body::Posture& posture);
  void search(const posture::StanceProblem& problem, posture::SearchParams params, posture::Objective& objective,
              body::Posture& posture);
  bool follow(const posture::StanceProblem& problem, double most_effort, WarmAnswer& answer);
  bool evaluate(const posture::StanceProblem& problem, body::Posture& posture, WarmAnswer& answer);
  void ease(const posture::StanceProblem& problem, Care care, WarmAnswer& answer);
  void bring_to_hold(const posture::StanceProblem& problem, WarmAnswer& answer);
  void descend(const posture::StanceProblem& problem, WarmAnswer& answer);
  void follow_kinks(const posture::StanceProblem& problem, int max_evaluations, double good_enough, WarmAnswer& answer);
  bool find_balance(const posture::StanceProblem& problem, body::Posture& posture, WarmAnswer& answer);
  void lower_effort(const posture::StanceProblem& problem, Care care, body::Posture posture, WarmAnswer& answer);

  double comfort_weight_;
  posture::BalanceRegion balance_;                 ///< of the stance in hand
  const posture::BalanceRegion* asked_ = nullptr;  ///< balance_ where it is asked
  posture::StanceWorkspace ws_;
  posture::BundleWorkspace bundle_;
  posture::EffortObjective effort_;  ///< without comfort
  posture::StanceProblem led_;       ///< scratch
};

}  // namespace steepwright::study
