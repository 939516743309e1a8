#include "engine/grip/hand_fan.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Fingertips bear this far in front of the back face on a deep floor, m (assumed: middle of the tip's pad).
constexpr double kTipBearing_m = 0.004;

int count(const std::array<bool, 4>& digits) {
  return static_cast<int>(std::count(digits.begin(), digits.end(), true));
}

HandFan start_fan(const HandTask& task, const hold::Outline& outline, const std::array<bool, 4>& digits) {
  HandFan fan;
  fan.digits = digits;
  fan.n_fingers = count(digits);
  fan.pulls = make_pulls(find_mu(*task.site, *task.hand), find_bearing_lean(outline));
  return fan;
}

void sum_fingers(HandFan& fan) {
  for (const Digit digit : kDigits) {
    if (!fan.digits[index_of(digit)]) continue;
    for (std::size_t i = 0; i < kPullCount; ++i) fan.force_N[i] += fan.fingers[index_of(digit)].force_N[i];
  }
}

HandFan calc_fan_of(const HandTask& task, const hold::Outline& outline, const std::array<bool, 4>& digits,
                    FingerSearch& search, HandLeads& found) {
  HandFan fan = start_fan(task, outline, digits);
  found.digits = digits;
  // The middle finger holds in every grip; what is best for it is nearly best for the others.
  constexpr std::array<Digit, 4> kOrder = {Digit::kMiddle, Digit::kIndex, Digit::kRing, Digit::kLittle};
  const GripForm& form = find_grip_form(task.grip);
  std::array<FingerLeads, 4> leads;
  std::array<SearchTask, 4> tasks;
  std::size_t n_led = 0;
  for (const Digit digit : kOrder) {
    if (!digits[index_of(digit)]) continue;
    SearchTask& finger_task = tasks[index_of(digit)];
    finger_task = make_search_task(task, outline, digit, fan.n_fingers);
    // Where a wrapped finger's three bones find their seat depends on its own length: it follows nobody.
    const bool leads_itself = n_led == 0 || form.wraps_proximal;
    fan.fingers[index_of(digit)] = search.calc_fan(finger_task, leads_itself ? nullptr : &leads[0]);
    found.fingers[index_of(digit)] = leads[n_led++] = search.leads();
  }
  for (const Digit digit : kOrder) {
    // Bent fingers have few good postures, and each finds its own.
    if (!digits[index_of(digit)] || !form.bears_on_middle) continue;
    if (search.improve(tasks[index_of(digit)], {leads.data(), n_led}, fan.fingers[index_of(digit)])) {
      found.fingers[index_of(digit)] = search.leads();
    }
  }
  sum_fingers(fan);
  return fan;
}

}  // namespace

double find_mu(const hold::Site& site, const Hand& hand) {
  return hold::friction_of(site.surface, hand.is_chalked).hand_mu;
}

double find_bearing_lean(const hold::Outline& outline) {
  const Vec2 normal = outline.find_point(outline.depth - std::min(0.5 * outline.depth, kTipBearing_m)).normal;
  return std::atan2(-normal.x(), normal.y());
}

std::array<bool, 4> find_digits(const hold::Site& site, Grip grip, Pair pair) {
  std::array<bool, 4> digits = find_grip_form(grip).digits;
  int room = std::clamp(site.fingers, 1, 4);
  if (std::min(room, count(digits)) == 2) {
    return pair == Pair::kMiddleRing ? std::array<bool, 4>{false, true, true, false}
                                     : std::array<bool, 4>{true, true, false, false};
  }
  if (room == 1) return {false, true, false, false};
  for (bool& is_used : digits) {
    is_used = is_used && room > 0;
    room -= is_used ? 1 : 0;
  }
  return digits;
}

SearchTask make_search_task(const HandTask& task, const hold::Outline& outline, Digit digit, int n_fingers) {
  const GripForm& form = find_grip_form(task.grip);
  SearchTask search;
  search.finger = &task.hand->fingers[index_of(digit)];
  search.outline = &outline;
  search.form = &form;
  search.limits = find_finger_limits(*task.hand, digit, n_fingers, form.has_thumb_lock);
  search.mu = find_mu(*task.site, *task.hand);
  search.pulls = make_pulls(search.mu, find_bearing_lean(outline));
  search.forearm_swing = task.forearm_swing;
  return search;
}

HandFan calc_hand_fan(const HandTask& task, FingerSearch& search, HandLeads* leads) {
  const hold::Outline outline = hold::make_outline(*task.site);
  const std::array<bool, 4> digits = find_digits(*task.site, task.grip, Pair::kMiddleRing);
  HandLeads found;
  HandFan fan = calc_fan_of(task, outline, digits, search, found);
  const std::array<bool, 4> other = find_digits(*task.site, task.grip, Pair::kIndexMiddle);
  if (other != digits) {
    HandLeads other_found;
    const HandFan other_fan = calc_fan_of(task, outline, other, search, other_found);
    if (other_fan.force_N[kAlongNormal] > fan.force_N[kAlongNormal]) {
      fan = other_fan;
      found = other_found;
    }
  }
  if (leads != nullptr) *leads = found;
  return fan;
}

HandFan turn_hand_fan(const HandTask& task, const HandLeads& leads, FingerSearch& search) {
  const hold::Outline outline = hold::make_outline(*task.site);
  HandFan fan = start_fan(task, outline, leads.digits);
  for (const Digit digit : kDigits) {
    if (!leads.digits[index_of(digit)]) continue;
    fan.fingers[index_of(digit)] =
        search.turn_fan(make_search_task(task, outline, digit, fan.n_fingers), leads.fingers[index_of(digit)]);
  }
  sum_fingers(fan);
  return fan;
}

HandAlong calc_hand_along(const HandTask& task, double angle, FingerSearch& search) {
  const hold::Outline outline = hold::make_outline(*task.site);
  HandAlong best;
  for (const Pair pair : {Pair::kMiddleRing, Pair::kIndexMiddle}) {
    const std::array<bool, 4> digits = find_digits(*task.site, task.grip, pair);
    if (pair == Pair::kIndexMiddle && digits == find_digits(*task.site, task.grip, Pair::kMiddleRing)) break;
    HandAlong along;
    for (const Digit digit : kDigits) {
      if (!digits[index_of(digit)]) continue;
      auto& finger = along.fingers[index_of(digit)];
      finger = search.calc_along(make_search_task(task, outline, digit, count(digits)), angle);
      along.force_N += finger->force_N;
    }
    if (along.force_N >= best.force_N) best = along;
  }
  return best;
}

}  // namespace steepwright::grip
