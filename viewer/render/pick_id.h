#pragma once

/// Names the thing that a pixel shows.

#include <cstdint>

namespace steepwright::viewer::render {

/// What a drawn thing stands for; the index is that of the document (hold, strip, limb, contact).
struct PickId {
  enum class Kind : std::uint8_t { kNone, kHold, kPanel, kPanelEdge, kLimb, kArrow, kOther };
  Kind kind = Kind::kNone;
  std::uint32_t index = 0;  ///< below 2^24

  friend bool operator==(const PickId&, const PickId&) = default;
};

[[nodiscard]] constexpr std::uint32_t pack(const PickId& id) {
  return (static_cast<std::uint32_t>(id.kind) << 24U) | (id.index & 0xFFFFFFU);
}
[[nodiscard]] constexpr PickId unpack_pick_id(std::uint32_t packed) {
  return {static_cast<PickId::Kind>(packed >> 24U), packed & 0xFFFFFFU};
}

}  // namespace steepwright::viewer::render
