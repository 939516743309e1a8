#include "engine/core/limb.h"

namespace steepwright {

namespace {

constexpr std::array<std::string_view, 4> kShortNames = {"LH", "RH", "LF", "RF"};
constexpr std::array<std::string_view, 4> kLongNames = {"left hand", "right hand", "left foot", "right foot"};
constexpr std::array<std::string_view, 9> kGripNames = {"open hand",
                                                        "three-finger open",
                                                        "two-finger open",
                                                        "half crimp",
                                                        "three-finger half crimp",
                                                        "full crimp",
                                                        "pinch",
                                                        "sloper palm",
                                                        "jug"};
constexpr std::array<int, 9> kFingerCounts = {4, 3, 2, 4, 3, 4, 4, 4, 4};

template <std::size_t N>
std::optional<std::size_t> find_name(const std::array<std::string_view, N>& names, std::string_view name) {
  for (std::size_t i = 0; i < N; ++i) {
    if (names[i] == name) return i;
  }
  return std::nullopt;
}

}  // namespace

std::string_view short_name(Limb limb) { return kShortNames[index_of(limb)]; }
std::string_view long_name(Limb limb) { return kLongNames[index_of(limb)]; }

std::optional<Limb> limb_from_short_name(std::string_view name) {
  const auto index = find_name(kShortNames, name);
  if (!index) return std::nullopt;
  return kLimbs[*index];
}

std::string_view name_of(Grip grip) { return kGripNames[static_cast<std::size_t>(grip)]; }

std::optional<Grip> grip_from_name(std::string_view name) {
  const auto index = find_name(kGripNames, name);
  if (!index) return std::nullopt;
  return kGrips[*index];
}

int finger_count(Grip grip) { return kFingerCounts[static_cast<std::size_t>(grip)]; }

}  // namespace steepwright
