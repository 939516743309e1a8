#include "engine/body/kinematics.h"

#include "engine/core/constants.h"
#include "engine/core/contract.h"

#include <cmath>

namespace steepwright::body {

namespace {

// Offsets into a column-major 3x3 matrix of the column of an axis and of the two columns that a turn about it mixes.
struct AxisColumns {
  int own, next, last;
};
constexpr AxisColumns kAxisColumns[3] = {{0, 3, 6}, {3, 6, 0}, {6, 0, 3}};

// J column = axis x (p - o), written out: Eigen's cross on mapped columns does not inline as well.
inline void write_turn_column(double* column, const double* axis, double x, double y, double z) {
  column[0] = axis[1] * z - axis[2] * y;
  column[1] = axis[2] * x - axis[0] * z;
  column[2] = axis[0] * y - axis[1] * x;
}

// The three columns of a turn of the root about world axes through its origin: e_i x d.
inline void write_root_turn_columns(double* columns, const Vec3& d) {
  columns[0] = 0.0, columns[1] = -d.z(), columns[2] = d.y();
  columns[3] = d.z(), columns[4] = 0.0, columns[5] = -d.x();
  columns[6] = -d.y(), columns[7] = d.x(), columns[8] = 0.0;
}

inline void write_identity(double* columns) {
  columns[0] = 1.0, columns[1] = 0.0, columns[2] = 0.0;
  columns[3] = 0.0, columns[4] = 1.0, columns[5] = 0.0;
  columns[6] = 0.0, columns[7] = 0.0, columns[8] = 1.0;
}

}  // namespace

void update_kinematics(const Tree& tree, const Posture& posture, Kinematics& kinematics) {
  update_poses(tree, posture, kinematics);
  update_mass_sums(tree, kinematics);
}

void update_poses(const Tree& tree, const Posture& posture, Kinematics& kinematics) {
  STEEPWRIGHT_ASSERT(posture.angles.size() == tree.n_hinges());
  const std::size_t n = tree.segments.size();
  const Segment* segments = tree.segments.data();
  const Hinge* hinges = tree.hinges.data();

  kinematics.R_WB[0] = posture.R_WB;
  kinematics.p_WB[0] = posture.p_WB;
  for (std::size_t s = 1; s < n; ++s) {
    const Segment& segment = segments[s];
    const auto parent = static_cast<std::size_t>(segment.parent);
    Mat3& R = kinematics.R_WB[s];
    R = kinematics.R_WB[parent];
    const Vec3 p = kinematics.p_WB[parent] + R * segment.p_PB;
    kinematics.p_WB[s] = p;
    double* r = R.data();
    const auto first = static_cast<std::size_t>(segment.first_hinge);
    const std::size_t end = first + static_cast<std::size_t>(segment.n_hinges);
    for (std::size_t h = first; h < end; ++h) {
      const Hinge& hinge = hinges[h];
      const AxisColumns columns = kAxisColumns[static_cast<int>(hinge.axis)];
      const double angle = posture.angles[static_cast<Eigen::Index>(h)];
      const double cosine = std::cos(angle);
      const double sine = hinge.sign * std::sin(angle);
      double* axis = kinematics.axis_W[h].data();
      double* origin = kinematics.p_Whinge[h].data();
      for (int k = 0; k < 3; ++k) {
        axis[k] = hinge.sign * r[columns.own + k];
        origin[k] = p[k];
        const double next = r[columns.next + k];
        const double last = r[columns.last + k];
        r[columns.next + k] = cosine * next + sine * last;
        r[columns.last + k] = cosine * last - sine * next;
      }
    }
  }
}

void update_mass_sums(const Tree& tree, Kinematics& kinematics) {
  const std::size_t n = tree.segments.size();
  const Segment* segments = tree.segments.data();
  for (std::size_t s = 0; s < n; ++s) {
    kinematics.subtree_mass_kg[s] = segments[s].mass_kg;
    kinematics.subtree_mp[s] = segments[s].mass_kg * (kinematics.p_WB[s] + kinematics.R_WB[s] * segments[s].p_Bcm);
  }

  // Inward: sums over subtrees (a parent's index is below its children's).
  for (std::size_t s = n - 1; s > 0; --s) {
    const auto parent = static_cast<std::size_t>(segments[s].parent);
    kinematics.subtree_mass_kg[parent] += kinematics.subtree_mass_kg[s];
    kinematics.subtree_mp[parent] += kinematics.subtree_mp[s];
  }
  kinematics.p_Wcm = kinematics.subtree_mp[0] / kinematics.subtree_mass_kg[0];
}

Vec3 find_position(const Kinematics& kinematics, int segment, const Vec3& p_BQ) {
  const auto s = static_cast<std::size_t>(segment);
  return kinematics.p_WB[s] + kinematics.R_WB[s] * p_BQ;
}

void calc_point_jacobian(const Tree& tree, const Kinematics& kinematics, int segment, const Vec3& p_WQ, Jacobian3& J) {
  J.resize(3, tree.n_dof());
  J.setZero();
  double* columns = J.data();
  write_identity(columns);
  write_root_turn_columns(columns + 9, p_WQ - kinematics.p_WB[0]);
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const Segment& part = tree.segments[static_cast<std::size_t>(s)];
    const Vec3 d = p_WQ - kinematics.p_WB[static_cast<std::size_t>(s)];
    const int end = part.first_hinge + part.n_hinges;
    for (int h = part.first_hinge; h < end; ++h) {
      write_turn_column(columns + 3 * (6 + h), kinematics.axis_W[static_cast<std::size_t>(h)].data(), d.x(), d.y(),
                        d.z());
    }
  }
}

