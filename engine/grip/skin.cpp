#include "engine/grip/skin.h"

#include "engine/core/units.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::grip {

namespace {

/// The pulp of the finger's end begins this far beyond its joint, share of the distal bone with its pulp (assumed).
constexpr double kPulpStart = 0.28;

constexpr int kTipCells = 4;
constexpr int kDistalCells = 4;
constexpr int kMiddleCells = 4;
constexpr int kProximalCells = 3;
/// The proximal phalanx bears from the crease at the middle joint to the web, half its length (assumed).
constexpr double kWeb_of_proximal = 0.5;
constexpr double kTipArc = rad_from_deg(95.0);  ///< from the pad's side to just past the foremost point
constexpr double kTipStep = kTipArc / kTipCells;

}  // namespace

void add_strip(const Vec2& from, const Vec2& to, int count, double give, Bone bone, bool bears, SkinCells& cells) {
  const Vec2 step = (to - from) / count;
  const double length = step.norm();
  for (int i = 0; i < count; ++i) {
    cells.push_back({from + (i + 0.5) * step, length, std::abs(step.x()), give, bone, bears});
  }
}

void add_distal_skin(const Finger& finger, const Vec2& along, SkinCells& cells) {
  static const std::array<Vec2, kTipCells> kTurns = [] {
    std::array<Vec2, kTipCells> turns;
    for (int i = 0; i < kTipCells; ++i)
      turns[static_cast<std::size_t>(i)] = {std::cos((i + 0.5) * kTipStep), std::sin((i + 0.5) * kTipStep)};
    return turns;
  }();
  const double pad = finger.pad_m;
  const Vec2 palmward = find_palmward(along);
  const Vec2 tip_centre = find_tip_centre(finger, along);
  for (const Vec2& turn : kTurns) {
    const Vec2 out = turn.x() * palmward + turn.y() * along;
    const double length = pad * kTipStep;
    cells.push_back({tip_centre + pad * out, length, length * std::abs(out.y()), kGiveDistal_m, Bone::kDistal, true});
  }
  const Vec2 skin = pad * palmward;
  add_strip(tip_centre + skin, kPulpStart * finger.distal_m * along + skin, kDistalCells, kGiveDistal_m, Bone::kDistal,
            true, cells);
}

void add_middle_skin(const Finger& finger, const Vec2& along, bool bears, SkinCells& cells) {
  const Vec2 skin = finger.pad_m * find_palmward(along);
  add_strip(-kCrease_m * along + skin, (kCrease_m - finger.middle_m) * along + skin, kMiddleCells, kGiveOther_m,
            Bone::kMiddle, bears, cells);
}

void add_proximal_skin(const Finger& finger, const Vec2& pip, const Vec2& along, SkinCells& cells) {
  const Vec2 skin = pip + finger.pad_m * find_palmward(along);
  add_strip(skin - kCrease_m * along, skin - kWeb_of_proximal * finger.proximal_m * along, kProximalCells, kGiveOther_m,
            Bone::kProximal, true, cells);
}

double find_face_gap(const Finger& finger, const hold::Outline& outline, const Vec2& tip_centre) {
  // The back face is parallel to the front.
  return outline.front_normal.dot(tip_centre - Vec2(outline.depth, 0.0)) - finger.pad_m;
}

double find_face_shift(const Finger& finger, const hold::Outline& outline, const Vec2& tip_centre, double withdrawal) {
  return (withdrawal - kGiveTip_m - find_face_gap(finger, outline, tip_centre)) / outline.front_normal.x();
}

Lift find_lift(const SkinCells& cells, const hold::Outline& outline, double y_m) {
  Lift lift;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const SkinCell& cell = cells[i];
    const double y = cell.p.x() + y_m;
    if (y + 0.5 * cell.across < outline.outermost) continue;
    const hold::OutlinePoint point = outline.find_point(std::max(y, outline.outermost));
    const double z = point.z - cell.give / std::max(point.normal.y(), kLeastCos) - cell.p.y();
    if (z > lift.z) lift = {z, i};
  }
  return lift;
}

}  // namespace steepwright::grip
