#include "tests/peers/lp/linear_programs.h"

#include "engine/core/units.h"
#include "engine/statics/stance_program.h"

#include <array>
#include <cmath>
#include <limits>

namespace steepwright::tests {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kLargestForce = 1000.0;

void add_equilibrium_rows(LinearProgram& lp) {
  for (int k = 0; k < 6; ++k) add_row(lp, k == 2 ? 1.0 : 0.0, k == 2 ? 1.0 : 0.0);
}

void add_force(LinearProgram& lp, int column, const Vec3& arm, const Vec3& force) {
  const Vec3 moment = arm.cross(force);
  for (int k = 0; k < 3; ++k) {
    if (force[k] != 0.0) lp.entries.push_back({k, column, force[k]});
    if (moment[k] != 0.0) lp.entries.push_back({k + 3, column, moment[k]});
  }
}

/// Direction i of n around the cone: edges from t1, faces halfway between.
Vec3 find_tangent(const statics::ContactAxes& axes, double i, int n) {
  const double angle = 2.0 * kPi * i / n;
  return std::cos(angle) * axes.t1 + std::sin(angle) * axes.t2;
}

template <typename PointFunction>
void visit_points(const statics::StaticsProblem& problem, PointFunction&& visit) {
  for (const statics::Contact& contact : problem.contacts) {
    const statics::ContactAxes axes = statics::find_contact_axes(contact.capacity.normal);
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      visit(contact, axes, p, Vec3(problem.points[static_cast<std::size_t>(p)] - problem.p_Wcm));
  }
}

/// Force columns (free) in W, three a point, and the faces of the cones.
void add_points_and_faces(LinearProgram& lp, const statics::StaticsProblem& problem, int faces, Pyramid pyramid) {
  visit_points(problem, [&](const auto&, const auto&, int, const Vec3& arm) {
    for (int k = 0; k < 3; ++k) add_force(lp, add_column(lp, 0.0, -kInfinity), arm, Vec3::Unit(k));
  });
  const double size = pyramid == Pyramid::kInside ? 1.0 / std::cos(kPi / faces) : 1.0;
  visit_points(problem, [&](const auto& contact, const auto& axes, int p, const Vec3&) {
    for (int i = 0; i < faces; ++i) {
      const Vec3 a = size * find_tangent(axes, i + 0.5, faces) - contact.capacity.mu * axes.n;
      const int row = add_row(lp, -kInfinity, 0.0);
      for (int k = 0; k < 3; ++k) lp.entries.push_back({row, 3 * p + k, a[k]});
    }
  });
}

}  // namespace

int add_row(LinearProgram& lp, double lower, double upper) {
  lp.row_lower.push_back(lower);
  lp.row_upper.push_back(upper);
  return lp.n_rows++;
}

int add_column(LinearProgram& lp, double cost, double lower) {
  lp.cost.push_back(cost);
  lp.lower.push_back(lower);
  return lp.n_columns++;
}

LinearProgram make_equilibrium_program(const statics::StaticsProblem& problem, int edges, double factor) {
  LinearProgram lp;
  add_equilibrium_rows(lp);
  visit_points(problem, [&](const auto& contact, const auto& axes, int, const Vec3& arm) {
    const int cap = add_row(lp, -kInfinity, kLargestForce);
    for (int j = 0; j < edges; ++j) {
      const int column = add_column(lp, 0.0, 0.0);
      add_force(lp, column, arm, axes.n + factor * contact.capacity.mu * find_tangent(axes, j, edges));
      lp.entries.push_back({cap, column, 1.0});
    }
  });
  return lp;
}

