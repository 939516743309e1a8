#pragma once

/// Holds as parametric shapes, and the sites on them where a limb can act.

#include "engine/core/error.h"
#include "engine/core/frames.h"
#include "engine/core/limb.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::hold {

/// kImported: a mesh, whose sites are measured (measure.h); it has no dimensions to make it from.
enum class Family { kEdge, kSloper, kPinch, kJug, kPocket, kFootChip, kVolume, kImported };

/// What the hand or shoe rubs on. Values with their source in materials.cpp.
enum class Surface { kRawWood, kVarnishedWood, kResinTexture, kWornResin, kGrit, kPanel };

struct SurfaceFriction {
  double hand_mu = 0.0, hand_mu_sd = 0.0;
  double shoe_mu = 0.0, shoe_mu_sd = 0.0;
};

/// Chalk on the hand raises its friction by 15-20 % (Amca et al. 2012, read; Li et al. 2001 found the opposite): the
/// table's hand values are for a chalked hand, an unchalked one has them divided by this.
inline constexpr double kChalkFactor = 1.18;

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

/// A grip that a site does not allow, and why: "the walls of the pocket keep the thumb off".
struct ShutGrip {
  Grip grip = Grip::kOpenHand;
  std::string reason;
};

/// A lip line that a limb can use, in H at rotation 0.
///
/// The origin of S is the middle of the lip line, at its distance from the panel. x runs along the lip (to the
/// climber's right on a top edge), y along the floor from the lip towards the wall, z is the floor's normal. With
/// incut a, a top edge has z = (0, cos a, -sin a) in H: a positive incut leans the normal into the wall, so that the
/// floor resists pulling out. The flanks of pinches and volumes are the same floor turned about the panel's normal.
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
  int fingers = 4;       ///< that find room
  Surface surface = Surface::kRawWood;
  std::vector<Grip> grips;           ///< possible grips, best suited first; empty for feet only
  std::vector<ShutGrip> shut_grips;  ///< all others, with the reason
  bool has_thumb_face = false;       ///< an opposite flank for the thumb, within the hand's span
};

struct Hold {
  Shape shape;
  std::vector<Site> sites;

  [[nodiscard]] const Site* find_site(const std::string& name) const;  ///< nullptr when there is none
};

/// Out-of-range or contradictory dimensions, with what is allowed; keys are "width_mm", "incut_deg", ... Empty when the
/// shape can be made. Dimensions that the family does not use must be left at their defaults.
[[nodiscard]] Findings check_shape(const Shape& shape);

/// The hold with its sites. Precondition: check_shape has no errors; that rules out imported ones.
///
/// | family | sites |
/// | --- | --- |
/// | edge, jug | "lip" |
/// | sloper | "top" |
/// | pinch | "left flank", "right flank" (fingers on that flank, thumb on the other), "top" (feet) |
/// | pocket | "mouth" |
/// | foot chip | "top" (feet) |
/// | volume | "top", "left side", "right side", "front" (feet) |
[[nodiscard]] Hold make_hold(const Shape& shape);

/// Bare panel as a site for a smearing foot: S has z out of the panel and y up-slope (S = P turned by nothing).
[[nodiscard]] Site make_panel_site();

[[nodiscard]] std::string_view name_of(Family family);
[[nodiscard]] std::optional<Family> family_from_name(std::string_view name);
[[nodiscard]] std::string_view name_of(Surface surface);
[[nodiscard]] std::optional<Surface> surface_from_name(std::string_view name);

}  // namespace steepwright::hold
