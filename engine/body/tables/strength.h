#pragma once

/// Maximal voluntary isometric torques. Median of the reference person of each sex (75 kg, 1.755 m; 62 kg, 1.63 m),
/// scaled with mass x stature (Anderson et al. 2007 normalise so); between-person coefficient of variation 0.25
/// (Benfica et al. 2018).

#include "engine/body/measures.h"

namespace steepwright::body::tables {

struct ReferencePerson {
  double mass_kg = 0.0, stature_m = 0.0;
};
inline constexpr ReferencePerson kReferenceMale = {75.0, 1.755};
inline constexpr ReferencePerson kReferenceFemale = {62.0, 1.63};
/// Kind of athlete that the forearm values come from: 69.6 kg, 1.732 m.
inline constexpr ReferencePerson kReferenceGymnast = {69.6, 1.732};

/// Nm.
struct PeakTorque {
  double male = 0.0, female = 0.0;
};
[[nodiscard]] constexpr double find_peak(const PeakTorque& torque, Sex sex) {
  return sex == Sex::kMale ? torque.male : torque.female;
}

// Shoulder. Adduction: Stobbe 1982 (from memory), Holzbaur 2007 (read); extension: between Chaffin & Andersson (from
// memory) and a gymnast (read); flexion: McGill group 1994 (read); abduction, rotations: Stobbe (from memory).
inline constexpr PeakTorque kShoulderFlexion_Nm = {75, 38};
inline constexpr PeakTorque kShoulderExtension_Nm = {90, 46};
inline constexpr PeakTorque kShoulderAbduction_Nm = {65, 34};
inline constexpr PeakTorque kShoulderAdduction_Nm = {70, 32};
inline constexpr PeakTorque kShoulderInternalRotation_Nm = {52, 22};
inline constexpr PeakTorque kShoulderExternalRotation_Nm = {33, 19};
/// Girdle, every direction, on shoulder extension: no table was found; assumed.
inline constexpr double kGirdleOnShoulderExtension = 1.3;

// Elbow: Stobbe (from memory), Lategan & Kruger 2003 (read). Wrist: Delp et al. 1996, ten men (read); women 0.64 of men
// (wrist isokinetic 2025, read).
inline constexpr PeakTorque kElbowFlexion_Nm = {75, 40};
inline constexpr PeakTorque kElbowExtension_Nm = {48, 27};
inline constexpr PeakTorque kWristFlexion_Nm = {12, 8};
inline constexpr PeakTorque kWristExtension_Nm = {8, 5};
inline constexpr PeakTorque kUlnarDeviation_Nm = {9.5, 6.1};
inline constexpr PeakTorque kRadialDeviation_Nm = {11.0, 7.0};
// Forearm: one elite male gymnast (Kentel 2011 scaled; read), taken at his size; women 0.64 of men (assumed as wrist).
inline constexpr PeakTorque kPronation_Nm = {13, 8.3};
inline constexpr PeakTorque kSupination_Nm = {14, 9.0};

// Trunk (lumbar and thoracic joint alike): Stobbe (from memory), women's range read; rotation uncertain, from memory.
inline constexpr PeakTorque kTrunkFlexion_Nm = {145, 80};
inline constexpr PeakTorque kTrunkExtension_Nm = {230, 150};
inline constexpr PeakTorque kTrunkSideBend_Nm = {150, 90};
inline constexpr PeakTorque kTrunkRotation_Nm = {80, 48};
/// Neck: assumed.
inline constexpr PeakTorque kNeckFlexion_Nm = {20, 12};
inline constexpr PeakTorque kNeckExtension_Nm = {35, 21};
inline constexpr PeakTorque kNeckRotation_Nm = {12, 7};

// Hip abduction: Sugimoto et al. 2014, isokinetic athletes, taken as untrained isometric (read); adduction assumed
// equal; rotations assumed 0.6 of it.
inline constexpr PeakTorque kHipAbduction_Nm = {97, 70};
inline constexpr PeakTorque kHipAdduction_Nm = {97, 70};
inline constexpr PeakTorque kHipRotation_Nm = {58, 42};
// Ankle: Kruger 1995, 306 men, isokinetic 30 deg/s (read); women 0.64 of men (assumed as wrist).
inline constexpr PeakTorque kInversion_Nm = {35.5, 22.7};
inline constexpr PeakTorque kEversion_Nm = {25.6, 16.4};

/// Anderson, Madigan & Nussbaum 2007, Table 3, age 18 to 25 (read): torque = m g H c1 cos(c2 (q - c3)), q in rad,
/// positive for hip flexion, knee flexion, dorsiflexion; floored by `floor_share` of the peak outside the tested range.
struct CosineTorque {
  double c1 = 0.0, c2 = 0.0, c3 = 0.0;
};
struct CosineTorques {
  CosineTorque male, female;
  double floor_share = 0.25;
};
// Floors: deep knee bend 0.3, full plantarflexion 0.2, elsewhere 0.25 (all assumed: the cosine would reach zero).
inline constexpr CosineTorques kHipExtension_Nm = {{0.161, 0.958, 0.932}, {0.181, 0.697, 1.242}, 0.25};
inline constexpr CosineTorques kHipFlexion_Nm = {{0.113, 0.738, -0.214}, {0.127, 0.650, -0.350}, 0.25};
inline constexpr CosineTorques kKneeExtension_Nm = {{0.163, 1.258, 1.133}, {0.159, 1.187, 1.274}, 0.30};
inline constexpr CosineTorques kKneeFlexion_Nm = {{0.087, 0.869, 0.522}, {0.080, 0.873, 0.635}, 0.25};
inline constexpr CosineTorques kPlantarflexion_Nm = {{0.095, 1.391, 0.408}, {0.104, 1.399, 0.424}, 0.20};
inline constexpr CosineTorques kDorsiflexion_Nm = {{0.033, 1.510, -0.187}, {0.027, 1.079, -0.302}, 0.25};

/// Ligaments near the end of a range carry up to this many times the reference peak of the muscles that act the same
/// way (assumed; no table was found). The girdle hangs in its ligaments and long muscles when the arms are slack.
inline constexpr double kLigamentOnPeak = 1.0;
inline constexpr double kGirdleLigamentOnPeak = 1.5;

}  // namespace steepwright::body::tables
