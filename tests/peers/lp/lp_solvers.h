#pragma once

/// GLPK and Clp behind one plain interface. Test and benchmark only: the engine never links them.

#include "tests/peers/lp/linear_programs.h"

#include <memory>

namespace steepwright::tests {

struct LpAnswer {
  bool is_solved = false;      ///< an optimum was found
  bool is_infeasible = false;  ///< the solver says that there is none
  double objective = 0.0;
};

/// A program loaded into a solver; solve() starts from the slack basis every time.
class LpSolver {
 public:
  virtual ~LpSolver() = default;
  virtual LpAnswer solve() = 0;
};

[[nodiscard]] std::unique_ptr<LpSolver> make_glpk_solver(const LinearProgram& lp);  ///< primal simplex, presolve off
[[nodiscard]] std::unique_ptr<LpSolver> make_clp_solver(const LinearProgram& lp);   ///< primal simplex

}  // namespace steepwright::tests
