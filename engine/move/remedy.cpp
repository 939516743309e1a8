#include "engine/move/remedy.h"

#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "engine/move/parallel.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <map>
#include <memory>
#include <utility>

namespace steepwright::move {

namespace {

// The most that is tried, and to how little an amount is narrowed down.
constexpr double kMostShift_m = 0.6, kShiftStep_m = 0.002;
constexpr double kMostLean = 30.0 * 3.14159265358979323846 / 180.0, kLeanStep = 0.25 * 3.14159265358979323846 / 180.0;
constexpr double kMostFriction = 1.5, kFrictionStep = 0.01;
constexpr double kMostDepth_m = 0.04, kDepthStep_m = 0.0005;
constexpr double kMostIncut = 30.0 * 3.14159265358979323846 / 180.0, kIncutStep = 0.5 * 3.14159265358979323846 / 180.0;
constexpr double kMostStrength = 1.5, kStrengthStep = 0.01;
/// First trial, as a share of the most; it is doubled until the move holds.
constexpr double kFirstShare = 1.0 / 32.0;
/// Places of the target nearer to each other than this are one.
constexpr double kSamePlace_m = 1e-6;

/// A scene changed by an amount, and the move in it.
struct Changed {
  Scene scene;
  Move move;
  double friction_factor = 1.0;
  bool has_other_hand = false;
};

class RemedySolver {
 public:
  /// `first`: the move as it is.
  RemedySolver(const Scene& scene, const Move& move, const SolveOptions& options, const MoveResult& first)
      : scene_(scene),
        move_(move),
        options_(options),
        body_(body::make_body(scene.climber.measures)),
        workspace_(body_),
        hands_(make_climber_hand(scene.climber, body_)),
        first_(first) {
    options_.verdict_only = true;
  }

  RemedyResult solve(Remedy remedy) {
    RemedyResult result;
    result.remedy = remedy;
    if (remedy == Remedy::kTargetCloser) {
      solve_closer(result);
    } else {
      solve_one(remedy, result);
    }
    return result;
  }

 private:
  /// Peak effort of the changed move, where it holds. Sets of a hand do not depend on what was asked of it before, so
  /// that one climber's are kept.
  std::optional<double> find_effort(const std::optional<Changed>& changed, RemedyResult& result) {
    if (!changed) return std::nullopt;
    ++result.runs;
    SolveOptions options = options_;
    options.friction_factor *= changed->friction_factor;
    const auto solve = [&](grip::CapacityCache& hands) {
      return solve_move(changed->scene, body_, changed->move, options, workspace_, hands);
    };
    MoveResult answer;
    if (changed->has_other_hand) {
      grip::CapacityCache others(make_climber_hand(changed->scene.climber, body_));
      answer = solve(others);
    } else {
      answer = solve(hands_);
    }
    if (answer.verdict != Verdict::kStatic) return std::nullopt;
    return answer.effort_peak;
  }

  /// Smallest amount, to `step`, at which the move holds, `find_effort(amount)` being its effort there: doubled until
  /// it does, at most to `most`, then halved between. The move may stop holding again with more of it, so the first
  /// amount found counts.
  template <typename FindEffort>
  static void search(const FindEffort& find_effort, double largest, double most, double step, RemedyResult& result) {
    result.largest = largest;
    double fails = 0.0;
    double holds = 0.0;
    const auto is_held = [&](double amount) {
      const std::optional<double> effort = find_effort(amount);
      if (effort) result.effort_peak = effort;
      return effort.has_value();
    };
    for (double amount = kFirstShare * most; fails < most; amount = std::min(2.0 * amount, most)) {
      if (is_held(amount)) {
        holds = amount;
        break;
      }
      fails = amount;
    }
    if (holds == 0.0) return;
    while (holds - fails > step) {
      const double amount = 0.5 * (fails + holds);
      (is_held(amount) ? holds : fails) = amount;
    }
    result.amount = holds;
  }

