#include "engine/io/study_marks.h"

#include <fmt/format.h>

namespace steepwright::io {

const char* letter_of(move::Cause cause) {
  switch (cause) {
    case move::Cause::kReach:
      return "r";
    case move::Cause::kClearance:
      return "w";
    case move::Cause::kSlip:
      return "s";
    case move::Cause::kGrip:
      return "g";
    case move::Cause::kStrength:
      return "m";
    case move::Cause::kNone:
      break;
  }
  return "";
}

std::string describe_moves(const move::Scene& scene) {
  return scene.moves.size() == 1 ? "'" + scene.moves.front().name + "'"
                                 : fmt::format("all {} moves", scene.moves.size());
}

}  // namespace steepwright::io
