#include "engine/grip/finger_search.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

// Wrist: extension 75, flexion 76 degrees (joint surveys, read); the fingers hold hard only over a part of it
// (assumed).
constexpr double kMostExtension = rad_from_deg(65.0);
constexpr double kMostWristFlexion = rad_from_deg(45.0);
constexpr double kFavouredExtension = rad_from_deg(20.0);
constexpr double kFade = rad_from_deg(40.0);

/// Sizes of the pattern search's moves, and how often each is tried all round while it improves.
constexpr std::array<double, 3> kSteps = {0.2, 0.08, 0.03};
constexpr int kSweeps = 2;
/// A second start is followed when it promises at least this share of the first.
constexpr double kWorthwhile = 0.88;
/// A candidate that promises less than this over the best is not solved.
constexpr double kNoGain = 1.0005;
/// Pulls whose best posture is refined: straight onto the floor, and well outward.
constexpr std::array<std::size_t, 3> kRefined = {4, 7, 9};

/// Direction in which the i-th corner of a posture's polygon is looked for: -60 to 75 degrees from the floor's normal,
/// and last nearly square to the border of the outward pulls, where only the best placed pads carry.
Vec2 corner_direction(std::size_t i, double outermost_pull) {
  if (i < 10) return pull_direction(rad_from_deg(-60.0 + 15.0 * static_cast<double>(i)));
  return pull_direction(outermost_pull + rad_from_deg(89.0));
}

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

/// Where the ray from the origin along `direction` leaves the polygon of the origin and the corners in order.
template <std::size_t N>
double find_ray_length(const std::array<Vec2, N>& corners, const Vec2& direction) {
  double length = 0.0;
  for (std::size_t i = 0; i + 1 < N; ++i) {
    const double before = cross(direction, corners[i]);
    const double after = cross(direction, corners[i + 1]);
    if (before * after > 0.0 || before == after) continue;
    const Vec2 p = corners[i] + before / (before - after) * (corners[i + 1] - corners[i]);
    length = std::max(length, direction.dot(p));
  }
  return length;
}

FingerPosture find_between(const FingerPosture& a, const FingerPosture& b, double share) {
  return {std::lerp(a.pitch, b.pitch, share), std::lerp(a.dip, b.dip, share), std::lerp(a.pip, b.pip, share),
          std::lerp(a.withdrawal, b.withdrawal, share)};
}

/// Moves to and fro from `posture`, keeping what improves; `value` is called with each candidate.
template <typename Value>
void search_pattern(const PostureSpace& space, FingerPosture posture, double best, const Value& value) {
  for (const double step : kSteps) {
    bool has_improved = true;
    for (int sweep = 0; sweep < kSweeps && has_improved; ++sweep) {
      has_improved = false;
      for (const PostureMove move : kPostureMoves) {
        for (const double side : {1.0, -1.0}) {
          const FingerPosture tried = space.moved(posture, move, side * step);
          const double found = value(tried, best);
          if (found <= best) continue;
          best = found;
          posture = tried;
          has_improved = true;
          break;
        }
      }
    }
  }
}

}  // namespace

PullAngles make_pulls(double mu, double lean) {
  // The outermost stay a thousandth inside: on the very border rounding decides.
  constexpr PullAngles kShares = {-0.999, -0.75, -0.5, -0.25, 0.0, 0.2, 0.4, 0.6, 0.8, 0.92, 0.999};
  PullAngles pulls{};
  for (std::size_t i = 0; i < kPullCount; ++i) pulls[i] = kShares[i] * std::atan(mu) - lean;
  return pulls;
}

Knuckle find_knuckle(const GripForm& form, const FingerPosture& posture, double forearm_swing) {
  const double forearm_pitch = 0.5 * kPi - forearm_swing;
  const double proximal_pitch = posture.pitch + posture.dip + posture.pip;
  Knuckle knuckle;
  knuckle.mcp = std::clamp(forearm_pitch + kFavouredExtension - proximal_pitch, form.mcp.lower, form.mcp.upper);
  knuckle.wrist_extension = proximal_pitch + knuckle.mcp - forearm_pitch;
  const double beyond =
      std::max({0.0, knuckle.wrist_extension - kMostExtension, -kMostWristFlexion - knuckle.wrist_extension});
  knuckle.fit = std::max(0.0, 1.0 - beyond / kFade);
  return knuckle;
}

/// Lays the finger and builds its program; false when forearm or room do not allow the posture.
template <int Rows>
bool FingerSearch::build_program(const SearchTask& task, const FingerPosture& posture, FingerProgram<Rows>& program) {
  const Knuckle knuckle = find_knuckle(*task.form, posture, task.forearm_swing);
  if (knuckle.fit <= 0.0) return false;
  const Seating& seating = seat_.seat(*task.finger, *task.outline, posture, *task.form);
  if (seating.room <= 0.0 || seating.contacts.empty()) return false;
  program.build(*task.finger, seating, posture, knuckle.mcp, task.limits, task.mu, knuckle.fit);
  return true;
}

