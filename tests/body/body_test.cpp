#include "engine/body/body.h"

#include "engine/body/tables/ansur.h"
#include "engine/body/tables/de_leva.h"
#include "engine/core/units.h"
#include "tests/body/random_posture.h"
#include "tests/support/matchers.h"

#include <cmath>

namespace steepwright::body {
namespace {

using tests::draw_posture;
using tests::is_near;
using tests::make_measures;

Measures with_stature(Sex sex, double stature_m) {
  Measures measures = make_measures(sex);
  measures.stature_m = stature_m;
  return measures;
}

Vec3 find_origin(const Body& body, const Posture& posture, const std::string& segment) {
  Kinematics kinematics;
  update_kinematics(body.tree, posture, kinematics);
  return kinematics.p_WB[static_cast<std::size_t>(body.tree.find_segment(segment))];
}

Posture make_reference_posture(const Body& body) {
  Posture posture;
  posture.angles = DofVector::Zero(body.tree.n_hinges());
  return posture;
}

// Statures of the 5th, 50th and 95th percentile, ANSUR II, m.
constexpr double kMaleStatures[] = {1.648, 1.755, 1.870};
constexpr double kFemaleStatures[] = {1.525, 1.626, 1.740};

TEST(Anthropometry, MassFractionsSumToOne) {
  // de Leva 1996, Table 4, as printed: men 100.00 %, women 99.99 %.
  EXPECT_NEAR(tables::find_mass_sum(tables::kInertiaMale), 100.00, 1e-9);
  EXPECT_NEAR(tables::find_mass_sum(tables::kInertiaFemale), 99.99, 1e-9);
  for (const Sex sex : {Sex::kFemale, Sex::kMale}) {
    const Body body = make_body(make_measures(sex));
    EXPECT_NEAR(body.tree.mass_kg, body.measures.mass_kg, 1e-12 * body.measures.mass_kg);
  }
}

TEST(Anthropometry, RegressionLinesPassThroughTheSurveyMeans) {
  // Mean stature and mean dimension, mm (ANSUR II, computed from the raw data). Slopes are rounded to 5e-5 (0.09 mm at
  // this stature), intercepts and means to 0.05 mm each: 0.2 mm.
  struct Row {
    const tables::StatureLines* lines;
    double male_mm, female_mm;
  };
  const Row rows[] = {{&tables::kSpan, 1814.2, 1660.3},
                      {&tables::kStandingOverheadReach, 2264.6, 2081.6},
                      {&tables::kSittingHeight, 918.3, 856.6},
                      {&tables::kAcromialHeight, 1440.7, 1335.1},
                      {&tables::kCervicaleHeight, 1517.3, 1395.7},
                      {&tables::kOmphalionHeight, 1056.5, 980.1},
                      {&tables::kTrochanterionHeight, 900.9, 845.4},
                      {&tables::kCrotchHeight, 845.9, 782.3},
                      {&tables::kTibialHeight, 468.2, 437.8},
                      {&tables::kLateralMalleolusHeight, 72.9, 62.7},
                      {&tables::kAcromionRadiale, 335.2, 311.2},
                      {&tables::kRadialeStylion, 267.9, 241.3},
                      {&tables::kHandLength, 193.3, 181.1},
                      {&tables::kHandBreadth, 88.3, 78.2},
                      {&tables::kFootLength, 271.2, 246.3},
                      {&tables::kFootBreadth, 101.9, 92.7},
                      {&tables::kHeadLength, 199.5, 189.8},
                      {&tables::kBicristalBreadth, 275.4, 273.3},
                      {&tables::kHipBreadth, 345.7, 353.8},
                      {&tables::kChestBreadth, 289.4, 269.3},
                      {&tables::kChestDepth, 253.8, 247.4},
                      {&tables::kShoulderSpacing, 291.1, 257.8}};
  for (const Row& row : rows) {
    EXPECT_NEAR(1e3 * tables::find_dimension(*row.lines, Sex::kMale, 1.7562), row.male_mm, 0.2);
    EXPECT_NEAR(1e3 * tables::find_dimension(*row.lines, Sex::kFemale, 1.6285), row.female_mm, 0.2);
  }
}

TEST(Anthropometry, SpanMeetsTheSurvey) {
  // span = 29.4 + 1.0162 H men, -63.6 + 1.0586 H women (mm, ANSUR II); 1 %.
  for (const double stature : kMaleStatures) {
    const double expected = 0.0294 + 1.0162 * stature;
    EXPECT_NEAR(find_span(make_body(with_stature(Sex::kMale, stature))), expected, 0.01 * expected);
  }
  for (const double stature : kFemaleStatures) {
    const double expected = -0.0636 + 1.0586 * stature;
    EXPECT_NEAR(find_span(make_body(with_stature(Sex::kFemale, stature))), expected, 0.01 * expected);
  }
  // Means of the survey: 1814.2 mm men at 1756.2, 1660.3 mm women at 1628.5.
  EXPECT_NEAR(find_span(make_body(make_measures(Sex::kMale))), 1.8142, 0.01 * 1.8142);
  EXPECT_NEAR(find_span(make_body(make_measures(Sex::kFemale))), 1.6603, 0.01 * 1.6603);
}

TEST(Anthropometry, OverheadReachMeetsTheSurvey) {
  // -153.3 + 1.3768 H men, residual sd 44.5; -189.1 + 1.3943 H women, residual sd 40.4 (mm, ANSUR II). The girdle's
  // range is chosen for this, so 10 mm; what it costs in girdle angle is checked below.
  for (const double stature : kMaleStatures) {
    EXPECT_NEAR(find_standing_overhead_reach(make_body(with_stature(Sex::kMale, stature))), -0.1533 + 1.3768 * stature,
                0.010);
  }
  for (const double stature : kFemaleStatures) {
    EXPECT_NEAR(find_standing_overhead_reach(make_body(with_stature(Sex::kFemale, stature))),
                -0.1891 + 1.3943 * stature, 0.010);
  }
}

TEST(Anthropometry, GirdleRisesWithinItsKnownRange) {
  // Clavicle elevation 45 degrees (Neumann, secondary); the rise of the shoulder is 97 mm men, 78 mm women (ANSUR II).
  for (const Sex sex : {Sex::kFemale, Sex::kMale}) {
    const Body body = make_body(make_measures(sex));
    const int hinge = body.tree.find_hinge("left girdle elevation");
    const double upper = body.tree.hinges[static_cast<std::size_t>(hinge)].upper;
    EXPECT_LT(upper, rad_from_deg(47.0));
    Posture posture = make_reference_posture(body);
    const double rest = find_origin(body, posture, "left upper arm").z();
    posture.angles[hinge] = upper;
    const double rise = find_origin(body, posture, "left upper arm").z() - rest;
    EXPECT_NEAR(rise, sex == Sex::kMale ? 0.097 : 0.078, 0.010);
  }
}

TEST(Anthropometry, UprightCentreOfMassIsWhereReactionBoardsFindIt) {
  // 0.54 to 0.58 of stature; de Leva's fractions on ANSUR II mean heights give 0.559 men, 0.560 women.
  for (const Sex sex : {Sex::kFemale, Sex::kMale}) {
    const Body body = make_body(make_measures(sex));
    Kinematics kinematics;
    const Posture posture = make_reference_posture(body);
    update_kinematics(body.tree, posture, kinematics);
    const Station& foot = body.station(Limb::kLeftFoot, Grip::kOpenHand);
    const double sole = find_position(kinematics, foot.segment, foot.p_BC).z();
    const double height = (kinematics.p_Wcm.z() - sole) / body.measures.stature_m;
    EXPECT_GT(height, 0.54);
    EXPECT_LT(height, 0.58);
    EXPECT_NEAR(height, 0.5595, 0.006);
  }
}

TEST(Anthropometry, TwoEndDefinitionsOfDeLevaAgreeOnTheCentreOfMass) {
  // Men: forearm 123.0 mm from the elbow (268.9 mm long), hand 68.1 mm from the wrist (187.9), shank 193.5 mm from the
  // knee (440.3).
  const auto com = [](tables::InertiaSegment segment) {
    return tables::find_inertia(Sex::kMale, segment).com_fraction;
  };
  EXPECT_NEAR(268.9 * com(tables::InertiaSegment::kForearm), 123.0, 0.05);
  EXPECT_NEAR(187.9 * com(tables::InertiaSegment::kHand), 68.1, 0.05);
  EXPECT_NEAR(440.3 * com(tables::InertiaSegment::kShank), 193.5, 0.05);
}

TEST(Anthropometry, MeasuredSpanScalesTheArms) {
  Measures measures = make_measures(Sex::kFemale);
  measures.span_m = 1.74;
  EXPECT_NEAR(find_span(make_body(measures)), 1.74, 1e-9);
  measures.hand_length_m = 0.170;
  const Body body = make_body(measures);
  EXPECT_NEAR(find_span(body), 1.74, 1e-9);
  EXPECT_DOUBLE_EQ(body.hand_length_m, 0.170);
}

TEST(Anthropometry, MeasuredLegsMoveTheHipAndKeepTheStature) {
  const Measures usual = make_measures(Sex::kMale);
  Measures long_legged = usual;
  long_legged.inseam_m = 0.90;  // the survey's line gives 0.8460 m
  const Body body = make_body(long_legged);
  const Body reference = make_body(usual);
  const auto find_hip_over_sole = [](const Body& of) {
    const Station& foot = of.foot_stations[0];
    Kinematics kinematics;
    update_kinematics(of.tree, make_reference_posture(of), kinematics);
    return kinematics.p_WB[0].z() - find_position(kinematics, foot.segment, foot.p_BC).z();
  };
  EXPECT_NEAR(find_hip_over_sole(body) - find_hip_over_sole(reference), 0.900 - 0.8460, 1e-3);
  EXPECT_NEAR(find_standing_overhead_reach(body), find_standing_overhead_reach(reference), 1e-9);
  Measures long_trunk = usual;
  long_trunk.sitting_height_m = 0.95;
  EXPECT_LT(find_hip_over_sole(make_body(long_trunk)), find_hip_over_sole(reference) - 0.02);
}

TEST(Body, HasFortyFourDegreesOfFreedom) { EXPECT_EQ(make_body(make_measures(Sex::kMale)).tree.n_dof(), 44); }

TEST(Body, HingesTurnPositiveAsTheirNamesSay) {
  // Each row: a hinge turned by +30 degrees from upright moves the origin of `segment` (or a point in it) along
  // `along`.
  struct Row {
    std::string hinge, segment;
    Vec3 point, along;
  };
  const Vec3 X = Vec3::UnitX();
  const Vec3 Y = Vec3::UnitY();
  const Vec3 Z = Vec3::UnitZ();
  const Vec3 O = Vec3::Zero();
  std::vector<Row> rows = {{"lumbar flexion", "head", O, Y},     {"lumbar side-bend", "head", O, X},
                           {"lumbar rotation", "thorax", X, Y},  {"thoracic flexion", "head", O, Y},
                           {"thoracic side-bend", "head", O, X}, {"thoracic rotation", "thorax", X, Y},
                           {"neck flexion", "head", Z, Y},       {"neck rotation", "head", Y, -X}};
  for (const double s : {-1.0, 1.0}) {
    const std::string side = s < 0.0 ? "left " : "right ";
    const Vec3 lateral = s * X;
    rows.insert(rows.end(), {{side + "girdle elevation", side + "upper arm", O, Z},
                             {side + "girdle protraction", side + "upper arm", O, Y},
                             {side + "shoulder flexion", side + "forearm", O, Y},
                             {side + "shoulder abduction", side + "forearm", O, lateral},
                             {side + "shoulder internal rotation", side + "upper arm", Y, -lateral},
                             {side + "elbow flexion", side + "hand", O, Y},
                             // thumb side turns to the body, the back of the hand forward
                             {side + "forearm pronation", side + "hand", Y, -lateral},
                             {side + "wrist flexion", side + "hand", -Z, -lateral},
                             {side + "wrist ulnar deviation", side + "hand", -Z, -Y},
                             {side + "hip flexion", side + "shank", O, Y},
                             {side + "hip abduction", side + "shank", O, lateral},
                             {side + "hip internal rotation", side + "thigh", Y, -lateral},
                             {side + "knee flexion", side + "foot", O, -Y},
                             {side + "ankle dorsiflexion", side + "foot", Y, Z},
                             // the sole turns outward
                             {side + "ankle eversion", side + "foot", -Z, lateral}});
  }
  const Body body = make_body(make_measures(Sex::kMale));
  EXPECT_EQ(static_cast<int>(rows.size()), body.tree.n_hinges());
  for (const Row& row : rows) {
    Posture posture = make_reference_posture(body);
    Kinematics before;
    Kinematics after;
    update_kinematics(body.tree, posture, before);
    ASSERT_GE(body.tree.find_hinge(row.hinge), 0) << row.hinge;
    posture.angles[body.tree.find_hinge(row.hinge)] = rad_from_deg(30.0);
    update_kinematics(body.tree, posture, after);
    const int segment = body.tree.find_segment(row.segment);
    const Vec3 moved = find_position(after, segment, row.point) - find_position(before, segment, row.point);
    EXPECT_GT(moved.dot(row.along), 0.4 * moved.norm()) << row.hinge;
    EXPECT_GT(moved.norm(), 0.01) << row.hinge;
  }
}

// The posture seen in a mirror standing at x = 0.
Posture mirror(const Body& body, const Posture& posture) {
  const Mat3 M = Vec3(-1.0, 1.0, 1.0).asDiagonal();
  Posture mirrored = posture;
  mirrored.p_WB = M * posture.p_WB;
  mirrored.R_WB = M * posture.R_WB * M;
  for (int i = 0; i < body.tree.n_hinges(); ++i) {
    std::string name = body.tree.hinges[static_cast<std::size_t>(i)].name;
    if (name.starts_with("left ")) {
      name.replace(0, 4, "right");
    } else if (name.starts_with("right ")) {
      name.replace(0, 5, "left");
    }
    const bool turns_over = name.ends_with("side-bend") || name == "lumbar rotation" || name == "thoracic rotation" ||
                            name == "neck rotation";
    mirrored.angles[body.tree.find_hinge(name)] = (turns_over ? -1.0 : 1.0) * posture.angles[i];
  }
  return mirrored;
}

TEST(Body, IsTheSameInTheMirror) {
  const Mat3 M = Vec3(-1.0, 1.0, 1.0).asDiagonal();
  RandomStream random(31);
  const Body body = make_body(make_measures(Sex::kFemale));
  for (int trial = 0; trial < 20; ++trial) {
    const Posture posture = draw_posture(body.tree, random);
    const Posture mirrored = mirror(body, posture);
    Kinematics original;
    Kinematics image;
    update_kinematics(body.tree, posture, original);
    update_kinematics(body.tree, mirrored, image);
    EXPECT_TRUE(is_near(image.p_Wcm, M * original.p_Wcm, 1e-12, "m"));
    for (const Grip grip : kGrips) {
      for (const bool hand : {true, false}) {
        const Station& left = body.station(hand ? Limb::kLeftHand : Limb::kLeftFoot, grip);
        const Station& right = body.station(hand ? Limb::kRightHand : Limb::kRightFoot, grip);
        EXPECT_TRUE(is_near(find_position(image, left.segment, left.p_BC),
                            M * find_position(original, right.segment, right.p_BC), 1e-12, "m"));
        EXPECT_TRUE(is_near(image.R_WB[static_cast<std::size_t>(left.segment)] * left.palmar_B,
                            M * original.R_WB[static_cast<std::size_t>(right.segment)] * right.palmar_B, 1e-12));
      }
    }
    double values[2] = {0.0, 0.0};
    for (const CoupledLimit& limit : body.coupled_limits) {
      values[0] += find_coupled_limit(limit, posture.angles).value;
      values[1] += find_coupled_limit(limit, mirrored.angles).value;
    }
    EXPECT_NEAR(values[0], values[1], 1e-9);
  }
}

TEST(Station, AHandRaisedWithThePalmToTheWallHasItsLateralAxisToTheRight) {
  const Body body = make_body(make_measures(Sex::kMale));
  for (const Limb limb : {Limb::kLeftHand, Limb::kRightHand}) {
    const std::string side = limb == Limb::kLeftHand ? "left " : "right ";
    Posture posture = make_reference_posture(body);
    posture.angles[body.tree.find_hinge(side + "shoulder flexion")] = kPi;
    posture.angles[body.tree.find_hinge(side + "forearm pronation")] = kPi / 2.0;
    Kinematics kinematics;
    update_kinematics(body.tree, posture, kinematics);
    const Station& station = body.station(limb, Grip::kHalfCrimp);
    const Mat3& R = kinematics.R_WB[static_cast<std::size_t>(station.segment)];
    EXPECT_TRUE(is_near(R * station.distal_B, Vec3::UnitZ(), 1e-12));
    EXPECT_TRUE(is_near(R * station.palmar_B, Vec3::UnitY(), 1e-12));
    EXPECT_TRUE(is_near(R * station.lateral_B, Vec3::UnitX(), 1e-12));
  }
}

TEST(Station, OpenHandReachesFurtherThanCrimps) {
  const Body body = make_body(make_measures(Sex::kMale));
  const auto reach = [&](Grip grip) {
    const Station& station = body.station(Limb::kRightHand, grip);
    return station.p_BC.dot(station.distal_B);
  };
  EXPECT_GT(reach(Grip::kOpenHand), reach(Grip::kHalfCrimp) + 0.010);
  EXPECT_GT(reach(Grip::kHalfCrimp), reach(Grip::kFullCrimp));
  EXPECT_GT(reach(Grip::kOpenHand), reach(Grip::kPinch));
  EXPECT_GT(reach(Grip::kFullCrimp), reach(Grip::kSloperPalm));
  EXPECT_LT(reach(Grip::kOpenHand), body.hand_length_m);
  EXPECT_EQ(body.station(Limb::kLeftHand, Grip::kTwoFingerOpen).half_spread_m, 0.0);
}

TEST(Body, ExtremeMeasuresStillGiveABody) {
  for (const double stature : {1.2, 2.2}) {
    for (const double mass : {30.0, 160.0}) {
      Measures measures;
      measures.sex = Sex::kFemale;
      measures.stature_m = stature;
      measures.mass_kg = mass;
      measures.span_m = 1.15 * stature;
      measures.inseam_m = 0.40 * stature;
      measures.sitting_height_m = 0.60 * stature;
      measures.hand_length_m = 0.25;
      const Body body = make_body(measures);
      for (const Segment& segment : body.tree.segments) {
        EXPECT_TRUE(segment.p_PB.allFinite()) << segment.name;
        if (segment.parent >= 0 && segment.mass_kg > 0.0 && segment.name.find("arm") == std::string::npos) {
          EXPECT_GT(segment.p_PB.norm(), 0.02) << segment.name;
        }
      }
      for (const Hinge& hinge : body.tree.hinges) EXPECT_LT(hinge.lower, hinge.upper) << hinge.name;
      for (const CoupledLimit& limit : body.coupled_limits) {
        for (std::size_t k = 0; k < 3; ++k) EXPECT_GT(limit.upper[k], limit.lower[k]) << limit.name;
      }
    }
  }
}

}  // namespace
}  // namespace steepwright::body
