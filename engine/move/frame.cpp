#include "engine/move/frame.h"

#include "engine/move/goals.h"
#include "engine/posture/loads.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

using posture::LimbGoal;
using posture::StanceAnswer;
using posture::StanceProblem;

/// Side of a limit that a hinge torque is on, in the words of the hinge's motion ("elbow flexion" / "elbow extension").
struct Opposite {
  std::string_view positive, negative;
};
constexpr std::array<Opposite, 9> kOpposites = {{{"flexion", "extension"},
                                                 {"dorsiflexion", "plantarflexion"},
                                                 {"abduction", "adduction"},
                                                 {"internal rotation", "external rotation"},
                                                 {"pronation", "supination"},
                                                 {"elevation", "depression"},
                                                 {"protraction", "retraction"},
                                                 {"ulnar deviation", "radial deviation"},
                                                 {"eversion", "inversion"}}};

/// "left elbow flexion" with a negative torque is "left elbow extension".
std::string torque_name(const std::string& hinge, bool is_positive) {
  if (is_positive) return hinge;
  // The longest ending first: "dorsiflexion" ends in "flexion".
  for (const std::size_t i : {1UL, 0UL, 2UL, 3UL, 4UL, 5UL, 6UL, 7UL, 8UL}) {
    const std::string_view ending = kOpposites[i].positive;
    if (hinge.size() >= ending.size() && hinge.compare(hinge.size() - ending.size(), ending.size(), ending) == 0) {
      return hinge.substr(0, hinge.size() - ending.size()) + std::string(kOpposites[i].negative);
    }
  }
  return hinge;
}

ContactResult make_contact(const Scene& scene, const LimbGoal& goal, const LimbPlace& place) {
  ContactResult contact;
  contact.limb = goal.limb;
  if (place.hold >= 0) contact.hold = scene.holds[static_cast<std::size_t>(place.hold)].name;
  contact.site =
      place.hold >= 0
          ? scene.holds[static_cast<std::size_t>(place.hold)].hold.sites[static_cast<std::size_t>(place.site)].name
          : "smear";
  if (is_hand(goal.limb)) contact.grip = place.grip;
  contact.is_loaded = goal.is_loaded;
  contact.p_WC = goal.p_WC;
  contact.lip_W = find_site_pose(scene, place).R.col(0);
  contact.capacity = goal.capacity;
  return contact;
}

void add_forces(const StanceProblem& problem, const StanceAnswer& answer, Frame& frame) {
  Eigen::Index column = 0;
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
    const LimbGoal& goal = problem.limbs[i];
    if (goal.is_in_air) continue;
    ContactResult& contact = frame.contacts[i];
    for (const Vec3& p_WC : goal.points) {
      ContactResult::Point point{p_WC, Vec3::Zero()};
      if (goal.is_loaded && column + 3 <= answer.distribution.forces.size()) {
        point.f_C_W = answer.distribution.forces.segment<3>(column);
        column += 3;
      }
      contact.f_C_W += point.f_C_W;
      contact.points.push_back(point);
    }
    contact.capacity_use = find_capacity_use(goal.capacity, contact.f_C_W);
    contact.slip_margin = find_slip_margin(goal.capacity, contact.f_C_W);
    contact.slip_off = find_slip_off(goal.capacity, contact.f_C_W, contact.lip_W);
    contact.mu_used = find_mu_used(goal.capacity, contact.f_C_W);
  }
}

/// Torque of every hinge with the limit of its own side; a loaded wrist's flexion limit contains the finger flexors'
/// help.
void add_torques(const StanceProblem& problem, const StanceAnswer& answer, const posture::StanceWorkspace& workspace,
                 Frame& frame) {
  const body::Tree& tree = problem.body->tree;
  const statics::StaticsProblem& statics = workspace.statics;
  const statics::TorqueVector& torques = answer.distribution.torques;
  for (int h = 0; h < tree.n_hinges() && h < torques.size(); ++h) {
    JointTorque joint;
    joint.torque_Nm = torques[h];
    const bool is_positive = joint.torque_Nm > 0.0;
    joint.name = tree.hinges[static_cast<std::size_t>(h)].name;
    joint.limit_Nm = is_positive ? statics.active_upper[h] + statics.passive_upper[h]
                                 : statics.active_lower[h] + statics.passive_lower[h];
    if (is_positive && joint.limit_Nm >= posture::find_no_limit_torque(*problem.body)) {
      for (int row = tree.n_hinges(); row < statics.n_torque_rows; ++row) {
        if (posture::find_torque_row(problem, row).hinge != h) continue;
        const double help_Nm = torques[h] - torques[row];
        joint.limit_Nm = statics.active_upper[row] + statics.passive_upper[row] + help_Nm;
      }
    }
    frame.joint_torques.push_back(joint);
  }
}

