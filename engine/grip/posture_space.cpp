#include "engine/grip/posture_space.h"

#include "engine/core/units.h"

#include <algorithm>
#include <array>
#include <span>

namespace steepwright::grip {

namespace {

/// The tip stays at least this far inside the lip, m.
constexpr double kLeastHold_m = 0.006;
/// A longer floor gives a finger nothing more, m.
constexpr double kMostWithdrawal_m = 0.050;
constexpr double kNearSame_m = 0.002;  ///< nearer places of the lip are left to the pattern search

constexpr double kAngleScale = rad_from_deg(60.0);
constexpr double kLengthScale_m = 0.015;

/// Directions of distal and middle bone against the floor, degrees.
struct Bend {
  double distal_deg, middle_deg;
};
/// A crimp: tip down steeply, less so, flat, heel of the pad down; each with the end joint bent back and bent a little.
constexpr std::array<Bend, 8> kBentStarts = {
    {{-40, -50}, {-40, -28}, {-12, -24}, {-12, -2}, {4, -8}, {4, 12}, {18, 4}, {18, 24}}};
/// An extended finger: both bones flat, then the middle bone ever steeper, on the tip, the whole pad or its heel.
constexpr std::array<Bend, 8> kOpenStarts = {
    {{-2, 4}, {-14, 4}, {-6, 14}, {0, 30}, {-10, 42}, {15, 30}, {15, 45}, {26, 40}}};
/// Share of the middle joint's range.
constexpr std::array<double, 2> kMiddleJoint = {0.25, 0.8};

}  // namespace

PostureSpace::PostureSpace(const Finger& finger, const hold::Outline& outline, const GripForm& form)
    : form_(form), most_withdrawal_m_(std::clamp(outline.depth - kLeastHold_m, 0.0, kMostWithdrawal_m)) {
  withdrawals_.push_back(0.0);
  const auto offer = [&](double tip_from_lip_m) {
    const double withdrawal_m = outline.depth - tip_from_lip_m;
    if (withdrawal_m > kNearSame_m && withdrawal_m < most_withdrawal_m_) withdrawals_.push_back(withdrawal_m);
  };
  offer(finger.distal_m);
  if (!form.bears_on_middle) return;
  offer(finger.distal_m + 0.25 * finger.middle_m);
  offer(finger.distal_m + 0.55 * finger.middle_m);
  offer(finger.distal_m + finger.middle_m);
}

FingerPosture PostureSpace::bring_back(FingerPosture posture) const {
  posture.pitch = std::clamp(posture.pitch, form_.pitch.lower, form_.pitch.upper);
  posture.withdrawal = std::clamp(posture.withdrawal, 0.0, most_withdrawal_m_);
  posture.pip = std::clamp(posture.pip, form_.pip.lower, form_.pip.upper);
  const AngleRange dip = find_dip_range(form_, posture.pip);
  posture.dip = std::clamp(posture.dip, dip.lower, dip.upper);
  return posture;
}

FingerPosture PostureSpace::moved(const FingerPosture& posture, PostureMove move, double size) const {
  FingerPosture next = posture;
  const double turn = kAngleScale * size;
  switch (move) {
    case PostureMove::kPitch:
      next.pitch += turn;
      break;
    case PostureMove::kWithdrawal:
      next.withdrawal += kLengthScale_m * size;
      break;
    case PostureMove::kMiddleJoint:
      next.pip += turn;
      break;
    case PostureMove::kEndJoint:
      next.dip += turn;
      break;
    case PostureMove::kPitchAndEndJoint:
      next.pitch += turn;
      next.dip -= turn;
      break;
    case PostureMove::kPitchAndMiddleJoint:
      next.pitch += turn;
      next.pip -= turn;
      break;
  }
  return bring_back(next);
}

std::size_t PostureSpace::n_starts() const {
  const std::size_t n_bends = form_.bears_on_middle ? kOpenStarts.size() : kBentStarts.size();
  return withdrawals_.size() * n_bends * kMiddleJoint.size();
}

FingerPosture PostureSpace::start(std::size_t i) const {
  const std::span<const Bend> bends = form_.bears_on_middle ? std::span(kOpenStarts) : std::span(kBentStarts);
  const Bend& bend = bends[i % bends.size()];
  i /= bends.size();
  FingerPosture posture;
  posture.pitch = rad_from_deg(bend.distal_deg);
  posture.dip = rad_from_deg(bend.middle_deg - bend.distal_deg);
  posture.pip = form_.pip.at(kMiddleJoint[i % kMiddleJoint.size()]);
  posture.withdrawal = withdrawals_[i / kMiddleJoint.size()];
  return bring_back(posture);
}

}  // namespace steepwright::grip
