#include "tests/peers/lp/lp_solvers.h"

#include <coin/ClpSimplex.hpp>
#include <coin/CoinPackedMatrix.hpp>
#include <glpk.h>

#include <cmath>

namespace steepwright::tests {

namespace {

class GlpkSolver final : public LpSolver {
 public:
  explicit GlpkSolver(const LinearProgram& lp) : problem_(glp_create_prob()) {
    glp_term_out(GLP_OFF);
    glp_set_obj_dir(problem_, GLP_MIN);
    glp_add_rows(problem_, lp.n_rows);
    glp_add_cols(problem_, lp.n_columns);
    for (int i = 0; i < lp.n_rows; ++i) {
      const double lower = lp.row_lower[static_cast<std::size_t>(i)];
      const double upper = lp.row_upper[static_cast<std::size_t>(i)];
      const int kind =
          lower == upper ? GLP_FX : (std::isfinite(lower) ? (std::isfinite(upper) ? GLP_DB : GLP_LO) : GLP_UP);
      glp_set_row_bnds(problem_, i + 1, kind, lower, upper);
    }
    for (int j = 0; j < lp.n_columns; ++j) {
      const double lower = lp.lower[static_cast<std::size_t>(j)];
      glp_set_col_bnds(problem_, j + 1, std::isfinite(lower) ? GLP_LO : GLP_FR, lower, 0.0);
      glp_set_obj_coef(problem_, j + 1, lp.cost[static_cast<std::size_t>(j)]);
    }
    std::vector<int> rows(1, 0);
    std::vector<int> columns(1, 0);
    std::vector<double> values(1, 0.0);
    for (const auto& entry : lp.entries) {
      rows.push_back(entry.row + 1);
      columns.push_back(entry.column + 1);
      values.push_back(entry.value);
    }
    glp_load_matrix(problem_, static_cast<int>(lp.entries.size()), rows.data(), columns.data(), values.data());
  }
  ~GlpkSolver() override { glp_delete_prob(problem_); }
  GlpkSolver(const GlpkSolver&) = delete;
  GlpkSolver& operator=(const GlpkSolver&) = delete;

  LpAnswer solve() override {
    glp_std_basis(problem_);
    glp_smcp options;
    glp_init_smcp(&options);
    options.msg_lev = GLP_MSG_OFF;
    options.it_lim = 5000;  // GLPK may cycle on the border of feasibility
    const int failure = glp_simplex(problem_, &options);
    const int status = glp_get_status(problem_);
    LpAnswer answer;
    answer.is_solved = failure == 0 && status == GLP_OPT;
    answer.is_infeasible = failure == 0 && (status == GLP_NOFEAS || status == GLP_INFEAS);
    answer.objective = glp_get_obj_val(problem_);
    return answer;
  }

 private:
  glp_prob* problem_;
};

class ClpSolver final : public LpSolver {
 public:
  explicit ClpSolver(const LinearProgram& lp) {
    std::vector<int> rows;
    std::vector<int> columns;
    std::vector<double> values;
    for (const auto& entry : lp.entries) {
      rows.push_back(entry.row);
      columns.push_back(entry.column);
      values.push_back(entry.value);
    }
    CoinPackedMatrix matrix(true, rows.data(), columns.data(), values.data(), static_cast<int>(values.size()));
    matrix.setDimensions(lp.n_rows, lp.n_columns);
    const std::vector<double> upper(static_cast<std::size_t>(lp.n_columns), COIN_DBL_MAX);
    model_.setLogLevel(0);
    model_.loadProblem(matrix, lp.lower.data(), upper.data(), lp.cost.data(), lp.row_lower.data(), lp.row_upper.data());
  }

  LpAnswer solve() override {
    model_.allSlackBasis(true);
    model_.primal();
    LpAnswer answer;
    answer.is_solved = model_.isProvenOptimal();
    answer.is_infeasible = model_.isProvenPrimalInfeasible();
    answer.objective = model_.objectiveValue();
    return answer;
  }

 private:
  ClpSimplex model_;
};

}  // namespace

std::unique_ptr<LpSolver> make_glpk_solver(const LinearProgram& lp) { return std::make_unique<GlpkSolver>(lp); }
std::unique_ptr<LpSolver> make_clp_solver(const LinearProgram& lp) { return std::make_unique<ClpSolver>(lp); }

}  // namespace steepwright::tests
