#include "engine/grip/capacity.h"

#include "engine/core/constants.h"
#include "engine/core/units.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Every bound of a capacity set must be positive: a force no smaller than this can always be held.
constexpr double kLeastForce_N = 1.0;

/// Corners of the hull that change the set by less than this share are left out: fewer bounds for the statics.
constexpr double kFlatCorner = 0.01;

/// A pinching thumb's force, share of all finger flexors: its own flexors and the adductor have 8.9 parts of tension to
/// their 19.8 (Brand et al. 1981, from memory), of which about a third reaches the tip (assumed).
constexpr double kThumbPinchShare = 0.15;
constexpr double kPinchHalfAngle = rad_from_deg(85.0);
/// In a pinch the forearm lies along the site, not across it: the wrist does not limit the fingers' posture.
constexpr double kPinchSwing = rad_from_deg(80.0);

/// Corners in order of the pull angle (clockwise about the origin in y, z), and the origin between last and first.
using Corners = BoundedVector<Vec2, kPullCount>;

Corners make_hull(const HandFan& fan) {
  Corners hull;
  for (std::size_t i = 0; i < kPullCount; ++i) {
    const Vec2 p = std::max(kLeastForce_N, fan.force_N[i]) * pull_direction(fan.pulls[i]);
    // Turning left at the last corner would be a dent.
    while (hull.size() >= 2 && cross(hull.back() - hull[hull.size() - 2], p - hull.back()) >= 0.0) hull.pop_back();
    hull.push_back(p);
  }
  return hull;
}

/// Cuts corners that stick out least, as long as they stick out little: the set only shrinks.
void drop_flat_corners(Corners& hull) {
  while (hull.size() > 3) {
    std::size_t flattest = 0;
    double least = kFlatCorner;
    for (std::size_t i = 1; i + 1 < hull.size(); ++i) {
      // How far the chord between its neighbours cuts below the corner, as a share of its distance.
      const Vec2 chord = hull[i + 1] - hull[i - 1];
      const double on_chord = cross(hull[i - 1], chord) / cross(hull[i], chord);
      if (1.0 - on_chord < least) {
        least = 1.0 - on_chord;
        flattest = i;
      }
    }
    if (flattest == 0) return;
    for (std::size_t i = flattest; i + 1 < hull.size(); ++i) hull[i] = hull[i + 1];
    hull.pop_back();
  }
}

void add_faces(const Corners& hull, CapacitySet& set) {
  for (std::size_t i = 0; i + 1 < hull.size(); ++i) {
    const Vec2 edge = hull[i + 1] - hull[i];
    const Vec2 normal = Vec2(-edge.y(), edge.x()).normalized();
    set.bounds.push_back({Vec3(0.0, normal.x(), normal.y()), std::max(kLeastForce_N, normal.dot(hull[i]))});
  }
}

/// Support of the fingers' set in 3D: the hull's corners, each with what friction leaves along the lip.
double find_finger_support(const Corners& hull, double mu, const Vec3& c) {
  double support = 0.0;
  for (const Vec2& corner : hull) {
    const double along_lip = std::sqrt(std::max(0.0, mu * mu * corner.y() * corner.y() - corner.x() * corner.x()));
    support = std::max(support, c.y() * corner.x() + c.z() * corner.y() + std::abs(c.x()) * along_lip);
  }
  return support;
}

CapacitySet make_pinch_set(const Corners& hull, double mu, double thumb_N) {
  CapacitySet set;
  set.normal = Vec3::UnitY();
  set.mu = std::tan(kPinchHalfAngle);
  constexpr int kTurns = 8;
  for (const double tilt_deg : {-40.0, 0.0, 40.0}) {
    for (int i = 0; i < kTurns; ++i) {
      const double turn = 2.0 * kPi * i / kTurns;
      const double flat = std::cos(rad_from_deg(tilt_deg));
      const Vec3 c(flat * std::cos(turn), flat * std::sin(turn), std::sin(rad_from_deg(tilt_deg)));
      const double thumb_support = thumb_N * std::max(0.0, mu * flat - c.z());
      set.bounds.push_back({c, std::max(kLeastForce_N, find_finger_support(hull, mu, c) + thumb_support)});
    }
  }
  return set;
}

