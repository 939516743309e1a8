#pragma once

/// Plain shapes in W (metres) with a role: what the window, the sheets and the tests draw from. No colour, no GL;
/// whoever draws decides how a role looks. Colour is reserved for `use`.

#include "engine/core/frames.h"

#include <string>
#include <vector>

namespace steepwright::figure {

enum class Role {
  kStrip,         ///< face of a kicker, panel or roof
  kProfile,       ///< side edge of a section, from the floor up
  kLatticePoint,  ///< T-nut
  kFloor,
  kRoom,
  kHold,
  kTarget,  ///< the hold that the move goes to
  kBone,
  kFlesh,
  kHead,
  kContact,
  kForce,  ///< force of the hold on the body
  kCom,    ///< centre of mass of a frame
  kComPath,
  kPlumb,      ///< from the centre of mass to the floor
  kShortfall,  ///< from where the limb ends to where it should be
};

inline constexpr int kNoFrame = -1;

/// A chain of straight pieces.
struct Line {
  Role role = Role::kBone;
  int frame = kNoFrame;  ///< index into MoveResult::frames; kNoFrame: belongs to the scene
  std::vector<Vec3> points_W;
  std::string label;
};

/// A plane polygon, counter-clockwise seen from the climber's side where it has one.
struct Face {
  Role role = Role::kStrip;
  std::vector<Vec3> corners_W;
  std::string label;
};

struct Ball {
  Role role = Role::kCom;
  int frame = kNoFrame;
  Vec3 p_W = Vec3::Zero();
  double radius_m = 0.0;
  std::string label;
};

/// A tapered capsule.
struct Tube {
  Role role = Role::kFlesh;
  int frame = kNoFrame;
  Vec3 pA_W = Vec3::Zero(), pB_W = Vec3::Zero();
  double radius_A = 0.0, radius_B = 0.0;  ///< m
};

struct Arrow {
  Role role = Role::kForce;
  int frame = kNoFrame;
  Vec3 p_W = Vec3::Zero();       ///< foot of the arrow
  Vec3 vector_W = Vec3::Zero();  ///< to its head, m
  double use = 0.0;              ///< share of the strength that is used, 1 = all
  std::string label;
};

/// Everything to draw; each list in drawing order (back to front within a role is the drawer's matter).
struct Figure {
  std::vector<Face> faces;
  std::vector<Line> lines;
  std::vector<Ball> balls;
  std::vector<Tube> tubes;
  std::vector<Arrow> arrows;
};

/// Adds all of `other` behind what `figure` has.
void append(Figure& figure, const Figure& other);

/// Smallest box around everything in the figure; lower > upper when it is empty.
struct Box {
  Vec3 lower = Vec3::Constant(1e300);
  Vec3 upper = Vec3::Constant(-1e300);
};
[[nodiscard]] Box find_box(const Figure& figure);

}  // namespace steepwright::figure
