#include "engine/move/peaks.h"

#include "engine/move/goals.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

LowerHandState make_state(const Mat3& R_WP, const ContactResult& contact, const Frame& frame) {
  LowerHandState state;
  state.com_above_hold_m = frame.p_Wcm.z() - contact.p_WC.z();
  state.force_N = contact.f_C_W.norm();
  if (state.force_N > 0.0) state.pull_W = -contact.f_C_W / state.force_N;
  state.pull_swing = std::atan2(state.pull_W.dot(R_WP.col(2)), -state.pull_W.dot(R_WP.col(1)));
  state.forearm_swing = contact.forearm_swing.value_or(0.0);
  state.capacity_use = contact.capacity_use;
  state.slip_margin = contact.slip_margin;
  state.slip_off = contact.slip_off;
  state.set_name = contact.set_name;
  return state;
}

}  // namespace

std::optional<Limb> find_lower_hand(const Scene& scene, const Move& move) {
  if (!is_hand(move.moving)) return std::nullopt;
  const Limb other = find_other_side(move.moving);
  const std::optional<LimbPlace>& place = move.before.limbs[index_of(other)];
  if (!place || find_site_pose(scene, *place).p.z() >= find_site_pose(scene, move.target).p.z()) return std::nullopt;
  return other;
}

void add_lower_hand(const Scene& scene, const body::Body& body, const Move& move, MoveResult& result) {
  if (!result.lower_hand) return;
  const Limb hand = *result.lower_hand;
  const Mat3& R_WP = find_strip(scene, *move.before.limbs[index_of(hand)]).X_WP.R;
  body::Kinematics kinematics;
  for (Frame& frame : result.frames) {
    for (const ContactResult& contact : frame.contacts) {
      if (contact.limb != hand) continue;
      frame.lower_hand = make_state(R_WP, contact, frame);
      body::update_poses(body.tree, frame.posture, kinematics);
      frame.lower_hand->forearm_W = find_forearm(body, hand, kinematics);
    }
  }
}

void add_peaks(MoveResult& result) {
  MovePeaks peaks;
  for (MovePeaks::OfLimb& of : peaks.limbs) of.slip_margin = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < result.frames.size(); ++i) {
    const Frame& frame = result.frames[i];
    if (!frame.has_posture) continue;
    const int index = static_cast<int>(i);
    if (peaks.effort_frame < 0 || frame.effort > peaks.effort) {
      peaks.effort = frame.effort;
      peaks.effort_frame = index;
    }
    for (const ContactResult& contact : frame.contacts) {
      MovePeaks::OfLimb& of = peaks.limbs[index_of(contact.limb)];
      if (!contact.is_loaded) continue;
      const double load_N = contact.f_C_W.norm();
      if (of.load_frame < 0 || load_N > of.load_N) {
        of.load_N = load_N;
        of.load_frame = index;
      }
      if (of.capacity_frame < 0 || contact.capacity_use > of.capacity_use) {
        of.capacity_use = contact.capacity_use;
        of.capacity_frame = index;
      }
      if (load_N >= kCarries_N && contact.slip_margin < of.slip_margin) {
        of.slip_margin = contact.slip_margin;
        of.slip_frame = index;
      }
      if (load_N >= kCarries_N && (of.slip_off_frame < 0 || contact.slip_off.margin < of.slip_off.margin)) {
        of.slip_off = contact.slip_off;
        of.slip_off_frame = index;
      }
    }
  }
  for (const Limb limb : kLimbs) {
    const MovePeaks::OfLimb& of = peaks.limbs[index_of(limb)];
    if (of.slip_frame >= 0 &&
        (!peaks.slip_limb || of.slip_margin < peaks.limbs[index_of(*peaks.slip_limb)].slip_margin)) {
      peaks.slip_limb = limb;
    }
    if (of.capacity_frame >= 0 &&
        (!peaks.capacity_limb || of.capacity_use > peaks.limbs[index_of(*peaks.capacity_limb)].capacity_use)) {
      peaks.capacity_limb = limb;
    }
  }
  result.peaks = peaks;
}

}  // namespace steepwright::move
