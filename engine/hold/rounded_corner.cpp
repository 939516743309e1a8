#include "engine/hold/rounded_corner.h"

#include "engine/core/units.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace steepwright::hold {

namespace {

/// Parameters: front facing, front offset, floor facing, floor offset, radius. Lengths are scaled to cm so that angles
/// and lengths weigh alike.
using Unknowns = Eigen::Matrix<double, 5, 1>;
constexpr double kScale = 0.01;
constexpr double kLargestRadius_m = 0.4;
constexpr int kMostSteps = 30;
/// Points farther off than this many times the median distance weigh less (Huber; own choice).
constexpr double kOutlier = 2.5;
constexpr double kLeastOutlier_m = 3e-5;
/// Least and greatest angle between front and floor, rad: below, lines have no corner.
constexpr double kLeastTurn = rad_from_deg(6.0);
constexpr double kLargestTurn = rad_from_deg(170.0);

Vec2 normal_of(double facing) { return {std::sin(facing), std::cos(facing)}; }
Vec2 along_of(double facing) { return {std::cos(facing), -std::sin(facing)}; }

RoundedCorner to_corner(const Unknowns& u) {
  RoundedCorner corner;
  corner.front_facing = u[0];
  corner.front_offset = u[1] * kScale;
  corner.floor_facing = u[0] + std::clamp(u[2] - u[0], kLeastTurn, kLargestTurn);
  corner.floor_offset = u[3] * kScale;
  corner.radius = std::clamp(u[4] * kScale, 0.0, kLargestRadius_m);
  return corner;
}

Unknowns to_unknowns(const RoundedCorner& corner) {
  Unknowns u;
  u << corner.front_facing, corner.front_offset / kScale, corner.floor_facing, corner.floor_offset / kScale,
      corner.radius / kScale;
  return u;
}

/// Point of n_front . p = a, n_floor . p = b.
Vec2 intersect(const RoundedCorner& corner, double inset) {
  Eigen::Matrix2d N;
  N.row(0) = normal_of(corner.front_facing);
  N.row(1) = normal_of(corner.floor_facing);
  return N.inverse() * Vec2(corner.front_offset - inset, corner.floor_offset - inset);
}

void calc_distances(const RoundedCorner& corner, const std::vector<Vec2>& points, Eigen::VectorXd& distances) {
  const Vec2 centre = corner.find_centre();
  const Vec2 front = normal_of(corner.front_facing);
  const Vec2 floor = normal_of(corner.floor_facing);
  const Vec2 along_front = along_of(corner.front_facing);
  const Vec2 along_floor = along_of(corner.floor_facing);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec2 d = points[i] - centre;
    double distance = d.norm() - corner.radius;
    const bool is_at_front = d.dot(along_front) <= 0.0;
    const bool is_at_floor = d.dot(along_floor) >= 0.0 && corner.has_floor;
    // Behind the centre both can hold: the nearer line counts.
    const double at_front = front.dot(points[i]) - corner.front_offset;
    const double at_floor = floor.dot(points[i]) - corner.floor_offset;
    if (is_at_front && is_at_floor) {
      distance = std::abs(at_front) < std::abs(at_floor) ? at_front : at_floor;
    } else if (is_at_front) {
      distance = at_front;
    } else if (is_at_floor) {
      distance = at_floor;
    }
    distances[static_cast<Eigen::Index>(i)] = distance;
  }
}

/// A point stands for half the outline to its neighbours.
Eigen::VectorXd find_weights(const std::vector<Vec2>& points) {
  Eigen::VectorXd weights = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double half = 0.5 * (points[i + 1] - points[i]).norm();
    weights[static_cast<Eigen::Index>(i)] += half;
    weights[static_cast<Eigen::Index>(i + 1)] += half;
  }
  return weights / std::max(weights.sum(), 1e-12);
}

Eigen::VectorXd weigh_down_outliers(const Eigen::VectorXd& weights, const Eigen::VectorXd& distances) {
  std::vector<double> sizes(static_cast<std::size_t>(distances.size()));
  for (std::size_t i = 0; i < sizes.size(); ++i) sizes[i] = std::abs(distances[static_cast<Eigen::Index>(i)]);
  std::nth_element(sizes.begin(), sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2), sizes.end());
  const double limit = std::max(kLeastOutlier_m, kOutlier * sizes[sizes.size() / 2]);
  Eigen::VectorXd robust = weights;
  for (Eigen::Index i = 0; i < robust.size(); ++i) robust[i] *= std::min(1.0, limit / std::abs(distances[i]));
  return robust;
}

