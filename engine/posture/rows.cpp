#include "engine/posture/rows.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace steepwright::posture {

namespace {

using body::Capsule;
using body::Kinematics;

// One-sided rows farther inside than these are not worth a row this iteration; a step is capped so that it cannot
// cross them unseen by more than the next iteration repairs.
constexpr double kNearDirection = 0.35;
constexpr double kNearCoupled = 0.35;
constexpr double kNearClearance = 0.10;
constexpr double kNearBalance = 0.10;
/// Spacing of clearance samples along a capsule, m times Body::scale: an edge can enter between two samples by less
/// than r - sqrt(r^2 - (spacing/2)^2), 11 mm at r = 70 mm.
constexpr double kSampleSpacing = 0.08;

// ---- degrees of freedom that a row feels ----

constexpr DofSet kRootShift = 0b000111;
constexpr DofSet kRootTurn = 0b111000;

constexpr DofSet set_of_hinges(int first, int n) {
  return ((DofSet{1} << static_cast<unsigned>(n)) - 1) << static_cast<unsigned>(6 + first);
}

constexpr DofSet set_of_all(int n_dof) { return ~DofSet{0} >> static_cast<unsigned>(64 - n_dof); }

// ---- coefficients; every function returns the set that it wrote ----

/// Writes the three rows of J(point of segment at p_WQ) over Body::scale, rows kMaxDof apart: one walk of the tree
/// serves all three. The set is what turns the segment; of the root's shift, each row has its own coordinate.
DofSet write_point_rows(const body::Body& body, const Kinematics& kinematics, int segment, const Vec3& p_WQ,
                        double* rows) {
  const body::Tree& tree = body.tree;
  const double per_scale = 1.0 / body.scale;
  double* x = rows;
  double* y = rows + body::kMaxDof;
  double* z = rows + 2 * body::kMaxDof;
  const auto put = [x, y, z](int column, double along_x, double along_y, double along_z) {
    x[column] = along_x;
    y[column] = along_y;
    z[column] = along_z;
  };
  for (int k = 0; k < 3; ++k) rows[k * body::kMaxDof + k] = 1.0;
  const Vec3 arm = per_scale * (p_WQ - kinematics.p_WB[0]);
  put(3, 0.0, -arm.z(), arm.y());
  put(4, arm.z(), 0.0, -arm.x());
  put(5, -arm.y(), arm.x(), 0.0);
  DofSet written = kRootTurn;
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const body::Segment& node = tree.segments[static_cast<std::size_t>(s)];
    written |= set_of_hinges(node.first_hinge, node.n_hinges);
    const Vec3 from_joint = per_scale * (p_WQ - kinematics.p_WB[static_cast<std::size_t>(s)]);
    for (int h = node.first_hinge; h < node.first_hinge + node.n_hinges; ++h) {
      const Vec3 v = kinematics.axis_W[static_cast<std::size_t>(h)].cross(from_joint);
      put(6 + h, v.x(), v.y(), v.z());
    }
  }
  return written;
}

/// Writes the row u . J(point of segment at p_WQ) over Body::scale.
DofSet write_point_row(const body::Body& body, const Kinematics& kinematics, int segment, const Vec3& p_WQ,
                       const Vec3& u, double* row) {
  const body::Tree& tree = body.tree;
  const Vec3 u_per_scale = u / body.scale;
  const Vec3 moment = (p_WQ - kinematics.p_WB[0]).cross(u_per_scale);
  for (int k = 0; k < 3; ++k) {
    row[k] = u[k];
    row[3 + k] = moment[k];
  }
  DofSet written = kRootShift | kRootTurn;
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const body::Segment& node = tree.segments[static_cast<std::size_t>(s)];
    written |= set_of_hinges(node.first_hinge, node.n_hinges);
    const Vec3 m = (p_WQ - kinematics.p_WB[static_cast<std::size_t>(s)]).cross(u_per_scale);
    for (int h = node.first_hinge; h < node.first_hinge + node.n_hinges; ++h) {
      row[6 + h] = kinematics.axis_W[static_cast<std::size_t>(h)].dot(m);
    }
  }
  return written;
}

