#include "engine/move/risk_frame.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

constexpr double kUsual = 0.1;         ///< share by which worlds change a limit, about one standard deviation
constexpr double kUsualForce_N = 2.0;  ///< and a force that they change even where there is little
constexpr double kLeastRoom_N = 2.0;   ///< of a point that has none: it still takes part in corrections
constexpr double kLeastBlend = 0.02;

}  // namespace

/// How many of the usual disturbances (kUsual) the forces stand before a limit at full strength is met.
double RiskFrame::find_roominess(const Base& base) const {
  double room = std::numeric_limits<double>::infinity();
  const auto add = [&room](double slack, double limit) {
    room = std::min(room, slack / (kUsual * std::abs(limit) + kUsualForce_N));
  };
  for (const statics::Contact& contact : nominal_.contacts) {
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 u = base.u.segment<3>(3 * p);
      const double u_n = contact.capacity.normal.dot(u);
      const double u_t = (u - u_n * contact.capacity.normal).norm();
      add((contact.capacity.mu * u_n - u_t) / std::max(1.0, contact.capacity.mu), u_n);
      for (const Vec3& face : contact.capacity.cone_faces) add(-face.dot(u), u_n);
      sum += u;
    }
    for (const HalfSpace& bound : contact.capacity.bounds) add(bound.b_N - bound.a.dot(sum), bound.b_N);
  }
  for (int row = 0; row < nominal_.n_torque_rows; ++row) {
    const double upper = nominal_.active_upper[row] + nominal_.passive_upper[row];
    const double lower = nominal_.active_lower[row] + nominal_.passive_lower[row];
    add(upper - base.torques[row], upper);
    add(lower + base.torques[row], lower);
  }
  return room;
}

/// Force by which the point may change before it leaves its cone or its contact's capacity.
double RiskFrame::find_point_room_N(int p, const Forces& u) const {
  const statics::Contact& contact =
      nominal_.contacts[static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(p)])];
  const CapacitySet& set = contact.capacity;
  const Vec3 f = u.segment<3>(3 * p);
  const double f_n = set.normal.dot(f);
  double room_N = (set.mu * f_n - (f - f_n * set.normal).norm()) / std::hypot(1.0, set.mu);
  Vec3 sum = Vec3::Zero();
  for (int k = contact.first_point; k < contact.first_point + contact.n_points; ++k) sum += u.segment<3>(3 * k);
  for (const HalfSpace& bound : set.bounds)
    room_N = std::min(room_N, (bound.b_N - bound.a.dot(sum)) / contact.n_points);
  return room_N;
}

/// Forces with room on all sides: a blend of those of least effort, of least friction, of largest margin and of the
/// frame's own distribution. Room is a concave function of the blend: moving towards whichever helps finds its top.
void RiskFrame::load_interior(RiskWorkspace& workspace) {
  std::vector<Base> corners;
  const auto add = [&](const Forces& u) {
    corners.push_back({u, {}, {}});
    load_base(corners.back());
  };
  for (const Start& start : starts_) add(start.base.u);
  add(distribution_);
  const statics::Margin margin = statics::solve_margin(nominal_, workspace.margin);
  if (margin.status == statics::Status::kSolved) add(margin.forces);
  const statics::NeededFriction friction = statics::solve_needed_friction(nominal_, {}, workspace.friction);
  if (friction.status == statics::Status::kSolved) add(friction.forces);

  Base best = corners.front();
  double room = find_roominess(best);
  for (double step = 0.5; step > kLeastBlend; step *= 0.5) {
    for (bool is_better = true; is_better;) {
      is_better = false;
      for (const Base& corner : corners) {
        Base moved;
        moved.u = (1.0 - step) * best.u + step * corner.u;
        moved.v = (1.0 - step) * best.v + step * corner.v;
        moved.torques = (1.0 - step) * best.torques + step * corner.torques;
        const double moved_room = find_roominess(moved);
        if (moved_room <= room + 1e-3) continue;
        room = moved_room;
        best = moved;
        is_better = true;
      }
    }
  }
  interior_ = best;
  Forces scale(nominal_.n_force());
  for (int p = 0; p < nominal_.n_points(); ++p)
    scale.segment<3>(3 * p).setConstant(std::max(kLeastRoom_N, find_point_room_N(p, best.u)));
  interior_inverse_ = make_balance_inverse(scale);
}

}  // namespace steepwright::move
