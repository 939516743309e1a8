#include "tests/peers/lp/finger_programs.h"

#include <array>
#include <cmath>
#include <limits>

namespace steepwright::tests {

namespace {

using grip::Vec2;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

/// x in [0, upper]: the upper bound by a row.
int add_bounded(LinearProgram& lp, double upper) {
  const int column = add_column(lp, 0.0, 0.0);
  lp.entries.push_back({add_row(lp, -kInfinity, upper), column, 1.0});
  return column;
}

void add_entry(LinearProgram& lp, int row, int column, double value) {
  if (value != 0.0) lp.entries.push_back({row, column, value});
}

/// The three bones from the tip, then what the palm bears directly.
class FreeBodies {
 public:
  explicit FreeBodies(const FingerCase& drawn) : drawn_(drawn) {
    const Vec2 pull = grip::pull_direction(drawn.pull);
    for (int bone = 0; bone < 3; ++bone) {
      for (int k = 0; k < 2; ++k) force_rows_[at(bone)][at(k)] = add_row(lp, 0.0, 0.0);
      moment_rows_[at(bone)] = add_row(lp, 0.0, 0.0);
      // What the next bone exerts at this joint: force and torque, free.
      for (int k = 0; k < 2; ++k) joint_force_[at(bone)][at(k)] = add_column(lp, 0.0, -kInfinity);
      joint_torque_[at(bone)] = add_column(lp, 0.0, -kInfinity);
    }
    load_ = add_column(lp, -1.0, -kInfinity);
    for (int k = 0; k < 2; ++k) {
      total_rows_[at(k)] = add_row(lp, 0.0, 0.0);
      add_entry(lp, total_rows_[at(k)], load_, -pull[k]);
    }
    add_joints();
    for (const grip::PadContact& contact : drawn.seating.contacts) add_contact(contact);
    add_muscles();
  }

  LinearProgram lp;

 private:
  static std::size_t at(int index) { return static_cast<std::size_t>(index); }
  [[nodiscard]] Vec2 joint(int bone) const {
    return bone == 0 ? drawn_.seating.dip : (bone == 1 ? drawn_.seating.pip : drawn_.seating.mcp);
  }

  /// A force column on a bone at p: in its balance, moments about the bone's own joint.
  void add_force_to_bone(int bone, int column, const Vec2& p, const Vec2& direction) {
    for (int k = 0; k < 2; ++k) add_entry(lp, force_rows_[at(bone)][at(k)], column, direction[k]);
    add_entry(lp, moment_rows_[at(bone)], column, cross(p - joint(bone), direction));
  }

  void add_joints() {
    for (int bone = 0; bone < 3; ++bone) {
      for (int k = 0; k < 2; ++k) {
        const int column = joint_force_[at(bone)][at(k)];
        const Vec2 unit = Vec2::Unit(k);
        add_force_to_bone(bone, column, joint(bone), unit);
        if (bone < 2) add_force_to_bone(bone + 1, column, joint(bone), -unit);
      }
      add_entry(lp, moment_rows_[at(bone)], joint_torque_[at(bone)], 1.0);
      if (bone < 2) add_entry(lp, moment_rows_[at(bone + 1)], joint_torque_[at(bone)], -1.0);
    }
  }

  /// Normal part in [0, limit], tangential part within mu of it.
  void add_contact(const grip::PadContact& contact) {
    const Vec2& n = contact.normal;
    const Vec2 t(n.y(), -n.x());
    const int normal = add_bounded(lp, drawn_.seating.room * contact.limit_N);
    const int tangential = add_column(lp, 0.0, -kInfinity);
    for (const double side : {1.0, -1.0}) {
      const int row = add_row(lp, -kInfinity, 0.0);
      add_entry(lp, row, tangential, side);
      add_entry(lp, row, normal, -drawn_.mu);
    }
    add_hold_force(contact.bone, normal, contact.p, n);
    add_hold_force(contact.bone, tangential, contact.p, t);
  }

  void add_hold_force(grip::Bone bone, int column, const Vec2& p, const Vec2& direction) {
    if (bone != grip::Bone::kPalm) add_force_to_bone(static_cast<int>(bone), column, p, direction);
    for (int k = 0; k < 2; ++k) add_entry(lp, total_rows_[at(k)], column, direction[k]);
  }