/// Writes the row m . J_angular(segment).
DofSet write_angular_row(const body::Tree& tree, const Kinematics& kinematics, int segment, const Vec3& m,
                         double* row) {
  for (int k = 0; k < 3; ++k) row[3 + k] = m[k];
  DofSet written = kRootTurn;
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const body::Segment& node = tree.segments[static_cast<std::size_t>(s)];
    written |= set_of_hinges(node.first_hinge, node.n_hinges);
    for (int h = node.first_hinge; h < node.first_hinge + node.n_hinges; ++h) {
      row[6 + h] = kinematics.axis_W[static_cast<std::size_t>(h)].dot(m);
    }
  }
  return written;
}

/// Of the centre of mass over Body::scale, by a step whose shift counts in it too.
void calc_scaled_com_jacobian(const body::Body& body, const Kinematics& kinematics, body::Jacobian3& J_cm) {
  body::calc_com_jacobian(body.tree, kinematics, J_cm);
  J_cm.rightCols(body.tree.n_hinges() + 3) /= body.scale;
}

int sample_count(const body::Body& body, const Capsule& capsule) {
  return 2 + static_cast<int>((capsule.pB_B - capsule.pA_B).norm() / (kSampleSpacing * body.scale));
}

/// Capsules of hands and forefeet count only while their limb holds nothing and is not about to.
bool counts(const StanceProblem& problem, const Capsule& capsule) {
  if (!capsule.only_when_free) return true;
  return std::none_of(problem.limbs.begin(), problem.limbs.end(),
                      [&](const LimbGoal& goal) { return goal.limb == *capsule.only_when_free && !goal.keeps_clear; });
}

struct CapsuleSample {
  Vec3 p_WQ;
  double radius;
};

CapsuleSample find_sample(const Kinematics& kinematics, const Capsule& capsule, int i, int count) {
  const double t = static_cast<double>(i) / static_cast<double>(count - 1);
  const Vec3 p_BQ = capsule.pA_B + t * (capsule.pB_B - capsule.pA_B);
  return {body::find_position(kinematics, capsule.segment, p_BQ),
          capsule.radius_A + t * (capsule.radius_B - capsule.radius_A)};
}

// ---- rows by kind ----

double* next_row(Rows& rows) { return rows.A.row(rows.n()).data(); }

/// Takes in row r, whose coefficients in `support` are written.
void set_row(Rows& rows, int r, double value, RowTag tag, DofSet support) {
  DofSet& of_row = rows.support[static_cast<std::size_t>(r)];
  for (DofSet stale = of_row & ~support; stale != 0; stale &= stale - 1) rows.A(r, std::countr_zero(stale)) = 0.0;
  of_row = support;
  rows.value[r] = value;
  rows.tags[static_cast<std::size_t>(r)] = tag;
}

void take_equality(Rows& rows, double value, RowTag tag, DofSet support) {
  set_row(rows, rows.n(), value, tag, support);
  ++rows.n_equality;
}

void take_one_sided(Rows& rows, double value, RowTag tag, DofSet support) {
  set_row(rows, rows.n(), value, tag, support);
  ++rows.n_one_sided;
}

/// Is there room for one more row? Where there is none, that one is told to be left out.
bool has_room(Rows& rows, double value) {
  if (rows.n() < kMaxRows) return true;
  rows.least_left_out = std::min(rows.least_left_out, value);
  return false;
}

