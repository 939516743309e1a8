#pragma once

/// What every picture of moves says beside the drawing: climber, verdict, colour scale, cautions.

#include "engine/body/body.h"
#include "engine/io/canvas.h"
#include "engine/move/cut_loose.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <optional>
#include <string>
#include <string_view>

namespace steepwright::io {

/// "tall man, 1.83 m, 76 kg, span 1.87 m".
[[nodiscard]] std::string describe_climber(const move::Scene& scene, const body::Body& body);

/// Why a place or a stance does not hold, in a word or a few: "grip of the left hand", "wall or room in the way".
/// `joint`: whose strength it is, "" where that is not known. "" for no cause.
[[nodiscard]] std::string describe_cause(move::Cause cause, std::optional<Limb> limb, std::string_view joint);

/// "static - right hand grip used most (peak effort 82 %)", "not static - right hand grip at 130 %".
[[nodiscard]] std::string describe_verdict(const move::MoveResult& result);

/// That a move holds when feet cut loose: "with the left foot cutting loose on the way it holds at 87 %".
[[nodiscard]] std::string describe_cut_loose(const move::CutLoose& cut);

/// The scale of use_colour with its figures; `corner` is the bar's upper left, 30 px are taken below it.
void draw_use_scale(Canvas& canvas, const Vec2& corner, double width_px);

/// What draw_cautions takes in height.
[[nodiscard]] double find_cautions_height();
/// One below the other, the first's baseline at `corner`; returns where the next line would begin.
double draw_cautions(Canvas& canvas, const Vec2& corner);

}  // namespace steepwright::io
