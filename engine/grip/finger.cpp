#include "engine/grip/finger.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Bones of index to little finger as shares of hand length: Buryanov & Kotiuk 2010, Table I (66 adults; read in
/// secondary sources) over the mean hand length 187.2 mm of ANSUR II (assumption: their own hands were not read). The
/// distal phalanx includes the pulp.
struct Bones {
  double proximal, middle, distal;
};
constexpr std::array<Bones, 4> kBones = {
    {{0.213, 0.120, 0.105}, {0.238, 0.140, 0.114}, {0.221, 0.137, 0.114}, {0.175, 0.097, 0.105}}};
constexpr double kReferenceHand_m = 0.1872;

/// Breadth at the end joint, shares of the middle finger's. Index 18 mm in men (Pheasant, from memory), the others from
/// the breadths at the middle joint: 21 index (FAA survey, read), 21.5, 20, 18 mm (from memory).
constexpr std::array<double, 4> kBreadths = {0.977, 1.0, 0.930, 0.837};
constexpr double kMiddleBreadth_of_hand = 0.0185 / kReferenceHand_m;
/// Skin of the pad from the bone's axis over the finger's breadth: 7 mm at 18.5 mm (assumed).
constexpr double kPad_of_breadth = 0.38;
/// Palm-side length of the middle finger from its crease, share of hand length: 76.8 mm of 192 mm (ANSUR II, read).
constexpr double kPalmarMiddle_of_hand = 0.400;

/// Tension fractions of the finger flexors (Brand, Beach & Thompson 1981, from memory): per cent of the total of the
/// forearm and hand. Together they give the four-finger sharing 23, 33, 25, 18 % that pressing studies report (from
/// memory of Quaine et al. 2003: 25, 33, 25, 17 %).
constexpr std::array<double, 4> kDeep = {2.7, 3.4, 3.0, 2.8};
constexpr std::array<double, 4> kSuperficial = {2.0, 3.4, 2.0, 0.9};
constexpr double kFlexorSum = 2.7 + 3.4 + 3.0 + 2.8 + 2.0 + 3.4 + 2.0 + 0.9;

/// The end joint may bend this much more than the middle joint asks for (assumed).
constexpr double kLooseDip = rad_from_deg(15.0);

constexpr AngleRange degrees(double lower_deg, double upper_deg) {
  return {rad_from_deg(lower_deg), rad_from_deg(upper_deg)};
}

constexpr std::array<bool, 4> kFour = {true, true, true, true};
constexpr std::array<bool, 4> kThree = {true, true, true, false};
constexpr std::array<bool, 4> kTwo = {false, true, true, false};

/// Middle joint: crimp 87 (sd 12), half crimp 70 (14), open hand 39 (27) degrees, eleven elite climbers (Fischer et al.
/// 2024, read): the ranges are about one standard deviation to each side, the crimp's up to the 110 degrees of
/// Vigouroux et al. 2006 (from memory). End joint: bent back in a crimp, not fully so in a half crimp (Fischer, read),
/// 50 in a slope grip (Schweizer & Hudek 2011, read); their spreads, the knuckle's range, pitch, pinch, palm and jug
/// are assumed.
GripForm make_bent(double pip_lower_deg, double pip_upper_deg, double dip_lower_deg, double dip_upper_deg) {
  GripForm form;
  form.pip = degrees(pip_lower_deg, pip_upper_deg);
  form.dip = degrees(dip_lower_deg, dip_upper_deg);
  form.mcp = degrees(-20, 75);
  form.pitch = degrees(-60, 25);
  form.bears_on_middle = false;
  form.digits = kFour;
  return form;
}

GripForm make_open(std::array<bool, 4> digits) {
  GripForm form;
  form.pip = degrees(12, 66);
  form.dip = degrees(5, 55);
  form.mcp = degrees(-20, 75);
  form.pitch = degrees(-25, 30);
  form.dip_of_pip_lower = 0.35;
  form.dip_of_pip_upper = 0.8;
  form.has_table = true;
  form.digits = digits;
  return form;
}

GripForm make_form(Grip grip) {
  GripForm form;
  switch (grip) {
    case Grip::kOpenHand:
      return make_open(kFour);
    case Grip::kThreeFingerOpen:
      return make_open(kThree);
    case Grip::kTwoFingerOpen:
      return make_open(kTwo);
    case Grip::kHalfCrimp:
      return make_bent(56, 95, -15, 20);
    case Grip::kThreeFingerHalfCrimp:
      form = make_bent(56, 95, -15, 20);
      form.digits = kThree;
      return form;
    case Grip::kFullCrimp:
      form = make_bent(75, 110, -25, -8);
      form.has_thumb_lock = true;
      return form;
    case Grip::kPinch:
      form = make_open(kFour);
      form.has_table = false;
      form.pip = degrees(20, 75);
      form.dip = degrees(0, 45);
      form.dip_of_pip_lower = 0.0;
      form.dip_of_pip_upper = 1.0;
      return form;
    case Grip::kSloperPalm:
      form = make_open(kFour);
      form.has_table = false;
      form.pip = degrees(0, 40);
      form.dip = degrees(0, 40);
      form.dip_of_pip_lower = 0.0;
      form.dip_of_pip_upper = 1.0;
      form.lays_palm = true;
      return form;
    case Grip::kJug:
      form = make_open(kFour);
      form.has_table = false;
      form.pip = degrees(50, 100);
      form.dip = degrees(5, 60);
      form.dip_of_pip_lower = 0.2;
      form.dip_of_pip_upper = 1.0;
      form.wraps_proximal = true;
      return form;
  }
  return form;
}