/// Best start for one pull, and the best that holds the lip at another place.
struct FingerSearch::Starts {
  struct Start {
    double force_N = 0.0;
    FingerPosture posture;
  };
  Start best, other;
  LoadProgram<4>::Row prices = LoadProgram<4>::Row::Zero();

  void offer(double force_N, const FingerPosture& posture) {
    const bool is_elsewhere = posture.withdrawal != best.posture.withdrawal;
    if (force_N > best.force_N) {
      if (is_elsewhere) other = best;
      best = {force_N, posture};
    } else if (is_elsewhere && force_N > other.force_N) {
      other = {force_N, posture};
    }
  }
  /// has_places: it matters where the lip lies, as other bones than the last bear too.
  [[nodiscard]] BoundedVector<Start, 2> worthwhile(bool has_places) const {
    BoundedVector<Start, 2> starts;
    if (best.force_N > 0.0) starts.push_back(best);
    if (best.force_N > 0.0 && has_places && other.force_N > kWorthwhile * best.force_N) starts.push_back(other);
    return starts;
  }
};

template <std::size_t N>
std::array<FingerSearch::Starts, N> FingerSearch::find_starts(const SearchTask& task, const PostureSpace& space,
                                                              const std::array<double, N>& angles) {
  std::array<Starts, N> starts;
  for (std::size_t i = 0; i < space.n_starts(); ++i) {
    const FingerPosture posture = space.start(i);
    if (!build_program(task, posture, along_)) continue;
    for (std::size_t k = 0; k < N; ++k) {
      const Vec2 direction = pull_direction(angles[k]);
      // Most candidates are no use even as a second start, and duality says so without solving.
      const double least_N = std::max(starts[k].other.force_N, kWorthwhile * starts[k].best.force_N);
      if (least_N > 0.0 && along_.find_bound_along(direction, starts[k].prices) <= least_N) continue;
      const double force_N = along_.solve_along(direction);
      if (force_N > starts[k].best.force_N) starts[k].prices = along_.program().prices();
      starts[k].offer(force_N, posture);
    }
  }
  return starts;
}

FingerFan FingerSearch::calc_fan(const SearchTask& task) {
  FingerFan fan;
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  const auto try_posture = [&](const FingerPosture& posture) {
    if (!build_program(task, posture, support_)) return;
    for (std::size_t i = 0; i < kCornerCount; ++i) {
      (void)support_.solve_support(corner_direction(i, task.pulls.back()));
      corners_[i] = support_.force();
    }
    for (std::size_t i = 0; i < kPullCount; ++i) {
      const double force_N = find_ray_length(corners_, pull_direction(task.pulls[i]));
      if (force_N <= fan.force_N[i]) continue;
      fan.force_N[i] = force_N;
      fan.posture[i] = posture;
    }
  };
  std::array<double, kRefined.size()> angles{};
  for (std::size_t k = 0; k < kRefined.size(); ++k) angles[k] = task.pulls[kRefined[k]];
  const auto starts = find_starts(task, space, angles);
  for (std::size_t k = 0; k < kRefined.size(); ++k) {
    for (const auto& start : starts[k].worthwhile(task.form->bears_on_middle)) {
      // What is best for the wanted pull is looked at for all.
      const Along along = refine(task, space, angles[k], start.posture);
      try_posture(along.posture);
      fan.force_N[kRefined[k]] = std::max(fan.force_N[kRefined[k]], along.force_N);
    }
  }
  // Between two refined pulls a posture between theirs is often better than either.
  const FingerPosture inner = fan.posture[kRefined.front()];
  const FingerPosture outer = fan.posture[kRefined.back()];
  for (const double share : {0.3, 0.6}) try_posture(find_between(inner, outer, share));
  return fan;
}

FingerSearch::Along FingerSearch::refine(const SearchTask& task, const PostureSpace& space, double angle,
                                         const FingerPosture& start) {
  const Vec2 direction = pull_direction(angle);
  Along along;
  LoadProgram<4>::Row prices = LoadProgram<4>::Row::Zero();
  const auto value = [&](const FingerPosture& posture, double best) {
    if (!build_program(task, posture, along_)) return 0.0;
    if (best > 0.0 && along_.find_bound_along(direction, prices) <= kNoGain * best) return 0.0;
    const double force_N = along_.solve_along(direction);
    if (force_N <= along.force_N) return force_N;
    prices = along_.program().prices();
    along.force_N = force_N;
    along.posture = posture;
    along.mcp = find_knuckle(*task.form, posture, task.forearm_swing).mcp;
    along.load = along_.load();
    return force_N;
  };
  const double first_N = value(start, 0.0);
  search_pattern(space, start, first_N, value);
  return along;
}

FingerSearch::Along FingerSearch::calc_along(const SearchTask& task, double angle) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  const auto starts = find_starts(task, space, std::array<double, 1>{angle});
  Along best;
  for (const auto& start : starts[0].worthwhile(task.form->bears_on_middle)) {
    const Along along = refine(task, space, angle, start.posture);
    if (along.force_N > best.force_N) best = along;
  }
  return best;
}

}  // namespace steepwright::grip
