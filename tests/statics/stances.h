#pragma once

/// Stances drawn at random and by hand, shared by the tests and benchmarks of statics. Definitions S4 and S4q: four
/// contacts on an overhanging wall with tilted supports, forces in body weights (weight 1 N), moments about the centre
/// of mass. Full problems: eight points on four limbs, 38 torque rows, capacity bounds.

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/statics/problem.h"

#include <Eigen/Dense>

namespace steepwright::tests {

using statics::Contact;
using statics::StaticsProblem;

inline void add_contact(StaticsProblem& problem, const Vec3& p_WC, const Vec3& normal, double mu) {
  Contact contact;
  contact.capacity.normal = normal.normalized();
  contact.capacity.mu = mu;
  contact.scale_N = problem.weight_N > 0.0 ? problem.weight_N : 1.0;
  contact.first_point = problem.n_points();
  contact.n_points = 1;
  problem.contacts.push_back(contact);
  problem.points.push_back(p_WC);
}

/// Adds the bound normal . f <= limit to the last contact.
inline void add_normal_cap(StaticsProblem& problem, double limit_N) {
  auto& capacity = problem.contacts.back().capacity;
  capacity.bounds.push_back({capacity.normal, limit_N});
}

/// Bound on |f| from all sides: 14 half-spaces (cube and octahedron).
inline void add_ball_bounds(StaticsProblem& problem, double limit_N) {
  auto& bounds = problem.contacts.back().capacity.bounds;
  for (int axis = 0; axis < 3; ++axis)
    for (const double sign : {-1.0, 1.0}) {
      Vec3 a = Vec3::Zero();
      a[axis] = sign;
      bounds.push_back({a, limit_N});
    }
  for (const double x : {-1.0, 1.0})
    for (const double y : {-1.0, 1.0})
      for (const double z : {-1.0, 1.0}) bounds.push_back({Vec3(x, y, z).normalized(), limit_N});
}

/// One instance of S4, weight 1 N, caps in body weights of a 70 kg body (450 N hands, 900 N feet), mu .6 and .7.
/// Feasible about 5 times in 6.
inline StaticsProblem make_s4(RandomStream& random) {
  StaticsProblem problem;
  problem.weight_N = 1.0;
  const double angle = rad_from_deg(30.0 * random.uniform());
  // W: x right, y into the wall, z up; the wall leans over the climber by `angle`.
  const Vec3 up(0.0, -std::sin(angle), std::cos(angle));
  const Vec3 out(0.0, -std::cos(angle), -std::sin(angle));
  const auto point = [&](double x, double h, double off) { return Vec3(h * up + off * out + Vec3(x, 0.0, 0.0)); };
  constexpr double kPlaces[4][2] = {{-0.30, 1.90}, {0.25, 2.05}, {-0.25, 0.50}, {0.30, 0.75}};
  constexpr double kWeight70 = 70.0 * 9.81;
  for (int i = 0; i < 4; ++i) {
    const bool is_hand = i < 2;
    const double x = kPlaces[i][0] + random.symmetric(0.10);
    const double h = kPlaces[i][1] + random.symmetric(0.10);
    const double tilt = rad_from_deg((is_hand ? -25.0 : 30.0) + random.symmetric(10.0));
    const double side = rad_from_deg(random.symmetric(10.0));
    const Vec3 normal = std::cos(tilt) * up + std::sin(tilt) * out + Vec3(std::sin(side), 0.0, 0.0);
    add_contact(problem, point(x, h, 0.0), normal, is_hand ? 0.6 : 0.7);
    const double cap = (is_hand ? 450.0 : 900.0) / kWeight70;
    add_normal_cap(problem, cap);
    problem.contacts.back().scale_N = cap;
  }
  const double x = random.symmetric(0.08);
  const double h = 1.15 + random.symmetric(0.08);
  problem.p_Wcm = point(x, h, 0.30 + random.symmetric(0.08));
  return problem;
}

inline Vec3 draw_vector(RandomStream& random, double range) {
  const double x = random.symmetric(range);
  const double y = random.symmetric(range);
  const double z = random.symmetric(range);
  return {x, y, z};
}

/// A whole body on S4's wall: 700 N, two points a limb, bounds on every limb, 38 torque rows. The torque map is dense
/// with lever arms of a body; offsets and limits in its range.
inline StaticsProblem make_full(RandomStream& random) {
  const StaticsProblem base = make_s4(random);
  StaticsProblem problem;
  problem.weight_N = 700.0;
  problem.p_Wcm = base.p_Wcm;
  for (std::size_t c = 0; c < 4; ++c) {
    Contact contact = base.contacts[c];
    const double limit = c < 2 ? 450.0 : 900.0;
    contact.capacity.bounds.clear();
    contact.scale_N = limit;
    contact.first_point = problem.n_points();
    contact.n_points = 2;
    problem.contacts.push_back(contact);
    problem.contacts.back().capacity.bounds.push_back({contact.capacity.normal, limit});
    const Vec3 along = contact.capacity.normal.unitOrthogonal();
    problem.contacts.back().capacity.bounds.push_back({along, 0.5 * limit});
    problem.contacts.back().capacity.bounds.push_back({-along, 0.5 * limit});
    problem.points.push_back(base.points[c] - 0.015 * along);
    problem.points.push_back(base.points[c] + 0.015 * along);
  }
  const int rows = 38;
  problem.n_torque_rows = rows;
  problem.torque_offset.resize(rows);
  problem.torque_map.setZero(rows, problem.n_force());
  problem.active_lower.resize(rows);
  problem.active_upper.resize(rows);
  problem.passive_lower.setZero(rows);
  problem.passive_upper.setZero(rows);
  for (int j = 0; j < rows; ++j) {
    // Eight rows of the trunk carry all limbs, the others one limb each. Axis and centre: tau = axis . sum (p - o) x f.
    const int limb = j < 8 ? -1 : (j - 8) % 4;
    const Vec3 axis = draw_vector(random, 1.0).normalized();
    const Vec3 center =
        limb < 0 ? Vec3(base.p_Wcm + draw_vector(random, 0.3))
                 : Vec3(base.points[static_cast<std::size_t>(limb)] +
                        random.uniform(0.05, 0.6) * (base.p_Wcm - base.points[static_cast<std::size_t>(limb)]) +
                        draw_vector(random, 0.1));
    for (int p = 0; p < problem.n_points(); ++p) {
      if (limb >= 0 && p / 2 != limb) continue;
      if (limb < 0 && p / 4 == j % 2) continue;
      const Vec3 arm = problem.points[static_cast<std::size_t>(p)] - center;
      problem.torque_map.block<1, 3>(j, 3 * p) = -(axis.cross(arm)).transpose();
    }
    problem.torque_offset[j] = random.symmetric(20.0);
    problem.active_lower[j] = random.uniform(40.0, 150.0);
    problem.active_upper[j] = random.uniform(40.0, 150.0);
    if (j % 5 == 0) problem.passive_upper[j] = random.uniform(0.0, 60.0);
  }
  return problem;
}

}  // namespace steepwright::tests
