#pragma once

/// The result record: what other programs and checks read. JSON, `"record": 1`; keys are only ever added.
///
/// Positions in m and forces in N in W (x right facing the wall, y into the wall, z up), lengths in mm, angles in
/// degrees, torques in Nm. Numbers of the stances are rounded to 1e-6 m, 1e-4 N, 1e-5 Nm, unit vectors and friction to
/// 1e-9; what the trace and what was asked beside it add (trace_record.h), to 1e-3 mm, 1e-3 N, 1e-4 degrees, 1e-6. A
/// value that is infinite or undefined (no factor on mu helps: `mu_needed_factor`; a force along the surface:
/// `mu_used`) is null. `bones` names the pairs of `joints` whose distance never changes; `joints` are the segments'
/// origins and free ends.

#include "engine/body/body.h"
#include "engine/core/error.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <nlohmann/json_fwd.hpp>

#include <string>
#include <vector>

namespace steepwright::io {

inline constexpr int kRecordVersion = 1;

struct MoveExtras;  // trace_record.h

/// The record of a scene's moves. `body` is the one the moves were solved with; `extras`: of as many of the results, in
/// their order, as there are.
[[nodiscard]] nlohmann::ordered_json make_record(const move::Scene& scene, const body::Body& body,
                                                 const std::vector<move::MoveResult>& results,
                                                 const std::vector<MoveExtras>& extras);
[[nodiscard]] nlohmann::ordered_json make_record(const move::Scene& scene, const body::Body& body,
                                                 const std::vector<move::MoveResult>& results);

/// The record as text: indented, lists of numbers on one line.
[[nodiscard]] std::string format_record(const move::Scene& scene, const body::Body& body,
                                        const std::vector<move::MoveResult>& results);
[[nodiscard]] std::string format_record(const move::Scene& scene, const body::Body& body,
                                        const std::vector<move::MoveResult>& results,
                                        const std::vector<MoveExtras>& extras);

/// Writes the record atomically: the file is complete or as it was before.
[[nodiscard]] Result<void> save_record(const std::string& path, const move::Scene& scene, const body::Body& body,
                                       const std::vector<move::MoveResult>& results);
[[nodiscard]] Result<void> save_record(const std::string& path, const move::Scene& scene, const body::Body& body,
                                       const std::vector<move::MoveResult>& results,
                                       const std::vector<MoveExtras>& extras);

}  // namespace steepwright::io