LinearProgram make_generator_margin_program(const statics::StaticsProblem& problem, int edges) {
  LinearProgram lp;
  add_equilibrium_rows(lp);
  std::vector<Vec3> of_s(problem.points.size(), Vec3::Zero());
  std::vector<std::array<int, 2>> columns;
  visit_points(problem, [&](const auto& contact, const auto& axes, int p, const Vec3& arm) {
    columns.push_back({lp.n_columns, lp.n_columns + edges});
    for (int j = 0; j < edges; ++j) {
      const Vec3 e = axes.n + contact.capacity.mu * find_tangent(axes, j, edges);
      add_force(lp, add_column(lp, 0.0, 0.0), arm, e);
      of_s[static_cast<std::size_t>(p)] += e;
    }
  });
  const int s = add_column(lp, -1.0, -kInfinity);
  Vec3 force = Vec3::Zero();
  Vec3 moment = Vec3::Zero();
  visit_points(problem, [&](const auto&, const auto&, int p, const Vec3& arm) {
    force += of_s[static_cast<std::size_t>(p)];
    moment += arm.cross(of_s[static_cast<std::size_t>(p)]);
  });
  for (int k = 0; k < 3; ++k) {
    lp.entries.push_back({k, s, force[k]});
    lp.entries.push_back({k + 3, s, moment[k]});
  }
  for (const statics::Contact& contact : problem.contacts) {
    const statics::ContactAxes axes = statics::find_contact_axes(contact.capacity.normal);
    for (const HalfSpace& bound : contact.capacity.bounds) {
      const int row = add_row(lp, -kInfinity, bound.b_N / problem.weight_N);
      double by_s = 0.0;
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
        for (int j = 0; j < edges; ++j) {
          const Vec3 e = axes.n + contact.capacity.mu * find_tangent(axes, j, edges);
          lp.entries.push_back({row, columns[static_cast<std::size_t>(p)][0] + j, bound.a.dot(e)});
        }
        by_s += bound.a.dot(of_s[static_cast<std::size_t>(p)]);
      }
      lp.entries.push_back({row, s, by_s});
    }
  }
  return lp;
}

LinearProgram make_face_margin_program(const statics::StaticsProblem& problem, int faces, Pyramid pyramid) {
  LinearProgram lp;
  add_equilibrium_rows(lp);
  add_points_and_faces(lp, problem, faces, pyramid);
  const int s = add_column(lp, -1.0, -kInfinity);
  for (int row = 6; row < lp.n_rows; ++row) lp.entries.push_back({row, s, 1.0});
  for (const statics::Contact& contact : problem.contacts)
    for (const HalfSpace& bound : contact.capacity.bounds) {
      const int row = add_row(lp, -kInfinity, bound.b_N / problem.weight_N);
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        for (int k = 0; k < 3; ++k) lp.entries.push_back({row, 3 * p + k, bound.a[k]});
    }
  return lp;
}

LinearProgram make_effort_program(const statics::StaticsProblem& problem, int faces, Pyramid pyramid) {
  LinearProgram lp;
  add_equilibrium_rows(lp);
  add_points_and_faces(lp, problem, faces, pyramid);
  const int rho = add_column(lp, 1.0, 0.0);
  for (const statics::Contact& contact : problem.contacts)
    for (const HalfSpace& bound : contact.capacity.bounds) {
      const int row = add_row(lp, -kInfinity, 0.0);
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        for (int k = 0; k < 3; ++k) lp.entries.push_back({row, 3 * p + k, bound.a[k]});
      lp.entries.push_back({row, rho, -bound.b_N / problem.weight_N});
    }
  for (int j = 0; j < problem.n_torque_rows; ++j) {
    for (const double sign : {1.0, -1.0}) {
      const double active = sign > 0.0 ? problem.active_upper[j] : problem.active_lower[j];
      const double passive = sign > 0.0 ? problem.passive_upper[j] : problem.passive_lower[j];
      const int row = add_row(lp, -kInfinity, passive - sign * problem.torque_offset[j]);
      for (int i = 0; i < problem.n_force(); ++i)
        if (problem.torque_map(j, i) != 0.0)
          lp.entries.push_back({row, i, sign * problem.weight_N * problem.torque_map(j, i)});
      lp.entries.push_back({row, rho, -active});
    }
  }
  return lp;
}

}  // namespace steepwright::tests
