#pragma once

/// One frame of a move, ready to be asked in many disturbed worlds whether any forces hold the body. Private to
/// risk.cpp.
///
/// In the axes that tilt with each contact, forces u keep their cones and capacities; a world changes the rows of
/// equilibrium and torque, mu and the limits. Forces with room on all sides, brought to the balance of the world, prove
/// "held" where they pass all limits. The multipliers of the least effort, corrected by a system that was factored
/// once, prove "fails" where their bound on the effort is above 1. Where neither does, the nearest forces within all
/// limits are looked for: they are found, or the limits contradict each other. The first worlds to fail so are solved
/// for their effort, and the solution is kept: its multipliers tell of worlds like that one. So a frame's questions
/// come in the order of the draws' numbers, from one thread.

#include "engine/body/body.h"
#include "engine/move/result.h"
#include "engine/move/risk_draw.h"
#include "engine/posture/loads.h"
#include "engine/statics/effort.h"
#include "engine/statics/friction.h"
#include "engine/statics/margin.h"
#include "engine/statics/nearest_point.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

/// Passes of a correction: the rows of a world differ by some per cent from those it is made with.
inline constexpr int kRiskCorrections = 4;
/// An effort to first order below this is hardly ever above 1.
inline constexpr double kRiskDoubtful = 0.9;
/// By which a bound on the effort must pass 1 (StanceAnswer::kEffortTolerance).
inline constexpr double kRiskProof = 1e-6;

/// Storage of one thread.
struct RiskWorkspace {
  statics::EffortWorkspace effort;
  statics::MarginWorkspace margin;
  statics::FrictionWorkspace friction;
  statics::NearestPoint nearest;
  statics::StaticsProblem problem;
  long exact_solves = 0;
};

class RiskFrame {
 public:
  /// `places`: of the frame's contacts (find_risk_places).
  RiskFrame(const body::Body& body, const Frame& frame, const std::vector<int>& places, RiskWorkspace& workspace);

  struct Answer {
    bool is_held = false;
    double effort = 0.0;                      ///< to first order, exact where it was solved; infinite: no balance
    std::array<double, 4> slip_margin{};      ///< of loaded contacts, by limb
    std::array<double, 2> slip_off_margin{};  ///< of loaded hands
  };
  [[nodiscard]] Answer ask(const RiskDraw& draw, RiskWorkspace& workspace);
  /// The exact effort in that world; without postures of its own, as everything here.
  [[nodiscard]] statics::Effort solve(const RiskDraw& draw, RiskWorkspace& workspace) const {
    return solve(make_world(draw), /*takes_all_rows=*/true, workspace);
  }

  /// Limbs whose contacts are loaded.
  [[nodiscard]] const std::array<bool, 4>& is_loaded() const { return is_loaded_; }
  /// What decides in this world, as Frame::limit.
  struct Limit {
    std::string name;
    std::optional<Limb> limb;
  };
  [[nodiscard]] Limit find_limit(const RiskDraw& draw) const;

 private:
  static constexpr int kMaxContacts = 4;
  static constexpr int kMaxRows = 40;  ///< of the correction: equilibrium and what binds
  // What is learned in worlds that were solved: more starts take longer to look through than they save.
  static constexpr std::size_t kMostStarts = 3;
  static constexpr std::size_t kMostMotions = 12;
  /// Forces, then the moments of shifted contacts, then the shares of mass.
  static constexpr int kMaxExtended = statics::kMaxForce + 3 * kMaxContacts + kBuildParts;
  using Forces = statics::ForceVector;
  using Extended = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxExtended, 1>;
  using TorqueRows =
      Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor, statics::kMaxTorqueRows, kMaxExtended>;
  using RowVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxRows, 1>;
  using Correction =
      Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, statics::kMaxForce + 1, kMaxRows>;
  using Wrench = Eigen::Matrix<double, 6, 1>;
  using SixColumns = Eigen::Matrix<double, Eigen::Dynamic, 6, Eigen::ColMajor, statics::kMaxForce, 6>;

