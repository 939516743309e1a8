#pragma once

/// Joint centres and flesh sizes of a person from sex, stature and whatever was measured.

#include "engine/body/measures.h"

namespace steepwright::body {

/// Everything in m. Heights are above the floor, standing upright and barefoot.
struct Lengths {
  double ankle_height = 0.0, knee_height = 0.0, hip_height = 0.0;
  double omphalion_height = 0.0;  ///< lumbar joint
  double xiphion_height = 0.0;    ///< thoracic joint
  double shoulder_height = 0.0;
  double cervicale_height = 0.0;  ///< neck joint
  double stature = 0.0;

  double hip_half_spacing = 0.0;
  double shoulder_half_spacing = 0.0;  ///< effective, arms sideways: reproduces the span

  double upper_arm = 0.0;     ///< shoulder to elbow joint
  double forearm = 0.0;       ///< elbow to wrist joint
  double wrist_to_tip = 0.0;  ///< wrist joint to the tip of the middle finger
  double survey_arm = 0.0;    ///< shoulder joint to fingertip by the survey, before measured span and hand
  double hand_length = 0.0;   ///< stylion to fingertip, as measured on people
  double hand_breadth = 0.0;
  double foot_length = 0.0;
  double foot_breadth = 0.0;

  double head_length = 0.0;
  double hip_breadth = 0.0;
  double chest_breadth = 0.0;
  double chest_depth = 0.0;
  double flesh_scale = 1.0;  ///< radii against the survey's person of the same stature: sqrt of the mass ratio

  [[nodiscard]] double arm() const { return upper_arm + forearm + wrist_to_tip; }
};

/// Lengths by ANSUR II regressions on stature, joint centres by de Leva 1996, overridden by what was measured:
/// sitting height and inseam move the hip joint with the stature kept (the mean of both when both are given); the span
/// scales the arms (the hand too unless its length is given).
[[nodiscard]] Lengths find_lengths(const Measures& measures);

}  // namespace steepwright::body