/// Where a row of clearance goes: after the others, or, when there are too many, in the place of the one that is
/// farthest from its surface. -1: it is the farthest itself.
int find_clearance_place(Rows& rows, double value) {
  if (rows.n() < kMaxRows) return rows.n();
  int farthest = -1;
  for (int r = rows.n_equality; r < rows.n(); ++r) {
    const bool is_clearance = rows.tags[static_cast<std::size_t>(r)].kind == RowTag::Kind::kClearance;
    if (is_clearance && (farthest < 0 || rows.value[r] > rows.value[farthest])) farthest = r;
  }
  const bool gives_way = farthest >= 0 && rows.value[farthest] > value;
  rows.least_left_out = std::min(rows.least_left_out, gives_way ? rows.value[farthest] : value);
  return gives_way ? farthest : -1;
}

void add_contacts(const StanceProblem& problem, const Kinematics& kinematics, const RowOptions& options, Rows& rows) {
  const body::Body& body = *problem.body;
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
    if (static_cast<int>(i) == options.without_limb) continue;
    const LimbGoal& goal = problem.limbs[i];
    const Vec3 p_WC = body::find_position(kinematics, goal.segment, goal.p_BC);
    const DofSet turning = write_point_rows(body, kinematics, goal.segment, p_WC, next_row(rows));
    for (int k = 0; k < 3; ++k) {
      const DofSet shift = DofSet{1} << static_cast<unsigned>(k);
      take_equality(rows, (p_WC[k] - goal.p_WC[k]) / body.scale, {RowTag::Kind::kContact, static_cast<int>(i)},
                    shift | turning);
    }
  }
}

/// Horizontal directions in which the centre of mass is not free, for one or two loaded limbs.
struct PlumbPlanes {
  Vec3 p_W = Vec3::Zero();
  std::array<Vec3, 2> normals;
  int n = 0;
};

PlumbPlanes find_plumb_planes(const StanceProblem& problem) {
  PlumbPlanes planes;
  std::array<Vec3, 2> places;
  std::size_t n_loaded = 0;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    if (n_loaded == 2) return planes;
    places[n_loaded++] = goal.p_WC;
  }
  if (n_loaded == 0) return planes;
  planes.p_W = n_loaded == 2 ? Vec3(0.5 * (places[0] + places[1])) : places[0];
  Vec3 along = n_loaded == 2 ? Vec3(places[1] - places[0]) : Vec3::Zero();
  along.z() = 0.0;
  // Limbs one above the other give a line, not a plane.
  constexpr double kAbove = 0.02;  // m times Body::scale
  if (along.norm() > kAbove * problem.body->scale) {
    planes.normals[0] = along.cross(Vec3::UnitZ()).normalized();
    planes.n = 1;
  } else {
    planes.normals = {Vec3::UnitX(), Vec3::UnitY()};
    planes.n = 2;
  }
  return planes;
}

void add_plumb(const StanceProblem& problem, const Kinematics& kinematics, Rows& rows) {
  const PlumbPlanes planes = find_plumb_planes(problem);
  if (planes.n == 0) return;
  const body::Tree& tree = problem.body->tree;
  const double scale = problem.body->scale;
  body::Jacobian3 J_cm;
  calc_scaled_com_jacobian(*problem.body, kinematics, J_cm);
  for (int i = 0; i < planes.n; ++i) {
    const Vec3& normal = planes.normals[static_cast<std::size_t>(i)];
    Eigen::Map<Eigen::RowVectorXd>(next_row(rows), tree.n_dof()) = normal.transpose() * J_cm;
    const double value = normal.dot(kinematics.p_Wcm - planes.p_W) / scale;
    take_equality(rows, value, {RowTag::Kind::kPlumb, i}, set_of_all(tree.n_dof()));
  }
}

