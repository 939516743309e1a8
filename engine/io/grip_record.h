#pragma once

/// What one hand holds at a site, as a record for other programs. JSON, `"grip_record": 1`; keys are only ever added.
///
/// Forces in N, lengths in mm, angles in degrees. Pulls are angles of the hand's pull from straight onto the floor,
/// outward positive. `bounds` are half-spaces a . f <= b_N of the hold's force on the hand in the site's axes (x along
/// the lip, y along the floor into the wall, z the floor's normal), within the cone of `mu` about `normal`. A capacity
/// is null where friction does not hold the pull.

#include "engine/core/error.h"
#include "engine/grip/survey.h"

#include <nlohmann/json_fwd.hpp>

#include <string>
#include <vector>

namespace steepwright::io {

inline constexpr int kGripRecordVersion = 1;

/// A hand's survey of a site, and whose hand and hold they are.
struct GripReport {
  std::string hold;
  hold::Family family = hold::Family::kEdge;
  std::string climber;
  double hand_length_m = 0.0;
  grip::Hand hand;
  grip::Survey survey;
};

[[nodiscard]] nlohmann::ordered_json make_grip_record(const GripReport& report);

/// The record as text: indented, lists of numbers on one line.
[[nodiscard]] std::string format_grip_record(const GripReport& report);

/// Writes it atomically.
[[nodiscard]] Result<void> save_grip_record(const std::string& path, const GripReport& report);

}  // namespace steepwright::io