  template <typename Change>
  void search(const Change& change, double largest, double step, RemedyResult& result) {
    search([&](double amount) { return find_effort(change(amount), result); }, largest, largest, step, result);
  }

  void solve_one(Remedy remedy, RemedyResult& result) {
    switch (remedy) {
      case Remedy::kTargetUp:
        return solve_shift(0.0, 1.0, result);
      case Remedy::kTargetDown:
        return solve_shift(0.0, -1.0, result);
      case Remedy::kTargetLeft:
        return solve_shift(-1.0, 0.0, result);
      case Remedy::kTargetRight:
        return solve_shift(1.0, 0.0, result);
      case Remedy::kLessOverhang:
        return search([this](double amount) { return lean_less(amount); }, kMostLean, kLeanStep, result);
      case Remedy::kMoreFriction:
        return search([this](double amount) { return rub_more(amount); }, kMostFriction, kFrictionStep, result);
      case Remedy::kDeeperHold:
      case Remedy::kMoreIncut:
        return solve_shape(remedy, result);
      case Remedy::kStrongerFingers:
        return search([this](double amount) { return strengthen(amount); }, kMostStrength, kStrengthStep, result);
      case Remedy::kTargetCloser:
        break;
    }
  }

  // ---- where the target is ----

  void solve_shift(double across, double up, RemedyResult& result) {
    search_way({across, up}, kMostShift_m, result);
    result.across_m = across * result.amount.value_or(0.0);
    result.up_m = up * result.amount.value_or(0.0);
  }

  void search_way(const Eigen::Vector2d& way, double most_m, RemedyResult& result) {
    search([&](double amount) { return find_shifted_effort(amount * way, result); }, kMostShift_m, most_m, kShiftStep_m,
           result);
  }

  /// Places are asked for more than once: straight ways are among those that bring the target closer.
  std::optional<double> find_shifted_effort(const Eigen::Vector2d& way_m, RemedyResult& result) {
    const std::pair place(std::lround(way_m.x() / kSamePlace_m), std::lround(way_m.y() / kSamePlace_m));
    const auto known = shifted_.find(place);
    if (known != shifted_.end()) return known->second;
    return shifted_[place] = find_effort(shift(way_m.x(), way_m.y()), result);
  }

  /// Of eight directions the one that needs least; only those that bring the target nearer to the hands and feet that
  /// stay are tried, and only for less than has been found.
  void solve_closer(RemedyResult& result) {
    const Eigen::Vector2d inward = find_inward();
    result.largest = kMostShift_m;
    for (int i = 0; i < 8; ++i) {
      const double angle = i * kPi / 4.0;
      const Eigen::Vector2d way(std::cos(angle), std::sin(angle));
      if (way.dot(inward) < std::cos(rad_from_deg(70.0))) continue;
      RemedyResult trial;
      search_way(way, result.amount ? *result.amount - kShiftStep_m : kMostShift_m, trial);
      result.runs += trial.runs;
      if (!trial.amount) continue;
      result.amount = trial.amount;
      result.effort_peak = trial.effort_peak;
      result.across_m = way.x() * *trial.amount;
      result.up_m = way.y() * *trial.amount;
    }
  }

  /// From the target to the middle of the limbs that stay, in the target's panel, unit.
  [[nodiscard]] Eigen::Vector2d find_inward() const {
    Vec3 middle = Vec3::Zero();
    int n = 0;
    for (const Limb limb : kLimbs) {
      const std::optional<LimbPlace>& place = move_.before.limbs[index_of(limb)];
      if (!place || limb == move_.moving) continue;
      middle += find_site_pose(scene_, *place).p;
      ++n;
    }
    if (n == 0) return -Eigen::Vector2d::UnitY();
    const Vec3 inward_W = middle / n - find_site_pose(scene_, move_.target).p;
    const Mat3& R_WP = find_strip(scene_, move_.target).X_WP.R;
    return Eigen::Vector2d(inward_W.dot(R_WP.col(0)), inward_W.dot(R_WP.col(1))).normalized();
  }

