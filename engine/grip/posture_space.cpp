#include "engine/grip/posture_space.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// The tip stays at least this far inside the lip, m.
constexpr double kLeastHold_m = 0.006;
/// A longer floor gives a finger nothing more, m.
constexpr double kMostWithdrawal_m = 0.050;
/// A tip that finds no floor at the back face may find more a little before it, where the rounding is less steep, m.
constexpr double kBeforeBack_m = 0.0045;
constexpr double kNearSame_m = 0.002;  ///< nearer places of the lip are left to the search

/// Places of the lip to start from, in bones from the tip.
constexpr std::array<double, 5> kOpenPlaces = {1.0, 1.2, 1.4, 1.6, 2.0};
/// With the proximal bone over the lip as well a hand holds most where the lip lies just before the middle joint.
constexpr std::array<double, 7> kWrappedPlaces = {1.0, 1.3, 1.6, 1.7, 1.8, 1.9, 2.0};
constexpr std::array<double, 2> kBentPlaces = {0.75, 1.0};

/// Directions of distal and middle bone against the floor, degrees.
struct Bend {
  double distal_deg, middle_deg;
};
/// A crimp's distal bone: tip down steeply, less so, flat, heel of the pad down; each with two shares of the end
/// joint's range.
constexpr std::array<double, 5> kBentPitches_deg = {-40, -12, 4, 15, 25};
constexpr std::array<double, 2> kBentEndJoint = {0.1, 0.8};
/// An extended finger on its end alone: both bones flat, then the middle bone ever steeper, on the tip, the whole pad
/// or its heel; last hooked over the tip.
constexpr std::array<Bend, 9> kOpenStarts = {
    {{-2, 4}, {-14, 4}, {-6, 14}, {0, 30}, {-10, 42}, {15, 30}, {15, 45}, {26, 40}, {-24, 31}}};
/// Distal bone of the hooked starts: the end joint bent as far as it goes, the tip at the back face or off it.
constexpr std::array<double, 4> kHookedPitches_deg = {-18, -6, 7, 28};
/// Distal bone of the flush starts.
constexpr std::array<double, 6> kFlushPitches_deg = {-22, -13, -3, 8, 20, 29};
/// Shares of the middle joint's range; the first means as little as the end joint allows.
constexpr std::array<double, 3> kMiddleJoint = {0.0, 0.35, 0.8};
/// The same for the flush starts: as little as the end joint allows, and much.
constexpr std::array<double, 2> kFlushMiddleJoint = {0.0, 0.8};
/// A wrapped hand's middle joint: proximal bone flush with the others, lifting them a little, clear of the hold. deg.
constexpr std::array<double, 3> kWrapFlexions_deg = {0.0, 8.0, -15.0};

/// Steps that change a finger about alike.
constexpr double kPitchStep = rad_from_deg(4.0);
constexpr double kMiddlePitchStep = rad_from_deg(8.0);
constexpr double kMiddleJointStep = rad_from_deg(12.0);
constexpr double kWrapStep = rad_from_deg(5.0);
constexpr double kWithdrawalStep = 0.15;
/// Gaps between the last two bones at which both matter, m; the distal bone gives 3 mm.
constexpr double kLeastGap_m = -0.004;
constexpr double kMostGap_m = 0.001;
/// Gaps of the starts: where the best postures lie.
constexpr std::array<double, 3> kStartGaps_m = {0.0, -0.001, -0.0022};

bool is_ridge(double gap_m) { return gap_m > kLeastGap_m && gap_m < kMostGap_m; }

/// Brings a value into a range.
RangeEnd bring_into(const AngleRange& range, double& value) {
  constexpr double kAtEnd = 1e-12;
  RangeEnd end;
  if (value <= range.lower + kAtEnd) {
    end = {-1, value < range.lower - kAtEnd};
  } else if (value >= range.upper - kAtEnd) {
    end = {1, value > range.upper + kAtEnd};
  }
  value = std::clamp(value, range.lower, range.upper);
  return end;
}

}  // namespace

