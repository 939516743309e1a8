#include "engine/grip/finger_program.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::grip {

namespace {

// Small muscles at the joints, as shares of the deep flexor's strength with their arms at the published hand's size
// (all assumed; from the ratio of tension fractions, Brand et al. 1981, from memory).
constexpr double kIntrinsicShare = 0.5;  ///< interossei and lumbrical, bending the knuckle
constexpr double kIntrinsicArm_m = 0.007;
constexpr double kExtensorShare = 0.4;  ///< common extensor, straightening the knuckle
constexpr double kExtensorArm_m = 0.009;
constexpr double kSlipShare = 0.1;  ///< what of the extensors reaches the two end joints
constexpr double kSlipArmPip_m = 0.0025;
constexpr double kSlipArmDip_m = 0.0020;

/// Joints that a force on this bone bends: DIP, PIP, MCP.
constexpr std::array<std::array<bool, 3>, 4> kLoads = {
    {{true, true, true}, {false, true, true}, {false, false, true}, {false, false, false}}};

using Row = LoadProgram::Row;

Row moment_row(double dip_Nm, double pip_Nm, double mcp_Nm) {
  return {kMomentScale * dip_Nm, kMomentScale * pip_Nm, kMomentScale * mcp_Nm, 0.0};
}

/// Moments of a force at p about the three joints.
Row force_row(const Seating& seating, Bone bone, const Vec2& p, const Vec2& force) {
  const auto& loads = kLoads[static_cast<std::size_t>(bone)];
  return moment_row(loads[0] ? cross(p - seating.dip, force) : 0.0, loads[1] ? cross(p - seating.pip, force) : 0.0,
                    loads[2] ? cross(p - seating.mcp, force) : 0.0);
}

}  // namespace

void FingerProgram::build(const Finger& finger, const Seating& seating, const FingerPosture& posture, double mcp,
                          const FingerStrengthLimits& limits, double mu, double fit) {
  program_.clear();
  edges_.clear();
  parts_.clear();
  groups_.fill(kAbsent);
  n_muscles_ = 0;
  mu_ = mu;
  room_ = fit * seating.room;
  for (std::size_t i = 0; i < seating.contacts.size(); ++i) {
    const PadContact& contact = seating.contacts[i];
    const Vec2 tangent(contact.normal.y(), -contact.normal.x());
    start_part(contact.part, room_ * contact.limit_N);
    for (const double side : {1.0, -1.0}) {
      const Vec2 force = contact.normal + side * mu * tangent;
      edges_.push_back({program_.add_column(force_row(seating, contact.bone, contact.p, force)), force, i});
    }
  }
  const MomentArms arms = find_moment_arms(finger, {posture.dip, posture.pip, mcp});
  deep_ = add_muscle(limits.deep_N, moment_row(-arms.deep_dip, -arms.deep_pip, -arms.deep_mcp));
  superficial_ = add_muscle(limits.superficial_N, moment_row(0.0, -arms.superficial_pip, -arms.superficial_mcp));
  passive_ =
      add_muscle(find_passive_dip_share(posture.dip) * limits.deep_N * arms.deep_dip, moment_row(-1.0, 0.0, 0.0));
  const double small_N = limits.deep_N * finger.scale;
  add_muscle(kSlipShare * kSlipArmDip_m * small_N, moment_row(1.0, 0.0, 0.0));
  add_muscle(kSlipShare * kSlipArmPip_m * small_N, moment_row(0.0, 1.0, 0.0));
  add_muscle(kIntrinsicShare * kIntrinsicArm_m * small_N, moment_row(0.0, 0.0, -1.0));
  add_muscle(kExtensorShare * kExtensorArm_m * small_N, moment_row(0.0, 0.0, 1.0));
  const Vec2 press(std::sin(posture.pitch), -std::cos(posture.pitch));
  thumb_ = add_muscle(limits.thumb_N, force_row(seating, Bone::kDistal, seating.nail, press));
}

void FingerProgram::start_part(std::size_t part, double limit) {
  groups_[part] = program_.n_groups();
  parts_.push_back(part);
  program_.add_group(limit);
}

std::size_t FingerProgram::add_muscle(double limit, const Row& row) {
  const std::size_t part = kMaxPadContacts + n_muscles_++;
  if (limit <= 0.0) return kAbsent;
  start_part(part, room_ * limit);
  return program_.add_column(row);
}

void FingerProgram::set_direction(const Vec2& direction) {
  for (const Edge& edge : edges_) {
    program_.set_gain(edge.column, direction.dot(edge.force));
    program_.set_entry(edge.column, 3, cross(direction, edge.force));
  }
  program_.reset_basis();
}

double FingerProgram::solve_along(const Vec2& direction) {
  set_direction(direction);
  program_.solve();
  return program_.value();
}

LoadProgram::Status FingerProgram::solve_along(const Vec2& direction, const FingerTies& ties, double least_N) {
  set_direction(direction);
  LoadProgram::Ties own;
  for (const FingerTie& tie : ties) {
    const std::size_t group = groups_[tie.part];
    if (group != kAbsent) own.push_back({LoadProgram::column(group, tie.column), LoadProgram::column(group, tie.key)});
  }
  return program_.solve_from(own, least_N);
}

FingerTies FingerProgram::ties() const {
  FingerTies ties;
  for (const auto& tie : program_.ties()) {
    ties.push_back(
        {parts_[LoadProgram::group_of(tie.column)], LoadProgram::place_of(tie.column), LoadProgram::place_of(tie.key)});
  }
  return ties;
}

FingerProgram::Support FingerProgram::support(const Vec2& direction) const {
  return {direction - program_.prices()[3] * Vec2(-direction.y(), direction.x()), program_.value()};
}

double FingerProgram::find_bound_along(const Vec2& direction, const Row& prices) {
  set_direction(direction);
  return program_.find_bound(prices);
}

Vec2 FingerProgram::force() const {
  Vec2 force = Vec2::Zero();
  for (const Edge& edge : edges_) force += program_.x(edge.column) * edge.force;
  return force;
}

Vec2 FingerProgram::contact_force(std::size_t contact) const {
  if (program_.is_idle(contact)) return Vec2::Zero();
  const Edge& a = edges_[2 * contact];
  const Edge& b = edges_[2 * contact + 1];
  return program_.x(a.column) * a.force + program_.x(b.column) * b.force;
}

FingerLoad FingerProgram::load() const {
  FingerLoad load;
  load.force = force();
  std::array<double, kMaxPadContacts> normal_N{};
  std::array<double, kMaxPadContacts> tangent_N{};
  for (std::size_t i = 0; i < edges_.size(); ++i) {
    const Edge& edge = edges_[i];
    const double x = program_.x(edge.column);
    normal_N[edge.contact] += x;
    tangent_N[edge.contact] += i % 2 == 0 ? x : -x;
  }
  for (std::size_t i = 0; i < kMaxPadContacts; ++i) {
    if (normal_N[i] > 1e-9) load.friction_used = std::max(load.friction_used, std::abs(tangent_N[i]) / normal_N[i]);
  }
  load.deep_N = tension(deep_);
  load.superficial_N = tension(superficial_);
  load.passive_dip_Nm = tension(passive_);
  load.thumb_N = tension(thumb_);
  return load;
}

}  // namespace steepwright::grip
