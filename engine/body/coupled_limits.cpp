#include "engine/body/joints.h"
#include "engine/body/tables/ranges.h"
#include "engine/core/units.h"

#include <cmath>

namespace steepwright::body {

namespace {

using Angles = std::array<double, 3>;  // flexion, abduction, rotation; degrees

// Known ends of a joint's range, each a point on the border of the coupled limit, degrees.
struct KnownEnds {
  Angles center{};
  Angles flexion_low{}, flexion_high{};
  Angles abduction_low{};
  Angles abduction_high_a{}, abduction_high_b{};  // at two flexions: their line gives the slope
  Angles rotation_low{}, rotation_high{};
};

// Half-ranges about the centre, degrees.
struct HalfRanges {
  Angles low{}, high{};
  double slope = 0.0;

  [[nodiscard]] double find_share(const KnownEnds& ends, const Angles& q, std::size_t k) const {
    const double offset = q[k] - ends.center[k];
    if (offset < 0.0) return offset / low[k];
    return offset / (k == 1 ? high[1] + slope * (q[0] - ends.center[0]) : high[k]);
  }
  // Half-range of hinge k on the side of the point that puts it on the border.
  [[nodiscard]] double find_half(const KnownEnds& ends, const Angles& q, std::size_t k) const {
    double rest = 1.0;
    for (std::size_t other = 0; other < 3; ++other) {
      if (other != k) rest -= std::pow(find_share(ends, q, other), 4);
    }
    return std::abs(q[k] - ends.center[k]) / std::pow(std::max(rest, 0.05), 0.25);
  }
};

// Half-ranges for which every known end lies on the border. They depend on each other weakly: fixed-point iteration.
HalfRanges solve_half_ranges(const KnownEnds& ends) {
  constexpr int kIterations = 60;
  HalfRanges half;
  half.low = {90.0, 90.0, 90.0};
  half.high = {90.0, 90.0, 90.0};
  for (int i = 0; i < kIterations; ++i) {
    HalfRanges next;
    next.low = {half.find_half(ends, ends.flexion_low, 0), half.find_half(ends, ends.abduction_low, 1),
                half.find_half(ends, ends.rotation_low, 2)};
    const double at_a = half.find_half(ends, ends.abduction_high_a, 1);
    const double at_b = half.find_half(ends, ends.abduction_high_b, 1);
    next.slope = (at_b - at_a) / (ends.abduction_high_b[0] - ends.abduction_high_a[0]);
    next.high = {half.find_half(ends, ends.flexion_high, 0),
                 at_a + next.slope * (ends.center[0] - ends.abduction_high_a[0]),
                 half.find_half(ends, ends.rotation_high, 2)};
    half = next;
  }
  return half;
}

CoupledLimit make_limit(const Body& body, const std::string& joint, const KnownEnds& ends) {
  const HalfRanges half = solve_half_ranges(ends);
  CoupledLimit limit;
  limit.name = joint;
  limit.hinges = {body.tree.find_hinge(joint + " flexion"), body.tree.find_hinge(joint + " abduction"),
                  body.tree.find_hinge(joint + " internal rotation")};
  for (std::size_t k = 0; k < 3; ++k) {
    limit.center[k] = rad_from_deg(ends.center[k]);
    limit.lower[k] = rad_from_deg(ends.center[k] - half.low[k]);
    limit.upper[k] = rad_from_deg(ends.center[k] + half.high[k]);
  }
  limit.abduction_slope = half.slope;
  return limit;
}

// Adduction is known near mid-flexion; abduction straight and, wider, bent with outward rotation (half of its range).
KnownEnds find_hip_ends(Flexibility flexibility) {
  const auto value = [&](const tables::ByProfile& table) { return tables::find_for(table, flexibility); };
  // The bent end must be reachable, not only touched.
  constexpr double kInside = 1.01;
  KnownEnds ends;
  ends.center = {50.0, 5.0, 0.0};
  ends.flexion_low = {-value(tables::kHipExtension), 0.0, 0.0};
  ends.flexion_high = {value(tables::kHipFlexion), 0.0, 0.0};
  ends.abduction_low = {60.0, -value(tables::kHipAdduction), 0.0};
  ends.abduction_high_a = {0.0, value(tables::kHipAbductionStraight), 0.0};
  ends.abduction_high_b = {90.0, kInside * value(tables::kHipAbductionBent),
                           -0.5 * value(tables::kHipExternalRotation)};
  ends.rotation_low = {90.0, 0.0, -value(tables::kHipExternalRotation)};
  ends.rotation_high = {90.0, 0.0, value(tables::kHipInternalRotation)};
  return ends;
}

// Abduction follows flexion in the hinge order, so at 90 flexion it is the horizontal plane: 90 is straight to the
// side.
KnownEnds find_shoulder_ends(Flexibility flexibility) {
  const auto value = [&](const tables::ByProfile& table) { return tables::find_for(table, flexibility); };
  KnownEnds ends;
  ends.center = {60.0, 45.0, -12.0};
  ends.flexion_low = {-value(tables::kShoulderExtension), 0.0, 0.0};
  ends.flexion_high = {value(tables::kShoulderElevation), 0.0, 0.0};
  ends.abduction_low = {90.0, -value(tables::kShoulderHorizontalAdduction), 0.0};
  ends.abduction_high_a = {0.0, value(tables::kShoulderElevation), 0.0};
  ends.abduction_high_b = {90.0, 90.0 + value(tables::kShoulderHorizontalAbduction), 0.0};
  ends.rotation_low = {0.0, 90.0, -value(tables::kShoulderExternalRotation)};
  ends.rotation_high = {0.0, 90.0, value(tables::kShoulderInternalRotation)};
  return ends;
}

}  // namespace

void add_coupled_limits(Body& body) {
  for (const Side side : {Side::kLeft, Side::kRight}) {
    body.coupled_limits.push_back(
        make_limit(body, name_of(side, "shoulder"), find_shoulder_ends(body.measures.flexibility)));
    body.coupled_limits.push_back(make_limit(body, name_of(side, "hip"), find_hip_ends(body.measures.flexibility)));
  }
}

}  // namespace steepwright::body
