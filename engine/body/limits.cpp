#include "engine/body/body.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::body {

namespace {

// Angle over which ligaments take up load before the end of a range (assumed).
constexpr double kLigamentRange = 8.0 * kPi / 180.0;
// Rounding of the floor of a strength curve, as a share of the peak: keeps the derivative continuous.
constexpr double kFloorRounding = 0.1;

struct ValueAndSlope {
  double value = 0.0, slope = 0.0;
};

// peak * cos(c2 (q - c3)), not below floor_share * peak, smooth.
ValueAndSlope find_clipped_cosine(double peak, double c2, double c3, double floor_share, double angle) {
  const double argument = c2 * (angle - c3);
  const double phase = std::clamp(argument, -kPi, kPi);
  const double above_floor = std::cos(phase) - floor_share;
  const double above_slope = argument == phase ? -c2 * std::sin(phase) : 0.0;
  // Smooth max(x, 0) = (x + sqrt(x^2 + e^2)) / 2.
  const double root = std::sqrt(above_floor * above_floor + kFloorRounding * kFloorRounding);
  return {peak * (floor_share + 0.5 * (above_floor + root)), peak * 0.5 * (1.0 + above_floor / root) * above_slope};
}

// 0 to 1 with zero slope at both ends while `depth` goes from 0 to kLigamentRange.
ValueAndSlope find_ligament_share(double depth) {
  const double t = std::clamp(depth / kLigamentRange, 0.0, 1.0);
  return {t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t) / kLigamentRange};
}

ValueAndSlope find_active(Body::HingeStrength::Curve curve, double peak, double c2, double c3, double floor_share,
                          double angle) {
  if (curve == Body::HingeStrength::Curve::kConstant) return {peak, 0.0};
  return find_clipped_cosine(peak, c2, c3, floor_share, angle);
}

// Even power of the gauge: |u|^4.
constexpr double fourth_power(double u) { return u * u * u * u; }

}  // namespace

CoupledLimitValue find_coupled_limit(const CoupledLimit& limit, const DofVector& angles) {
  // gauge = sum_k u_k^4, u_k = (q_k - c_k) / half-range of the side. The upper half-range of abduction grows linearly
  // with flexion. Every side meets the other at u = 0 with zero slope, so the value is smooth.
  const double flexion = angles[limit.hinges[0]];
  CoupledLimitValue result;
  result.value = 1.0;
  for (std::size_t k = 0; k < 3; ++k) {
    const double offset = angles[limit.hinges[k]] - limit.center[k];
    double half = offset >= 0.0 ? limit.upper[k] - limit.center[k] : limit.center[k] - limit.lower[k];
    double half_slope = 0.0;
    if (k == 1 && offset >= 0.0) {
      const double wanted = half + limit.abduction_slope * (flexion - limit.center[0]);
      const double least = 0.25 * half;
      half_slope = wanted > least ? limit.abduction_slope : 0.0;
      half = std::max(wanted, least);
    }
    const double u = offset / half;
    result.value -= fourth_power(u);
    result.gradient[k] -= 4.0 * u * u * u / half;
    if (k == 1) result.gradient[0] += 4.0 * fourth_power(u) / half * half_slope;
  }
  return result;
}

void calc_torque_limits(const Body& body, const DofVector& angles, TorqueLimits& limits) {
  const std::size_t n = body.tree.hinges.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Hinge& hinge = body.tree.hinges[i];
    const Body::HingeStrength& strength = body.strengths[i];
    const double angle = angles[static_cast<Eigen::Index>(i)];
    TorqueLimit& limit = limits[i];
    const ValueAndSlope lower = find_active(strength.curve_lower, strength.peak_lower, strength.c2_lower,
                                            strength.c3_lower, strength.floor_share_lower, angle);
    const ValueAndSlope upper = find_active(strength.curve_upper, strength.peak_upper, strength.c2_upper,
                                            strength.c3_upper, strength.floor_share_upper, angle);
    limit.active_lower = lower.value;
    limit.d_active_lower = lower.slope;
    limit.active_upper = upper.value;
    limit.d_active_upper = upper.slope;
    // At the upper end ligaments pull back (negative torque), at the lower end forward.
    const ValueAndSlope at_upper = find_ligament_share(angle - (hinge.upper - kLigamentRange));
    const ValueAndSlope at_lower = find_ligament_share(hinge.lower + kLigamentRange - angle);
    limit.passive_lower = strength.passive_lower * at_upper.value;
    limit.d_passive_lower = strength.passive_lower * at_upper.slope;
    limit.passive_upper = strength.passive_upper * at_lower.value;
    limit.d_passive_upper = -strength.passive_upper * at_lower.slope;
  }
}

}  // namespace steepwright::body
