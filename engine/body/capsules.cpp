#include "engine/body/joints.h"

#include <algorithm>

namespace steepwright::body {

namespace {

// Radii of limbs at their upper and lower end as shares of stature (assumed: half of usual girths over 2 pi; the survey
// table has no limb girths), before the person's own flesh scale.
struct LimbRadii {
  double upper = 0.0, lower = 0.0;
};
constexpr LimbRadii kUpperArm = {0.029, 0.024};
constexpr LimbRadii kForearm = {0.025, 0.017};
constexpr LimbRadii kThigh = {0.047, 0.034};
constexpr LimbRadii kShank = {0.033, 0.022};
constexpr double kHeelRadius = 0.020;
// Half the thickness of a hand and of a foot's front (assumed), m.
constexpr double kHandRadius_m = 0.018;
constexpr double kForefootRadius_m = 0.020;
constexpr double kFingertipRadius_m = 0.002;
// Depth of the trunk below the chest, of chest depth (assumed).
constexpr double kAbdomenOnChestDepth = 0.88;
constexpr double kPelvisOnChestDepth = 0.90;

void add_capsule(Body& body, const std::string& name, const std::string& segment, const Vec3& pA_B, const Vec3& pB_B,
                 double radius_A, double radius_B, std::optional<Limb> only_when_free = std::nullopt) {
  body.capsules.push_back({name, body.tree.find_segment(segment), pA_B, pB_B, radius_A, radius_B, only_when_free});
}

// A capsule across the body at a height in its segment: as broad and deep as given.
void add_trunk_capsule(Body& body, const std::string& segment, double height, double breadth, double depth) {
  const double radius = 0.5 * depth;
  const Vec3 end(std::max(0.5 * breadth - radius, 0.0), 0.0, 0.0);
  const Vec3 middle(0.0, 0.0, height);
  add_capsule(body, segment, segment, middle - end, middle + end, radius, radius);
}

}  // namespace

void add_capsules(Body& body, const Lengths& lengths) {
  const double flesh = lengths.flesh_scale;
  const double depth = flesh * lengths.chest_depth;
  const double lower = lengths.omphalion_height - lengths.hip_height;
  const double middle = lengths.xiphion_height - lengths.omphalion_height;
  const double chest = lengths.shoulder_height - lengths.xiphion_height;
  add_trunk_capsule(body, "pelvis", 0.4 * lower, flesh * lengths.hip_breadth, kPelvisOnChestDepth * depth);
  add_trunk_capsule(body, "abdomen", 0.4 * middle, flesh * lengths.chest_breadth, kAbdomenOnChestDepth * depth);
  add_trunk_capsule(body, "thorax", 0.4 * chest, flesh * lengths.chest_breadth, depth);

  // The skull: as high above the top of its sphere as the head is deep.
  const double head_radius = 0.5 * lengths.head_length;
  const Vec3 head_center(0.0, 0.0, lengths.stature - lengths.cervicale_height - head_radius);
  add_capsule(body, "head", "head", head_center, head_center, head_radius, head_radius);

  const double limb = flesh * lengths.stature;
  for (const Side side : {Side::kLeft, Side::kRight}) {
    const auto add_limb = [&](const char* part, double length, const LimbRadii& radii) {
      const std::string name = name_of(side, part);
      add_capsule(body, name, name, Vec3::Zero(), Vec3(0.0, 0.0, -length), limb * radii.upper, limb * radii.lower);
    };
    add_limb("upper arm", lengths.upper_arm, kUpperArm);
    add_limb("forearm", lengths.forearm, kForearm);
    add_limb("thigh", lengths.hip_height - lengths.knee_height, kThigh);
    add_limb("shank", lengths.knee_height - lengths.ankle_height, kShank);
    const double heel_radius = kHeelRadius * lengths.stature;
    const double heel_height = heel_radius - lengths.ankle_height;
    const Vec3 heel(0.0, -kHeelBehindAnkle_of_foot * lengths.foot_length + heel_radius, heel_height);
    const Vec3 mid_foot(0.0, 0.15 * lengths.foot_length, heel_height);
    add_capsule(body, name_of(side, "heel"), name_of(side, "foot"), heel, mid_foot, heel_radius, heel_radius);

    const bool is_left_side = side == Side::kLeft;
    // A free hand is relaxed: it ends where the open hand's pads are.
    const Vec3 fingertips = body.hand_stations[index_of(side)][static_cast<std::size_t>(Grip::kOpenHand)].p_BC;
    add_capsule(body, name_of(side, "hand"), name_of(side, "hand"), Vec3::Zero(), fingertips, kHandRadius_m,
                kHandRadius_m, is_left_side ? Limb::kLeftHand : Limb::kRightHand);
    // On a hold, too, the end of the hand as it is drawn and recorded stays out of the wall.
    add_capsule(body, name_of(side, "fingertips"), name_of(side, "hand"), fingertips, fingertips, kFingertipRadius_m,
                kFingertipRadius_m);
    // The toes' flesh ends over the contact point of the shoe, which so lies on its surface.
    const Vec3 toes = body.foot_stations[index_of(side)].p_BC + Vec3(0.0, 0.0, kForefootRadius_m);
    add_capsule(body, name_of(side, "toes"), name_of(side, "foot"), mid_foot, toes, heel_radius, kForefootRadius_m,
                is_left_side ? Limb::kLeftFoot : Limb::kRightFoot);
  }
}

}  // namespace steepwright::body
