#include "engine/body/joints.h"

#include "engine/body/tables/ansur.h"
#include "engine/body/tables/ranges.h"
#include "engine/body/tables/strength.h"
#include "engine/core/constants.h"
#include "engine/core/contract.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::body {

namespace {

using Strength = Body::HingeStrength;
using tables::find_for;
using tables::find_peak;

// Factor from the reference person of the table to this one.
double find_size_scale(const Measures& measures) {
  const tables::ReferencePerson& reference =
      measures.sex == Sex::kMale ? tables::kReferenceMale : tables::kReferenceFemale;
  return measures.mass_kg * measures.stature_m / (reference.mass_kg * reference.stature_m);
}

// Constant strength. `positive` acts towards positive angles. `factor` is the climber's own; ligaments do not train.
Strength make_constant(const Measures& measures, const tables::PeakTorque& negative, const tables::PeakTorque& positive,
                       double factor, double ligament_on_peak = tables::kLigamentOnPeak) {
  const double scale = find_size_scale(measures);
  Strength strength;
  strength.peak_lower = factor * scale * find_peak(negative, measures.sex);
  strength.peak_upper = factor * scale * find_peak(positive, measures.sex);
  strength.passive_lower = ligament_on_peak * scale * find_peak(negative, measures.sex);
  strength.passive_upper = ligament_on_peak * scale * find_peak(positive, measures.sex);
  return strength;
}

// Strength by the cosines of Anderson et al. 2007.
Strength make_cosine(const Measures& measures, const tables::CosineTorques& negative,
                     const tables::CosineTorques& positive, double factor) {
  const double scale = measures.mass_kg * kGravity * measures.stature_m;
  const tables::CosineTorque& low = measures.sex == Sex::kMale ? negative.male : negative.female;
  const tables::CosineTorque& high = measures.sex == Sex::kMale ? positive.male : positive.female;
  Strength strength;
  strength.curve_lower = strength.curve_upper = Strength::Curve::kClippedCosine;
  strength.peak_lower = factor * scale * low.c1;
  strength.c2_lower = low.c2;
  strength.c3_lower = low.c3;
  strength.floor_share_lower = negative.floor_share;
  strength.peak_upper = factor * scale * high.c1;
  strength.c2_upper = high.c2;
  strength.c3_upper = high.c3;
  strength.floor_share_upper = positive.floor_share;
  strength.passive_lower = tables::kLigamentOnPeak * scale * low.c1;
  strength.passive_upper = tables::kLigamentOnPeak * scale * high.c1;
  return strength;
}

void add_hinge(Body& body, const std::string& name, Axis axis, double sign, double lower_deg, double upper_deg,
               const Strength& strength) {
  Tree& tree = body.tree;
  STEEPWRIGHT_ASSERT(tree.n_hinges() < kMaxHinges);
  Segment& segment = tree.segments.back();
  if (segment.n_hinges == 0) segment.first_hinge = tree.n_hinges();
  ++segment.n_hinges;
  body.strengths[tree.hinges.size()] = strength;
  tree.hinges.push_back({name, tree.n_segments() - 1, axis, sign, rad_from_deg(lower_deg), rad_from_deg(upper_deg)});
}

double profile(const Body& body, const tables::ByProfile& values_deg) {
  return find_for(values_deg, body.measures.flexibility);
}

// A trunk joint takes a share of the thoracolumbar range; its muscles run past both joints.
void add_trunk_hinges(Body& body, const std::string& name, double share_flexion, double share_extension,
                      double share_side_bend, double share_rotation) {
  const Measures& m = body.measures;
  const double side_bend = share_side_bend * profile(body, tables::kTrunkSideBend);
  const double rotation = share_rotation * profile(body, tables::kTrunkRotation);
  add_hinge(body, name + " flexion", Axis::kX, -1.0, -share_extension * profile(body, tables::kTrunkExtension),
            share_flexion * profile(body, tables::kTrunkFlexion),
            make_constant(m, tables::kTrunkExtension_Nm, tables::kTrunkFlexion_Nm, m.core_strength));
  add_hinge(body, name + " side-bend", Axis::kY, 1.0, -side_bend, side_bend,
            make_constant(m, tables::kTrunkSideBend_Nm, tables::kTrunkSideBend_Nm, m.core_strength));
  add_hinge(body, name + " rotation", Axis::kZ, 1.0, -rotation, rotation,
            make_constant(m, tables::kTrunkRotation_Nm, tables::kTrunkRotation_Nm, m.core_strength));
}

// Largest elevation of the girdle: the one with which a person of average flexibility meets the survey's standing
// overhead reach. With the arm as steep as flexion allows, the girdle raised by e lifts the shoulder by a sin e, and
// abduction cancels the tilt of the girdle: arm component along z = L sqrt(sin^2 e + cos^2 f cos^2 e).
double find_girdle_elevation(const Measures& measures, const Lengths& lengths) {
  constexpr double kMostElevation = 55.0 * kPi / 180.0;
  const double target = find_dimension(tables::kStandingOverheadReach, measures.sex, measures.stature_m);
  const double flexion = rad_from_deg(find_for(tables::kShoulderElevation, Flexibility::kAverage));
  const auto reach = [&](double e) {
    const double steep = std::cos(flexion) * std::cos(e);
    return lengths.shoulder_height + lengths.shoulder_half_spacing * std::sin(e) +
           lengths.survey_arm * std::sqrt(std::sin(e) * std::sin(e) + steep * steep);
  };
  double low = 0.0;
  double high = kMostElevation;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (reach(middle) < target ? low : high) = middle;
  }
  return low;
}

}  // namespace