PostureSpace::PostureSpace(const Finger& finger, const hold::Outline& outline, const GripForm& form)
    : finger_(finger),
      outline_(outline),
      form_(form),
      most_withdrawal_m_(std::clamp(outline.depth - kLeastHold_m, 0.0, kMostWithdrawal_m)),
      flush_(finger, outline) {
  withdrawals_m_.push_back(0.0);
  const auto offer = [&](double lip_place) {
    const double withdrawal_m = find_withdrawal(lip_place);
    if (withdrawal_m > kNearSame_m && withdrawal_m < most_withdrawal_m_) withdrawals_m_.push_back(withdrawal_m);
  };
  starts_before_back_ = outline.floor_start > outline.depth - kBeforeBack_m && kBeforeBack_m < most_withdrawal_m_;
  if (starts_before_back_) withdrawals_m_.push_back(kBeforeBack_m);
  if (form.wraps_proximal) {
    for (const double place : kWrappedPlaces) offer(place);
  } else if (form.bears_on_middle) {
    for (const double place : kOpenPlaces) offer(place);
  } else {
    for (const double place : kBentPlaces) offer(place);
  }
}

double PostureSpace::find_lip_place(double withdrawal_m) const {
  const double reach_m = outline_.depth - withdrawal_m;
  return reach_m < finger_.distal_m ? reach_m / finger_.distal_m
                                    : 1.0 + (reach_m - finger_.distal_m) / finger_.middle_m;
}

double PostureSpace::find_withdrawal(double lip_place) const {
  return outline_.depth -
         (lip_place < 1.0 ? lip_place * finger_.distal_m : finger_.distal_m + (lip_place - 1.0) * finger_.middle_m);
}

double PostureSpace::find_first_middle_pitch(double pitch, double withdrawal_m) const {
  if (!form_.wraps_proximal) return 0.0;
  return flush_.find_most_middle_pitch(pitch, withdrawal_m, pitch + form_.dip.lower, pitch + form_.dip.upper);
}

double PostureSpace::find_first_flexion(const BoneLine& line) const {
  return form_.wraps_proximal ? flush_.find_most_flexion(line, form_.pip.upper, form_.pip.lower) : 0.0;
}

FingerPosture PostureSpace::at(const PosturePoint& point) const {
  Bounds bounds;
  return at(point, bounds);
}

FingerPosture PostureSpace::at(const PosturePoint& point, Bounds& bounds) const {
  FingerPosture posture;
  posture.withdrawal = point[3] * kWithdrawalUnit_m;
  bounds.withdrawal = bring_into({0.0, most_withdrawal_m_}, posture.withdrawal);
  posture.pitch = point[0];
  bounds.pitch = bring_into(form_.pitch, posture.pitch);
  posture.dip = point[1] - posture.pitch;
  bounds.dip = bring_into(form_.dip, posture.dip);
  posture.pip = point[2];
  bounds.pip = bring_into(form_.pip, posture.pip);
  // Where the end joint follows the middle one, a wanted end joint takes the middle joint along.
  const AngleRange pip = find_pip_range(form_, posture.dip);
  bounds.pip_of_dip = bring_into(pip, posture.pip);
  const bool is_free_below = pip.lower > form_.pip.lower && pip.lower < form_.pip.upper;
  const bool is_free_above = pip.upper < form_.pip.upper && pip.upper > pip.lower;
  if (bounds.pip_of_dip.side < 0 && is_free_below) bounds.pip_of_dip.rate = 1.0 / form_.dip_of_pip_upper;
  if (bounds.pip_of_dip.side > 0 && is_free_above) bounds.pip_of_dip.rate = 1.0 / form_.dip_of_pip_lower;
  const AngleRange dip = find_dip_range(form_, posture.pip);
  bounds.dip_of_pip = bring_into(dip, posture.dip);
  if (bounds.dip_of_pip.side < 0 && dip.lower > form_.dip.lower) bounds.dip_of_pip.rate = form_.dip_of_pip_lower;
  if (bounds.dip_of_pip.side > 0 && dip.upper < form_.dip.upper) bounds.dip_of_pip.rate = form_.dip_of_pip_upper;
  return posture;
}

