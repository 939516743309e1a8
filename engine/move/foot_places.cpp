#include "engine/move/foot_places.h"

#include "engine/core/units.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

// Assumed: a foot is no nearer to a hand than this share of the reach from toe to fingertip, crosses under the other by
// no more, and stands no wider than this share of the stature.
constexpr double kLeastOfReach = 0.20;
constexpr double kMostCrossing_m = 0.10;
constexpr double kWidestOfStature = 0.75;

/// Smears: below the hands' middle, this far to either side and at these shares of the reach down the wall, m.
constexpr std::array<double, 2> kSmearAside_m = {-0.25, 0.25};
constexpr std::array<double, 3> kSmearOfReach = {0.55, 0.70, 0.85};
constexpr double kSmearEdge_m = 0.06;  ///< from a strip's edges

struct Hands {
  std::vector<Vec3> all_W;  ///< places of the hands before and after the move
  Vec3 middle_W = Vec3::Zero();
};

Hands find_hands(const Scene& scene, const Move& move) {
  Hands hands;
  for (const Limb hand : {Limb::kLeftHand, Limb::kRightHand}) {
    const std::optional<LimbPlace>& place = move.before.limbs[index_of(hand)];
    if (place) hands.all_W.push_back(find_site_pose(scene, *place).p);
  }
  if (is_hand(move.moving)) hands.all_W.push_back(find_site_pose(scene, move.target).p);
  for (const Vec3& p_W : hands.all_W) hands.middle_W += p_W / static_cast<double>(hands.all_W.size());
  return hands;
}

class PlaceFinder {
 public:
  PlaceFinder(const Scene& scene, const body::Body& body, const Move& move)
      : scene_(scene), hands_(find_hands(scene, move)), reach_m_(body::find_standing_overhead_reach(body)) {}

  std::vector<LimbPlace> find() const {
    std::vector<LimbPlace> places;
    for (std::size_t h = 0; h < scene_.holds.size(); ++h) add_hold(static_cast<int>(h), places);
    for (const double aside_m : kSmearAside_m) {
      for (const double share : kSmearOfReach) add_smear(aside_m, share * reach_m_, places);
    }
    return places;
  }

 private:
  void add_hold(int hold, std::vector<LimbPlace>& places) const {
    const std::vector<hold::Site>& sites = scene_.holds[static_cast<std::size_t>(hold)].hold.sites;
    for (std::size_t s = 0; s < sites.size(); ++s) {
      if (sites[s].use == hold::Site::Use::kHand) continue;
      LimbPlace place;
      place.hold = hold;
      place.site = static_cast<int>(s);
      if (is_within_reach(place)) {
        places.push_back(place);
        return;  // one site a hold: the first is the best suited
      }
    }
  }

  /// The point of the wall that is `down_m` from the middle of the hands.
  void add_smear(double aside_m, double down_m, std::vector<LimbPlace>& places) const {
    const double x = hands_.middle_W.x() + aside_m;
    double best_m = 1e9;
    std::optional<LimbPlace> best;
    for (std::size_t s = 0; s < scene_.wall.strips.size(); ++s) {
      const wall::Strip& strip = scene_.wall.strips[s];
      const double across_m = x - strip.X_WP.p.x();
      if (across_m < kSmearEdge_m || across_m > strip.width_m - kSmearEdge_m) continue;
      for (double up_m = kSmearEdge_m; up_m <= strip.length_m - kSmearEdge_m; up_m += 0.05) {
        LimbPlace place;
        place.strip = static_cast<int>(s);
        place.across_m = across_m;
        place.up_m = up_m;
        const Vec3 p_W = find_site_pose(scene_, place).p;
        const double off_m = std::abs((p_W - hands_.middle_W).norm() - down_m);
        if (p_W.z() >= hands_.middle_W.z() || off_m >= best_m) continue;
        best_m = off_m;
        best = place;
      }
    }
    if (best && best_m < 0.05 && is_within_reach(*best)) places.push_back(*best);
  }

  [[nodiscard]] bool is_within_reach(const LimbPlace& place) const {
    const Vec3 p_W = find_site_pose(scene_, place).p;
    return std::all_of(hands_.all_W.begin(), hands_.all_W.end(), [&](const Vec3& hand_W) {
      const double distance_m = (hand_W - p_W).norm();
      return distance_m <= reach_m_ && distance_m >= kLeastOfReach * reach_m_;
    });
  }

  const Scene& scene_;
  const Hands hands_;
  const double reach_m_;
};

bool can_stand(const Scene& scene, const body::Body& body, const FootPair& feet) {
  if (!feet[0] || !feet[1]) return true;
  const Vec3 apart_W = find_site_pose(scene, *feet[1]).p - find_site_pose(scene, *feet[0]).p;
  return apart_W.x() >= -kMostCrossing_m && apart_W.norm() <= kWidestOfStature * body.measures.stature_m;
}

}  // namespace

std::vector<FootPair> find_foot_pairs(const Scene& scene, const body::Body& body, const Move& move) {
  const FootPair given = {move.before.limbs[index_of(Limb::kLeftFoot)], move.before.limbs[index_of(Limb::kRightFoot)]};
  std::vector<FootPair> pairs = {given};
  std::vector<std::optional<LimbPlace>> places = {std::nullopt};
  for (const LimbPlace& place : PlaceFinder(scene, body, move).find()) places.emplace_back(place);
  for (const std::optional<LimbPlace>& left : places) {
    for (const std::optional<LimbPlace>& right : places) {
      FootPair feet = {left, right};
      // A foot that moves starts where the move has it.
      if (move.moving == Limb::kLeftFoot) feet[0] = given[0];
      if (move.moving == Limb::kRightFoot) feet[1] = given[1];
      const bool is_known = std::find(pairs.begin(), pairs.end(), feet) != pairs.end();
      if (!is_known && can_stand(scene, body, feet)) pairs.push_back(feet);
    }
  }
  return pairs;
}

std::string describe_feet(const Scene& scene, const FootPair& feet) {
  std::string text;
  for (const Limb foot : {Limb::kLeftFoot, Limb::kRightFoot}) {
    const std::optional<LimbPlace>& place = feet[foot == Limb::kLeftFoot ? 0 : 1];
    if (!text.empty()) text += ", ";
    text += long_name(foot);
    if (!place) {
      text += " hangs free";
    } else if (place->hold >= 0) {
      text += fmt::format(" on '{}'", scene.holds[static_cast<std::size_t>(place->hold)].name);
    } else {
      text += fmt::format(" smears on '{}' at {:.0f}, {:.0f} mm",
                          scene.wall.strips[static_cast<std::size_t>(place->strip)].name, mm_from_m(place->across_m),
                          mm_from_m(place->up_m));
    }
  }
  return text;
}

}  // namespace steepwright::move
