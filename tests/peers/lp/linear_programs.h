#pragma once

/// Stances as linear programs for outside solvers: cones by pyramids. Written from the definitions, without the
/// engine's solvers; forces in body weights, moments about the centre of mass.

#include "engine/statics/problem.h"

#include <vector>

namespace steepwright::tests {

/// minimise cost . x, row_lower <= A x <= row_upper, x >= lower (upper: infinite).
struct LinearProgram {
  struct Entry {
    int row, column;
    double value;
  };
  int n_rows = 0, n_columns = 0;
  std::vector<double> cost, lower, row_lower, row_upper;
  std::vector<Entry> entries;
};

/// Adds an empty row or column; returns its index.
int add_row(LinearProgram& lp, double lower, double upper);
int add_column(LinearProgram& lp, double cost, double lower);

enum class Pyramid { kInside, kAround };

/// Feasibility of equilibrium with `edges` cone edges a point (first edge along t1), friction times `factor`, normal
/// forces up to 1,000 body weights.
[[nodiscard]] LinearProgram make_equilibrium_program(const statics::StaticsProblem& problem, int edges, double factor);

/// Maximise s (minimise -s, the last column): f_i = sum_j (x_ij + s) e_ij, bounds at rho = 1. 10 rows and 33 columns
/// for four contacts with one bound and 8 edges.
[[nodiscard]] LinearProgram make_generator_margin_program(const statics::StaticsProblem& problem, int edges);

/// Maximise s (minimise -s, the last column) with `faces` half-spaces for |f_t| <= mu f_n - s.
[[nodiscard]] LinearProgram make_face_margin_program(const statics::StaticsProblem& problem, int faces,
                                                     Pyramid pyramid);

/// Minimise rho (the last column): cones by `faces` half-spaces, bounds and torque limits scaled by rho.
[[nodiscard]] LinearProgram make_effort_program(const statics::StaticsProblem& problem, int faces, Pyramid pyramid);

}  // namespace steepwright::tests
