#include "tests/bench/peers_ceres.h"

#include "tests/bench/posture_coordinates.h"

#include <ceres/ceres.h>

#include <array>

namespace steepwright::bench {

namespace {

using body::Posture;

class ContactCost final : public ceres::CostFunction {
 public:
  ContactCost(const posture::StanceProblem& problem, const std::array<Vec3, 4>& targets)
      : problem_(problem), targets_(targets) {
    set_num_residuals(3 * static_cast<int>(problem.limbs.size()));
    mutable_parameter_block_sizes()->push_back(problem.body->tree.n_dof());
  }

  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
    const body::Tree& tree = problem_.body->tree;
    const double* x = parameters[0];
    read_posture(x, tree.n_hinges(), posture_);
    body::update_kinematics(tree, posture_, kinematics_);
    const bool wants_jacobian = jacobians != nullptr && jacobians[0] != nullptr;
    const Mat3 root_rates = wants_jacobian ? find_root_rates(x) : Mat3::Zero();
    worst_m_ = 0.0;
    for (std::size_t i = 0; i < problem_.limbs.size(); ++i) {
      const posture::LimbGoal& goal = problem_.limbs[i];
      const Vec3 p_WC = body::find_position(kinematics_, goal.segment, goal.p_BC);
      const Vec3 error = p_WC - targets_[i];
      worst_m_ = std::max(worst_m_, error.norm());
      Eigen::Map<Vec3>(residuals + 3 * i) = error;
      if (!wants_jacobian) continue;
      body::calc_point_jacobian(tree, kinematics_, goal.segment, p_WC, J_);
      turn_root_columns(root_rates, J_);
      Eigen::Map<Eigen::Matrix<double, 3, Eigen::Dynamic, Eigen::RowMajor>>(
          jacobians[0] + 3 * i * static_cast<std::size_t>(tree.n_dof()), 3, tree.n_dof()) = J_;
    }
    if (wants_jacobian) accepted_worst_m_ = worst_m_;
    return true;
  }

  /// Largest contact error at the last accepted iterate (Ceres asks for derivatives there and only there).
  [[nodiscard]] double accepted_worst_m() const { return accepted_worst_m_; }

 private:
  const posture::StanceProblem& problem_;
  const std::array<Vec3, 4>& targets_;
  mutable Posture posture_;
  mutable body::Kinematics kinematics_;
  mutable body::Jacobian3 J_;
  mutable double worst_m_ = 0.0;
  mutable double accepted_worst_m_ = 1e30;
};

class StopWhenMet final : public ceres::IterationCallback {
 public:
  StopWhenMet(const ContactCost& cost, double tolerance_m) : cost_(cost), tolerance_m_(tolerance_m) {}
  ceres::CallbackReturnType operator()(const ceres::IterationSummary& /*summary*/) override {
    return cost_.accepted_worst_m() < tolerance_m_ ? ceres::SOLVER_TERMINATE_SUCCESSFULLY : ceres::SOLVER_CONTINUE;
  }

 private:
  const ContactCost& cost_;
  double tolerance_m_;
};

}  // namespace

struct CeresContactPeer::Model {
  Model(const posture::StanceProblem& stance_problem, double tolerance_m, CeresSolver solver)
      : stance(stance_problem), x(stance.body->tree.n_dof()) {
    const body::Tree& tree = stance.body->tree;
    auto owned = std::make_unique<ContactCost>(stance, targets);
    ContactCost* cost = owned.get();
    x.setZero();
    problem.AddResidualBlock(owned.release(), nullptr, x.data());
    for (int h = 0; h < tree.n_hinges(); ++h) {
      problem.SetParameterLowerBound(x.data(), 6 + h, tree.hinges[static_cast<std::size_t>(h)].lower);
      problem.SetParameterUpperBound(x.data(), 6 + h, tree.hinges[static_cast<std::size_t>(h)].upper);
    }
    stop = std::make_unique<StopWhenMet>(*cost, tolerance_m);
    options.linear_solver_type = solver == CeresSolver::kQr ? ceres::DENSE_QR : ceres::DENSE_NORMAL_CHOLESKY;
    options.max_num_iterations = 100;
    options.function_tolerance = 1e-12;
    options.gradient_tolerance = 1e-12;
    options.parameter_tolerance = 1e-12;
    options.logging_type = ceres::SILENT;
    options.num_threads = 1;
    options.callbacks = {stop.get()};
  }

  const posture::StanceProblem stance;
  std::array<Vec3, 4> targets;
  Coordinates x;
  ceres::Problem problem;
  ceres::Solver::Options options;
  ceres::Solver::Summary summary;
  std::unique_ptr<StopWhenMet> stop;
};

CeresContactPeer::CeresContactPeer(const posture::StanceProblem& problem, double tolerance_m, CeresSolver solver)
    : model_(std::make_unique<Model>(problem, tolerance_m, solver)) {}
CeresContactPeer::~CeresContactPeer() = default;

void CeresContactPeer::set_targets(const posture::StanceProblem& problem) {
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) model_->targets[i] = problem.limbs[i].p_WC;
}

void CeresContactPeer::set_start(const Posture& posture) { write_coordinates(posture, model_->x.data()); }

void CeresContactPeer::solve() { ceres::Solve(model_->options, &model_->problem, &model_->summary); }

Posture CeresContactPeer::posture() const {
  Posture posture;
  read_posture(model_->x.data(), model_->stance.body->tree.n_hinges(), posture);
  return posture;
}

int CeresContactPeer::iterations() const { return static_cast<int>(model_->summary.iterations.size()) - 1; }

}  // namespace steepwright::bench
