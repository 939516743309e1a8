#include "engine/move/risk_draw.h"

#include "engine/core/random.h"

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

constexpr double kSamePlace_m = 1e-3;
/// Streams of one seed that do not meet.
constexpr std::uint64_t kPerDraw = 0xD1B54A32D192ED03ULL;

bool is_below(const body::Tree& tree, int segment, int ancestor) {
  for (int s = segment; s >= 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    if (s == ancestor) return true;
  }
  return false;
}

/// The segment nearest the root that carries only this limb.
int find_limb_root(const body::Tree& tree, int end) {
  int root = end;
  for (int s = end; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const int parent = tree.segments[static_cast<std::size_t>(s)].parent;
    const auto n_children = std::count_if(tree.segments.begin(), tree.segments.end(),
                                          [parent](const body::Segment& segment) { return segment.parent == parent; });
    root = s;
    if (n_children > 1) break;
  }
  return root;
}

}  // namespace

BuildPart find_build_part(const body::Body& body, int segment) {
  for (const Limb limb : kLimbs) {
    const int root = find_limb_root(body.tree, body.station(limb, Grip::kOpenHand).segment);
    if (is_below(body.tree, segment, root)) return is_hand(limb) ? BuildPart::kArms : BuildPart::kLegs;
  }
  return BuildPart::kTrunk;
}

RiskDraw make_risk_draw(const RiskOptions& options, std::size_t n_places, std::uint64_t number) {
  const RiskSpreads& spreads = options.spreads;
  RandomStream random(RandomStream(options.seed ^ (kPerDraw * (number + 1))).next());
  const auto factor = [&random](double spread) { return std::exp(spread * random.normal()); };
  RiskDraw draw;
  draw.skin = factor(spreads.friction);
  draw.rubber = factor(spreads.friction);
  draw.fingers = factor(spreads.fingers);
  draw.joints = factor(spreads.joints);
  for (double& share : draw.mass_share) share = factor(spreads.build) - 1.0;
  for (std::size_t i = 0; i < n_places; ++i) {
    RiskDraw::Place place;
    for (double& shift_m : place.shift_m) shift_m = spreads.place_m * random.normal();
    for (double& tilt : place.tilt) tilt = spreads.tilt * random.normal();
    draw.places.push_back(place);
  }
  return draw;
}

std::vector<std::vector<int>> find_risk_places(const MoveResult& result, std::size_t& n_places) {
  struct Place {
    Limb limb;
    Vec3 p_WC;
  };
  std::vector<Place> places;
  std::vector<std::vector<int>> of_frames;
  for (const Frame& frame : result.frames) {
    std::vector<int>& of_contacts = of_frames.emplace_back();
    for (const ContactResult& contact : frame.contacts) {
      const auto same = std::find_if(places.begin(), places.end(), [&contact](const Place& place) {
        return place.limb == contact.limb && (place.p_WC - contact.p_WC).norm() < kSamePlace_m;
      });
      const auto index = static_cast<std::size_t>(same - places.begin());
      if (same == places.end() && places.size() < kMaxRiskPlaces) places.push_back({contact.limb, contact.p_WC});
      of_contacts.push_back(static_cast<int>(std::min(index, kMaxRiskPlaces - 1)));
    }
  }
  n_places = places.size();
  return of_frames;
}

}  // namespace steepwright::move
