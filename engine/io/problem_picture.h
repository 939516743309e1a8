#pragma once

/// A whole problem on one page: the body at the end of every move, and what each move asks.

#include "engine/body/body.h"
#include "engine/io/drawing.h"
#include "engine/move/problem.h"
#include "engine/move/scene.h"

namespace steepwright::io {

/// `body` is the one the problem was solved with. The drawing keeps copies: it outlives its arguments.
[[nodiscard]] Drawing make_problem_picture(const move::Scene& scene, const body::Body& body,
                                           const move::ProblemResult& problem);

}  // namespace steepwright::io
