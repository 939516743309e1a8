#include "tests/bench/peers_ipopt.h"

#include "engine/core/constants.h"
#include "engine/core/units.h"
#include "tests/bench/posture_coordinates.h"

#include <IpIpoptApplication.hpp>
#include <IpSolveStatistics.hpp>
#include <IpTNLP.hpp>

#include <array>
#include <vector>

namespace steepwright::bench {

namespace {

using body::Posture;
using Ipopt::Index;
using Ipopt::Number;

constexpr int kLimbCount = 4;
constexpr int kForces = 3 * kLimbCount;
constexpr int kContactRows = 12;
constexpr int kBalanceRows = 6;
constexpr int kFaces = IpoptMarginPeer::kFaces;
constexpr double kInfinity = 2e19;

struct Entry {
  Index row, column;
};

class MarginProgram final : public Ipopt::TNLP {
 public:
  MarginProgram(const posture::StanceProblem& problem, const body::DofVector& rest, double weight)
      : problem_(problem), rest_(rest), weight_(weight), n_x_(problem.body->tree.n_dof()) {
    x_.setZero(n());
    make_structure();
  }

  void set_problem(const posture::StanceProblem& problem, const Posture& start) {
    problem_ = problem;
    x_.setZero(n());
    write_coordinates(start, x_.data());
    for (int i = 0; i < kLimbCount; ++i) x_[n_x_ + 3 * i + 2] = 1.0 / kLimbCount;
    const double force_unit = problem.body->tree.mass_kg * kGravity;
    for (std::size_t i = 0; i < kLimbCount; ++i) {
      const CapacitySet& set = problem_.limbs[i].capacity;
      caps_[i] = set.bounds[0].b_N / force_unit;
      const Vec3 t1 = set.normal.unitOrthogonal();
      const Vec3 t2 = set.normal.cross(t1);
      const double mu = set.mu * std::cos(kPi / kFaces);
      for (std::size_t k = 0; k < kFaces; ++k) {
        const double angle = 2.0 * kPi * static_cast<double>(k) / kFaces;
        faces_[i][k] = mu * set.normal - std::cos(angle) * t1 - std::sin(angle) * t2;
      }
    }
  }

  [[nodiscard]] const Coordinates& x() const { return x_; }
  [[nodiscard]] int n() const { return n_x_ + kForces + 1; }
  [[nodiscard]] static int m() { return kContactRows + kBalanceRows + kLimbCount * (kFaces + 1); }

  bool get_nlp_info(Index& n_out, Index& m_out, Index& nnz_jac, Index& nnz_hessian, IndexStyleEnum& style) override {
    n_out = n();
    m_out = m();
    nnz_jac = static_cast<Index>(entries_.size());
    nnz_hessian = 0;
    style = C_STYLE;
    return true;
  }

  bool get_bounds_info(Index n_in, Number* x_l, Number* x_u, Index m_in, Number* g_l, Number* g_u) override {
    std::fill(x_l, x_l + n_in, -kInfinity);
    std::fill(x_u, x_u + n_in, kInfinity);
    const body::Tree& tree = problem_.body->tree;
    for (int h = 0; h < tree.n_hinges(); ++h) {
      x_l[6 + h] = tree.hinges[static_cast<std::size_t>(h)].lower;
      x_u[6 + h] = tree.hinges[static_cast<std::size_t>(h)].upper;
    }
    std::fill(g_l, g_l + m_in, 0.0);
    std::fill(g_u, g_u + m_in, 0.0);
    int row = kContactRows + kBalanceRows;
    for (std::size_t i = 0; i < kLimbCount; ++i) {
      for (int k = 0; k < kFaces; ++k) g_u[row++] = kInfinity;
      g_l[row] = -kInfinity;
      g_u[row++] = caps_[i];
    }
    return true;
  }

  bool get_starting_point(Index n_in, bool /*init_x*/, Number* x, bool /*init_z*/, Number* /*z_L*/, Number* /*z_U*/,
                          Index /*m*/, bool /*init_lambda*/, Number* /*lambda*/) override {
    std::copy(x_.data(), x_.data() + n_in, x);
    return true;
  }

  bool eval_f(Index n_in, const Number* x, bool /*is_new*/, Number& value) override {
    const Eigen::Map<const Eigen::VectorXd> angles(x + 6, rest_.size());
    value = weight_ * (angles - rest_).squaredNorm() - x[n_in - 1];
    return true;
  }

