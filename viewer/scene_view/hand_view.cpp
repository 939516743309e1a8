#include "viewer/scene_view/hand_view.h"

#include "engine/body/tables/fingers.h"
#include "engine/core/units.h"
#include "engine/grip/finger.h"
#include "viewer/render/convert.h"

#include <array>
#include <cmath>

namespace steepwright::viewer {

namespace {

namespace tables = body::tables;

constexpr double kFingerGap = 0.108;  // between neighbours, of the hand's length: four span its breadth
constexpr double kKnuckle = 0.05;     // radius at the knuckles, of the hand's length
constexpr double kTip = 0.034;        // radius at the tip
constexpr double kPalm = 0.062;       // radius of the palm
constexpr double kThumbBase = 0.22;   // of the hand's length from the wrist
constexpr double kLargeShare = 1.5;

/// The hand's own axes in W, and its wrist.
struct HandFrame {
  Vec3 wrist_W, distal_W, thumbward_W, palmar_W;
  double length_m = 0.0;

  [[nodiscard]] Vec3 at(double distal_m, double thumbward_m, double palmar_m) const {
    return wrist_W + distal_m * distal_W + thumbward_m * thumbward_W + palmar_m * palmar_W;
  }
};

class HandDrawer {
 public:
  HandDrawer(const HandFrame& frame, const HandLook& look, render::RenderScene& drawn)
      : frame_(frame), look_(look), drawn_(drawn), size_(look.is_large ? kLargeShare : 1.0) {}

  void add(const Vec3& from_W, const Vec3& to_W, double radius_from, double radius_to) {
    render::Limb piece;
    piece.pA_W = render::to_glm(from_W);
    piece.pB_W = render::to_glm(to_W);
    piece.radius_A = static_cast<float>(size_ * radius_from * frame_.length_m);
    piece.radius_B = static_cast<float>(size_ * radius_to * frame_.length_m);
    piece.color = look_.color;
    piece.use_A = piece.use_B = look_.use;
    piece.opacity = look_.opacity;
    piece.is_outlined = look_.is_outlined;
    piece.pick = look_.pick;
    drawn_.limbs.push_back(piece);
  }

  [[nodiscard]] double size() const { return size_; }

