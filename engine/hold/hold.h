#pragma once

/// Holds as parametric shapes, and the sites on them where a limb can act.

#include "engine/core/error.h"
#include "engine/core/frames.h"
#include "engine/core/limb.h"

#include <string>
#include <vector>

namespace steepwright::hold {

enum class Family { kEdge, kSloper, kPinch, kJug, kPocket, kFootChip, kVolume };

/// What the hand or shoe rubs on. Values with their source in materials.cpp.
enum class Surface { kRawWood, kVarnishedWood, kResinTexture, kWornResin, kGrit, kPanel };

struct SurfaceFriction {
  double hand_mu = 0.0, hand_mu_sd = 0.0;
  double shoe_mu = 0.0, shoe_mu_sd = 0.0;
};
[[nodiscard]] SurfaceFriction friction_of(Surface surface, bool chalked);

/// Dimensions of a hold, SI. Every family uses the ones that its check_shape names.
struct Shape {
  std::string name;
  Family family = Family::kEdge;
  Surface surface = Surface::kRawWood;
  double width_m = 0.0;       ///< along the lip
  double height_m = 0.0;      ///< up-slope extent of the body
  double protrusion_m = 0.0;  ///< out of the panel
  double depth_m = 0.0;       ///< of the floor, from lip to face
  double incut = 0.0;         ///< rad, floor tilted into the wall; negative: sloping out
  double lip_radius_m = 0.0;
  double mouth_m = 0.0;  ///< clear height over the floor; 0: open above
  int fingers = 4;       ///< pocket: fingers that fit
};

/// A lip line that a limb can use, in H at rotation 0.
struct Site {
  enum class Use { kHand, kFoot, kBoth };
  std::string name;  ///< "lip", "left flank", ...
  Use use = Use::kBoth;
  Pose X_HS;  ///< x along the lip, y along the floor away from the lip, z = floor normal
  double width_m = 0.0;
  double depth_m = 0.0;
  double incut = 0.0;  ///< rad
  double lip_radius_m = 0.0;
  double mouth_m = 0.0;  ///< 0: open
  int fingers = 4;
  Surface surface = Surface::kRawWood;
  std::vector<Grip> grips;  ///< possible grips, best suited first
};

struct Hold {
  Shape shape;
  std::vector<Site> sites;

  [[nodiscard]] const Site* find_site(const std::string& name) const;  ///< nullptr when there is none
};

/// Out-of-range or contradictory dimensions, with what is allowed. Empty when the shape can be made.
[[nodiscard]] Findings check_shape(const Shape& shape);

/// The hold with its sites. Precondition: check_shape has no errors.
[[nodiscard]] Hold make_hold(const Shape& shape);

[[nodiscard]] std::string_view name_of(Family family);
[[nodiscard]] std::optional<Family> family_from_name(std::string_view name);
[[nodiscard]] std::string_view name_of(Surface surface);
[[nodiscard]] std::optional<Surface> surface_from_name(std::string_view name);

}  // namespace steepwright::hold
