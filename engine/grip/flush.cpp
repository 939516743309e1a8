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

}  // namespace

double FlushGap::find(const BoneLine& line) {
  const Vec2 distal(std::cos(line.pitch), std::sin(line.pitch));
  const Vec2 middle(std::cos(line.middle_pitch), std::sin(line.middle_pitch));
  const double y_m = find_face_shift(finger_, outline_, find_tip_centre(finger_, distal), line.withdrawal);
  cells_.clear();
  add_middle_skin(finger_, middle, true, cells_);
  const double middle_lift = find_lift(cells_, outline_, y_m);
  if (middle_lift == kNoLift) return kAway;
  cells_.clear();
  add_distal_skin(finger_, distal, cells_);
  return std::min(kAway, find_lift(cells_, outline_, y_m) - middle_lift);
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

}  // namespace steepwright::grip
