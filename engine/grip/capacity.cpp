#include "engine/grip/capacity.h"

#include "engine/core/constants.h"
#include "engine/core/units.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace steepwright::grip {

namespace {

/// Every bound of a capacity set must be positive: a force no smaller than this can always be held.
constexpr double kLeastForce_N = 1.0;

constexpr double kReferenceDepth_m = 0.020;
constexpr double kLedgeDepth_m = 0.023;

/// The ramp of find_force_share, N.
double find_ramp_force(double depth_m) {
  constexpr double kShallow_cm = 1.0;
  constexpr double kDeep_cm = 4.0;
  constexpr double kShallowForce_N = 350.8;
  constexpr double kSlope_N_per_cm = 75.0;
  const double depth_cm = 100.0 * std::max(depth_m, 0.0);
  if (depth_cm < kShallow_cm) return kShallowForce_N * depth_cm / kShallow_cm;
  return kShallowForce_N + kSlope_N_per_cm * (std::min(depth_cm, kDeep_cm) - kShallow_cm);
}

/// Directions in the floor plane by which the pinch's two cones of strength are bounded. The planes touch the cones
/// along the lip and square to it; between them the set is larger than the cones by at most 1/cos(pi/8) - 1 = 8 %.
constexpr std::size_t kPinchDirectionCount = 8;
static_assert(2 * kPinchDirectionCount + 1 <= kMaxBounds);

CapacitySet make_pinch_capacity(double mu, double finger_force_N, double thumb_force_N) {
  CapacitySet set;
  set.mu = mu * (1.0 + kThumbToFingers) / (1.0 - kThumbToFingers);
  set.bounds.push_back({Vec3::UnitZ(), finger_force_N});
  for (std::size_t i = 0; i < kPinchDirectionCount; ++i) {
    const double angle = 2.0 * kPi * static_cast<double>(i) / static_cast<double>(kPinchDirectionCount);
    const Vec3 t(std::cos(angle), std::sin(angle), 0.0);
    // t . f / mu + f_z <= 2 N_max and t . f / mu - f_z <= 2 T_max, with unit normals.
    const double scale = 1.0 / std::hypot(1.0 / mu, 1.0);
    set.bounds.push_back({scale * (t / mu + Vec3::UnitZ()), scale * 2.0 * finger_force_N});
    set.bounds.push_back({scale * (t / mu - Vec3::UnitZ()), scale * 2.0 * thumb_force_N});
  }
  return set;
}

}  // namespace

double default_edge_force(Ability ability, double mass_kg) {
  static constexpr std::array<double, 4> kBodyWeights = {0.40, 0.50, 0.70, 0.98};
  return kBodyWeights[static_cast<std::size_t>(ability)] * mass_kg * kGravity;
}

double find_force_share(double depth_m, int fingers) {
  static constexpr std::array<double, 5> kFingerShares = {0.0, 0.52, 0.78, 0.95, 1.0};
  const double depth_share = find_ramp_force(depth_m) / find_ramp_force(kReferenceDepth_m);
  return depth_share * kFingerShares[static_cast<std::size_t>(std::clamp(fingers, 0, 4))];
}

double find_normal_force(const hold::Site& site, Grip grip, const FingerStrength& strength) {
  const int fingers = std::clamp(std::min(finger_count(grip), site.fingers), 1, 4);
  const double share = grip == Grip::kJug ? find_force_share(kLedgeDepth_m, fingers) / kLedgeToJug
                                          : find_force_share(site.depth_m, fingers);
  return std::max(kLeastForce_N, strength.edge_force_N * share);
}

CapacitySet make_hand_capacity(const hold::Site& site, Grip grip, const FingerStrength& strength, bool chalked) {
  const double mu = hold::friction_of(site.surface, chalked).hand_mu;
  const double force_N = find_normal_force(site, grip, strength);
  if (grip == Grip::kPinch) {
    const double thumb_force_N =
        std::max(kLeastForce_N, std::min(kThumbForceShare * strength.edge_force_N, kThumbToFingers * force_N));
    return make_pinch_capacity(mu, force_N, thumb_force_N);
  }
  CapacitySet set;
  set.mu = mu;
  set.bounds.push_back({Vec3::UnitZ(), force_N});
  return set;
}

CapacitySet make_foot_capacity(const hold::Site& site, double mass_kg) {
  const double depth_share = std::clamp(site.depth_m / kFullFootDepth_m, 0.0, 1.0);
  CapacitySet set;
  set.mu = hold::friction_of(site.surface, /*chalked=*/true).shoe_mu;
  set.bounds.push_back({Vec3::UnitZ(), std::max(kLeastForce_N, kFootForceShare * depth_share * mass_kg * kGravity)});
  return set;
}

std::vector<Grip> make_possible_grips(const hold::Site& site) { return site.grips; }

std::string why_not(const hold::Site& site, Grip grip) {
  if (std::find(site.grips.begin(), site.grips.end(), grip) != site.grips.end()) return "";
  const auto shut = std::find_if(site.shut_grips.begin(), site.shut_grips.end(),
                                 [grip](const hold::ShutGrip& entry) { return entry.grip == grip; });
  return shut != site.shut_grips.end() ? shut->reason : "the site has no list of grips";
}

}  // namespace steepwright::grip
