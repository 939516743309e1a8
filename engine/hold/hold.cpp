#include "engine/hold/hold.h"

#include "engine/core/contract.h"
#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/hold/profile.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace steepwright::hold {

namespace {

/// A pocket takes a shoe's toe from these sizes on (assumed: the toe of a climbing shoe).
constexpr double kToeWidth_m = 0.035;
constexpr double kToeHeight_m = 0.022;

/// Axes of S in H for a floor with the given incut whose uphill side looks along (-sin turn, cos turn, 0) in H:
/// turn 0 a top edge, -90 deg the right flank, +90 deg the left flank.
Mat3 floor_axes(double incut, double turn) {
  const double c = std::cos(incut);
  const double s = std::sin(incut);
  Mat3 R_top;
  R_top.col(0) = Vec3(1.0, 0.0, 0.0);
  R_top.col(1) = Vec3(0.0, -s, -c);
  R_top.col(2) = Vec3(0.0, c, -s);
  return Eigen::AngleAxisd(turn, Vec3::UnitZ()).toRotationMatrix() * R_top;
}

/// A site with the shape's own floor, lip line at p_HS.
Site make_site(const Shape& shape, std::string name, Site::Use use, double turn, const Vec3& p_HS) {
  Site site;
  site.name = std::move(name);
  site.use = use;
  site.X_HS = {floor_axes(shape.incut, turn), p_HS};
  site.width_m = shape.width_m;
  site.depth_m = shape.depth_m;
  site.incut = shape.incut;
  site.lip_radius_m = shape.lip_radius_m;
  site.mouth_m = shape.mouth_m;
  site.fingers = shape.fingers;
  site.surface = shape.surface;
  return site;
}

/// Lip of a floor on top of the body.
Vec3 top_lip(const Shape& shape) { return {0.0, 0.5 * shape.height_m - find_lip_drop(shape), shape.protrusion_m}; }

/// The upper end of a pinch, for feet: a level face as deep as the body, its edge not rounded.
Site make_top_for_feet(const Shape& shape) {
  Shape top = shape;
  top.incut = 0.0;
  top.depth_m = shape.protrusion_m;
  top.lip_radius_m = 0.0;
  top.width_m = shape.width_m - 2.0 * find_lip_drop(shape);
  return make_site(top, "top", Site::Use::kFoot, 0.0, Vec3(0.0, 0.5 * shape.height_m, shape.protrusion_m));
}

/// A floor on the left (side -1) or right (side +1) of the body, its lip line along the body's height.
Site make_flank(const Shape& shape, std::string name, Site::Use use, double side) {
  Site flank = make_site(shape, std::move(name), use, -side * 0.5 * kPi,
                         Vec3(side * (0.5 * shape.width_m - find_lip_drop(shape)), 0.0, shape.protrusion_m));
  flank.width_m = shape.height_m;
  return flank;
}

std::vector<Site> make_pinch_sites(const Shape& shape) {
  std::vector<Site> sites;
  sites.push_back(make_flank(shape, "left flank", Site::Use::kHand, -1.0));
  sites.push_back(make_flank(shape, "right flank", Site::Use::kHand, 1.0));
  const double span_m = shape.width_m - 2.0 * find_lip_drop(shape);
  for (Site& flank : sites) flank.has_thumb_face = span_m <= kThumbSpan_m;
  sites.push_back(make_top_for_feet(shape));
  return sites;
}

Site make_mouth(const Shape& shape) {
  // The bolt takes the middle: the pocket lies in the upper half.
  const bool takes_toe = shape.width_m >= kToeWidth_m && shape.mouth_m >= kToeHeight_m;
  return make_site(shape, "mouth", takes_toe ? Site::Use::kBoth : Site::Use::kHand, 0.0,
                   Vec3(0.0, find_pocket_lip(shape), shape.protrusion_m));
}

std::vector<Site> make_volume_sites(const Shape& shape) {
  std::vector<Site> sites;
  sites.push_back(make_site(shape, "top", Site::Use::kBoth, 0.0, top_lip(shape)));
  sites.push_back(make_flank(shape, "left side", Site::Use::kBoth, -1.0));
  sites.push_back(make_flank(shape, "right side", Site::Use::kBoth, 1.0));
  // The floors are mitred: a lip line ends where it meets the next one.
  const double drop_m = find_lip_drop(shape);
  sites[0].width_m -= 2.0 * drop_m;
  for (std::size_t i : {std::size_t{1}, std::size_t{2}}) {
    sites[i].width_m -= drop_m;
    sites[i].X_HS.p.y() -= 0.5 * drop_m;
  }
  Site front = make_panel_site();
  front.name = "front";
  front.X_HS.p = Vec3(0.0, 0.0, shape.protrusion_m);
  front.width_m = sites[0].width_m;
  front.surface = shape.surface;
  sites.push_back(std::move(front));
  return sites;
}

}  // namespace

const Site* Hold::find_site(const std::string& name) const {
  const auto found = std::find_if(sites.begin(), sites.end(), [&](const Site& site) { return site.name == name; });
  return found == sites.end() ? nullptr : &*found;
}

Site make_panel_site() {
  Site site;
  site.name = "panel";
  site.use = Site::Use::kFoot;
  site.X_HS = {floor_axes(-0.5 * kPi, 0.0), Vec3::Zero()};
  site.width_m = 0.1;
  site.depth_m = 0.1;
  site.incut = -0.5 * kPi;
  site.surface = Surface::kPanel;
  fill_grips(Family::kVolume, site);
  return site;
}

Hold make_hold(const Shape& shape) {
  Hold hold;
  hold.shape = shape;
  switch (shape.family) {
    case Family::kEdge:
    case Family::kJug:
      hold.sites.push_back(make_site(shape, "lip", Site::Use::kBoth, 0.0, top_lip(shape)));
      break;
    case Family::kSloper:
      hold.sites.push_back(make_site(shape, "top", Site::Use::kBoth, 0.0, top_lip(shape)));
      break;
    case Family::kPinch:
      hold.sites = make_pinch_sites(shape);
      break;
    case Family::kPocket:
      hold.sites.push_back(make_mouth(shape));
      break;
    case Family::kFootChip:
      hold.sites.push_back(make_site(shape, "top", Site::Use::kFoot, 0.0, top_lip(shape)));
      break;
    case Family::kVolume:
      hold.sites = make_volume_sites(shape);
      break;
    case Family::kImported:
      STEEPWRIGHT_ASSERT(shape.family != Family::kImported);
      break;
  }
  for (Site& site : hold.sites) fill_grips(shape.family, site);
  return hold;
}

}  // namespace steepwright::hold
