#pragma once

/// The move as it happens, in some 40 frames: the limb is unloaded while the body moves to where the others carry it,
/// travels off the wall to its target, touches, takes load, and the body settles. Four stances are searched for from
/// several starts (before, unloaded, touch, settled); the frames between them are solved from their neighbours.
///
/// While a limb is unloaded or loaded up it gives only a share of its strength, falling to 0 or rising to 1.
/// Feet turn freely on their contact points. Where the target cannot be touched with both feet on, a foot may cut
/// loose: it stays on as long as it can, then hangs free, and is put back at the end if that holds.

#include "engine/move/instant.h"

namespace steepwright::move {

/// All frames of a move with its verdict, peaks and the lower hand's history. Deterministic for options.stance.seed.
[[nodiscard]] MoveResult trace_move(const Move& move, const InstantSolver& solver);

}  // namespace steepwright::move
