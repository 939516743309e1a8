#include "tests/peers/simbody/simbody_model.h"

#include <Simbody.h>

namespace steepwright::peers {

using namespace SimTK;

namespace {

Vec3 to_simtk(const std::array<double, 3>& v) { return Vec3(v[0], v[1], v[2]); }
std::array<double, 3> from_simtk(const Vec3& v) { return {v[0], v[1], v[2]}; }

Vec3 unit(int axis) {
  Vec3 e(0);
  e[axis] = 1.0;
  return e;
}

// Mobilizer frame whose x, y, z are three given perpendicular axes.
Rotation frame_of(const Vec3& x, const Vec3& y, const Vec3& z) {
  Mat33 m;
  m.col(0) = x;
  m.col(1) = y;
  m.col(2) = z;
  return Rotation(m);
}

}  // namespace

struct SimbodyModel::Impl {
  MultibodySystem system;
  SimbodyMatterSubsystem matter{system};
  std::vector<MobilizedBody> bodies;
  std::vector<PlainSegment> segments;
  std::vector<double> signs;     // per hinge, with the handedness of the mobilizer's third axis
  std::vector<int> column_of_u;  // engine's column of Simbody's u
  std::vector<double> sign_of_u;
  State state;
  std::vector<Vector> postures;
  double gravity = 0.0;

  Matrix com_jacobian;
  Vector_<SpatialVec> com_forces[3];
  Vector com_column;
  double mass = 0.0;
  Array_<MobilizedBodyIndex> station_bodies;
  Array_<Vec3> stations;
  Matrix station_jacobian;