  struct ContactData {
    Limb limb = Limb::kLeftHand;
    int place = 0;
    Vec3 t1 = Vec3::UnitX(), t2 = Vec3::UnitY();
    Vec3 lip_W = Vec3::UnitX();
  };
  /// A limit that binds at the least effort, or a cone that does.
  struct BindingRow {
    enum class Kind { kBound, kUpper, kLower, kCone };
    Kind kind = Kind::kBound;
    int index = 0;  ///< contact, torque row or point
    int bound = 0;
    Vec3 a = Vec3::Zero();  ///< cone: unit tangential direction of the force
    double scale = 1.0;
  };
  /// Forces that a world's are made from.
  struct Base {
    Forces u;
    Extended v;
    statics::TorqueVector torques;
  };
  /// Forces of least effort, what binds there, and the correction that follows.
  struct Start {
    Base base;
    double friction = 1.0;  ///< share of a world's mu that its forces may use: a little short in those of the frame
    std::array<double, kMaxContacts> mu{};  ///< that the forces of least effort were found with
    double effort = 0.0;
    std::vector<BindingRow> rows;
    Correction inverse;     ///< from the residual of the scaled rows to (u, effort)
    RowVector multipliers;  ///< of the scaled rows: equations free, limits minus their share
    std::array<bool, statics::kMaxPoints> is_touching{};  ///< the point carries something
  };
  /// A motion that no force inside cones resists, and what every point feels of it (in its contact's tilted axes).
  struct Motion {
    Wrench motion = Wrench::Zero();
    Forces felt;
  };
  /// A draw as this frame sees it.
  struct World {
    std::array<Mat3, kMaxContacts> R;
    std::array<Vec3, kMaxContacts> shift_W;
    std::array<double, kMaxContacts> mu{}, strength{};
    double joints = 1.0;
    std::array<double, kBuildParts> mass_share{};
    Wrench target = Wrench::Zero();  ///< sum of the forces, sum of their moments about the undisturbed centre of mass
  };

  [[nodiscard]] World make_world(const RiskDraw& draw, bool is_nominal = false) const;
  [[nodiscard]] statics::Effort solve(const World& world, bool takes_all_rows, RiskWorkspace& workspace) const;
  [[nodiscard]] statics::Effort solve_near(const World& world, RiskWorkspace& workspace);
  void load_world(const World& world, bool takes_all_rows, statics::StaticsProblem& problem) const;
  void load_world_rows(const World& world, bool takes_all_rows, statics::StaticsProblem& problem) const;

  // Preparation: risk_frame.cpp, risk_interior.cpp; what exact solutions add to it: risk_learn.cpp.
  void learn(const World& world, const statics::Effort& exact);
  void load_torques(const body::Body& body, const posture::StanceProblem& problem, const body::Kinematics& kinematics);
  void load_masses(const body::Body& body, const body::Kinematics& kinematics);
  void load_names(const body::Body& body, const Frame& frame, const posture::StanceProblem& problem);
  void load_distribution(const Frame& frame);
  [[nodiscard]] SixColumns make_balance_inverse(const Forces& scale) const;
  void load_interior(RiskWorkspace& workspace);
  void load_base(Base& base) const;
  void load_near_rows();
  [[nodiscard]] double find_roominess(const Base& base) const;
  [[nodiscard]] double find_point_room_N(int p, const Forces& u) const;
  void load_start(double friction, RiskWorkspace& workspace);
  void complete(const statics::Effort& effort, Start& start) const;
  void find_binding(const statics::Effort& effort, Start& start) const;
  void factorise(Start& start) const;
  void add_motion(const World& world, const statics::Effort& infeasible);
  [[nodiscard]] Eigen::Index wrist_hinge_of(const body::Body& body, int row) const;
  [[nodiscard]] double find_scale_N(int contact) const;
  [[nodiscard]] Eigen::Matrix<double, 6, 3> find_point_balance(int p) const;

