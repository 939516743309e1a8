#include "engine/move/result.h"

#include <array>

namespace steepwright::move {

std::string_view name_of(Phase phase) {
  constexpr std::array<std::string_view, 8> kNames = {"before", "unload", "unloaded", "travel",
                                                      "touch",  "load",   "settle",   "settled"};
  return kNames[static_cast<std::size_t>(phase)];
}

std::string_view name_of(Verdict verdict) { return verdict == Verdict::kStatic ? "static" : "not static"; }

std::string_view name_of(Cause cause) {
  constexpr std::array<std::string_view, 6> kNames = {"none", "reach", "clearance", "slip", "grip", "strength"};
  return kNames[static_cast<std::size_t>(cause)];
}

}  // namespace steepwright::move
