#include "engine/move/verdict.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

/// 0: no posture, 1: no balance, 2: balance at some effort.
int stage_of(const Frame& frame) {
  if (!frame.has_posture) return 0;
  return std::isfinite(frame.effort) ? 2 : 1;
}

/// A stance at its places tells more than one on the way there.
bool is_on_the_way(const Frame& frame) { return frame.phase == Phase::kTravel; }

const Frame& find_deciding_frame(const std::vector<Frame>& frames) {
  return *std::min_element(frames.begin(), frames.end(), [](const Frame& a, const Frame& b) {
    if (stage_of(a) != stage_of(b)) return stage_of(a) < stage_of(b);
    if (stage_of(a) == 0 && is_on_the_way(a) != is_on_the_way(b)) return is_on_the_way(b);
    if (stage_of(a) == 1) return a.mu_needed_factor > b.mu_needed_factor;
    return a.effort > b.effort;
  });
}

/// "'long rail'" or "the smear" of a limb in a frame.
std::string find_place_name(const Frame& frame, std::optional<Limb> limb) {
  for (const ContactResult& contact : frame.contacts) {
    if (limb && contact.limb == *limb) return contact.hold.empty() ? "its smear" : "'" + contact.hold + "'";
  }
  return "its hold";
}

std::string describe_reach(const Frame& frame) {
  if (!frame.limit_limb || !frame.reach_short_m) return frame.limit;
  return fmt::format("{} ends {:.0f} mm short of {}", long_name(*frame.limit_limb), mm_from_m(*frame.reach_short_m),
                     find_place_name(frame, frame.limit_limb));
}

std::string describe_clearance(const Frame& frame) {
  std::string text = fmt::format("{} by {:.0f} mm", frame.limit, mm_from_m(frame.obstruction_m.value_or(0.0)));
  if (frame.limit_limb && frame.reach_short_m) {
    text += fmt::format("; kept clear, the {} ends {:.0f} mm short of {}", long_name(*frame.limit_limb),
                        mm_from_m(*frame.reach_short_m), find_place_name(frame, frame.limit_limb));
  }
  return text;
}

std::string describe_slip(const Frame& frame) {
  if (!frame.limit_limb || !frame.limit_mu_needed) return frame.limit;
  return fmt::format("{} on {}: needs mu {:.2f}, surface gives {:.2f}", frame.limit,
                     find_place_name(frame, frame.limit_limb), *frame.limit_mu_needed,
                     frame.limit_mu_given.value_or(0.0));
}

std::string describe_effort(const Frame& frame) {
  const double percent = 100.0 * frame.effort;
  if (frame.cause == Cause::kGrip) {
    return fmt::format("{} on {} at {:.0f} %: {:.0f} N missing", frame.limit, find_place_name(frame, frame.limit_limb),
                       percent, (frame.effort - 1.0) * frame.limit_capacity_N.value_or(0.0));
  }
  return fmt::format("{} at {:.0f} %", frame.limit, percent);
}

std::string describe(const Frame& frame) {
  switch (frame.cause) {
    case Cause::kReach:
      return describe_reach(frame);
    case Cause::kClearance:
      return describe_clearance(frame);
    case Cause::kSlip:
      return describe_slip(frame);
    case Cause::kGrip:
    case Cause::kStrength:
      return describe_effort(frame);
    case Cause::kNone:
      break;
  }
  return fmt::format("{} used most", frame.limit);
}

Shortfall make_shortfall(const Frame& frame) {
  Shortfall shortfall;
  if (frame.reach_short_m) shortfall.reach_mm = mm_from_m(*frame.reach_short_m);
  if (frame.obstruction_m) shortfall.clearance_mm = mm_from_m(*frame.obstruction_m);
  shortfall.mu_needed = frame.limit_mu_needed;
  shortfall.mu_given = frame.limit_mu_given;
  if (frame.has_posture && std::isfinite(frame.effort)) shortfall.effort = frame.effort;
  if (frame.cause == Cause::kGrip && frame.limit_capacity_N) {
    shortfall.force_N = (frame.effort - 1.0) * *frame.limit_capacity_N;
  }
  return shortfall;
}

}  // namespace

void decide_verdict(MoveResult& result) {
  const Frame& deciding = find_deciding_frame(result.frames);
  const bool holds = std::all_of(result.frames.begin(), result.frames.end(), [](const Frame& f) { return f.is_held; });
  result.verdict = holds ? Verdict::kStatic : Verdict::kNotStatic;
  result.cause = holds ? Cause::kNone : deciding.cause;
  result.cause_text = describe(deciding);
  result.deciding_phase = deciding.phase;
  result.deciding_frame = static_cast<int>(&deciding - result.frames.data());
  result.deciding_limb = deciding.limit_limb;
  if (!holds) result.shortfall = make_shortfall(deciding);
  result.effort_peak = deciding.has_posture ? deciding.effort : std::numeric_limits<double>::infinity();
}

}  // namespace steepwright::move
