#include "viewer/scene_view/timeline.h"

#include <algorithm>

namespace steepwright::viewer {

Moment find_moment(const std::vector<move::Frame>& frames, double t) {
  const auto after = std::find_if(frames.begin(), frames.end(), [t](const move::Frame& frame) { return frame.t > t; });
  if (after == frames.begin()) return {};
  const auto upper = static_cast<std::size_t>(after - frames.begin());
  if (after == frames.end()) return {frames.size() - 1, frames.size() - 1, 0.0};
  const double from = frames[upper - 1].t;
  const double step = frames[upper].t - from;
  return {upper - 1, upper, step > 0.0 ? (t - from) / step : 0.0};
}

body::Posture blend(const body::Posture& from, const body::Posture& to, double share) {
  if (from.angles.size() != to.angles.size()) return share < 0.5 ? from : to;
  body::Posture posture;
  posture.p_WB = from.p_WB + share * (to.p_WB - from.p_WB);
  const Eigen::Quaterniond q_from(from.R_WB);
  posture.R_WB = q_from.slerp(share, Eigen::Quaterniond(to.R_WB)).toRotationMatrix();
  posture.angles = from.angles + share * (to.angles - from.angles);
  return posture;
}

const move::ContactResult* find_contact(const move::Frame& frame, Limb limb) {
  for (const move::ContactResult& contact : frame.contacts) {
    if (contact.limb == limb) return &contact;
  }
  return nullptr;
}

}  // namespace steepwright::viewer