  // Questions: risk_ask.cpp; proofs that nothing holds: risk_proof.cpp; the nearest forces within all limits:
  // risk_nearest.cpp; the exact program: risk_exact.cpp.
  [[nodiscard]] const CapacitySet& capacity_of(int point) const;
  void extend(const World& world, const Forces& u, Extended& v) const;
  [[nodiscard]] double find_tendon_help(int contact, const Forces& u) const;
  [[nodiscard]] double find_torque(int row, const Forces& u, const Extended& v) const;
  void calc_torque_rows(const Forces& u, const Extended& v, statics::TorqueVector& torques) const;
  [[nodiscard]] Wrench find_residual(const World& world, const Extended& v) const;
  [[nodiscard]] bool check_contacts(const World& world, const Forces& u) const;
  [[nodiscard]] bool check_torques(const World& world, const Base& base, const Forces& u, const Extended& v) const;
  [[nodiscard]] bool is_torque_met(const World& world, int row, double torque) const;
  [[nodiscard]] double find_upper(const World& world, int row) const {
    return world.joints * nominal_.active_upper[row] + nominal_.passive_upper[row];
  }
  [[nodiscard]] double find_lower(const World& world, int row) const {
    return world.joints * nominal_.active_lower[row] + nominal_.passive_lower[row];
  }
  [[nodiscard]] bool check_interior(const World& world) const;
  enum class Verdict { kHeld, kFails, kUnknown };
  [[nodiscard]] Verdict find_verdict(const World& world, double& effort);
  [[nodiscard]] bool fails_as_learned(const World& world, double& effort) const;
  [[nodiscard]] Verdict find_nearest(const World& world, bool is_hopeful, statics::NearestPoint& qp);
  [[nodiscard]] bool load_nearest(const World& world, statics::NearestPoint& qp) const;
  [[nodiscard]] Verdict take_in_limits(const World& world, double inset, statics::NearestPoint& qp);
  [[nodiscard]] bool find_most_passed(const World& world, const Forces& u, statics::RowTag& passed);
  [[nodiscard]] statics::RowView make_limit_row(const World& world, const statics::RowTag& limit, double inset,
                                                std::array<double, statics::kMaxForce>& values, double& b) const;
  [[nodiscard]] statics::RowView make_torque_row(const World& world, const statics::RowTag& limit,
                                                 std::array<double, statics::kMaxForce>& values, double& b) const;
  void learn_contradiction(const World& world, const statics::RowTag& passed, const statics::NearestPoint& qp);
  [[nodiscard]] bool prove_imbalance(const World& world, std::size_t first, std::size_t last);
  [[nodiscard]] Forces turn_back(const World& world, const Forces& forces) const;
  void move_inside(const World& world, Forces& u) const;
  [[nodiscard]] bool is_balanced(const World& world, const Extended& v) const;
  void find_row_residual(const World& world, const Start& start, const Forces& u, const Extended& v, double effort,
                         RowVector& residual) const;
  [[nodiscard]] double estimate_effort(const World& world, const Start& start) const;
  [[nodiscard]] double find_growth(const World& world, const BindingRow& row) const;
  void find_motion(const World& world, const Start& start, const RowVector& multipliers, Forces& s,
                   double& right) const;
  [[nodiscard]] double find_penalty(const World& world, const Forces& s) const;
  [[nodiscard]] double find_excess(const World& world, const RowVector& multipliers, const Forces& s,
                                   double right) const;
  [[nodiscard]] bool prove_failure(const World& world, const Start& start) const;
  [[nodiscard]] double find_imbalance(const World& world, const Wrench& motion) const;
  void find_felt(const World& world, const Wrench& motion, Forces& s) const;
  [[nodiscard]] Wrench adapt(const World& world, const Motion& motion) const;
  void find_slip_margins(const World& world, Answer& answer) const;

  statics::StaticsProblem nominal_;
  std::vector<int> near_rows_;  ///< torque rows that may come to their limits, or did in a world that was solved
  std::vector<ContactData> contacts_;
  std::array<bool, 4> is_loaded_{};
  std::array<int, statics::kMaxPoints> contact_of_{};
  TorqueRows torque_rows_;  ///< over Extended, the tendons' help left out
  statics::TorqueVector force_norms_, moment_norms_, mass_norms_;
  double tendon_arm_m_ = 0.0;                          ///< posture::find_wrist_tendon_arm
  std::array<int, kMaxContacts> wrist_rows_{};         ///< row that the tendons of this contact help; -1: none
  Eigen::Matrix<double, 6, kBuildParts> mass_wrench_;  ///< weight and moment that a part's share of mass adds
  std::vector<Start> starts_;                          ///< in the world that was computed
  std::vector<Start> learned_;                         ///< in worlds that were solved
  std::vector<Motion> motions_;                        ///< that proved imbalance there
  Forces distribution_;
  SixColumns balance_inverse_;  ///< least change of forces that makes up a residual of balance
  std::optional<Base> interior_;
  SixColumns interior_inverse_;  ///< the same, the more of the change the more room a point has
  std::vector<Limit> contact_names_, torque_names_;
  Limit nominal_limit_;
};

}  // namespace steepwright::move