  [[nodiscard]] bool is_held_before(int hold) const {
    return std::any_of(std::begin(move_.before.limbs), std::end(move_.before.limbs),
                       [&](const std::optional<LimbPlace>& place) { return place && place->hold == hold; });
  }

  /// The target (a copy of its hold, when another limb stands on it too) moved on its panel; none beyond its edges.
  [[nodiscard]] std::optional<Changed> shift(double across_m, double up_m) const {
    Changed changed{scene_, move_};
    const wall::Strip& strip = find_strip(scene_, move_.target);
    double* across = &changed.move.target.across_m;
    double* up = &changed.move.target.up_m;
    if (move_.target.hold >= 0) {
      if (is_held_before(move_.target.hold)) {
        changed.scene.holds.push_back(scene_.holds[static_cast<std::size_t>(move_.target.hold)]);
        changed.move.target.hold = static_cast<int>(changed.scene.holds.size()) - 1;
      }
      PlacedHold& target = changed.scene.holds[static_cast<std::size_t>(changed.move.target.hold)];
      across = &target.across_m;
      up = &target.up_m;
    }
    *across += across_m;
    *up += up_m;
    if (*across < 0.0 || *across > strip.width_m || *up < 0.0 || *up > strip.length_m) return std::nullopt;
    place_holds(changed.scene);
    return changed;
  }

  // ---- the wall, the surfaces, the climber ----

  [[nodiscard]] std::optional<Changed> lean_less(double amount) const {
    Changed changed{scene_, move_};
    std::vector<std::vector<wall::Strip>> sections;
    for (const wall::Section& section : scene_.wall.sections) {
      sections.emplace_back();
      for (const int index : section.strips) {
        wall::Strip strip = scene_.wall.strips[static_cast<std::size_t>(index)];
        if (strip.angle > 0.0) strip.angle = std::max(0.0, strip.angle - amount);
        sections.back().push_back(strip);
      }
    }
    changed.scene.wall = wall::make_wall(scene_.wall.name, std::move(sections), scene_.wall.room);
    place_holds(changed.scene);
    return changed;
  }

  [[nodiscard]] std::optional<Changed> rub_more(double amount) const {
    Changed changed{scene_, move_};
    changed.friction_factor = 1.0 + amount;
    return changed;
  }

  [[nodiscard]] std::optional<Changed> strengthen(double amount) const {
    Changed changed{scene_, move_};
    changed.scene.climber.fingers.edge_force_N *= 1.0 + amount;
    changed.has_other_hand = true;
    return changed;
  }

  // ---- the hold that decides ----

  /// The hold of the hand that decides, or of the other hand where none does.
  [[nodiscard]] int find_deciding_hold() const {
    for (const std::optional<Limb> limb : {first_.deciding_limb, first_.peaks.capacity_limb, first_.lower_hand}) {
      if (!limb || !is_hand(*limb)) continue;
      const std::optional<LimbPlace>& place =
          *limb == move_.moving ? std::optional<LimbPlace>(move_.target) : move_.before.limbs[index_of(*limb)];
      if (place && place->hold >= 0) return place->hold;
    }
    return -1;
  }

  void solve_shape(Remedy remedy, RemedyResult& result) {
    const int hold = find_deciding_hold();
    if (hold < 0) return;
    result.hold = scene_.holds[static_cast<std::size_t>(hold)].name;
    const bool is_depth = remedy == Remedy::kDeeperHold;
    search([this, hold, is_depth](double amount) { return reshape(hold, is_depth, amount); },
           is_depth ? kMostDepth_m : kMostIncut, is_depth ? kDepthStep_m : kIncutStep, result);
  }

