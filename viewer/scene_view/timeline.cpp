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

constexpr auto between(double share) {
  return [share](const auto& a, const auto& b) { return (1.0 - share) * a + share * b; };
}

// What ends it is that of the nearer one.
SlipOff blend(const SlipOff& from, const SlipOff& to, double share) {
  return {between(share)(from.margin, to.margin), (share < 0.5 ? from : to).is_by_strength};
}

// The same limb on the same place in both frames.
bool is_kept(const move::ContactResult* a, const move::ContactResult* b) {
  return a != nullptr && b != nullptr && a->hold == b->hold && a->site == b->site;
}

void blend_into(move::ContactResult& contact, const move::ContactResult& from, const move::ContactResult& to,
                double share) {
  const auto at = between(share);
  contact.p_WC = at(from.p_WC, to.p_WC);
  contact.f_C_W = at(from.f_C_W, to.f_C_W);
  contact.capacity_use = at(from.capacity_use, to.capacity_use);
  contact.slip_off = blend(from.slip_off, to.slip_off, share);
}

}  // namespace

void find_frame_at(const std::vector<move::Frame>& frames, const Moment& moment, move::Frame& frame) {
  const move::Frame& from = frames[moment.lower];
  const move::Frame& to = frames[moment.upper];
  frame = frames[moment.nearest()];
  if (moment.share <= 0.0) return;
  const auto at = between(moment.share);
  frame.t = at(from.t, to.t);
  frame.posture = blend(from.posture, to.posture, moment.share);
  frame.p_Wcm = at(from.p_Wcm, to.p_Wcm);
  frame.effort = find_effort_at(frames, moment);
  for (move::ContactResult& contact : frame.contacts) {
    const move::ContactResult* a = from.find_contact(contact.limb);
    const move::ContactResult* b = to.find_contact(contact.limb);
    if (is_kept(a, b)) blend_into(contact, *a, *b, moment.share);
  }
}

double find_effort_at(const std::vector<move::Frame>& frames, const Moment& moment) {
  // Infinite where the instant does not hold: no share of it may be taken.
  if (moment.share <= 0.0) return frames[moment.lower].effort;
  return between(moment.share)(frames[moment.lower].effort, frames[moment.upper].effort);
}

std::optional<ContactNumbers> find_contact_numbers(const move::Frame& frame, Limb limb) {
  const move::ContactResult* contact = frame.has_posture ? frame.find_contact(limb) : nullptr;
  if (contact == nullptr || !contact->is_loaded) return std::nullopt;
  return ContactNumbers{contact->f_C_W, contact->capacity_use, contact->slip_off};
}

std::optional<ContactNumbers> find_contact_at(const std::vector<move::Frame>& frames, const Moment& moment, Limb limb) {
  std::optional<ContactNumbers> numbers = find_contact_numbers(frames[moment.nearest()], limb);
  const move::ContactResult* a = frames[moment.lower].find_contact(limb);
  const move::ContactResult* b = frames[moment.upper].find_contact(limb);
  if (!numbers || moment.share <= 0.0 || !is_kept(a, b)) return numbers;
  const auto at = between(moment.share);
  return ContactNumbers{at(a->f_C_W, b->f_C_W), at(a->capacity_use, b->capacity_use),
                        blend(a->slip_off, b->slip_off, moment.share)};
}

}  // namespace steepwright::viewer
