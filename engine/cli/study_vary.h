#pragma once

/// What --vary says: "angle@main=20:50:2", "up@ledge=800:1600", "stature=1500:1900:20".

#include "engine/study/knob.h"

#include <optional>
#include <string>

namespace steepwright::cli {

struct Vary {
  study::Knob knob;
  std::optional<double> lower, upper, step;
};

/// Nothing, with the reason printed, when it cannot be read or names nothing of the scene.
[[nodiscard]] std::optional<Vary> read_vary(const std::string& text, const move::Scene& scene);

}  // namespace steepwright::cli