 private:
  const HandFrame& frame_;
  const HandLook& look_;
  render::RenderScene& drawn_;
  double size_;
};

/// Fingers that a grip folds away instead of holding with.
bool is_folded(Grip grip, std::size_t finger) {
  switch (grip) {
    case Grip::kThreeFingerOpen:
    case Grip::kThreeFingerHalfCrimp:
      return finger == 3;
    case Grip::kTwoFingerOpen:
      return finger == 0 || finger == 3;
    default:
      return false;
  }
}

/// Where the finger starts: from the wrist and from the middle of the hand towards the thumb.
struct Knuckle {
  double distal_m = 0.0, across_m = 0.0;
};

void append_finger(const HandFrame& frame, Grip grip, std::size_t finger, const grip::Finger& bones,
                   const Knuckle& knuckle, HandDrawer& drawer) {
  constexpr tables::FingerAngles kFolded{70.0, 90.0, 40.0};
  const tables::FingerAngles angles = is_folded(grip, finger) ? kFolded : tables::find_finger_angles(grip);
  const std::array<double, 3> bones_m = {bones.proximal_m, bones.middle_m, 0.8 * bones.distal_m};
  const std::array<double, 3> bends_deg = {angles.mcp_deg, angles.pip_deg, angles.dip_deg};
  double bend = 0.0;
  double distal_m = knuckle.distal_m;
  double palmar_m = 0.0;
  Vec3 from_W = frame.at(distal_m, knuckle.across_m, palmar_m);
  for (std::size_t bone = 0; bone < bones_m.size(); ++bone) {
    bend += rad_from_deg(bends_deg[bone]);
    distal_m += bones_m[bone] * std::cos(bend);
    palmar_m += bones_m[bone] * std::sin(bend);
    const Vec3 to_W = frame.at(distal_m, knuckle.across_m, palmar_m);
    const double from_share = static_cast<double>(bone) / 3.0;
    const double to_share = static_cast<double>(bone + 1) / 3.0;
    drawer.add(from_W, to_W, std::lerp(kKnuckle, kTip, from_share), std::lerp(kKnuckle, kTip, to_share));
    from_W = to_W;
  }
}

// Over the index finger in a full crimp, against the fingers in a pinch, else along the palm's side.
void append_thumb(const HandFrame& frame, Grip grip, double knuckle_m, HandDrawer& drawer) {
  const double hand_m = frame.length_m;
  const double side_m = 2.0 * kFingerGap * hand_m * drawer.size();
  const Vec3 base_W = frame.at(kThumbBase * hand_m, 0.8 * side_m, 0.03 * hand_m);
  Vec3 middle_W = frame.at(0.42 * hand_m, 1.15 * side_m, 0.12 * hand_m);
  Vec3 tip_W = frame.at(0.58 * hand_m, 1.1 * side_m, 0.16 * hand_m);
  if (grip == Grip::kFullCrimp) {
    middle_W = frame.at(knuckle_m + 0.02 * hand_m, 1.05 * side_m, 0.22 * hand_m);
    tip_W = frame.at(knuckle_m + 0.2 * hand_m, 0.55 * side_m, 0.27 * hand_m);
  } else if (grip == Grip::kPinch) {
    middle_W = frame.at(0.4 * hand_m, 0.75 * side_m, 0.28 * hand_m);
    tip_W = frame.at(0.56 * hand_m, 0.35 * side_m, 0.42 * hand_m);
  }
  drawer.add(base_W, middle_W, 0.95 * kKnuckle, 0.9 * kKnuckle);
  drawer.add(middle_W, tip_W, 0.9 * kKnuckle, 1.1 * kTip);
}

}  // namespace

void append_hand(const body::Body& body, const body::Kinematics& kinematics, Limb hand, Grip grip, const HandLook& look,
                 render::RenderScene& drawn) {
  const body::Station& station = body.station(hand, grip);
  const Mat3& R_WB = kinematics.R_WB[static_cast<std::size_t>(station.segment)];
  HandFrame frame;
  frame.wrist_W = body::find_position(kinematics, station.segment, Vec3::Zero());
  frame.distal_W = R_WB * station.distal_B;
  frame.palmar_W = R_WB * station.palmar_B;
  frame.thumbward_W = (hand == Limb::kRightHand ? -1.0 : 1.0) * (R_WB * station.lateral_B);
  frame.length_m = body.hand_length_m;
  // The palm touches a sloper at the knuckles' height.
  const body::Station& palm = body.station(hand, Grip::kSloperPalm);
  const double tilt = rad_from_deg(tables::find_finger_angles(Grip::kSloperPalm).mcp_deg);
  const double knuckle_m = palm.p_BC.dot(palm.distal_B) + tables::kPalmThickness_m * std::sin(tilt);
  const std::array<grip::Finger, 4> fingers = grip::make_fingers({.hand_length_m = frame.length_m});
  HandDrawer drawer(frame, look, drawn);
  for (std::size_t finger = 0; finger < 4; ++finger) {
    const double across_m = (1.5 - static_cast<double>(finger)) * kFingerGap * frame.length_m * drawer.size();
    const Knuckle knuckle{knuckle_m, across_m};
    drawer.add(frame.at(0.08 * frame.length_m, 0.45 * across_m, 0.0), frame.at(knuckle_m, across_m, 0.0), kPalm,
               kKnuckle);
    append_finger(frame, grip, finger, fingers[finger], knuckle, drawer);
  }
  append_thumb(frame, grip, knuckle_m, drawer);
}

}  // namespace steepwright::viewer
