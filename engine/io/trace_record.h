#pragma once

/// What the record says of a move beyond its stances: the trace, risk, comparison of grips, choice of feet, what would
/// make it hold, its part in a problem.

#include "engine/io/json_text.h"
#include "engine/move/cut_loose.h"
#include "engine/move/feet.h"
#include "engine/move/grip_comparison.h"
#include "engine/move/remedy.h"
#include "engine/move/result.h"
#include "engine/move/risk.h"

#include <optional>
#include <vector>

namespace steepwright::io {

/// All that was asked about one move besides following it.
struct MoveExtras {
  std::optional<move::MoveRisk> risk;
  std::vector<move::GripComparison> grips;
  std::vector<move::FootChoice> feet;
  std::vector<move::RemedyResult> remedies;
  std::optional<move::CutLoose> cut_loose;  ///< where the move fails for reach and holds so
  std::optional<bool> follows;              ///< in a problem: starts where the move before ended
  bool is_crux = false;                     ///< in a problem
};

/// Adds what a traced move says beyond the stances: peaks, the frame that decides, the lower hand's history, feet that
/// cut loose. Its "frames" must be there.
void add_trace(const move::MoveResult& result, Json& move);

/// Adds the keys of `extras` to a move of the record; its "frames" must be there.
void add_extras(const MoveExtras& extras, Json& move);

}  // namespace steepwright::io
