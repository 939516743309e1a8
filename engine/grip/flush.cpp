#include "engine/grip/flush.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Roots closer together than this are not told apart, rad.
constexpr double kScan = rad_from_deg(9.0);
constexpr double kMet_m = 1e-4;
constexpr int kMaxSteps = 8;
constexpr int kMaxFreeSteps = 12;

/// The largest angle in [least, most] at which `gap` (m, falling) is not negative; `least` when there is none. Regula
/// falsi, halving where one end is away.
template <typename Gap>
double find_last_free(const Gap& gap, double least, double most) {
  double gap_most = gap(most);
  if (gap_most >= 0.0 || most <= least) return most;
  double gap_least = gap(least);
  if (gap_least < 0.0) return least;
  double free = least;
  for (int i = 0; i < kMaxFreeSteps && gap_least > kMet_m; ++i) {
    const bool is_away = gap_least >= 0.5 * FlushGap::kAway;
    const double share = is_away || i % 3 == 2 ? 0.5 : gap_least / (gap_least - gap_most);
    const double next = least + share * (most - least);
    const double gap_next = gap(next);
    (gap_next >= 0.0 ? least : most) = next;
    (gap_next >= 0.0 ? gap_least : gap_most) = gap_next;
    free = least;
  }
  return free;
}

}  // namespace

double FlushGap::find(const BoneLine& line) {
  const Vec2 distal(std::cos(line.pitch), std::sin(line.pitch));
  const Vec2 middle(std::cos(line.middle_pitch), std::sin(line.middle_pitch));
  const double y_m = find_face_shift(finger_, outline_, find_tip_centre(finger_, distal), line.withdrawal);
  cells_.clear();
  add_middle_skin(finger_, middle, true, cells_);
  const double middle_lift = find_lift(cells_, outline_, y_m).z;
  if (middle_lift == kNoLift) return kAway;
  cells_.clear();
  add_distal_skin(finger_, distal, cells_);
  return std::min(kAway, find_lift(cells_, outline_, y_m).z - middle_lift);
}

BoundedVector<double, 4> FlushGap::find_middle_pitches(double pitch, double withdrawal, double gap_m, double from,
                                                       double to) {
  BoundedVector<double, 4> found;
  const auto gap = [&](double middle_pitch) { return find({pitch, middle_pitch, withdrawal}) - gap_m; };
  double last = from;
  double last_gap = gap(from);
  while (last < to && !found.full()) {
    const double next = std::min(last + kScan, to);
    const double next_gap = gap(next);
    if (last_gap * next_gap < 0.0) {
      // Regula falsi, halving where the middle bone leaves the solid.
      double a = last, gap_a = last_gap, b = next, gap_b = next_gap;
      double root = 0.5 * (a + b);
      for (int i = 0; i < kMaxSteps; ++i) {
        const bool is_away = std::max(gap_a, gap_b) >= 0.5 * kAway;
        root = is_away || i % 3 == 2 ? 0.5 * (a + b) : (a * gap_b - b * gap_a) / (gap_b - gap_a);
        const double gap_root = gap(root);
        if (std::abs(gap_root) < kMet_m) break;
        (gap_root * gap_a > 0.0 ? a : b) = root;
        (gap_root * gap_a > 0.0 ? gap_a : gap_b) = gap_root;
      }
      found.push_back(root);
    }
    last = next;
    last_gap = next_gap;
  }
  return found;
}

double FlushGap::find_most_middle_pitch(double pitch, double withdrawal, double least, double most) {
  const Vec2 distal(std::cos(pitch), std::sin(pitch));
  const double y_m = find_face_shift(finger_, outline_, find_tip_centre(finger_, distal), withdrawal);
  cells_.clear();
  add_distal_skin(finger_, distal, cells_);
  const double distal_lift = find_lift(cells_, outline_, y_m).z;
  const auto gap = [&](double middle_pitch) {
    cells_.clear();
    add_middle_skin(finger_, Vec2(std::cos(middle_pitch), std::sin(middle_pitch)), true, cells_);
    return std::min(kAway, distal_lift - find_lift(cells_, outline_, y_m).z);
  };
  return find_last_free(gap, least, most);
}

double FlushGap::find_most_flexion(const BoneLine& line, double wished, double least) {
  const Vec2 distal(std::cos(line.pitch), std::sin(line.pitch));
  const Vec2 middle(std::cos(line.middle_pitch), std::sin(line.middle_pitch));
  const Vec2 pip = -finger_.middle_m * middle;
  const Vec2 tip_centre = find_tip_centre(finger_, distal);
  cells_.clear();
  add_distal_skin(finger_, distal, cells_);
  add_middle_skin(finger_, middle, true, cells_);
  // As they are seated: the back face may lean over the floor.
  Vec2 seat = Vec2::Zero();
  for (int pass = 0; pass < 2; ++pass) {
    seat.x() += find_face_shift(finger_, outline_, tip_centre + seat, line.withdrawal);
    seat.y() = find_lift(cells_, outline_, seat.x()).z;
    if (seat.y() == kNoLift) return wished;
  }
  const auto gap = [&](double flexion) {
    const double pitch = line.middle_pitch + flexion;
    cells_.clear();
    add_proximal_skin(finger_, pip, Vec2(std::cos(pitch), std::sin(pitch)), cells_);
    return std::min(kAway, seat.y() - find_lift(cells_, outline_, seat.x()).z);
  };
  return find_last_free(gap, least, wished);
}

}  // namespace steepwright::grip