void add_balance(const StanceProblem& problem, const Kinematics& kinematics, const BalanceRegion& region, Rows& rows) {
  const body::Tree& tree = problem.body->tree;
  const double scale = problem.body->scale;
  body::Jacobian3 J_cm;
  bool has_jacobian = false;
  int index = 0;
  for (const BalanceCut& cut : region.cuts) {
    const double inside = (cut.normal_W.dot(kinematics.p_Wcm) - cut.least_m) / scale - kBalanceAim;
    const RowTag tag{RowTag::Kind::kBalance, index++};
    if (inside > kNearBalance || !has_room(rows, kBalanceScale * inside)) continue;
    if (!has_jacobian) calc_scaled_com_jacobian(*problem.body, kinematics, J_cm);
    has_jacobian = true;
    Eigen::Map<Eigen::RowVectorXd>(next_row(rows), tree.n_dof()) = kBalanceScale * cut.normal_W.transpose() * J_cm;
    take_one_sided(rows, kBalanceScale * inside, tag, set_of_all(tree.n_dof()));
  }
}

void add_directions(const StanceProblem& problem, const Kinematics& kinematics, Rows& rows) {
  const body::Tree& tree = problem.body->tree;
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
    for (const DirectionRange& range : problem.limbs[i].directions) {
      const Vec3 u_W = kinematics.R_WB[static_cast<std::size_t>(range.segment)] * range.u_B;
      const double value = range.a_W.dot(u_W) - range.lower;
      if (value > kNearDirection || !has_room(rows, value)) continue;
      // d(a . u) = a . (w x u) = w . (u x a)
      const DofSet support = write_angular_row(tree, kinematics, range.segment, u_W.cross(range.a_W), next_row(rows));
      take_one_sided(rows, value, {RowTag::Kind::kDirection, static_cast<int>(i)}, support);
    }
  }
}

void add_coupled_limits(const StanceProblem& problem, const body::Posture& posture, Rows& rows) {
  const body::Body& body = *problem.body;
  for (std::size_t i = 0; i < body.coupled_limits.size(); ++i) {
    const body::CoupledLimit& limit = body.coupled_limits[i];
    const body::CoupledLimitValue coupled = body::find_coupled_limit(limit, posture.angles);
    if (coupled.value > kNearCoupled || !has_room(rows, coupled.value)) continue;
    double* row = next_row(rows);
    DofSet support = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      row[6 + limit.hinges[k]] = coupled.gradient[k];
      support |= set_of_hinges(limit.hinges[k], 1);
    }
    take_one_sided(rows, coupled.value, {RowTag::Kind::kCoupledLimit, static_cast<int>(i)}, support);
  }
}

/// One row a capsule, at its deepest sample, plus the two ends when they are near: enough to slide along a surface.
void add_clearance(const StanceProblem& problem, const Kinematics& kinematics, Rows& rows) {
  const body::Body& body = *problem.body;
  for (std::size_t i = 0; i < body.capsules.size(); ++i) {
    const Capsule& capsule = body.capsules[i];
    if (!counts(problem, capsule)) continue;
    const int count = sample_count(body, capsule);
    for (int k = 0; k < count; ++k) {
      const CapsuleSample sample = find_sample(kinematics, capsule, k, count);
      const wall::Nearest nearest = wall::find_nearest(*problem.wall, sample.p_WQ);
      const double value = (nearest.distance_m - sample.radius) / body.scale - kClearanceAim;
      const bool is_end = k == 0 || k == count - 1;
      if (value > (is_end ? kNearClearance : 0.3 * kNearClearance)) continue;
      const int r = find_clearance_place(rows, value);
      if (r < 0) continue;
      const DofSet support =
          write_point_row(body, kinematics, capsule.segment, sample.p_WQ, nearest.gradient, rows.A.row(r).data());
      rows.n_one_sided += r == rows.n() ? 1 : 0;
      set_row(rows, r, value, {RowTag::Kind::kClearance, static_cast<int>(i)}, support);
    }
  }
}

}  // namespace