PosturePoint PostureSpace::find_slope(const Eigen::Vector4d& by_posture, const Bounds& bounds) {
  double by_pitch = by_posture[0], by_dip = by_posture[1], by_pip = by_posture[2], by_withdrawal = by_posture[3];
  // Backwards through the ranges: what an end holds moves with what moves the end.
  if (bounds.dip_of_pip.holds(by_dip)) {
    by_pip += bounds.dip_of_pip.rate * by_dip;
    by_dip = 0.0;
  }
  if (bounds.pip_of_dip.holds(by_pip)) {
    by_dip += bounds.pip_of_dip.rate * by_pip;
    by_pip = 0.0;
  }
  if (bounds.pip.holds(by_pip)) by_pip = 0.0;
  if (bounds.dip.holds(by_dip)) by_dip = 0.0;
  by_pitch -= by_dip;
  if (bounds.pitch.holds(by_pitch)) by_pitch = 0.0;
  if (bounds.withdrawal.holds(by_withdrawal)) by_withdrawal = 0.0;
  return {by_pitch, by_dip, by_pip, kWithdrawalUnit_m * by_withdrawal};
}

PosturePoint PostureSpace::find_raw(const PosturePoint& from_flush) const {
  if (!form_.wraps_proximal) return from_flush;
  PosturePoint raw = from_flush;
  const double withdrawal_m = std::clamp(raw[3] * kWithdrawalUnit_m, 0.0, most_withdrawal_m_);
  const double pitch = std::clamp(raw[0], form_.pitch.lower, form_.pitch.upper);
  raw[1] = std::clamp(find_first_middle_pitch(pitch, withdrawal_m) + raw[1] - pitch, form_.dip.lower, form_.dip.upper) +
           pitch;
  raw[2] += find_first_flexion({pitch, raw[1], withdrawal_m});
  return raw;
}

PosturePoint PostureSpace::steps() const {
  const double flexion_step = form_.wraps_proximal ? kWrapStep : kMiddleJointStep;
  const double middle_step = form_.wraps_proximal ? kWrapStep : kMiddlePitchStep;
  return {kPitchStep, middle_step, flexion_step, kWithdrawalStep};
}

double PostureSpace::find_flexion(std::size_t i, std::span<const double> shares) const {
  return form_.wraps_proximal ? rad_from_deg(kWrapFlexions_deg[i]) : form_.pip.at(shares[i]);
}

void PostureSpace::add_start(double pitch_deg, double middle_deg, double withdrawal_m, Starts& starts) const {
  for (std::size_t i = 0; i < kMiddleJoint.size(); ++i) {
    if (starts.full()) return;
    const double pitch = rad_from_deg(pitch_deg);
    const PosturePoint wished(pitch, rad_from_deg(middle_deg) - find_first_middle_pitch(pitch, withdrawal_m),
                              find_flexion(i, kMiddleJoint), withdrawal_m / kWithdrawalUnit_m);
    // On the borders of the ranges, not beyond: there a climb would see nothing change.
    starts.push_back(find_point(at(find_raw(wished))));
  }
}

void PostureSpace::add_flush_starts(double withdrawal_m, Starts& starts) const {
  const auto add = [&](double pitch, double middle_pitch) {
    for (std::size_t i = 0; i < kFlushMiddleJoint.size() && !starts.full(); ++i) {
      starts.push_back(
          find_raw({pitch, middle_pitch, find_flexion(i, kFlushMiddleJoint), withdrawal_m / kWithdrawalUnit_m}));
    }
  };
  for (const double pitch_deg : kFlushPitches_deg) {
    const double pitch = std::clamp(rad_from_deg(pitch_deg), form_.pitch.lower, form_.pitch.upper);
    if (form_.wraps_proximal) {
      add(pitch, 0.0);
      continue;
    }
    for (const double gap_m : kStartGaps_m) {
      for (const double middle_pitch :
           flush_.find_middle_pitches(pitch, withdrawal_m, gap_m, pitch + form_.dip.lower, pitch + form_.dip.upper)) {
        add(pitch, middle_pitch);
      }
    }
  }
}