  bool eval_grad_f(Index n_in, const Number* x, bool /*is_new*/, Number* gradient) override {
    std::fill(gradient, gradient + n_in, 0.0);
    for (int h = 0; h < rest_.size(); ++h) gradient[6 + h] = 2.0 * weight_ * (x[6 + h] - rest_[h]);
    gradient[n_in - 1] = -1.0;
    return true;
  }

  bool eval_g(Index n_in, const Number* x, bool is_new, Index /*m*/, Number* g) override {
    update(x, is_new);
    const Eigen::Map<const Eigen::VectorXd> f(x + n_x_, kForces);
    Eigen::Map<Vec3> force(g + kContactRows);
    Eigen::Map<Vec3> moment(g + kContactRows + 3);
    force = -Vec3::UnitZ();
    moment = -kinematics_.p_Wcm.cross(Vec3::UnitZ());
    int row = kContactRows + kBalanceRows;
    for (std::size_t i = 0; i < kLimbCount; ++i) {
      const posture::LimbGoal& goal = problem_.limbs[i];
      const Vec3 f_C_W = f.segment<3>(3 * static_cast<Eigen::Index>(i));
      Eigen::Map<Vec3>(g + 3 * i) = body::find_position(kinematics_, goal.segment, goal.p_BC) - goal.p_WC;
      force += f_C_W;
      moment += goal.p_WC.cross(f_C_W);
      for (const Vec3& face : faces_[i]) g[row++] = face.dot(f_C_W) - x[n_in - 1];
      g[row++] = goal.capacity.normal.dot(f_C_W);
    }
    return true;
  }

  bool eval_jac_g(Index n_in, const Number* x, bool is_new, Index /*m*/, Index nnz, Index* rows, Index* columns,
                  Number* values) override {
    if (values == nullptr) {
      for (std::size_t e = 0; e < entries_.size(); ++e) {
        rows[e] = entries_[e].row;
        columns[e] = entries_[e].column;
      }
      return true;
    }
    update(x, is_new);
    fill_jacobian(x, n_in);
    for (std::size_t e = 0; e < static_cast<std::size_t>(nnz); ++e) {
      values[e] = jacobian_(entries_[e].row, entries_[e].column);
    }
    return true;
  }

  void finalize_solution(Ipopt::SolverReturn /*status*/, Index n_in, const Number* x, const Number* /*z_L*/,
                         const Number* /*z_U*/, Index /*m*/, const Number* /*g*/, const Number* /*lambda*/,
                         Number /*value*/, const Ipopt::IpoptData* /*data*/,
                         Ipopt::IpoptCalculatedQuantities* /*quantities*/) override {
    x_ = Eigen::Map<const Eigen::VectorXd>(x, n_in);
  }

 private:
  /// Entries that can differ from zero.
  void make_structure() {
    const body::Tree& tree = problem_.body->tree;
    const auto add = [&](int row, int column) { entries_.push_back({row, column}); };
    for (int i = 0; i < kLimbCount; ++i) {
      for (int k = 0; k < 3; ++k) {
        const int row = 3 * i + k;
        add(row, k);
        for (int c = 3; c < 6; ++c) add(row, c);
        for (int s = problem_.limbs[static_cast<std::size_t>(i)].segment; s > 0;
             s = tree.segments[static_cast<std::size_t>(s)].parent) {
          const body::Segment& node = tree.segments[static_cast<std::size_t>(s)];
          for (int h = node.first_hinge; h < node.first_hinge + node.n_hinges; ++h) add(row, 6 + h);
        }
      }
    }
    for (int k = 0; k < 3; ++k) {
      for (int i = 0; i < kLimbCount; ++i) add(kContactRows + k, n_x_ + 3 * i + k);
    }
    for (int k = 0; k < 3; ++k) {
      const int row = kContactRows + 3 + k;
      for (int i = 0; i < kLimbCount; ++i) {
        for (int c = 0; c < 3; ++c) {
          if (c != k) add(row, n_x_ + 3 * i + c);
        }
      }
      if (k == 2) continue;
      add(row, k == 0 ? 1 : 0);  // moment about x feels c_y only, about y c_x only
      for (int c = 3; c < n_x_; ++c) add(row, c);
    }
    int row = kContactRows + kBalanceRows;
    for (int i = 0; i < kLimbCount; ++i) {
      for (int k = 0; k <= kFaces; ++k, ++row) {
        for (int c = 0; c < 3; ++c) add(row, n_x_ + 3 * i + c);
        if (k < kFaces) add(row, n() - 1);
      }
    }
    jacobian_.setZero(m(), n());
  }

