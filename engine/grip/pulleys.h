#pragma once

/// What the pulleys of a finger carry: the sheaths that keep the flexor tendons at the bone.
///
/// A tendon of tension T that is turned by an angle b over an edge presses on it with 2 T sin(b/2). At the middle joint
/// the tendons turn by its flexion; A2 (on the proximal bone, both flexors) and A4 (on the middle bone, the deep one)
/// share the turn. How much the small A3 between them takes is open, so both ends are given: `upper` A3 takes nothing
/// and the two take half each, `lower` A3 takes half and they a quarter each. A4 also carries half of the end joint's
/// flexion. Published ratios of crimp to slope grip differ by more than this: 36 for A2 in a model (Vigouroux et al.
/// 2006, read), 1.5 in cadavers at failure (Schoeffl et al. 2009, read).

#include "engine/grip/finger_program.h"

namespace steepwright::grip {

struct ForceRange {
  double lower_N = 0.0, upper_N = 0.0;
};

struct PulleyLoads {
  ForceRange a2, a4;
};
[[nodiscard]] PulleyLoads find_pulley_loads(const FingerPosture& posture, const FingerLoad& load);

/// In a crimp a single finger's force from which the caution is shown: half of what crimping cadaver fingers bore at
/// failure, 161 N (Schoeffl et al. 2009, read; the half is assumed). No safe limit.
inline constexpr double kCautionForce_N = 80.0;

}  // namespace steepwright::grip