  /// None for a mesh, and for dimensions that the shape does not allow.
  [[nodiscard]] std::optional<Changed> reshape(int hold, bool is_depth, double amount) const {
    Changed changed{scene_, move_};
    hold::Hold& shaped = changed.scene.holds[static_cast<std::size_t>(hold)].hold;
    hold::Shape shape = shaped.shape;
    if (shape.family == hold::Family::kImported) return std::nullopt;
    if (is_depth) {
      shape.depth_m += amount;
      shape.protrusion_m += amount;
    } else {
      shape.incut += amount;
    }
    const Findings findings = hold::check_shape(shape);
    if (has_errors(findings)) return std::nullopt;
    shaped = hold::make_hold(shape);
    return changed;
  }

  const Scene& scene_;
  const Move& move_;
  SolveOptions options_;
  body::Body body_;
  posture::StanceWorkspace workspace_;
  grip::CapacityCache hands_;
  const MoveResult& first_;
  std::map<std::pair<long, long>, std::optional<double>> shifted_;  ///< effort by place of the target, where it holds
};

}  // namespace

std::string_view name_of(Remedy remedy) {
  constexpr std::array<std::string_view, kRemedyCount> kNames = {
      "target closer", "target up",     "target down", "target left", "target right",
      "less overhang", "more friction", "deeper hold", "more incut",  "stronger fingers"};
  return kNames[static_cast<std::size_t>(remedy)];
}

namespace {

bool moves_target(Remedy remedy) { return remedy <= Remedy::kTargetRight; }

/// Indices of remedies that one solver takes after each other: those that move the target ask for the same places.
std::vector<std::vector<std::size_t>> group(const std::vector<Remedy>& remedies) {
  std::vector<std::vector<std::size_t>> groups(1);
  for (std::size_t i = 0; i < remedies.size(); ++i) {
    if (moves_target(remedies[i])) {
      groups[0].push_back(i);
    } else {
      groups.push_back({i});
    }
  }
  if (groups[0].empty()) groups.erase(groups.begin());
  return groups;
}

MoveResult solve_first(const Scene& scene, const Move& move, const SolveOptions& options) {
  const body::Body body = body::make_body(scene.climber.measures);
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  return solve_move(scene, body, move, options, workspace, hands);
}

}  // namespace

std::vector<RemedyResult> solve_remedies(const Scene& scene, const Move& move, const RemedyOptions& options) {
  std::vector<Remedy> remedies = options.remedies;
  if (remedies.empty()) {
    for (std::size_t i = 0; i < kRemedyCount; ++i) remedies.push_back(static_cast<Remedy>(i));
  }
  const MoveResult first = options.known != nullptr ? *options.known : solve_first(scene, move, options.solve);
  std::vector<RemedyResult> results(remedies.size());
  for (std::size_t i = 0; i < remedies.size(); ++i) {
    results[i].remedy = remedies[i];
    results[i].amount = 0.0;
  }
  if (first.verdict == Verdict::kStatic) return results;
  const std::vector<std::vector<std::size_t>> groups = group(remedies);
  const int n_groups = static_cast<int>(groups.size());
  PerThread<RemedySolver> solvers(count_threads(n_groups, options.threads),
                                  [&] { return std::make_unique<RemedySolver>(scene, move, options.solve, first); });
  std::vector<char> is_solved(remedies.size(), 0);
  std::atomic<int> done = 0;
  std::atomic<bool> is_stopped = false;
  run_parallel(n_groups, options.threads, [&](int g, int thread) {
    for (const std::size_t i : groups[static_cast<std::size_t>(g)]) {
      const int total = static_cast<int>(remedies.size());
      if (thread == 0 && options.on_progress && !options.on_progress(done, total)) is_stopped = true;
      if (is_stopped) return;
      results[i] = solvers.at(thread).solve(remedies[i]);
      is_solved[i] = 1;
      ++done;
    }
  });
  std::vector<RemedyResult> solved;
  for (std::size_t i = 0; i < results.size(); ++i) {
    if (is_solved[i] != 0) solved.push_back(std::move(results[i]));
  }
  return solved;
}

}  // namespace steepwright::move