void calc_angular_jacobian(const Tree& tree, const Kinematics& kinematics, int segment, Jacobian3& J) {
  J.resize(3, tree.n_dof());
  J.setZero();
  J.middleCols<3>(3).setIdentity();
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const Segment& part = tree.segments[static_cast<std::size_t>(s)];
    for (int h = part.first_hinge; h < part.first_hinge + part.n_hinges; ++h) {
      J.col(6 + h) = kinematics.axis_W[static_cast<std::size_t>(h)];
    }
  }
}

void calc_com_jacobian(const Tree& tree, const Kinematics& kinematics, Jacobian3& J) {
  J.resize(3, tree.n_dof());
  double* columns = J.data();
  const double inverse_mass = 1.0 / kinematics.subtree_mass_kg[0];
  write_identity(columns);
  write_root_turn_columns(columns + 9, kinematics.p_Wcm - kinematics.p_WB[0]);
  const std::size_t n = tree.segments.size();
  for (std::size_t s = 1; s < n; ++s) {
    const Segment& part = tree.segments[s];
    const Vec3 d = inverse_mass * (kinematics.subtree_mp[s] - kinematics.subtree_mass_kg[s] * kinematics.p_WB[s]);
    const int end = part.first_hinge + part.n_hinges;
    for (int h = part.first_hinge; h < end; ++h) {
      write_turn_column(columns + 3 * (6 + h), kinematics.axis_W[static_cast<std::size_t>(h)].data(), d.x(), d.y(),
                        d.z());
    }
  }
}

void calc_gravity_torques(const Tree& tree, const Kinematics& kinematics, DofVector& torques) {
  torques.resize(tree.n_dof());
  const double weight = kGravity * kinematics.subtree_mass_kg[0];
  const Vec3 lever = kinematics.p_Wcm - kinematics.p_WB[0];
  torques.head<6>() << 0.0, 0.0, weight, weight * lever.y(), -weight * lever.x(), 0.0;
  const std::size_t n = tree.segments.size();
  for (std::size_t s = 1; s < n; ++s) {
    const Segment& part = tree.segments[s];
    const Vec3 d = kGravity * (kinematics.subtree_mp[s] - kinematics.subtree_mass_kg[s] * kinematics.p_WB[s]);
    for (int h = part.first_hinge; h < part.first_hinge + part.n_hinges; ++h) {
      const Vec3& axis = kinematics.axis_W[static_cast<std::size_t>(h)];
      torques[6 + h] = axis.x() * d.y() - axis.y() * d.x();  // z . (axis x d)
    }
  }
}

void calc_holding_torques(const Tree& tree, const Kinematics& kinematics, const AppliedForce* forces, int n_forces,
                          DofVector& torques) {
  calc_gravity_torques(tree, kinematics, torques);
  for (int k = 0; k < n_forces; ++k) {
    const AppliedForce& force = forces[k];
    torques.head<3>() -= force.f_Q_W;
    torques.segment<3>(3) -= (force.p_WQ - kinematics.p_WB[0]).cross(force.f_Q_W);
    for (int s = force.segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
      const Segment& part = tree.segments[static_cast<std::size_t>(s)];
      const Vec3 moment = (force.p_WQ - kinematics.p_WB[static_cast<std::size_t>(s)]).cross(force.f_Q_W);
      for (int h = part.first_hinge; h < part.first_hinge + part.n_hinges; ++h) {
        torques[6 + h] -= kinematics.axis_W[static_cast<std::size_t>(h)].dot(moment);
      }
    }
  }
}

}  // namespace steepwright::body
