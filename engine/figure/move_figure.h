#pragma once

/// The climber over a move: one stick figure a frame, contact forces, centre of mass and its path.

#include "engine/body/body.h"
#include "engine/figure/primitive.h"
#include "engine/figure/skeleton.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

namespace steepwright::figure {

struct MoveFigureOptions {
  double m_per_N = 0.5 / 700.0;  ///< length of a force arrow
};

/// Bones, head, flesh, contacts, forces and centre of mass of one frame. Primitives carry `frame`.
[[nodiscard]] Figure make_frame_figure(const body::Body& body, const Skeleton& skeleton, const move::Frame& frame,
                                       int frame_index, const MoveFigureOptions& options);

/// All frames of a move, the path of the centre of mass, the target hold and, where the limb falls short, the gap.
[[nodiscard]] Figure make_move_figure(const move::Scene& scene, const body::Body& body, const move::MoveResult& result,
                                      const MoveFigureOptions& options = {});

}  // namespace steepwright::figure