  void update(const Number* x, bool is_new) {
    if (!is_new && is_updated_) return;
    read_posture(x, problem_.body->tree.n_hinges(), posture_);
    body::update_kinematics(problem_.body->tree, posture_, kinematics_);
    is_updated_ = true;
  }

  void fill_jacobian(const Number* x, int n_in) {
    const body::Tree& tree = problem_.body->tree;
    const Mat3 root_rates = find_root_rates(x);
    int row = kContactRows + kBalanceRows;
    for (int i = 0; i < kLimbCount; ++i) {
      const posture::LimbGoal& goal = problem_.limbs[static_cast<std::size_t>(i)];
      const Vec3 p_WC = body::find_position(kinematics_, goal.segment, goal.p_BC);
      body::calc_point_jacobian(tree, kinematics_, goal.segment, p_WC, J_);
      turn_root_columns(root_rates, J_);
      jacobian_.block(3 * i, 0, 3, n_x_) = J_;
      jacobian_.block<3, 3>(kContactRows, n_x_ + 3 * i).setIdentity();
      jacobian_.block<3, 3>(kContactRows + 3, n_x_ + 3 * i) = skew(goal.p_WC);
      for (const Vec3& face : faces_[static_cast<std::size_t>(i)]) {
        jacobian_.block<1, 3>(row, n_x_ + 3 * i) = face.transpose();
        jacobian_(row++, n_in - 1) = -1.0;
      }
      jacobian_.block<1, 3>(row++, n_x_ + 3 * i) = goal.capacity.normal.transpose();
    }
    body::calc_com_jacobian(tree, kinematics_, J_);
    turn_root_columns(root_rates, J_);
    jacobian_.block(kContactRows + 3, 0, 3, n_x_) = skew(Vec3::UnitZ()) * J_;  // -d(c x z) = z x dc
  }

  posture::StanceProblem problem_;
  const body::DofVector rest_;
  const double weight_;
  const int n_x_;
  Coordinates x_;
  std::array<double, kLimbCount> caps_{};
  std::array<std::array<Vec3, kFaces>, kLimbCount> faces_;
  std::vector<Entry> entries_;
  Eigen::MatrixXd jacobian_;
  Posture posture_;
  body::Kinematics kinematics_;
  body::Jacobian3 J_;
  bool is_updated_ = false;
};

}  // namespace

struct IpoptMarginPeer::Model {
  int n_hinges = 0;
  Ipopt::SmartPtr<MarginProgram> program;
  Ipopt::SmartPtr<Ipopt::IpoptApplication> application;
};

IpoptMarginPeer::IpoptMarginPeer(const posture::StanceProblem& problem, const body::DofVector& rest, double weight)
    : model_(std::make_unique<Model>()) {
  model_->n_hinges = problem.body->tree.n_hinges();
  model_->program = new MarginProgram(problem, rest, weight);
  model_->application = IpoptApplicationFactory();
  const auto options = model_->application->Options();
  options->SetStringValue("hessian_approximation", "limited-memory");
  options->SetIntegerValue("print_level", 0);
  options->SetStringValue("sb", "yes");
  options->SetIntegerValue("max_iter", 500);
  options->SetNumericValue("tol", 1e-6);
  model_->application->Initialize();
}
IpoptMarginPeer::~IpoptMarginPeer() = default;

void IpoptMarginPeer::set_problem(const posture::StanceProblem& problem, const Posture& start) {
  model_->program->set_problem(problem, start);
}

bool IpoptMarginPeer::solve() {
  const Ipopt::ApplicationReturnStatus status = model_->application->OptimizeTNLP(model_->program);
  return status == Ipopt::Solve_Succeeded || status == Ipopt::Solved_To_Acceptable_Level;
}

Posture IpoptMarginPeer::posture() const {
  Posture posture;
  read_posture(model_->program->x().data(), model_->n_hinges, posture);
  return posture;
}

int IpoptMarginPeer::iterations() const { return model_->application->Statistics()->IterationCount(); }

}  // namespace steepwright::bench