/// Moment arm of a tendon at a joint, m and m/rad: at straight and its growth with flexion.
struct Arm {
  double neutral_m, growth_m;
};
/// At straight: An et al. 1983, index finger (from memory). Growth with flexion: the tendons bow from the joint, about
/// 3 mm over 90 degrees at the middle joint (assumed).
constexpr Arm kDeepDip = {0.0041, 0.0004}, kDeepPip = {0.0079, 0.0024}, kDeepMcp = {0.0111, 0.0010};
constexpr Arm kSuperficialPip = {0.0062, 0.0021}, kSuperficialMcp = {0.0119, 0.0010};
/// Past straight by more than this an arm keeps its value, rad.
constexpr double kShortestArm = -0.5;

double arm_at(const Arm& arm, double flexion) { return arm.neutral_m + arm.growth_m * std::max(flexion, kShortestArm); }
double growth_at(const Arm& arm, double flexion) { return flexion > kShortestArm ? arm.growth_m : 0.0; }

/// Straightness past which the ligaments of the end joint carry their full share, rad.
constexpr double kFullPassive = rad_from_deg(10.0);
constexpr double kMostPassive = 1.0 / 3.0;

}  // namespace

std::string_view name_of(Digit digit) {
  static constexpr std::array<std::string_view, 4> kNames = {"index", "middle", "ring", "little"};
  return kNames[index_of(digit)];
}

std::array<Finger, 4> make_fingers(const HandMeasures& measures) {
  const double hand_m = measures.hand_length_m;
  const double length_factor =
      measures.middle_finger_m > 0.0 ? measures.middle_finger_m / (kPalmarMiddle_of_hand * hand_m) : 1.0;
  const double breadth_m =
      measures.finger_breadth_m > 0.0 ? measures.finger_breadth_m : kMiddleBreadth_of_hand * hand_m;
  std::array<Finger, 4> fingers;
  for (const Digit digit : kDigits) {
    const std::size_t i = index_of(digit);
    Finger& finger = fingers[i];
    finger.proximal_m = length_factor * kBones[i].proximal * hand_m;
    finger.middle_m = length_factor * kBones[i].middle * hand_m;
    finger.distal_m = length_factor * kBones[i].distal * hand_m;
    finger.breadth_m = kBreadths[i] * breadth_m;
    finger.pad_m = kPad_of_breadth * finger.breadth_m;
    finger.scale = hand_m / kReferenceHand_m;
    finger.deep_share = kDeep[i] / kFlexorSum;
    finger.superficial_share = kSuperficial[i] / kFlexorSum;
  }
  return fingers;
}

MomentArms find_moment_arms(const Finger& finger, const Flexion& flexion) {
  const double k = finger.scale;
  return {k * arm_at(kDeepDip, flexion.dip), k * arm_at(kDeepPip, flexion.pip), k * arm_at(kDeepMcp, flexion.mcp),
          k * arm_at(kSuperficialPip, flexion.pip), k * arm_at(kSuperficialMcp, flexion.mcp)};
}

MomentArms find_moment_arm_growth(const Finger& finger, const Flexion& flexion) {
  const double k = finger.scale;
  return {k * growth_at(kDeepDip, flexion.dip), k * growth_at(kDeepPip, flexion.pip),
          k * growth_at(kDeepMcp, flexion.mcp), k * growth_at(kSuperficialPip, flexion.pip),
          k * growth_at(kSuperficialMcp, flexion.mcp)};
}

double find_passive_dip_share(double dip) { return kMostPassive * std::clamp(-dip / kFullPassive, 0.0, 1.0); }

double find_passive_dip_share_growth(double dip) {
  return dip < 0.0 && dip > -kFullPassive ? -kMostPassive / kFullPassive : 0.0;
}

AngleRange find_dip_range(const GripForm& form, double pip) {
  AngleRange range = form.dip;
  if (form.dip_of_pip_upper <= 0.0) return range;
  range.lower = std::min(std::max(range.lower, form.dip_of_pip_lower * pip), range.upper);
  range.upper = std::max(std::min(range.upper, form.dip_of_pip_upper * pip + kLooseDip), range.lower);
  return range;
}

AngleRange find_pip_range(const GripForm& form, double dip) {
  AngleRange range = form.pip;
  if (form.dip_of_pip_upper <= 0.0) return range;
  range.lower = std::clamp((dip - kLooseDip) / form.dip_of_pip_upper, range.lower, range.upper);
  if (form.dip_of_pip_lower > 0.0) {
    range.upper = std::clamp(dip / form.dip_of_pip_lower, range.lower, range.upper);
  }
  return range;
}

const GripForm& find_grip_form(Grip grip) {
  static const std::array<GripForm, kGrips.size()> kForms = [] {
    std::array<GripForm, kGrips.size()> forms;
    for (const Grip each : kGrips) forms[static_cast<std::size_t>(each)] = make_form(each);
    return forms;
  }();
  return kForms[static_cast<std::size_t>(grip)];
}

}  // namespace steepwright::grip