  /// The torque at a joint bends the outer bone palmward: against the moments of what the hold exerts.
  void add_muscles() {
    const double room = drawn_.seating.room;
    std::array<int, 3> rows{};
    for (int bone = 0; bone < 3; ++bone) {
      rows[at(bone)] = add_row(lp, 0.0, 0.0);
      add_entry(lp, rows[at(bone)], joint_torque_[at(bone)], 1.0);
    }
    const grip::MomentArms arms =
        grip::find_moment_arms(drawn_.finger, {drawn_.posture.dip, drawn_.posture.pip, drawn_.mcp});
    const int deep = add_bounded(lp, room * drawn_.limits.deep_N);
    add_entry(lp, rows[0], deep, arms.deep_dip);
    add_entry(lp, rows[1], deep, arms.deep_pip);
    add_entry(lp, rows[2], deep, arms.deep_mcp);
    const int superficial = add_bounded(lp, room * drawn_.limits.superficial_N);
    add_entry(lp, rows[1], superficial, arms.superficial_pip);
    add_entry(lp, rows[2], superficial, arms.superficial_mcp);
    const double ligament_Nm = grip::find_passive_dip_share(drawn_.posture.dip) * drawn_.limits.deep_N * arms.deep_dip;
    add_entry(lp, rows[0], add_bounded(lp, room * ligament_Nm), 1.0);
    const SmallMuscles small = find_small_muscles(drawn_);
    add_entry(lp, rows[0], add_bounded(lp, small.dip_open_Nm), -1.0);
    add_entry(lp, rows[1], add_bounded(lp, small.pip_open_Nm), -1.0);
    add_entry(lp, rows[2], add_bounded(lp, small.mcp_close_Nm), 1.0);
    add_entry(lp, rows[2], add_bounded(lp, small.mcp_open_Nm), -1.0);
    // The locking thumb presses the end bone from its back; it is the hand's own, not the hold's.
    const Vec2 press(std::sin(drawn_.posture.pitch), -std::cos(drawn_.posture.pitch));
    add_force_to_bone(0, add_bounded(lp, room * drawn_.limits.thumb_N), drawn_.seating.nail, press);
  }

  const FingerCase& drawn_;
  std::array<std::array<int, 2>, 3> force_rows_{}, joint_force_{};
  std::array<int, 3> moment_rows_{}, joint_torque_{};
  std::array<int, 2> total_rows_{};
  int load_ = 0;
};

}  // namespace

LinearProgram copy_program(const grip::LoadProgram& program) {
  LinearProgram lp;
  for (int i = 0; i < grip::LoadProgram::kRows; ++i) add_row(lp, 0.0, 0.0);
  for (std::size_t g = 0; g < program.n_groups(); ++g) {
    const int limit = add_row(lp, -kInfinity, program.limit(g));
    for (std::size_t k = 1; k <= program.n_columns(g); ++k) {
      const std::size_t j = grip::LoadProgram::column(g, k);
      const int column = add_column(lp, -program.gain(j), 0.0);
      const auto row = program.row(j);
      for (int i = 0; i < grip::LoadProgram::kRows; ++i) add_entry(lp, i, column, row[i]);
      add_entry(lp, limit, column, 1.0);
    }
  }
  return lp;
}

SmallMuscles find_small_muscles(const FingerCase& drawn) {
  grip::FingerProgram built;
  build(drawn, built);
  const grip::LoadProgram& program = built.program();
  // Columns that are nothing but a torque at one joint.
  std::array<double, 3> open_Nm{};
  std::array<double, 3> close_Nm{};
  using Row = grip::LoadProgram::Row;
  for (std::size_t g = 0; g < program.n_groups(); ++g) {
    if (program.n_columns(g) != 1) continue;
    const Row row = program.row(grip::LoadProgram::column(g, 1)) / grip::kMomentScale;
    for (int joint = 0; joint < 3; ++joint) {
      const auto k = static_cast<std::size_t>(joint);
      if (row == Row(Row::Unit(joint))) open_Nm[k] += program.limit(g);
      if (row == Row(-Row::Unit(joint))) close_Nm[k] += program.limit(g);
    }
  }
  return {open_Nm[0], open_Nm[1], close_Nm[2], open_Nm[2]};
}

LinearProgram make_free_body_program(const FingerCase& drawn) { return FreeBodies(drawn).lp; }

}  // namespace steepwright::tests