void PostureSpace::add_end_starts(double withdrawal_m, Starts& starts) const {
  if (!form_.bears_on_middle) {
    for (const double pitch_deg : kBentPitches_deg) {
      for (const double share : kBentEndJoint) {
        add_start(pitch_deg, pitch_deg + deg_from_rad(form_.dip.at(share)), withdrawal_m, starts);
      }
    }
    return;
  }
  if (withdrawal_m <= kBeforeBack_m) {
    for (const Bend& bend : kOpenStarts) add_start(bend.distal_deg, bend.middle_deg, withdrawal_m, starts);
  }
  for (const double pitch_deg : kHookedPitches_deg) {
    add_start(pitch_deg, pitch_deg + deg_from_rad(form_.dip.upper), withdrawal_m, starts);
  }
}

void PostureSpace::find_end_starts(Starts& starts) const {
  starts.clear();
  add_end_starts(0.0, starts);
  if (starts_before_back_) add_end_starts(kBeforeBack_m, starts);
}

void PostureSpace::find_starts(Starts& starts) const {
  starts.clear();
  for (const double withdrawal_m : withdrawals_m_) {
    add_end_starts(withdrawal_m, starts);
    if (form_.bears_on_middle) add_flush_starts(withdrawal_m, starts);
  }
}

bool PostureSpace::is_near(const PosturePoint& a, const PosturePoint& b) const {
  // Where several bones lie on, the first one tells seats apart.
  if (form_.bears_on_middle && std::abs(a[0] - b[0]) >= kPitchStep) return false;
  return std::abs(a[1] - b[1]) < kMiddlePitchStep && std::abs(a[3] - b[3]) < kWithdrawalStep;
}

PostureLead PostureSpace::find_lead(const PosturePoint& point) const {
  const double withdrawal_m = std::clamp(point[3] * kWithdrawalUnit_m, 0.0, most_withdrawal_m_);
  const BoneLine line{point[0], point[1], withdrawal_m};
  PostureLead lead;
  lead.pitch = point[0];
  lead.middle_pitch = point[1] - find_first_middle_pitch(line.pitch, withdrawal_m);
  lead.flexion = point[2] - find_first_flexion(line);
  lead.lip_place = find_lip_place(withdrawal_m);
  lead.is_at_back = withdrawal_m < 1e-4;
  lead.gap_m = form_.bears_on_middle && !form_.wraps_proximal ? flush_.find(line) : FlushGap::kAway;
  return lead;
}

PosturePoint PostureSpace::find_point(const FingerPosture& posture) const {
  return {posture.pitch, posture.pitch + posture.dip, posture.pip, posture.withdrawal / kWithdrawalUnit_m};
}

PosturePoint PostureSpace::find_point(const PostureLead& lead) const {
  const double withdrawal_m = lead.is_at_back ? 0.0 : find_withdrawal(lead.lip_place);
  PosturePoint point(lead.pitch, lead.middle_pitch, lead.flexion, withdrawal_m / kWithdrawalUnit_m);
  if (form_.wraps_proximal) return find_raw(point);
  if (!is_ridge(lead.gap_m)) return point;
  // The other finger's bones lie so at a slightly different bend.
  constexpr double kLook = rad_from_deg(9.0);
  const auto pitches = flush_.find_middle_pitches(lead.pitch, withdrawal_m, lead.gap_m, lead.middle_pitch - kLook,
                                                  lead.middle_pitch + kLook);
  if (pitches.size() == 1) point[1] = pitches[0];
  return point;
}

}  // namespace steepwright::grip
