#include "engine/body/anthropometry.h"
#include "engine/body/body.h"
#include "engine/body/joints.h"
#include "engine/body/tables/de_leva.h"
#include "engine/body/tables/strength.h"
#include "engine/core/contract.h"

namespace steepwright::body {

namespace {

using tables::InertiaSegment;

// Along what a segment's inertia table runs in its own frame.
enum class LongAxis { kVertical, kForward };

// Adds a segment without mass.
int add_segment(Body& body, const std::string& name, int parent, const Vec3& p_PB) {
  STEEPWRIGHT_ASSERT(body.tree.n_segments() < kMaxSegments);
  Segment segment;
  segment.name = name;
  segment.parent = parent;
  segment.p_PB = p_PB;
  segment.first_hinge = body.tree.n_hinges();
  body.tree.segments.push_back(segment);
  return body.tree.n_segments() - 1;
}

// Gives the last segment the mass of a table row spread between two ends in B (the first is the table's first end).
void set_inertia(Body& body, InertiaSegment row_name, const Vec3& first_end_B, const Vec3& second_end_B,
                 LongAxis long_axis = LongAxis::kVertical) {
  const tables::NormalisedInertia row = tables::find_inertia(body.measures.sex, row_name);
  Segment& segment = body.tree.segments.back();
  const double length = (second_end_B - first_end_B).norm();
  segment.mass_kg = row.mass_fraction * body.measures.mass_kg;
  segment.p_Bcm = first_end_B + row.com_fraction * (second_end_B - first_end_B);
  // x is medio-lateral; the other two swap when the segment points forward.
  Vec3 gyration(row.gyration_medio_lateral, row.gyration_antero_posterior, row.gyration_longitudinal);
  if (long_axis == LongAxis::kForward) std::swap(gyration.y(), gyration.z());
  segment.inertia_Bcm = (segment.mass_kg * (length * gyration).cwiseAbs2()).asDiagonal();
}

// Returns the index of the thorax.
int add_trunk(Body& body, const Lengths& lengths) {
  const auto up = [](double height) { return Vec3(0.0, 0.0, height); };
  const double lower = lengths.omphalion_height - lengths.hip_height;
  const double middle = lengths.xiphion_height - lengths.omphalion_height;
  const double upper = lengths.cervicale_height - lengths.xiphion_height;
  const double head = lengths.stature - lengths.cervicale_height;

  const int pelvis = add_segment(body, "pelvis", -1, Vec3::Zero());
  set_inertia(body, InertiaSegment::kLowerTrunk, up(lower), Vec3::Zero());
  const int abdomen = add_segment(body, "abdomen", pelvis, up(lower));
  set_inertia(body, InertiaSegment::kMiddleTrunk, up(middle), Vec3::Zero());
  add_lumbar_hinges(body);
  const int thorax = add_segment(body, "thorax", abdomen, up(middle));
  set_inertia(body, InertiaSegment::kUpperTrunk, up(upper), Vec3::Zero());
  add_thoracic_hinges(body);
  add_segment(body, "head", thorax, up(upper));
  set_inertia(body, InertiaSegment::kHead, up(head), Vec3::Zero());
  add_neck_hinges(body);
  return thorax;
}

void add_arm(Body& body, int thorax, Side side, const Lengths& lengths) {
  const double rise = lengths.shoulder_height - lengths.xiphion_height;
  const Vec3 p_shoulder(sign_of(side) * lengths.shoulder_half_spacing, 0.0, 0.0);
  // The girdle turns about the midline: an effective link, as long as half the shoulder spacing.
  const int girdle = add_segment(body, name_of(side, "girdle"), thorax, Vec3(0.0, 0.0, rise));
  add_girdle_hinges(body, side, lengths);
  const Vec3 p_elbow(0.0, 0.0, -lengths.upper_arm);
  const int upper_arm = add_segment(body, name_of(side, "upper arm"), girdle, p_shoulder);
  set_inertia(body, InertiaSegment::kUpperArm, Vec3::Zero(), p_elbow);
  add_shoulder_hinges(body, side);
  const Vec3 p_wrist(0.0, 0.0, -lengths.forearm);
  const int forearm = add_segment(body, name_of(side, "forearm"), upper_arm, p_elbow);
  set_inertia(body, InertiaSegment::kForearm, Vec3::Zero(), p_wrist);
  add_elbow_and_forearm_hinges(body, side);
  add_segment(body, name_of(side, "hand"), forearm, p_wrist);
  set_inertia(body, InertiaSegment::kHand, Vec3::Zero(), Vec3(0.0, 0.0, -lengths.wrist_to_tip));
  add_wrist_hinges(body, side);
}

void add_leg(Body& body, Side side, const Lengths& lengths) {
  const Vec3 p_hip(sign_of(side) * lengths.hip_half_spacing, 0.0, 0.0);
  const Vec3 p_knee(0.0, 0.0, lengths.knee_height - lengths.hip_height);
  const Vec3 p_ankle(0.0, 0.0, lengths.ankle_height - lengths.knee_height);
  const int thigh = add_segment(body, name_of(side, "thigh"), 0, p_hip);
  set_inertia(body, InertiaSegment::kThigh, Vec3::Zero(), p_knee);
  add_hip_hinges(body, side);
  const int shank = add_segment(body, name_of(side, "shank"), thigh, p_knee);
  set_inertia(body, InertiaSegment::kShank, Vec3::Zero(), p_ankle);
  add_knee_hinge(body, side);
  add_segment(body, name_of(side, "foot"), shank, p_ankle);
  // The foot's centre of mass lies about half-way between ankle joint and sole (assumed; the table has no height).
  const double height = -0.5 * lengths.ankle_height;
  const Vec3 heel(0.0, -kHeelBehindAnkle_of_foot * lengths.foot_length, height);
  const Vec3 toe(0.0, (1.0 - kHeelBehindAnkle_of_foot) * lengths.foot_length, height);
  set_inertia(body, InertiaSegment::kFoot, heel, toe, LongAxis::kForward);
  add_ankle_hinges(body, side);
}

}  // namespace

const Station& Body::station(Limb limb, Grip grip) const {
  const std::size_t side = is_left(limb) ? 0 : 1;
  return is_hand(limb) ? hand_stations[side][static_cast<std::size_t>(grip)] : foot_stations[side];
}

Body make_body(const Measures& measures) {
  Body body;
  body.measures = measures;
  body.scale = measures.stature_m / tables::kReferenceMale.stature_m;
  const Lengths lengths = find_lengths(measures);
  const int thorax = add_trunk(body, lengths);
  add_arm(body, thorax, Side::kLeft, lengths);
  add_arm(body, thorax, Side::kRight, lengths);
  add_leg(body, Side::kLeft, lengths);
  add_leg(body, Side::kRight, lengths);
  for (const Segment& segment : body.tree.segments) body.tree.mass_kg += segment.mass_kg;
  add_coupled_limits(body);
  set_stations(body, lengths);
  add_capsules(body, lengths);
  body.hand_length_m = lengths.hand_length;
  body.foot_length_m = lengths.foot_length;
  body.span_m = find_span(body);
  return body;
}

}  // namespace steepwright::body
