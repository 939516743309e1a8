#include "engine/move/chirality.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace steepwright::move {

namespace {

/// Grid of lengths, m: far below every tolerance, far above what adding and subtracting x_W rounds off.
constexpr double kGrid = 1.0 / (1 << 30);

double snap(double length_m) { return kGrid * std::round(length_m / kGrid); }

std::string other_side(const std::string& name) {
  if (name.rfind("left ", 0) == 0) return "right " + name.substr(5);
  if (name.rfind("right ", 0) == 0) return "left " + name.substr(6);
  return name;
}

Limb other_limb(Limb limb) {
  if (is_hand(limb)) return is_left(limb) ? Limb::kRightHand : Limb::kLeftHand;
  return is_left(limb) ? Limb::kRightFoot : Limb::kLeftFoot;
}

wall::Wall make_common_wall(const wall::Wall& wall, double sign, double x_W) {
  wall::Wall common = wall;
  const auto interval = [sign, x_W](double& lower, double& upper) {
    const double a = snap(sign * (lower - x_W));
    const double b = snap(sign * (upper - x_W));
    lower = std::min(a, b);
    upper = std::max(a, b);
  };
  for (wall::Section& section : common.sections) {
    double upper = section.x0_m + section.width_m;
    interval(section.x0_m, upper);
    section.width_m = upper - section.x0_m;
  }
  for (wall::Strip& strip : common.strips) {
    double upper = strip.X_WP.p.x() + strip.width_m;
    interval(strip.X_WP.p.x(), upper);
  }
  if (sign < 0.0) {  // sections stand side by side from the left
    std::reverse(common.sections.begin(), common.sections.end());
    for (wall::Strip& strip : common.strips)
      strip.section = static_cast<int>(common.sections.size()) - 1 - strip.section;
  }
  if (common.room) interval(common.room->lower.x(), common.room->upper.x());
  return common;
}

}  // namespace

Chirality::Chirality(const body::Body& body, const wall::Wall& wall, bool is_mirrored, double x_W)
    : sign_(is_mirrored ? -1.0 : 1.0), x_W_(x_W), wall_(make_common_wall(wall, sign_, x_W)) {
  for (int h = 0; h < body.tree.n_hinges(); ++h) {
    const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
    const int partner = is_mirrored ? body.tree.find_hinge(other_side(hinge.name)) : h;
    hinges_[static_cast<std::size_t>(h)] = partner;
    // Signs of limbs are anatomical; side-bend and rotation of the trunk are not.
    hinge_signs_[static_cast<std::size_t>(h)] =
        is_mirrored && partner == h && hinge.axis != body::Axis::kX ? -1.0 : 1.0;
  }
  for (int s = 0; s < body.tree.n_segments(); ++s) {
    const std::string& name = body.tree.segments[static_cast<std::size_t>(s)].name;
    segments_[static_cast<std::size_t>(s)] = is_mirrored ? body.tree.find_segment(other_side(name)) : s;
  }
}

Limb Chirality::limb(Limb limb) const { return sign_ < 0.0 ? other_limb(limb) : limb; }

Vec3 Chirality::point(const Vec3& p_W) const { return {snap(sign_ * (p_W.x() - x_W_)), snap(p_W.y()), snap(p_W.z())}; }

posture::LimbGoal Chirality::goal(const posture::LimbGoal& goal) const {
  posture::LimbGoal common = goal;
  common.limb = limb(goal.limb);
  common.segment = segments_[static_cast<std::size_t>(goal.segment)];
  common.p_BC = direction(goal.p_BC);
  common.p_WC = point(goal.p_WC);
  for (posture::DirectionRange& range : common.directions) {
    range.segment = segments_[static_cast<std::size_t>(range.segment)];
    range.u_B = direction(range.u_B);
    range.a_W = direction(range.a_W);
  }
  common.capacity.normal = direction(goal.capacity.normal);
  for (Vec3& face : common.capacity.cone_faces) face = direction(face);
  for (HalfSpace& bound : common.capacity.bounds) bound.a = direction(bound.a);
  for (Vec3& p_WC : common.points) p_WC = point(p_WC);
  // Points run along the lip from left to right.
  if (sign_ < 0.0 && common.points.size() == 2) std::swap(common.points[0], common.points[1]);
  return common;
}

posture::StanceProblem Chirality::to_common(const posture::StanceProblem& problem) const {
  posture::StanceProblem common;
  common.body = problem.body;
  if (problem.wall != nullptr) common.wall = &wall_;
  // Left before right, hands before feet, and the limb in the air last, as every problem is made.
  for (const bool is_in_air : {false, true}) {
    for (const Limb wanted : kLimbs) {
      for (const posture::LimbGoal& candidate : problem.limbs) {
        if (limb(candidate.limb) == wanted && candidate.is_in_air == is_in_air) common.limbs.push_back(goal(candidate));
      }
    }
  }
  return common;
}

body::DofVector Chirality::turn_angles(const body::DofVector& angles) const {
  body::DofVector turned = angles;
  for (Eigen::Index h = 0; h < angles.size(); ++h) {
    const auto k = static_cast<std::size_t>(h);
    turned[hinges_[k]] = hinge_signs_[k] * angles[h];
  }
  return turned;
}

body::Posture Chirality::to_common(const body::Posture& posture) const {
  body::Posture common;
  common.p_WB = point(posture.p_WB);
  for (int i = 0; i < 3; ++i) {
    for (int k = 0; k < 3; ++k) common.R_WB(i, k) = ((i == 0) != (k == 0) ? sign_ : 1.0) * posture.R_WB(i, k);
  }
  common.angles = turn_angles(posture.angles);
  return common;
}

body::Posture Chirality::from_common(const body::Posture& posture) const {
  body::Posture own = posture;
  own.p_WB.x() = sign_ * posture.p_WB.x() + x_W_;
  for (int i = 0; i < 3; ++i) {
    for (int k = 0; k < 3; ++k) own.R_WB(i, k) = ((i == 0) != (k == 0) ? sign_ : 1.0) * posture.R_WB(i, k);
  }
  own.angles = turn_angles(posture.angles);
  return own;
}

}  // namespace steepwright::move
