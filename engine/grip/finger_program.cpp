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

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

/// Joints that a force on this bone bends: DIP, PIP, MCP.
constexpr std::array<std::array<bool, 3>, 4> kLoads = {
    {{true, true, true}, {false, true, true}, {false, false, true}, {false, false, false}}};

template <int Rows>
using Row = typename LoadProgram<Rows>::Row;

template <int Rows>
Row<Rows> moment_row(double dip_Nm, double pip_Nm, double mcp_Nm) {
  Row<Rows> row = Row<Rows>::Zero();
  row[0] = kMomentScale * dip_Nm;
  row[1] = kMomentScale * pip_Nm;
  row[2] = kMomentScale * mcp_Nm;
  return row;
}

/// Moments of a force at p about the three joints.
template <int Rows>
Row<Rows> force_row(const Seating& seating, Bone bone, const Vec2& p, const Vec2& force) {
  const auto& loads = kLoads[static_cast<std::size_t>(bone)];
  return moment_row<Rows>(loads[0] ? cross(p - seating.dip, force) : 0.0,
                          loads[1] ? cross(p - seating.pip, force) : 0.0,
                          loads[2] ? cross(p - seating.mcp, force) : 0.0);
}

}  // namespace

template <int Rows>
void FingerProgram<Rows>::build(const Finger& finger, const Seating& seating, const FingerPosture& posture, double mcp,
                                const FingerStrengthLimits& limits, double mu, double fit) {
  program_.clear();
  edges_.clear();
  parts_.clear();
  first_column_.fill(kAbsent);
  mu_ = mu;
  room_ = fit * seating.room;
  for (std::size_t i = 0; i < seating.contacts.size(); ++i) {
    const PadContact& contact = seating.contacts[i];
    const Vec2 tangent(contact.normal.y(), -contact.normal.x());
    start_part(contact.part, room_ * contact.limit_N);
    for (const double side : {1.0, -1.0}) {
      const Vec2 force = contact.normal + side * mu * tangent;
      edges_.push_back({program_.add_column(force_row<Rows>(seating, contact.bone, contact.p, force)), force, i});
    }
  }
  const MomentArms arms = find_moment_arms(finger, {posture.dip, posture.pip, mcp});
  std::size_t muscle = kMaxPadContacts;
  const auto add_single = [&](double limit, const Row<Rows>& row) {
    start_part(muscle++, room_ * limit);
    return program_.add_column(row);
  };
  deep_ = add_single(limits.deep_N, moment_row<Rows>(-arms.deep_dip, -arms.deep_pip, -arms.deep_mcp));
  superficial_ = add_single(limits.superficial_N, moment_row<Rows>(0.0, -arms.superficial_pip, -arms.superficial_mcp));
  passive_ =
      add_single(find_passive_dip_share(posture.dip) * limits.deep_N * arms.deep_dip, moment_row<Rows>(-1.0, 0.0, 0.0));
  const double small_N = limits.deep_N * finger.scale;
  add_single(kSlipShare * kSlipArmDip_m * small_N, moment_row<Rows>(1.0, 0.0, 0.0));
  add_single(kSlipShare * kSlipArmPip_m * small_N, moment_row<Rows>(0.0, 1.0, 0.0));
  add_single(kIntrinsicShare * kIntrinsicArm_m * small_N, moment_row<Rows>(0.0, 0.0, -1.0));
  add_single(kExtensorShare * kExtensorArm_m * small_N, moment_row<Rows>(0.0, 0.0, 1.0));
  const Vec2 press(std::sin(posture.pitch), -std::cos(posture.pitch));
  thumb_ = add_single(limits.thumb_N, force_row<Rows>(seating, Bone::kDistal, seating.nail, press));
}

template <int Rows>
void FingerProgram<Rows>::start_part(std::size_t part, double limit) {
  first_column_[part] = program_.n_columns();
  parts_.push_back(part);
  program_.add_group(limit);
}

template <int Rows>
void FingerProgram<Rows>::set_direction(const Vec2& direction) {
  for (const Edge& edge : edges_) {
    program_.set_gain(edge.column, direction.dot(edge.force));
    if constexpr (Rows == 4) program_.set_entry(edge.column, 3, cross(direction, edge.force));
  }
  if constexpr (Rows == 4) program_.reset_basis();
}

template <int Rows>
double FingerProgram<Rows>::solve_support(const Vec2& direction) {
  set_direction(direction);
  program_.solve();
  return program_.value();
}

template <int Rows>
double FingerProgram<Rows>::solve_along(const Vec2& direction) {
  return solve_support(direction);
}

template <int Rows>
double FingerProgram<Rows>::solve_along(const Vec2& direction, const FingerTies<Rows>& ties) {
  set_direction(direction);
  typename LoadProgram<Rows>::Ties own;
  for (const FingerTie& tie : ties) {
    const std::size_t first = first_column_[tie.part];
    if (first != kAbsent) own.push_back({first + tie.column, first + tie.key});
  }
  program_.solve_from(own);
  return program_.value();
}

template <int Rows>
FingerTies<Rows> FingerProgram<Rows>::ties() const {
  FingerTies<Rows> ties;
  for (const auto& tie : program_.ties()) {
    const std::size_t part = parts_[program_.group_of(tie.column)];
    ties.push_back({part, tie.column - first_column_[part], tie.key - first_column_[part]});
  }
  return ties;
}

template <int Rows>
double FingerProgram<Rows>::find_bound_along(const Vec2& direction, const Row<Rows>& prices) {
  set_direction(direction);
  return program_.find_bound(prices);
}

template <int Rows>
Vec2 FingerProgram<Rows>::force() const {
  Vec2 force = Vec2::Zero();
  for (const Edge& edge : edges_) force += program_.x(edge.column) * edge.force;
  return force;
}

template <int Rows>
FingerLoad FingerProgram<Rows>::load() const {
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
  load.deep_N = program_.x(deep_);
  load.superficial_N = program_.x(superficial_);
  load.passive_dip_Nm = program_.x(passive_);
  load.thumb_N = program_.x(thumb_);
  return load;
}

template class FingerProgram<3>;
template class FingerProgram<4>;

}  // namespace steepwright::grip