/// Names the limit that decides a balanced stance: the one with the largest share in the effort's certificate.
void name_effort_limit(const StanceProblem& problem, const StanceAnswer& answer, Frame& frame) {
  if (answer.effort.limits.empty()) return;
  const statics::LimitShare& share = answer.effort.limits[0];
  if (share.kind == statics::LimitShare::Kind::kCapacityBound) {
    int loaded = 0;
    for (const LimbGoal& goal : problem.limbs) {
      if (!goal.is_loaded) continue;
      if (loaded++ != share.index) continue;
      frame.limit = std::string(long_name(goal.limb)) + (is_hand(goal.limb) ? " grip" : " foothold");
      frame.limit_limb = goal.limb;
      frame.limit_capacity_N = goal.capacity.bounds[static_cast<std::size_t>(share.bound)].b_N;
      if (!frame.is_held) frame.cause = Cause::kGrip;
    }
    return;
  }
  const posture::TorqueRow row = posture::find_torque_row(problem, share.index);
  const std::string& hinge = problem.body->tree.hinges[static_cast<std::size_t>(row.hinge)].name;
  frame.limit = torque_name(hinge, share.kind == statics::LimitShare::Kind::kTorqueUpper);
  if (!frame.is_held) frame.cause = Cause::kStrength;
}

/// Names the contact that asks for most friction compared with what it has: at the smallest factor several tie, so the
/// one that carries most among them.
void name_slip(const StanceProblem& problem, const StanceAnswer& answer, Frame& frame) {
  frame.cause = Cause::kSlip;
  frame.limit = "no friction would balance the body here";
  if (!std::isfinite(answer.friction.factor)) return;
  constexpr double kTie = 0.99;
  double largest_N = -1.0;
  std::size_t loaded = 0;
  Eigen::Index column = 0;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    Vec3 f_C_W = Vec3::Zero();
    for (std::size_t p = 0; p < goal.points.size(); ++p, column += 3) {
      f_C_W += answer.friction.forces.segment<3>(column);
    }
    const double needed = answer.friction.mu_used[loaded++];
    if (needed < kTie * answer.friction.factor * goal.capacity.mu || f_C_W.norm() <= largest_N) continue;
    largest_N = f_C_W.norm();
    frame.limit = std::string(long_name(goal.limb)) + " slips";
    frame.limit_limb = goal.limb;
    frame.limit_mu_needed = needed;
    frame.limit_mu_given = goal.capacity.mu;
  }
}

}  // namespace

ProblemPlaces find_places(const Stance& stance) {
  ProblemPlaces places;
  for (const Limb limb : kLimbs) {
    const std::optional<LimbPlace>& place = stance.limbs[index_of(limb)];
    if (place) places.places.push_back(*place);
  }
  return places;
}

Frame make_frame(const Scene& scene, const StanceProblem& problem, const ProblemPlaces& places,
                 const StanceAnswer& answer, posture::StanceWorkspace& workspace, Phase phase) {
  Frame frame;
  frame.phase = phase;
  frame.has_posture = answer.has_posture;
  frame.is_held = answer.is_held();
  frame.posture = answer.posture;
  body::update_kinematics(problem.body->tree, answer.posture, workspace.search.posture.kinematics);
  frame.p_Wcm = workspace.search.posture.kinematics.p_Wcm;
  frame.contact_error_m = answer.violation.contact_m;
  frame.clearance_m = answer.violation.clearance_m;
  // A limb in the air comes after those on holds and is no contact.
  for (std::size_t i = 0; i < places.places.size(); ++i) {
    frame.contacts.push_back(make_contact(scene, problem.limbs[i], places.places[i]));
  }
  // The torque rows of this very posture, for the limits.
  posture::make_statics_problem(problem, answer.posture, workspace.search.posture.kinematics, posture::PointModel::kAll,
                                workspace.limits, workspace.statics);
  add_forces(problem, answer, frame);
  add_torques(problem, answer, workspace, frame);
  frame.residual_N = answer.distribution.residual_N;
  frame.residual_Nm = answer.distribution.residual_Nm;
  const bool is_balanced = answer.effort.status == statics::Status::kSolved;
  frame.effort = is_balanced ? answer.effort.rho : std::numeric_limits<double>::infinity();
  frame.mu_needed_factor = answer.friction.factor;
  if (is_balanced) {
    name_effort_limit(problem, answer, frame);
  } else if (frame.has_posture) {
    name_slip(problem, answer, frame);
  }
  return frame;
}

}  // namespace steepwright::move
