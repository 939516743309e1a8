#pragma once

/// Random fingers laid on random outlines, with a pull: what the finger programs are compared on.

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/grip/finger_search.h"
#include "engine/grip/hand.h"

#include <algorithm>
#include <cstdint>
#include <vector>

namespace steepwright::tests {

struct FingerCase {
  grip::Finger finger;
  grip::FingerPosture posture;
  grip::Seating seating;
  double mcp = 0.0;  ///< rad
  grip::FingerStrengthLimits limits;
  double mu = 0.0;
  double pull = 0.0;  ///< rad from the floor's normal, see finger_search.h
};

/// Shapes and postures over all that a grip allows; most but not all of them bear.
inline FingerCase draw_finger_case(RandomStream& random) {
  grip::HandMeasures measures;
  measures.hand_length_m = random.uniform(0.155, 0.215);
  if (random.uniform() < 0.3) measures.finger_breadth_m = random.uniform(0.015, 0.022);
  grip::Hand hand;
  hand.fingers = grip::make_fingers(measures);
  hand.flexor_N = random.uniform(600.0, 4000.0);

  hold::Site site;
  site.depth_m = random.uniform(0.006, 0.045);
  site.incut = rad_from_deg(random.uniform(-10.0, 25.0));
  site.lip_radius_m = random.uniform() < 0.2 ? 0.0 : random.uniform(0.0, 0.015);
  site.mouth_m = random.uniform() < 0.3 ? random.uniform(0.015, 0.040) : 0.0;
  const hold::Outline outline = hold::make_outline(site);

  const auto pick = [&](std::size_t n) { return static_cast<std::size_t>(random.next() % n); };
  const grip::GripForm& form = grip::find_grip_form(kGrips[pick(kGrips.size())]);
  const grip::Digit digit = grip::kDigits[pick(4)];
  FingerCase drawn;
  drawn.finger = hand.fingers[grip::index_of(digit)];
  drawn.posture.pitch = form.pitch.at(random.uniform());
  drawn.posture.pip = form.pip.at(random.uniform());
  drawn.posture.dip = grip::find_dip_range(form, drawn.posture.pip).at(random.uniform());
  drawn.posture.withdrawal = random.uniform() < 0.4 ? 0.0 : random.uniform(0.0, std::min(0.030, site.depth_m));
  drawn.seating = grip::seat_finger(drawn.finger, outline, drawn.posture, form);
  const grip::Knuckle knuckle = grip::find_knuckle(form, drawn.posture, rad_from_deg(random.uniform(-20.0, 120.0)));
  drawn.mcp = knuckle.mcp;
  drawn.seating.room *= knuckle.fit;
  drawn.limits = grip::find_finger_limits(hand, digit, 1 + static_cast<int>(pick(4)), random.uniform() < 0.3);
  drawn.mu = random.uniform(0.4, 0.9);
  drawn.pull = random.uniform(-1.0, 1.2) * std::atan(drawn.mu);
  return drawn;
}

/// Cases that bear somewhere: what the search would solve.
inline std::vector<FingerCase> draw_bearing_cases(std::uint64_t seed, std::size_t count) {
  RandomStream random(seed);
  std::vector<FingerCase> cases;
  while (cases.size() < count) {
    FingerCase drawn = draw_finger_case(random);
    if (drawn.seating.room > 0.0 && !drawn.seating.contacts.empty()) cases.push_back(drawn);
  }
  return cases;
}

inline void build(const FingerCase& drawn, grip::FingerProgram& program) {
  program.build(drawn.finger, drawn.seating, drawn.posture, drawn.mcp, drawn.limits, drawn.mu);
}

}  // namespace steepwright::tests
