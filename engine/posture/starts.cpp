#include "engine/posture/starts.h"

#include "engine/core/units.h"

#include <algorithm>
#include <string>

namespace steepwright::posture {

namespace {

using body::Body;
using body::Posture;

void set_angle(const Body& body, int hinge, double angle_deg, Posture& posture) {
  if (hinge < 0) return;
  const body::Hinge& h = body.tree.hinges[static_cast<std::size_t>(hinge)];
  posture.angles[hinge] = std::clamp(rad_from_deg(angle_deg), h.lower, h.upper);
}

/// How a deliberate start differs from the plain one.
struct Variant {
  double yaw_deg;            ///< pelvis turned, positive to the left
  double hip_abduction_deg;  ///< knees out
  double hip_rotation_deg;   ///< negative: outward
  double out;                ///< pelvis from the wall beyond the holds, m times Body::scale
  double elbow_deg;
};

constexpr std::array<Variant, kDeliberateStarts> kVariants = {{
    {0.0, 35.0, -30.0, 0.35, 50.0},
    {30.0, 20.0, 0.0, 0.30, 40.0},
    {-30.0, 20.0, 0.0, 0.30, 40.0},
    {0.0, 10.0, 0.0, 0.50, 20.0},
    {0.0, 45.0, -40.0, 0.22, 90.0},
    {55.0, 10.0, 10.0, 0.30, 30.0},
    {-55.0, 10.0, 10.0, 0.30, 30.0},
    {0.0, 25.0, -15.0, 0.55, 70.0},
}};

struct Centres {
  Vec3 hands = Vec3::Zero();
  Vec3 feet = Vec3::Zero();
  int n_hands = 0, n_feet = 0;
};

Centres find_centres(const StanceProblem& problem) {
  Centres centres;
  for (const LimbGoal& goal : problem.limbs) {
    (is_hand(goal.limb) ? centres.hands : centres.feet) += goal.p_WC;
    ++(is_hand(goal.limb) ? centres.n_hands : centres.n_feet);
  }
  if (centres.n_hands > 0) centres.hands /= centres.n_hands;
  if (centres.n_feet > 0) centres.feet /= centres.n_feet;
  return centres;
}

/// Outward normal of the wall near a point; straight out when no wall is given.
Vec3 find_outward(const StanceProblem& problem, const Vec3& p_WQ) {
  if (problem.wall == nullptr) return -Vec3::UnitY();
  const wall::Nearest nearest = wall::find_nearest(*problem.wall, p_WQ - 0.05 * problem.body->scale * Vec3::UnitY());
  if (nearest.kind != wall::Nearest::Kind::kStrip) return -Vec3::UnitY();
  return nearest.gradient;
}

void set_limbs(const Body& body, const StartHinges& hinges, const Variant& variant, double reach_share,
               Posture& posture) {
  for (const StartHinges::Side& side : hinges.sides) {
    set_angle(body, side.shoulder_flexion, 140.0, posture);
    set_angle(body, side.shoulder_abduction, 20.0, posture);
    set_angle(body, side.elbow, variant.elbow_deg, posture);
    set_angle(body, side.pronation, 60.0, posture);
    // The nearer the feet are to the hands, the more hip and knee are bent.
    set_angle(body, side.hip_flexion, 20.0 + 90.0 * (1.0 - reach_share), posture);
    set_angle(body, side.hip_abduction, variant.hip_abduction_deg, posture);
    set_angle(body, side.hip_rotation, variant.hip_rotation_deg, posture);
    set_angle(body, side.knee, 25.0 + 105.0 * (1.0 - reach_share), posture);
  }
}

}  // namespace

StartHinges make_start_hinges(const Body& body) {
  StartHinges hinges{};
  for (std::size_t s = 0; s < 2; ++s) {
    const std::string side = s == 0 ? "left " : "right ";
    const auto find = [&](const char* name) { return body.tree.find_hinge(side + name); };
    hinges.sides[s] = {find("shoulder flexion"), find("shoulder abduction"),    find("shoulder internal rotation"),
                       find("elbow flexion"),    find("forearm pronation"),     find("hip flexion"),
                       find("hip abduction"),    find("hip internal rotation"), find("knee flexion")};
  }
  return hinges;
}

Posture find_start(const StanceProblem& problem, const StartHinges& hinges, int i, RandomStream& random) {
  const Body& body = *problem.body;
  Variant variant = kVariants[static_cast<std::size_t>(i % kDeliberateStarts)];
  Posture posture;
  posture.angles.setZero(body.tree.n_hinges());

  const Centres centres = find_centres(problem);
  const double stature = std::max(body.measures.stature_m, 0.5);
  Vec3 hands = centres.hands;
  Vec3 feet = centres.feet;
  if (centres.n_hands == 0) hands = feet + 1.0 * stature * Vec3::UnitZ();
  if (centres.n_feet == 0) feet = hands - 1.05 * stature * Vec3::UnitZ();
  const Vec3 along = hands - feet;
  const double reach_share = std::clamp(along.norm() / (1.15 * stature), 0.0, 1.0);
  const Vec3 outward = find_outward(problem, 0.5 * (hands + feet));

  if (i >= kDeliberateStarts) {
    variant.yaw_deg += random.symmetric(30.0);
    variant.hip_abduction_deg += random.symmetric(20.0);
    variant.hip_rotation_deg += random.symmetric(30.0);
    variant.out = std::max(0.12, variant.out + random.symmetric(0.2));
    variant.elbow_deg = std::max(5.0, variant.elbow_deg + random.symmetric(40.0));
  }

  // Trunk along the line from feet to hands, chest to the wall.
  Vec3 up = along.norm() > 0.2 * body.scale ? along.normalized() : Vec3::UnitZ();
  up = (up + 0.4 * Vec3::UnitZ()).normalized();
  Vec3 forward = -outward - (-outward).dot(up) * up;
  if (forward.norm() < 0.1) forward = Vec3::UnitY() - up.y() * up;
  forward.normalize();
  Mat3 R;
  R.col(0) = forward.cross(up);
  R.col(1) = forward;
  R.col(2) = up;
  posture.R_WB = R * rotation_by(Vec3::UnitZ() * rad_from_deg(variant.yaw_deg));
  posture.p_WB = feet + 0.45 * along + variant.out * body.scale * outward;
  if (i >= kDeliberateStarts) {
    posture.p_WB += body.scale * Vec3(random.symmetric(0.2), random.symmetric(0.1), random.symmetric(0.2));
    posture.R_WB =
        rotation_by(Vec3(random.symmetric(0.3), random.symmetric(0.3), random.symmetric(0.3))) * posture.R_WB;
  }
  set_limbs(body, hinges, variant, reach_share, posture);
  if (i >= kDeliberateStarts) {
    for (int h = 0; h < body.tree.n_hinges(); ++h) {
      const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
      posture.angles[h] = std::clamp(posture.angles[h] + random.symmetric(0.35) * 0.5 * (hinge.upper - hinge.lower),
                                     hinge.lower, hinge.upper);
    }
  }
  return posture;
}

body::DofVector find_rest_angles(const Body& body, const StartHinges& hinges) {
  Posture posture;
  posture.angles.setZero(body.tree.n_hinges());
  set_limbs(body, hinges, {0.0, 20.0, -10.0, 0.0, 35.0}, 0.6, posture);
  return posture.angles;
}

}  // namespace steepwright::posture