HandTask with_own_forearm(const HandTask& task) {
  HandTask own = task;
  if (task.grip == Grip::kPinch) own.forearm_swing = kPinchSwing;
  return own;
}

/// The bin whose postures serve this one too. Where the elbow comes level with the hold the wrist begins to shut
/// postures out: neighbours across that differ too much, and above each bin is searched for itself.
int find_searched_bin(int bin) {
  if (bin >= -6 && bin < -3) return -6;
  if (bin >= -3 && bin < 3) return 0;
  if (bin >= 3 && bin < 6) return 4;
  return bin;
}

}  // namespace

CapacitySet make_capacity_set(const HandTask& task, const HandFan& fan) {
  Corners hull = make_hull(fan);
  const double mu = find_mu(*task.site, *task.hand);
  if (task.grip == Grip::kPinch) return make_pinch_set(hull, mu, kThumbPinchShare * task.hand->flexor_N);
  drop_flat_corners(hull);
  CapacitySet set;
  const double lean = find_bearing_lean(hold::make_outline(*task.site));
  set.normal = Vec3(0.0, -std::sin(lean), std::cos(lean));
  set.mu = mu;
  add_faces(hull, set);
  return set;
}

CapacitySet make_hand_capacity(const HandTask& task, FingerSearch& search) {
  return make_capacity_set(task, calc_hand_fan(with_own_forearm(task), search));
}

double find_capacity_along(const CapacitySet& set, double angle) {
  const Vec3 direction(0.0, std::sin(angle), std::cos(angle));
  constexpr double kBorder = 1e-9;  // rad: the border belongs to the set
  if (find_slip_margin(set, direction) < -kBorder) return 0.0;
  const double use_per_N = find_capacity_use(set, direction);
  return use_per_N > 0.0 ? 1.0 / use_per_N : 0.0;
}

double round_to_forearm_bin(double forearm_swing) { return kForearmBin * std::round(forearm_swing / kForearmBin); }

double find_forearm_swing(const Vec3& forearm_S) { return std::atan2(forearm_S.y(), forearm_S.z()); }

const HandLeads& CapacityCache::find_leads(const HandTask& task, const Key& key) {
  const auto found = leads_.find(key);
  if (found != leads_.end()) return found->second;
  HandLeads& leads = leads_[key];
  sets_.emplace(key, make_capacity_set(task, calc_hand_fan(with_own_forearm(task), search_, &leads)));
  return leads;
}

const CapacitySet& CapacityCache::find(const hold::Site& site, Grip grip, double forearm_swing) {
  const int bin = grip == Grip::kPinch ? 0 : static_cast<int>(std::lround(forearm_swing / kForearmBin));
  Key key{site.depth_m, site.incut, site.lip_radius_m, site.mouth_m, site.fingers, site.surface, grip, bin};
  const auto found = sets_.find(key);
  if (found != sets_.end()) return found->second;
  HandTask task{&site, grip, &hand_, find_searched_bin(bin) * kForearmBin};
  key.bin = find_searched_bin(bin);
  const HandLeads& leads = find_leads(task, key);
  if (key.bin != bin) {
    key.bin = bin;
    task.forearm_swing = bin * kForearmBin;
    sets_.emplace(key, make_capacity_set(task, turn_hand_fan(task, leads, search_)));
  }
  return sets_.at(key);
}

CapacitySet make_foot_capacity(const hold::Site& site, double mass_kg) {
  const double depth_share = std::clamp(site.depth_m / kFullFootDepth_m, 0.0, 1.0);
  CapacitySet set;
  set.mu = hold::friction_of(site.surface, /*chalked=*/true).shoe_mu;
  set.bounds.push_back({Vec3::UnitZ(), std::max(kLeastForce_N, kFootForceShare * depth_share * mass_kg * kGravity)});
  return set;
}

}  // namespace steepwright::grip
