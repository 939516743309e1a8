#include "engine/io/study_marks.h"

#include <fmt/format.h>

#include <cmath>
#include <map>
#include <set>
#include <utility>

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

std::vector<std::vector<Vec2>> join_segments(const std::vector<std::array<Vec2, 2>>& segments) {
  // Ends are the same when they are within a hundredth of a pixel.
  const auto key_of = [](const Vec2& end) {
    return std::pair{std::lround(100.0 * end.x()), std::lround(100.0 * end.y())};
  };
  std::multimap<std::pair<long, long>, std::size_t> by_start;
  std::set<std::pair<long, long>> ends;
  for (std::size_t k = 0; k < segments.size(); ++k) {
    by_start.emplace(key_of(segments[k][0]), k);
    ends.insert(key_of(segments[k][1]));
  }
  std::vector<char> is_taken(segments.size(), 0);
  std::vector<std::vector<Vec2>> lines;
  const auto follow = [&](std::size_t k) {
    std::vector<Vec2> line = {segments[k][0]};
    for (bool goes_on = true; goes_on;) {
      is_taken[k] = 1;
      line.push_back(segments[k][1]);
      goes_on = false;
      const auto [from, to] = by_start.equal_range(key_of(line.back()));
      for (auto next = from; next != to && !goes_on; ++next) {
        goes_on = is_taken[next->second] == 0;
        if (goes_on) k = next->second;
      }
    }
    lines.push_back(std::move(line));
  };
  // Open lines from their first segment, then what is left: closed ones.
  for (const bool is_open : {true, false}) {
    for (std::size_t k = 0; k < segments.size(); ++k) {
      if (is_taken[k] == 0 && (!is_open || !ends.contains(key_of(segments[k][0])))) follow(k);
    }
  }
  return lines;
}

}  // namespace steepwright::io
