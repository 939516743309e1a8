#include "engine/move/chirality.h"

#include "engine/move/goals.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace steepwright::move {

namespace {

/// Grid of lengths, m times Body::scale: far below every tolerance, far above what adding and subtracting x_W rounds
/// off.
constexpr double kGrid = 1.0 / (1 << 30);

double snap(double length_m, double grid_m) { return grid_m * std::round(length_m / grid_m); }

std::string find_partner_name(const std::string& name) {
  if (name.rfind("left ", 0) == 0) return "right " + name.substr(5);
  if (name.rfind("right ", 0) == 0) return "left " + name.substr(6);
  return name;
}

wall::Wall make_common_wall(const wall::Wall& wall, double sign, double x_W, double grid_m) {
  wall::Wall common = wall;
  const auto interval = [sign, x_W, grid_m](double& lower, double& upper) {
    const double a = snap(sign * (lower - x_W), grid_m);
    const double b = snap(sign * (upper - x_W), grid_m);
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
    : sign_(is_mirrored ? -1.0 : 1.0),
      n_hinges_(body.tree.n_hinges()),
      x_W_(x_W),
      grid_m_(kGrid * body.scale),
      wall_(make_common_wall(wall, sign_, x_W, grid_m_)) {
  for (int h = 0; h < body.tree.n_hinges(); ++h) {
    const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
    const int partner = is_mirrored ? body.tree.find_hinge(find_partner_name(hinge.name)) : h;
    hinges_[static_cast<std::size_t>(h)] = partner;
    // Signs of limbs are anatomical; side-bend and rotation of the trunk are not.
    hinge_signs_[static_cast<std::size_t>(h)] =
        is_mirrored && partner == h && hinge.axis != body::Axis::kX ? -1.0 : 1.0;
  }
  for (int s = 0; s < body.tree.n_segments(); ++s) {
    const std::string& name = body.tree.segments[static_cast<std::size_t>(s)].name;
    segments_[static_cast<std::size_t>(s)] = is_mirrored ? body.tree.find_segment(find_partner_name(name)) : s;
  }
}

Limb Chirality::limb(Limb limb) const { return sign_ < 0.0 ? find_other_side(limb) : limb; }

Vec3 Chirality::point(const Vec3& p_W) const {
  return {snap(sign_ * (p_W.x() - x_W_), grid_m_), snap(p_W.y(), grid_m_), snap(p_W.z(), grid_m_)};
}

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

/// Where the loaded limbs of a problem and of its mirror image stand among contacts, points and wrist rows.
struct Chirality::LoadedLimbs {
  struct Pair {
    int own_contact = 0, own_point = 0, own_wrist = -1;  ///< wrist: -1 for feet
    int common_point = 0, common_wrist = -1;
    int n_points = 0;
  };
  BoundedVector<Pair, kLimbs.size()> by_common_contact;
};

Chirality::LoadedLimbs Chirality::find_loaded(const posture::StanceProblem& problem) const {
  std::array<LoadedLimbs::Pair, kLimbs.size()> own{};
  std::array<bool, kLimbs.size()> is_loaded{};
  int contact = 0, point = 0, wrist = 0;
  for (const posture::LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    LoadedLimbs::Pair& pair = own[index_of(goal.limb)];
    is_loaded[index_of(goal.limb)] = true;
    pair.n_points = static_cast<int>(goal.points.size());
    pair.own_contact = contact++;
    pair.own_point = point;
    if (is_hand(goal.limb)) pair.own_wrist = wrist++;
    point += pair.n_points;
  }
  LoadedLimbs loaded;
  point = wrist = 0;
  for (const Limb common : kLimbs) {
    const std::size_t k = index_of(limb(common));
    if (!is_loaded[k]) continue;
    own[k].common_point = point;
    if (is_hand(common)) own[k].common_wrist = wrist++;
    point += own[k].n_points;
    loaded.by_common_contact.push_back(own[k]);
  }
  return loaded;
}

statics::LimitShare Chirality::turn_limit(const statics::LimitShare& limit, const LoadedLimbs& loaded) const {
  using Kind = statics::LimitShare::Kind;
  statics::LimitShare own = limit;
  const auto index = static_cast<std::size_t>(limit.index);
  if (limit.kind == Kind::kCapacityBound) {
    own.index = loaded.by_common_contact[index].own_contact;
  } else if (limit.index < n_hinges_) {
    own.index = hinges_[index];
    if (hinge_signs_[index] < 0.0)
      own.kind = limit.kind == Kind::kTorqueUpper ? Kind::kTorqueLower : Kind::kTorqueUpper;
  } else {
    for (const LoadedLimbs::Pair& pair : loaded.by_common_contact) {
      if (n_hinges_ + pair.common_wrist == limit.index && pair.own_wrist >= 0) own.index = n_hinges_ + pair.own_wrist;
    }
  }
  return own;
}

posture::StanceAnswer Chirality::from_common(const posture::StanceProblem& problem,
                                             posture::StanceAnswer answer) const {
  answer.posture = from_common(answer.posture);
  if (!is_mirrored()) return answer;
  const LoadedLimbs loaded = find_loaded(problem);
  const auto turn_forces = [&](statics::ForceVector& forces) {
    const statics::ForceVector common = forces;
    for (const LoadedLimbs::Pair& pair : loaded.by_common_contact) {
      for (int p = 0; p < pair.n_points; ++p) {
        const int from = 3 * (pair.common_point + pair.n_points - 1 - p);
        if (from + 3 <= common.size()) forces.segment<3>(3 * (pair.own_point + p)) = direction(common.segment<3>(from));
      }
    }
  };
  const auto turn_torques = [&](statics::TorqueVector& torques) {
    const statics::TorqueVector common = torques;
    for (int h = 0; h < n_hinges_ && h < common.size(); ++h) {
      const auto k = static_cast<std::size_t>(h);
      torques[hinges_[k]] = hinge_signs_[k] * common[h];
    }
    for (const LoadedLimbs::Pair& pair : loaded.by_common_contact) {
      if (pair.own_wrist >= 0 && n_hinges_ + pair.common_wrist < common.size())
        torques[n_hinges_ + pair.own_wrist] = common[n_hinges_ + pair.common_wrist];
    }
  };
  turn_forces(answer.distribution.forces);
  turn_torques(answer.distribution.torques);
  turn_torques(answer.distribution.torque_dual);
  turn_forces(answer.effort.forces);
  turn_torques(answer.effort.torques);
  turn_torques(answer.effort.torque_dual);
  turn_forces(answer.friction.forces);
  for (Vec3* dual : {&answer.distribution.force_dual, &answer.effort.force_dual}) *dual = direction(*dual);
  for (Vec3* dual : {&answer.distribution.moment_dual, &answer.effort.moment_dual}) *dual = -direction(*dual);
  const auto used = answer.friction.mu_used;
  for (std::size_t c = 0; c < loaded.by_common_contact.size() && c < used.size(); ++c)
    answer.friction.mu_used[static_cast<std::size_t>(loaded.by_common_contact[c].own_contact)] = used[c];
  for (statics::LimitShare& limit : answer.effort.limits) limit = turn_limit(limit, loaded);
  return answer;
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
