#pragma once

/// A move as it happens on one page: small side views of some of its frames, evenly in change, and below them what
/// every contact feels: load, share of its capacity and slip-off margin against the move's course, and the lower hand's
/// against the height of the centre of mass.

#include "engine/body/body.h"
#include "engine/io/drawing.h"
#include "engine/io/trace_record.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

namespace steepwright::io {

/// `body` is the one the move was solved with; a risk among the extras adds the share of draws that fail and the band
/// of the lower hand's margin. The drawing keeps copies: it outlives its arguments.
[[nodiscard]] Drawing make_strip(const move::Scene& scene, const body::Body& body, const move::MoveResult& result,
                                 const MoveExtras& extras = {});

}  // namespace steepwright::io
