#include "engine/posture/loads.h"
#include "engine/posture/stance.h"

#include <cmath>

namespace steepwright::posture {

namespace {

/// Contacts in one line (two hands on a bar, feet free) resist no moment about it: balance then asks for a centre of
/// mass exactly plumb, which no posture found numerically has. So near, times Body::scale, it counts as plumb: 0.2 mm,
/// 0.15 Nm for 75 kg.
constexpr double kPlumb = 2e-4;
/// Share of the weight by which the forces that tell it may miss the weight, and the penalty that they are found with.
constexpr double kPlumbForce = 1e-3;
constexpr double kPlumbWeight = 1e8;

/// Moves the centre of mass of `statics` by what balance misses, when that is no more than kPlumb. True when it did.
bool set_plumb(double scale, StanceWorkspace& ws) {
  statics::DistributionOptions options;
  options.equilibrium = statics::DistributionOptions::Equilibrium::kSoft;
  options.soft_weight = kPlumbWeight;
  const statics::Distribution least = statics::solve_distribution(ws.statics, options, ws.load.workspace());
  Vec3 force_W = Vec3::Zero();
  Vec3 moment_W = Vec3::Zero();
  for (int p = 0; p < ws.statics.n_points(); ++p) {
    const Vec3 f_C_W = least.forces.segment<3>(3 * p);
    force_W += f_C_W;
    moment_W += (ws.statics.points[static_cast<std::size_t>(p)] - ws.statics.p_Wcm).cross(f_C_W);
  }
  const double weight_N = ws.statics.weight_N;
  if ((force_W - weight_N * Vec3::UnitZ()).norm() > kPlumbForce * weight_N) return false;
  // About the contacts themselves, so that the little force that is missing does not count with its arm to the centre
  // of mass.
  Vec3 p_Wmiddle = Vec3::Zero();
  for (const Vec3& p_WC : ws.statics.points) p_Wmiddle += p_WC / ws.statics.n_points();
  moment_W -= (p_Wmiddle - ws.statics.p_Wcm).cross(force_W - weight_N * Vec3::UnitZ());
  // shift x (m g z) = moment
  const Vec3 shift(-moment_W.y() / weight_N, moment_W.x() / weight_N, 0.0);
  if (shift.norm() > kPlumb * scale || std::abs(moment_W.z()) > kPlumb * scale * weight_N) return false;
  ws.statics.p_Wcm += shift;
  return true;
}

}  // namespace

void solve_answers(const StanceProblem& problem, StanceWorkspace& ws, StanceAnswer& answer, double friction_guess) {
  body::update_kinematics(problem.body->tree, answer.posture, ws.search.posture.kinematics);
  make_statics_problem(problem, answer.posture, ws.search.posture.kinematics, PointModel::kAll, ws.limits, ws.statics);
  answer.effort = statics::solve_effort(ws.statics, ws.effort);
  if (answer.effort.status == statics::Status::kInfeasible && set_plumb(problem.body->scale, ws)) {
    answer.effort = statics::solve_effort(ws.statics, ws.effort);
  }
  statics::FrictionOptions friction;
  friction.start_factor = friction_guess;
  answer.friction = statics::solve_needed_friction(ws.statics, friction, ws.friction);
  statics::DistributionOptions options;
  if (answer.effort.status == statics::Status::kInfeasible) {
    options.equilibrium = statics::DistributionOptions::Equilibrium::kSoft;
    options.soft_weight = 1e7;
  } else {
    // Inside the limits when they can be kept, else overstepping all of them alike and as little as possible.
    options.effort_bound = answer.effort.rho <= 1.0 ? 1.0 : answer.effort.rho * (1.0 + 1e-6);
  }
  answer.distribution = statics::solve_distribution(ws.statics, options, ws.load.workspace());
}

}  // namespace steepwright::posture
