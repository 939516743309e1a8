#pragma once

/// Interior-point method for the small cone programs of a stance, in forces v and one scalar r:
///
///   minimise c r   subject to   A v = b (up to 6 rows)
///                               v_p - g_p r e0            in { v0 >= |(v1, v2)| }     a cone per point
///                               sum_{p in row} a . v_p + q r <= h                     rows of a point or a contact
///                               t . v + q_upper r <= h_upper, -t . v + q_lower r <= h_lower    torque rows
///
/// Homogeneous self-dual embedding with Nesterov-Todd scaling and Mehrotra's corrector (as in ECOS, Domahidi, Chu &
/// Boyd 2013, from memory): it starts from nothing and ends in a solution or in a proof that there is none. The 3 x 3
/// blocks of the points (or, with torque rows, one dense block) are eliminated first, then r and the rows of A.

#include "engine/statics/dense.h"
#include "engine/statics/lorentz_cone.h"
#include "engine/statics/problem.h"

#include <algorithm>
#include <array>

namespace steepwright::statics {

/// a . v on every point from first_point on, n_points of them.
struct ConeRow {
  int first_point = 0;
  int n_points = 0;  ///< 0: a bound on r alone
  std::array<double, 3> a{};
  double q = 0.0, h = 0.0;
};

class ConeProgram {
 public:
  static constexpr int kMaxRows = 640;
  static constexpr int kStride = kMaxForce;

  /// Starts a program: cones on every point, A of six rows (zero), no rows.
  void resize(int n_points, double cost);
  [[nodiscard]] double* equation(int k) { return A_[at(k)].data(); }
  void set_target(int k, double b) { b_[at(k)] = b; }
  void set_cone(int point, double g) { cone_g_[at(point)] = g; }
  /// Points that share rows: consecutive blocks of the elimination. Every point belongs to exactly one.
  void add_block(int first_point, int n_points);
  int add_row(const ConeRow& row);
  /// Two-sided row; fill the returned coefficients (3 n_points). Makes the elimination dense.
  double* add_pair(double q_upper, double h_upper, double q_lower, double h_lower);

  enum class Outcome { kSolved, kInfeasible, kUnbounded, kStalled };
  /// kInfeasible: y() then holds a certificate, y . b < 0 with A^T y in the dual cones.
  /// `value_share` > 0: a solution is good enough once its residuals and gap are below this share of |c r|.
  [[nodiscard]] Outcome solve(double value_share = 0.0);

  [[nodiscard]] double v(int i) const { return x_.v[at(i)]; }
  [[nodiscard]] double r() const { return x_.r; }
  [[nodiscard]] double y(int k) const { return y_out_[at(k)]; }  ///< multiplier of A v = b
  [[nodiscard]] double row_dual(int i) const { return rows_[at(i)].scalar.z; }
  [[nodiscard]] double upper_dual(int j) const { return pairs_[at(j)].upper.z; }
  [[nodiscard]] double lower_dual(int j) const { return pairs_[at(j)].lower.z; }
  [[nodiscard]] int iterations() const { return iterations_; }

 private:
  /// Row coefficients on r and the right-hand side, slack, dual, their steps and the residual of a linear row.
  struct Scalar {
    double q = 0.0, h = 0.0;
    double s = 1.0, z = 1.0, ds = 0.0, dz = 0.0;
    double weight = 1.0;  // W^-2 = z / s
    double rz = 0.0;      // residual s + G x - h tau
    double rhs = 0.0;     // right-hand side of the step
    double Gx1 = 0.0;     // G x1 - h of the constant solution
    double best_z = 0.0;  // of the best iterate
    int hard = -1;        // column of a row that stands beside the equations
    double z1 = 0.0;      // dual in the constant solution
  };
  struct Row {
    int first = 0, n_points = 0;
    Triple a{};
    Scalar scalar;
    std::array<double, kMaxForce> scaled{};  // a W of every point
  };
  struct Pair {
    int first = 0, count = 0;  // unknowns that the row touches
    Scalar upper, lower;
  };
  struct Cone {
    Triple s, z;
    Triple rz;                  // residual s + G x
    Triple w;                   // Nesterov-Todd point, w0^2 - |w1|^2 = 1
    double eta = 1.0;           // W = eta [w0 w1^T; w1 I + w1 w1^T / (1 + w0)]
    std::array<double, 6> W{};  // lower triangle by rows
    // In scaled coordinates, where s and z are the same lambda = W^-1 s = W z:
    Triple lambda, shift, rhs, ds, dz;
    Triple dz_plain;  // dz unscaled
  };
  /// Equations and hard rows (those so close to their limit that 1 / weight is better conditioned than weight).
  static constexpr int kMaxHard = 33;
  static constexpr int kMaxColumns = 6 + kMaxHard + 1;  // and r
  using ColumnVector = std::array<double, kMaxColumns>;
  struct HardRow {
    const double* scaled;
    int first, count;
    double sign, q, softness;  // softness = 1 / weight
  };
  struct Solution {
    alignas(64) std::array<double, kMaxForce> v{};
    double r = 0.0;
    ColumnVector y{};  // equations, then hard rows
  };

