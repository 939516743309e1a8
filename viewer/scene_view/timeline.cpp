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

namespace {

void blend_into(move::ContactResult& contact, const move::ContactResult& from, const move::ContactResult& to,
                double share) {
  const auto between = [share](const auto& a, const auto& b) { return (1.0 - share) * a + share * b; };
  contact.p_WC = between(from.p_WC, to.p_WC);
  contact.f_C_W = between(from.f_C_W, to.f_C_W);
  contact.capacity_use = between(from.capacity_use, to.capacity_use);
  contact.slip_margin = between(from.slip_margin, to.slip_margin);
}

}  // namespace

move::Frame make_frame_at(const std::vector<move::Frame>& frames, const Moment& moment) {
  const move::Frame& from = frames[moment.lower];
  const move::Frame& to = frames[moment.upper];
  move::Frame frame = frames[moment.nearest()];
  if (moment.lower == moment.upper) return frame;
  frame.t = from.t + moment.share * (to.t - from.t);
  frame.posture = blend(from.posture, to.posture, moment.share);
  frame.p_Wcm = (1.0 - moment.share) * from.p_Wcm + moment.share * to.p_Wcm;
  frame.effort = (1.0 - moment.share) * from.effort + moment.share * to.effort;
  for (move::ContactResult& contact : frame.contacts) {
    const move::ContactResult* a = from.find_contact(contact.limb);
    const move::ContactResult* b = to.find_contact(contact.limb);
    if (a != nullptr && b != nullptr && a->hold == b->hold && a->site == b->site)
      blend_into(contact, *a, *b, moment.share);
  }
  return frame;
}

}  // namespace steepwright::viewer