void calc_rows(const StanceProblem& problem, const body::Posture& posture, const Kinematics& kinematics,
               const RowOptions& options, Rows& rows) {
  rows.n_equality = 0;
  rows.n_one_sided = 0;
  rows.least_left_out = std::numeric_limits<double>::infinity();
  add_contacts(problem, kinematics, options, rows);
  if (options.plumb) add_plumb(problem, kinematics, rows);
  if (options.balance != nullptr) add_balance(problem, kinematics, *options.balance, rows);
  if (options.directions) add_directions(problem, kinematics, rows);
  if (options.coupled_limits) add_coupled_limits(problem, posture, rows);
  if (options.clearance && problem.wall != nullptr) add_clearance(problem, kinematics, rows);
}

double calc_obstruction(const StanceProblem& problem, const Kinematics& kinematics, body::DofVector& gradient) {
  const body::Body& body = *problem.body;
  const double unit_m = 0.01 * body.scale;
  gradient.setZero(body.tree.n_dof());
  Eigen::Matrix<double, 1, body::kMaxDof> row;
  double value = 0.0;
  for (const Capsule& capsule : body.capsules) {
    if (!counts(problem, capsule)) continue;
    const int count = sample_count(body, capsule);
    for (int k = 0; k < count; ++k) {
      const CapsuleSample sample = find_sample(kinematics, capsule, k, count);
      const wall::Nearest nearest = wall::find_nearest(*problem.wall, sample.p_WQ);
      const double depth = sample.radius - nearest.distance_m;
      if (depth <= 0.0) continue;
      value += 0.5 * depth * depth / (unit_m * unit_m);
      row.setZero();
      write_point_row(body, kinematics, capsule.segment, sample.p_WQ, nearest.gradient, row.data());
      row.tail<body::kMaxDof - 3>() *= body.scale;
      gradient -= depth / (unit_m * unit_m) * row.head(body.tree.n_dof()).transpose();
    }
  }
  return value;
}

Violation find_violation(const StanceProblem& problem, const body::Posture& posture, const Kinematics& kinematics,
                         const RowOptions& options) {
  Violation violation;
  const body::Body& body = *problem.body;
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
    const LimbGoal& goal = problem.limbs[i];
    if (static_cast<int>(i) != options.without_limb) {
      const double error = (body::find_position(kinematics, goal.segment, goal.p_BC) - goal.p_WC).norm();
      if (error > violation.contact_m || violation.contact_limb < 0) {
        violation.contact_m = error;
        violation.contact_limb = static_cast<int>(i);
      }
    }
    if (!options.directions) continue;
    for (const DirectionRange& range : goal.directions) {
      const Vec3 u_W = kinematics.R_WB[static_cast<std::size_t>(range.segment)] * range.u_B;
      violation.one_sided = std::max(violation.one_sided, range.lower - range.a_W.dot(u_W));
    }
  }
  if (options.coupled_limits) {
    for (const body::CoupledLimit& limit : body.coupled_limits) {
      violation.one_sided = std::max(violation.one_sided, -body::find_coupled_limit(limit, posture.angles).value);
    }
  }
  violation.clearance_m = std::numeric_limits<double>::infinity();
  if (options.clearance && problem.wall != nullptr) {
    for (std::size_t i = 0; i < body.capsules.size(); ++i) {
      if (!counts(problem, body.capsules[i])) continue;
      const int count = sample_count(body, body.capsules[i]);
      for (int k = 0; k < count; ++k) {
        const CapsuleSample sample = find_sample(kinematics, body.capsules[i], k, count);
        const double clearance = wall::find_nearest(*problem.wall, sample.p_WQ).distance_m - sample.radius;
        if (clearance < violation.clearance_m) {
          violation.clearance_m = clearance;
          violation.clearance_capsule = static_cast<int>(i);
          violation.clearance_p_WQ = sample.p_WQ;
        }
      }
    }
  }
  for (int h = 0; h < body.tree.n_hinges(); ++h) {
    const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
    violation.hinge = std::max({violation.hinge, hinge.lower - posture.angles[h], posture.angles[h] - hinge.upper});
  }
  return violation;
}

}  // namespace steepwright::posture