  [[nodiscard]] bool reduce_equations();
  void prepare_rows();
  void start();
  void calc_residuals();
  void calc_scaling();
  void scale_rows();
  void scale_row(const double* row, double* scaled) const;
  [[nodiscard]] bool factorise();
  void assemble();
  void factorise_block(int first, int size);
  void project(const double* a, ColumnVector& sum) const;
  void back_substitute(double* a, double right_r, ColumnVector& e, Solution& x) const;
  [[nodiscard]] bool make_hard(Scalar& scalar, const double* scaled, int first, int count, double sign);
  void load_columns();
  void invert_factor();
  void solve_reduced(Solution& x, bool is_refined) const;
  void solve_constant();
  void calc_direction(double damping, double center, bool is_corrector);
  void calc_cone_steps(double damping);
  [[nodiscard]] double find_step() const;
  void take_step(double step);
  struct Progress {
    double error = 1e300, infeasible_error = 1e300, unbounded_error = 1e300;
    double strength = 0.0;  ///< b y + h z
    double value = 0.0;     ///< |c r|
    [[nodiscard]] double least() const { return std::min({error, infeasible_error, unbounded_error}); }
    [[nodiscard]] Outcome outcome() const {
      if (error <= infeasible_error && error <= unbounded_error) return Outcome::kSolved;
      return infeasible_error <= unbounded_error ? Outcome::kInfeasible : Outcome::kUnbounded;
    }
  };
  [[nodiscard]] Progress find_progress() const;
  void keep_best();
  void restore_best();
  void write_back();
  template <typename ProductFunction>
  void visit_products(const Solution& x, ProductFunction&& visit);
  template <typename ScalarFunction>
  void for_each_scalar(ScalarFunction&& visit);
  template <typename ScalarFunction>
  void for_each_scalar(ScalarFunction&& visit) const;

  int n_cones_ = 0, n_v_ = 0, n_rows_ = 0, n_pairs_ = 0, n_blocks_ = 0;
  int m_ = 0;  // independent equations
  int iterations_ = 0;
  double c_ = 0.0;
  std::array<std::array<double, kMaxForce>, 6> A_{};
  std::array<double, 6> b_{};
  std::array<double, kMaxPoints> cone_g_{};
  std::array<std::array<int, 2>, kMaxPoints> blocks_{};  // first unknown, size

  // Independent equations, orthonormal: Q v = qb; the chosen rows of A are T Q, T lower triangular.
  alignas(64) std::array<std::array<double, kMaxForce>, 6> Q_{};
  std::array<double, 6> qb_{}, q_r_{};  // and the coefficients on r
  std::array<int, 6> chosen_{};
  std::array<std::array<double, 6>, 6> T_{};
  std::array<double, 6> y_out_{};

  std::array<Row, kMaxRows> rows_{};
  std::array<Pair, kMaxTorqueRows> pairs_{};
  alignas(64) std::array<double, static_cast<std::size_t>(kMaxTorqueRows* kStride)> pair_rows_{};
  std::array<Cone, kMaxPoints> cones_{};

  Solution x_;  // iterate
  // Step and solution for the constant right-hand side (-c, b, h), their v in scaled coordinates: v = W v_scaled.
  Solution dx_, one_;
  Solution rx_;  // v, r: dual residual; y: primal residual of the equations
  Solution best_x_;
  double best_scale_ = 1.0;
  double tau_ = 1.0, kappa_ = 1.0, dtau_ = 0.0, dkappa_ = 0.0, rt_ = 0.0, mu_ = 1.0;
  double one_slope_ = 0.0;  // c x1 + b y1 + h z1

  // Scaled rows: Q W, torque rows times W. M = I (the cones) + soft rows = L L^T by blocks (upper triangle: L^T);
  // Y = L^-1 [(Q W)^T hard rows^T q], n_columns_ + 1 columns, padded with zeros to width_.
  alignas(64) std::array<std::array<double, kMaxForce>, 6> QW_{};
  alignas(64) std::array<double, static_cast<std::size_t>(kMaxTorqueRows* kStride)> pair_scaled_{};
  std::array<HardRow, kMaxHard> hard_{};
  int n_hard_ = 0, n_columns_ = 0, width_ = 8;
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> M_{};
  alignas(64) std::array<double, kMaxForce> inverse_diagonal_{};
  alignas(64) std::array<ColumnVector, kMaxForce> Y_{};
  alignas(64) std::array<ColumnVector, kMaxColumns> S_{};  // Y^T Y + softness, without r as Cholesky factor
  alignas(64) std::array<double, kMaxForce> q_{};          // column of r
  double w_ = 0.0;                                         // diagonal of r
  double border_ = 0.0;                                    // the same after v, y and the hard rows are eliminated
  alignas(64) std::array<std::array<double, 8>, 6> L_inverse_{};  // of S's factor, when there are no hard rows
  ColumnVector St_{};                                             // S^-1 t, t = coupling of r with the columns
};

/// Calls visit for every linear row: rows first, then upper and lower of every pair.
template <typename ScalarFunction>
void ConeProgram::for_each_scalar(ScalarFunction&& visit) {
  for (int i = 0; i < n_rows_; ++i) visit(rows_[at(i)].scalar);
  for (int j = 0; j < n_pairs_; ++j) {
    visit(pairs_[at(j)].upper);
    visit(pairs_[at(j)].lower);
  }
}

template <typename ScalarFunction>
void ConeProgram::for_each_scalar(ScalarFunction&& visit) const {
  for (int i = 0; i < n_rows_; ++i) visit(rows_[at(i)].scalar);
  for (int j = 0; j < n_pairs_; ++j) {
    visit(pairs_[at(j)].upper);
    visit(pairs_[at(j)].lower);
  }
}

}  // namespace steepwright::statics
