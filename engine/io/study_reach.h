#pragma once

/// A reach map for people and other programs: picture, record, table of places.

#include "engine/core/error.h"
#include "engine/io/drawing.h"
#include "engine/io/json_text.h"
#include "engine/move/scene.h"
#include "engine/study/reach_map.h"

#include <string>

namespace steepwright::io {

/// What was asked, in words, and the answer.
struct ReachReport {
  const move::Scene* scene = nullptr;
  const body::Body* body = nullptr;
  study::ReachQuestion question;
  std::string hold_name;  ///< "": the bare wall
  study::ReachMap map;
};

/// "right hand with half crimp on 'thin rim'", "left foot on the bare wall".
[[nodiscard]] std::string describe_asked(const ReachReport& report);

/// What stops a place from being held: "", "reach", "grip of the left hand", "strength of the right shoulder".
[[nodiscard]] std::string describe_cause(const ReachReport& report, const study::ReachPlace& place);

/// `"reach_map": 1`: strips, places with across_mm, up_mm, held, effort, cause, margin_mm, and border segments.
[[nodiscard]] Json make_reach_record(const ReachReport& report);

/// One line a place, the header names units.
[[nodiscard]] std::string format_reach_csv(const ReachReport& report);

/// The wall face on, strip over strip: bands of effort where the limb can be put, the border, the cause elsewhere. The
/// report outlives the drawing.
[[nodiscard]] Drawing make_reach_picture(const ReachReport& report);

}  // namespace steepwright::io