void add_lumbar_hinges(Body& body) {
  add_trunk_hinges(body, "lumbar", tables::kLumbarShareFlexion, tables::kLumbarShareExtension,
                   tables::kLumbarShareSideBend, tables::kLumbarShareRotation);
}

void add_thoracic_hinges(Body& body) {
  add_trunk_hinges(body, "thoracic", 1.0 - tables::kLumbarShareFlexion, 1.0 - tables::kLumbarShareExtension,
                   1.0 - tables::kLumbarShareSideBend, 1.0 - tables::kLumbarShareRotation);
}

void add_neck_hinges(Body& body) {
  const Measures& m = body.measures;
  add_hinge(body, "neck flexion", Axis::kX, -1.0, -tables::kNeckExtension, tables::kNeckFlexion,
            make_constant(m, tables::kNeckExtension_Nm, tables::kNeckFlexion_Nm, m.core_strength));
  add_hinge(body, "neck rotation", Axis::kZ, 1.0, -tables::kNeckRotation, tables::kNeckRotation,
            make_constant(m, tables::kNeckRotation_Nm, tables::kNeckRotation_Nm, m.core_strength));
}

void add_girdle_hinges(Body& body, Side side, const Lengths& lengths) {
  // Forward gain of the shoulder by protraction: 57 mm (MIL-STD-1472G, difference of forward reaches, read).
  constexpr double kProtractionGain_m = 0.057;
  const Measures& m = body.measures;
  const double protraction = std::asin(std::min(kProtractionGain_m / lengths.shoulder_half_spacing, 0.7));
  const tables::PeakTorque peak = {tables::kGirdleOnShoulderExtension * tables::kShoulderExtension_Nm.male,
                                   tables::kGirdleOnShoulderExtension * tables::kShoulderExtension_Nm.female};
  const Strength strength = make_constant(m, peak, peak, m.arm_strength, tables::kGirdleLigamentOnPeak);
  const double s = sign_of(side);
  add_hinge(body, name_of(side, "girdle elevation"), Axis::kY, -s, -tables::kGirdleDepression,
            deg_from_rad(find_girdle_elevation(m, lengths)), strength);
  add_hinge(body, name_of(side, "girdle protraction"), Axis::kZ, s, -profile(body, tables::kGirdleRetraction),
            deg_from_rad(protraction), strength);
}

void add_shoulder_hinges(Body& body, Side side) {
  const Measures& m = body.measures;
  const double s = sign_of(side);
  const double elevation = profile(body, tables::kShoulderElevation);
  add_hinge(body, name_of(side, "shoulder flexion"), Axis::kX, 1.0, -profile(body, tables::kShoulderExtension),
            elevation, make_constant(m, tables::kShoulderExtension_Nm, tables::kShoulderFlexion_Nm, m.arm_strength));
  add_hinge(body, name_of(side, "shoulder abduction"), Axis::kY, -s,
            -profile(body, tables::kShoulderHorizontalAdduction), elevation,
            make_constant(m, tables::kShoulderAdduction_Nm, tables::kShoulderAbduction_Nm, m.arm_strength));
  add_hinge(
      body, name_of(side, "shoulder internal rotation"), Axis::kZ, s, -profile(body, tables::kShoulderExternalRotation),
      profile(body, tables::kShoulderInternalRotation),
      make_constant(m, tables::kShoulderExternalRotation_Nm, tables::kShoulderInternalRotation_Nm, m.arm_strength));
}