/// Levenberg-Marquardt over the parameters, the offset of the floor kept free only where there is one.
class CornerSolver {
 public:
  CornerSolver(const std::vector<Vec2>& points, bool has_floor)
      : points_(points), has_floor_(has_floor), weights_(find_weights(points)), robust_(weights_) {
    const auto n = static_cast<Eigen::Index>(points.size());
    at_.resize(n);
    ahead_.resize(n);
    J_.resize(n, 5);
  }

  RoundedCorner solve(const RoundedCorner& start) {
    Unknowns u = to_unknowns(start);
    double damping = 1e-3;
    for (int step = 0; step < kMostSteps; ++step) {
      evaluate(u, at_);
      robust_ = weigh_down_outliers(weights_, at_);
      const double cost = cost_of(at_);
      fill_jacobian(u);
      const double gained = take_step(u, cost, damping);
      if (gained < 1e-9 * cost + 1e-22) break;
    }
    RoundedCorner corner = make(u);
    calc_distances(corner, points_, at_);
    corner.residual = std::sqrt(at_.cwiseAbs2().dot(weights_));
    return corner;
  }

 private:
  [[nodiscard]] RoundedCorner make(const Unknowns& u) const {
    RoundedCorner corner = to_corner(u);
    corner.has_floor = has_floor_;
    return corner;
  }
  void evaluate(const Unknowns& u, Eigen::VectorXd& distances) const { calc_distances(make(u), points_, distances); }
  [[nodiscard]] double cost_of(const Eigen::VectorXd& distances) const { return distances.cwiseAbs2().dot(robust_); }

  void fill_jacobian(const Unknowns& u) {
    constexpr double kStep = 1e-6;
    for (Eigen::Index k = 0; k < 5; ++k) {
      Unknowns moved = u;
      moved[k] += kStep;
      evaluate(moved, ahead_);
      J_.col(k) = (ahead_ - at_) / kStep;
    }
  }

  /// Returns how much the cost fell.
  double take_step(Unknowns& u, double cost, double& damping) {
    const Eigen::Matrix<double, 5, 5> A = J_.transpose() * robust_.asDiagonal() * J_;
    const Unknowns g = J_.transpose() * robust_.cwiseProduct(at_);
    for (int attempt = 0; attempt < 8; ++attempt) {
      Eigen::Matrix<double, 5, 5> D = A;
      D.diagonal() += damping * (A.diagonal() + Unknowns::Constant(1e-9));
      Unknowns trial = u - D.ldlt().solve(g);
      trial[4] = std::max(0.0, trial[4]);
      evaluate(trial, ahead_);
      const double trial_cost = cost_of(ahead_);
      if (trial_cost < cost) {
        u = trial;
        damping = std::max(1e-9, 0.2 * damping);
        return cost - trial_cost;
      }
      damping *= 8.0;
    }
    return 0.0;
  }

  const std::vector<Vec2>& points_;
  bool has_floor_;
  Eigen::VectorXd weights_, robust_, at_, ahead_;
  Eigen::Matrix<double, Eigen::Dynamic, 5> J_;
};

/// The arc that leaves as much of the corner free as the points do.
double find_first_radius(const RoundedCorner& sharp, const std::vector<Vec2>& points) {
  const Vec2 corner = sharp.find_corner();
  double nearest = 1.0;
  for (const Vec2& p : points) nearest = std::min(nearest, (p - corner).norm());
  const double half_turn = 0.5 * (sharp.floor_facing - sharp.front_facing);
  const double gap = 1.0 / std::cos(std::min(half_turn, 1.2)) - 1.0;
  return std::clamp(nearest / gap, 0.0, 0.25);
}

}  // namespace

Vec2 RoundedCorner::find_corner() const { return intersect(*this, 0.0); }
Vec2 RoundedCorner::find_centre() const { return intersect(*this, radius); }
double RoundedCorner::find_tangent_length() const { return radius * std::tan(0.5 * (floor_facing - front_facing)); }

RoundedCorner solve_rounded_corner(const std::vector<Vec2>& points, double front_facing, double floor_facing) {
  RoundedCorner start;
  start.front_facing = front_facing;
  start.floor_facing = floor_facing;
  start.front_offset = normal_of(front_facing).dot(points.front());
  start.floor_offset = normal_of(floor_facing).dot(points.back());
  start.radius = find_first_radius(start, points);
  return CornerSolver(points, true).solve(start);
}

RoundedCorner solve_front_and_arc(const std::vector<Vec2>& points, const RoundedCorner& start) {
  RoundedCorner corner = CornerSolver(points, false).solve(start);
  // The floor is what is left at the inner end: the tangent there.
  const Vec2 d = points.back() - corner.find_centre();
  corner.floor_facing = std::max(std::atan2(d.x(), d.y()), corner.front_facing + kLeastTurn);
  corner.floor_offset = normal_of(corner.floor_facing).dot(corner.find_centre()) + corner.radius;
  return corner;
}

}  // namespace steepwright::hold