  void add_body(const PlainSegment& segment) {
    const Body::Rigid rigid(
        MassProperties(segment.mass_kg, to_simtk(segment.p_Bcm),
                       segment.mass_kg * UnitInertia::sphere(0.1).shiftFromCentroid(to_simtk(segment.p_Bcm))));
    if (segment.parent < 0) {
      bodies.push_back(MobilizedBody::Free(matter.Ground(), Transform(), rigid, Transform()));
      return;
    }
    MobilizedBody& parent = bodies[static_cast<std::size_t>(segment.parent)];
    const Vec3 p = to_simtk(segment.p_PB);
    const std::size_t n = segment.hinges.size();
    // A turn about -e by q is one about e by -q: hand signs to the coordinates, except where the third axis of a
    // right-handed mobilizer frame is the negative of the hinge's.
    const auto add_sign = [&](std::size_t i, double handedness) {
      signs.push_back(segment.hinges[i].sign * handedness);
    };
    if (n == 1) {
      const Vec3 z = unit(segment.hinges[0].axis);
      const Vec3 x = unit((segment.hinges[0].axis + 1) % 3);
      const Rotation R = frame_of(x, z % x, z);
      bodies.push_back(MobilizedBody::Pin(parent, Transform(R, p), rigid, Transform(R)));
      add_sign(0, 1.0);
      return;
    }
    const Vec3 x = unit(segment.hinges[0].axis);
    const Vec3 y = unit(segment.hinges[1].axis);
    const Vec3 z = x % y;
    const Rotation R = frame_of(x, y, z);
    add_sign(0, 1.0);
    add_sign(1, 1.0);
    if (n == 2) {
      bodies.push_back(MobilizedBody::Universal(parent, Transform(R, p), rigid, Transform(R)));
    } else {
      bodies.push_back(MobilizedBody::Gimbal(parent, Transform(R, p), rigid, Transform(R)));
      add_sign(2, dot(z, unit(segment.hinges[2].axis)));
    }
  }
};

SimbodyModel::SimbodyModel(const std::vector<PlainSegment>& segments, double gravity)
    : impl_(std::make_unique<Impl>()) {
  Impl& m = *impl_;
  m.segments = segments;
  m.gravity = gravity;
  for (const PlainSegment& segment : segments) {
    m.add_body(segment);
    m.mass += segment.mass_kg;
  }
  m.system.realizeTopology();
  m.state = m.system.getDefaultState();
  m.system.realizeModel(m.state);

  // Simbody's u: root angular velocity, root linear velocity, then hinges in the order of the segments.
  int hinge = 0;
  m.column_of_u.resize(static_cast<std::size_t>(m.state.getNU()));
  m.sign_of_u.assign(static_cast<std::size_t>(m.state.getNU()), 1.0);
  for (std::size_t b = 0; b < segments.size(); ++b) {
    const int first = m.bodies[b].getFirstUIndex(m.state);
    if (b == 0) {
      for (int k = 0; k < 3; ++k) {
        m.column_of_u[static_cast<std::size_t>(first + k)] = 3 + k;
        m.column_of_u[static_cast<std::size_t>(first + 3 + k)] = k;
      }
      continue;
    }
    for (std::size_t h = 0; h < segments[b].hinges.size(); ++h, ++hinge) {
      const auto u = static_cast<std::size_t>(first) + h;
      m.column_of_u[u] = 6 + hinge;
      m.sign_of_u[u] = m.signs[static_cast<std::size_t>(hinge)];
    }
  }
  m.com_jacobian.resize(3, m.state.getNU());
  for (Vector_<SpatialVec>& forces : m.com_forces) forces.resize(m.matter.getNumBodies());
}

SimbodyModel::~SimbodyModel() = default;

int SimbodyModel::add_posture(const std::array<double, 3>& p_WB, const std::array<double, 9>& R_WB,
                              const std::vector<double>& angles) {
  Impl& m = *impl_;
  const Mat33 R(R_WB[0], R_WB[1], R_WB[2], R_WB[3], R_WB[4], R_WB[5], R_WB[6], R_WB[7], R_WB[8]);
  m.bodies[0].setQToFitTransform(m.state, Transform(Rotation(R), to_simtk(p_WB)));
  std::size_t hinge = 0;
  for (std::size_t b = 1; b < m.bodies.size(); ++b) {
    for (std::size_t h = 0; h < m.segments[b].hinges.size(); ++h, ++hinge) {
      m.bodies[b].setOneQ(m.state, static_cast<int>(h), m.signs[hinge] * angles[hinge]);
    }
  }
  m.postures.push_back(m.state.getQ());
  return static_cast<int>(m.postures.size()) - 1;
}

void SimbodyModel::set_posture(int index) {
  Impl& m = *impl_;
  m.state.updQ() = m.postures[static_cast<std::size_t>(index)];
  m.system.realize(m.state, Stage::Position);
}

std::array<double, 3> SimbodyModel::find_com() const {
  return from_simtk(impl_->matter.calcSystemMassCenterLocationInGround(impl_->state));
}

std::array<double, 3> SimbodyModel::find_position(int segment, const std::array<double, 3>& p_BQ) const {
  const MobilizedBody& body = impl_->bodies[static_cast<std::size_t>(segment)];
  return from_simtk(body.findStationLocationInGround(impl_->state, to_simtk(p_BQ)));
}

void SimbodyModel::calc_com_jacobian() {
  Impl& m = *impl_;
  for (std::size_t b = 0; b < m.bodies.size(); ++b) {
    const MobilizedBody& body = m.bodies[b];
    const Vec3 arm = body.getBodyRotation(m.state) * to_simtk(m.segments[b].p_Bcm);
    const double share = m.segments[b].mass_kg / m.mass;
    for (int k = 0; k < 3; ++k) {
      const Vec3 force = share * unit(k);
      m.com_forces[k][body.getMobilizedBodyIndex()] = SpatialVec(arm % force, force);
    }
  }
  for (int k = 0; k < 3; ++k) {
    m.matter.multiplyBySystemJacobianTranspose(m.state, m.com_forces[k], m.com_column);
    for (int u = 0; u < m.com_column.size(); ++u) m.com_jacobian(k, u) = m.com_column[u];
  }
}

void SimbodyModel::set_stations(const std::vector<int>& segments, const std::vector<std::array<double, 3>>& p_BQ) {
  Impl& m = *impl_;
  m.station_bodies.clear();
  m.stations.clear();
  for (std::size_t i = 0; i < segments.size(); ++i) {
    m.station_bodies.push_back(m.bodies[static_cast<std::size_t>(segments[i])].getMobilizedBodyIndex());
    m.stations.push_back(to_simtk(p_BQ[i]));
  }
}

void SimbodyModel::calc_station_jacobians() {
  Impl& m = *impl_;
  m.matter.calcStationJacobian(m.state, m.station_bodies, m.stations, m.station_jacobian);
}

std::vector<double> SimbodyModel::calc_holding_torques(const std::vector<PlainForce>& forces) const {
  const Impl& m = *impl_;
  State state = m.state;
  m.system.realize(state, Stage::Velocity);
  Vector_<SpatialVec> body_forces(m.matter.getNumBodies(), SpatialVec(Vec3(0), Vec3(0)));
  for (std::size_t b = 0; b < m.bodies.size(); ++b) {
    m.bodies[b].applyForceToBodyPoint(state, to_simtk(m.segments[b].p_Bcm),
                                      Vec3(0, 0, -m.segments[b].mass_kg * m.gravity), body_forces);
  }
  for (const PlainForce& force : forces) {
    m.bodies[static_cast<std::size_t>(force.segment)].applyForceToBodyPoint(state, to_simtk(force.p_BQ),
                                                                            to_simtk(force.f_Q_W), body_forces);
  }
  Vector residual;
  m.matter.calcResidualForceIgnoringConstraints(state, Vector(state.getNU(), 0.0), body_forces,
                                                Vector(state.getNU(), 0.0), residual);
  std::vector<double> torques(static_cast<std::size_t>(residual.size()));
  for (int u = 0; u < residual.size(); ++u) {
    const auto i = static_cast<std::size_t>(u);
    torques[static_cast<std::size_t>(m.column_of_u[i])] = m.sign_of_u[i] * residual[u];
  }
  return torques;
}

double SimbodyModel::com_jacobian(int row, int column) const {
  const Impl& m = *impl_;
  for (std::size_t u = 0; u < m.column_of_u.size(); ++u) {
    if (m.column_of_u[u] == column) return m.sign_of_u[u] * m.com_jacobian(row, static_cast<int>(u));
  }
  return NaN;
}

double SimbodyModel::station_jacobian(int station, int row, int column) const {
  const Impl& m = *impl_;
  for (std::size_t u = 0; u < m.column_of_u.size(); ++u) {
    if (m.column_of_u[u] == column) {
      return m.sign_of_u[u] * m.station_jacobian(3 * station + row, static_cast<int>(u));
    }
  }
  return NaN;
}

}  // namespace steepwright::peers