void add_elbow_and_forearm_hinges(Body& body, Side side) {
  const Measures& m = body.measures;
  add_hinge(body, name_of(side, "elbow flexion"), Axis::kX, 1.0, -profile(body, tables::kElbowHyperextension),
            profile(body, tables::kElbowFlexion),
            make_constant(m, tables::kElbowExtension_Nm, tables::kElbowFlexion_Nm, m.arm_strength));
  // The table's man is a gymnast of another size than the reference person.
  const double to_reference = tables::kReferenceMale.mass_kg * tables::kReferenceMale.stature_m /
                              (tables::kReferenceGymnast.mass_kg * tables::kReferenceGymnast.stature_m);
  const auto at_reference = [&](const tables::PeakTorque& peak) {
    return tables::PeakTorque{to_reference * peak.male, peak.female};
  };
  add_hinge(
      body, name_of(side, "forearm pronation"), Axis::kZ, sign_of(side), -profile(body, tables::kSupination),
      profile(body, tables::kPronation),
      make_constant(m, at_reference(tables::kSupination_Nm), at_reference(tables::kPronation_Nm), m.arm_strength));
}

void add_wrist_hinges(Body& body, Side side) {
  const Measures& m = body.measures;
  body.wrist_hinges[index_of(side)] = {body.tree.n_hinges(), body.tree.n_hinges() + 1};
  add_hinge(body, name_of(side, "wrist flexion"), Axis::kY, sign_of(side), -profile(body, tables::kWristExtension),
            profile(body, tables::kWristFlexion),
            make_constant(m, tables::kWristExtension_Nm, tables::kWristFlexion_Nm, m.arm_strength));
  add_hinge(body, name_of(side, "wrist ulnar deviation"), Axis::kX, -1.0, -profile(body, tables::kRadialDeviation),
            profile(body, tables::kUlnarDeviation),
            make_constant(m, tables::kRadialDeviation_Nm, tables::kUlnarDeviation_Nm, m.arm_strength));
}

void add_hip_hinges(Body& body, Side side) {
  const Measures& m = body.measures;
  const double s = sign_of(side);
  add_hinge(body, name_of(side, "hip flexion"), Axis::kX, 1.0, -profile(body, tables::kHipExtension),
            profile(body, tables::kHipFlexion),
            make_cosine(m, tables::kHipExtension_Nm, tables::kHipFlexion_Nm, m.leg_strength));
  add_hinge(body, name_of(side, "hip abduction"), Axis::kY, -s, -profile(body, tables::kHipAdduction),
            std::max(profile(body, tables::kHipAbductionBent), profile(body, tables::kHipAbductionStraight)),
            make_constant(m, tables::kHipAdduction_Nm, tables::kHipAbduction_Nm, m.leg_strength));
  add_hinge(body, name_of(side, "hip internal rotation"), Axis::kZ, s, -profile(body, tables::kHipExternalRotation),
            profile(body, tables::kHipInternalRotation),
            make_constant(m, tables::kHipRotation_Nm, tables::kHipRotation_Nm, m.leg_strength));
}

void add_knee_hinge(Body& body, Side side) {
  const Measures& m = body.measures;
  add_hinge(body, name_of(side, "knee flexion"), Axis::kX, -1.0, -profile(body, tables::kKneeHyperextension),
            profile(body, tables::kKneeFlexion),
            make_cosine(m, tables::kKneeExtension_Nm, tables::kKneeFlexion_Nm, m.leg_strength));
}

void add_ankle_hinges(Body& body, Side side) {
  const Measures& m = body.measures;
  add_hinge(body, name_of(side, "ankle dorsiflexion"), Axis::kX, 1.0, -profile(body, tables::kPlantarflexion),
            profile(body, tables::kDorsiflexion),
            make_cosine(m, tables::kPlantarflexion_Nm, tables::kDorsiflexion_Nm, m.leg_strength));
  add_hinge(body, name_of(side, "ankle eversion"), Axis::kY, -sign_of(side), -profile(body, tables::kInversion),
            profile(body, tables::kEversion),
            make_constant(m, tables::kInversion_Nm, tables::kEversion_Nm, m.leg_strength));
}

}  // namespace steepwright::body
