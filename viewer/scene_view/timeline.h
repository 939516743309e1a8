#pragma once

/// Any instant of a solved move, between its frames.

#include "engine/body/tree.h"
#include "engine/move/result.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace steepwright::viewer {

/// Between frame `lower` and `upper`, `share` 0..1 of the way; both the same at the ends.
struct Moment {
  std::size_t lower = 0, upper = 0;
  double share = 0.0;

  /// The frame whose numbers are shown: the nearer one.
  [[nodiscard]] std::size_t nearest() const { return share < 0.5 ? lower : upper; }
};

/// Precondition: frames are not empty and their t ascends.
[[nodiscard]] Moment find_moment(const std::vector<move::Frame>& frames, double t);

/// The posture part of the way from one to the other; the nearer one where one of them has none.
[[nodiscard]] body::Posture blend(const body::Posture& from, const body::Posture& to, double share);

/// The instant as a frame: posture, centre of mass and contacts between those of the two frames, all else that of the
/// nearer one. Written over `frame`, whose memory is used again.
void find_frame_at(const std::vector<move::Frame>& frames, const Moment& moment, move::Frame& frame);

[[nodiscard]] double find_effort_at(const std::vector<move::Frame>& frames, const Moment& moment);

/// What a limb's contact carries at the instant.
struct ContactNumbers {
  Vec3 f_C_W = Vec3::Zero();
  double capacity_use = 0.0;
  SlipOff slip_off;
};
/// None where the limb carries nothing.
[[nodiscard]] std::optional<ContactNumbers> find_contact_at(const std::vector<move::Frame>& frames,
                                                            const Moment& moment, Limb limb);
[[nodiscard]] std::optional<ContactNumbers> find_contact_numbers(const move::Frame& frame, Limb limb);

}  // namespace steepwright::viewer
