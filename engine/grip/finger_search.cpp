#include "engine/grip/finger_search.h"

#include "engine/core/units.h"
#include "engine/grip/finger_slope.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

// Wrist: extension 75, flexion 76 degrees (joint surveys, read); the fingers hold hard only over a part of it
// (assumed).
constexpr double kMostExtension = rad_from_deg(65.0);
constexpr double kMostWristFlexion = rad_from_deg(45.0);
constexpr double kFavouredExtension = rad_from_deg(20.0);
constexpr double kFade = rad_from_deg(40.0);

/// How much is spent on a fan. An open hand's good postures lie on narrow ridges; a bent finger stands on its end alone
/// and needs less.
struct FanEffort {
  SearchEffort first, neighbour, follower, adopted, turned;
};
constexpr FanEffort kOpenEffort = {.first = {.worthwhile = 0.6,
                                             .n_raced = 8,
                                             .race_looks = 12,
                                             .n_finalists = 3,
                                             .close = 0.85,
                                             .final_looks = 16,
                                             .last_looks = 14,
                                             .first_step = 1.0,
                                             .agreed = 0.0005},
                                   .neighbour = {.worthwhile = 0.8,
                                                 .n_raced = 4,
                                                 .race_looks = 6,
                                                 .n_finalists = 1,
                                                 .final_looks = 12,
                                                 .last_looks = 8,
                                                 .first_step = 0.8,
                                                 .agreed = 0.0005},
                                   .follower = {.worthwhile = 0.8,
                                                .n_raced = 3,
                                                .race_looks = 5,
                                                .n_finalists = 1,
                                                .final_looks = 10,
                                                .last_looks = 8,
                                                .first_step = 0.6,
                                                .agreed = 0.0005},
                                   .adopted = {.race_looks = 12, .first_step = 0.6, .agreed = 0.0005},
                                   .turned = {.worthwhile = 0.9,
                                              .n_raced = 2,
                                              .race_looks = 6,
                                              .n_finalists = 1,
                                              .final_looks = 10,
                                              .first_step = 0.5,
                                              .agreed = 0.001}};
constexpr FanEffort kBentEffort = {
    .first = {.worthwhile = 0.6,
              .n_raced = 5,
              .race_looks = 6,
              .n_finalists = 2,
              .close = 0.95,
              .final_looks = 14,
              .last_looks = 8,
              .first_step = 1.0,
              .agreed = 0.0005},
    .neighbour =
        {.worthwhile = 0.85, .n_raced = 1, .n_finalists = 1, .final_looks = 12, .first_step = 0.6, .agreed = 0.0005},
    .follower =
        {.worthwhile = 0.85, .n_raced = 1, .n_finalists = 1, .final_looks = 10, .first_step = 0.5, .agreed = 0.0005},
    .adopted = {.race_looks = 8, .first_step = 0.5, .agreed = 0.001},
    .turned = {
        .worthwhile = 0.9, .n_raced = 1, .n_finalists = 1, .final_looks = 10, .first_step = 0.5, .agreed = 0.001}};
/// From the table's postures.
constexpr SearchEffort kTableEffort = {
    .worthwhile = 0.9, .n_raced = 1, .n_finalists = 1, .final_looks = 14, .first_step = 0.5, .agreed = 0.001};
/// Three bones of a wrapped finger meet the hold: more places to climb from.
constexpr FanEffort kWrappedEffort = [] {
  FanEffort effort = kOpenEffort;
  effort.first.race_looks = 12;
  return effort;
}();
const FanEffort& find_effort(const GripForm& form) {
  if (form.wraps_proximal) return kWrappedEffort;
  return form.bears_on_middle ? kOpenEffort : kBentEffort;
}

/// Pulls that are searched from all starts: well inward, straight onto the floor, outward.
constexpr std::array<std::size_t, 3> kAnchors = {1, 4, 8};
/// Pulls that are searched from what was found for two others, in order.
struct Between {
  std::size_t pull, below, above;
};
constexpr std::array<Between, 5> kBetween = {{{6, 4, 8}, {10, 6, 8}, {9, 8, 10}, {3, 1, 4}, {0, 1, 3}}};
/// All of these: where another finger has been searched before, its postures are the neighbours.
constexpr std::array<std::size_t, 8> kSearched = {0, 1, 3, 4, 6, 8, 9, 10};
/// A neighbour's posture is taken when it gives this much more.
constexpr double kBetter = 1.002;
/// First step of a climb that begins again.
constexpr double kAgain = 1.5;

}  // namespace

PullAngles make_pulls(double mu, double lean) {
  // The outermost stay a thousandth inside: on the very border rounding decides.
  constexpr PullAngles kShares = {-0.999, -0.75, -0.5, -0.25, 0.0, 0.2, 0.4, 0.6, 0.8, 0.92, 0.999};
  PullAngles pulls{};
  for (std::size_t i = 0; i < kPullCount; ++i) pulls[i] = kShares[i] * std::atan(mu) - lean;
  return pulls;
}

Knuckle find_knuckle(const GripForm& form, const FingerPosture& posture, double forearm_swing) {
  const double forearm_pitch = 0.5 * kPi - forearm_swing;
  const double proximal_pitch = posture.pitch + posture.dip + posture.pip;
  Knuckle knuckle;
  knuckle.mcp = std::clamp(forearm_pitch + kFavouredExtension - proximal_pitch, form.mcp.lower, form.mcp.upper);
  knuckle.wrist_extension = proximal_pitch + knuckle.mcp - forearm_pitch;
  const bool is_held = knuckle.mcp > form.mcp.lower && knuckle.mcp < form.mcp.upper;
  knuckle.mcp_slope = is_held ? -1.0 : 0.0;
  const double extended = knuckle.wrist_extension - kMostExtension;
  const double flexed = -kMostWristFlexion - knuckle.wrist_extension;
  const double beyond = std::max({0.0, extended, flexed});
  if (beyond > 0.0 && !is_held) knuckle.fit_slope = (extended > flexed ? -1.0 : 1.0) / kFade;
  knuckle.fit = std::max(0.0, 1.0 - beyond / kFade);
  return knuckle;
}

bool FingerSearch::build_program(const SearchTask& task, const FingerPosture& posture) {
  supports_.clear();
  knuckle_ = find_knuckle(*task.form, posture, task.forearm_swing);
  if (knuckle_.fit <= 0.0) return false;
  const Seating& seating = seat_.seat(*task.finger, *task.outline, posture, *task.form);
  if (seating.room <= 0.0 || seating.contacts.empty()) return false;
  along_.build(*task.finger, seating, posture, knuckle_.mcp, task.limits, task.mu, knuckle_.fit);
  return true;
}

void FingerSearch::Course::reset(double pull_angle) {
  direction = pull_direction(pull_angle);
  candidates.clear();
  prices.reset();
  ties.clear();
}

void FingerSearch::Course::offer(const PostureSpace& space, const Candidate& candidate, std::size_t most) {
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (!space.is_near(candidates[i].point, candidate.point)) continue;
    if (candidates[i].force_N >= candidate.force_N) return;
    for (; i + 1 < candidates.size(); ++i) candidates[i] = candidates[i + 1];
    candidates.pop_back();
  }
  if (candidates.size() == most) {
    if (candidates.back().force_N >= candidate.force_N) return;
    candidates.pop_back();
  }
  candidates.push_back(candidate);
  for (std::size_t i = candidates.size() - 1; i > 0 && candidates[i - 1].force_N < candidates[i].force_N; --i) {
    std::swap(candidates[i - 1], candidates[i]);
  }
}

double FingerSearch::find_force_above(const Course& course, double least_N) {
  // Most postures are no use, and duality says so without solving.
  for (const FingerProgram::Support& support : supports_) {
    if (support.find_bound(course.direction) <= least_N) return 0.0;
  }
  if (course.prices && along_.find_bound_along(course.direction, *course.prices) <= least_N) return 0.0;
  const LoadProgram::Status status = along_.solve_along(course.direction, course.ties, least_N);
  if (status != LoadProgram::Status::kStepLimit) supports_.push_back(along_.support(course.direction));
  if (status == LoadProgram::Status::kNotAbove) return 0.0;
  return along_.value() > least_N ? along_.value() : 0.0;
}

void FingerSearch::try_start(const PostureSpace& space, const SearchEffort& effort, const PosturePoint& point,
                             Course& course) {
  const double best_N = course.best_N();
  // With all places taken, only what beats the last of them counts.
  const bool is_full = course.candidates.size() >= effort.n_raced;
  const double least_N = std::max(effort.worthwhile * best_N, is_full ? course.candidates.back().force_N : 0.0);
  const double force_N = find_force_above(course, least_N);
  if (force_N == 0.0) return;
  if (force_N > best_N) {
    course.prices = along_.program().prices();
    course.ties = along_.ties();
  }
  course.offer(space, {force_N, point}, effort.n_raced);
}

void FingerSearch::try_starts(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort,
                              std::span<const std::size_t> courses) {
  for (const PosturePoint& start : starts_) {
    if (!build_program(task, space.at(start))) continue;
    for (const std::size_t k : courses) try_start(space, effort, start, courses_[k]);
  }
}

void FingerSearch::try_point(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort,
                             const PosturePoint& point, Course& course) {
  if (build_program(task, space.at(point))) try_start(space, effort, point, course);
}

FingerSearch::Climb::Place FingerSearch::look(const SearchTask& task, const PostureSpace& space, Course& course,
                                              const PosturePoint& in_steps) {
  const PosturePoint steps = space.steps();
  PostureSpace::Bounds bounds;
  const FingerPosture posture = space.at(in_steps.cwiseProduct(steps), bounds);
  Climb::Place place;
  place.point = space.find_point(posture).cwiseQuotient(steps);
  if (!build_program(task, posture)) return place;
  (void)along_.solve_along(course.direction, course.ties);
  course.ties = along_.ties();
  place.worth = along_.value();
  if (place.worth <= 0.0) return place;
  const BoneSlope by_bones =
      find_slope({task.finger, task.outline, &seat_, &along_, posture, course.direction, task.limits.deep_N,
                  knuckle_.mcp, knuckle_.mcp_slope, knuckle_.fit_slope / knuckle_.fit});
  // A joint turns all bones beyond it.
  const Eigen::Vector4d by_posture(by_bones[0] + by_bones[1] + by_bones[2], by_bones[1] + by_bones[2], by_bones[2],
                                   by_bones[3]);
  place.slope = PostureSpace::find_slope(by_posture, bounds).cwiseProduct(steps);
  return place;
}

void FingerSearch::race(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort, Course& course) {
  const PosturePoint steps = space.steps();
  const auto look_at = [&](const PosturePoint& in_steps) { return look(task, space, course, in_steps); };
  std::array<std::size_t, kMostRaced> order{};
  const std::size_t n = course.candidates.size();
  for (std::size_t i = 0; i < n; ++i) {
    climbs_[i].start(look_at(course.candidates[i].point.cwiseQuotient(steps)), effort.first_step);
    climbs_[i].climb(effort.race_looks, effort.agreed, look_at);
    order[i] = i;
  }
  const auto end = order.begin() + static_cast<std::ptrdiff_t>(n);
  std::sort(order.begin(), end,
            [&](std::size_t a, std::size_t b) { return climbs_[a].best_worth() > climbs_[b].best_worth(); });
  for (std::size_t i = 0; i < std::min(n, effort.n_finalists); ++i) {
    Climb& climb = climbs_[order[i]];
    if (climb.best_worth() < effort.close * climbs_[order[0]].best_worth()) break;
    climb.climb(effort.final_looks, effort.agreed, look_at);
    if (effort.last_looks == 0) continue;
    climb.start_again(kAgain);
    climb.climb(effort.last_looks, effort.agreed, look_at);
  }
  course.candidates.clear();
  for (std::size_t i = 0; i < n; ++i) {
    course.offer(space, {climbs_[i].best_worth(), climbs_[i].best().cwiseProduct(steps)}, n);
  }
}

void FingerSearch::adopt(const SearchTask& task, const PostureSpace& space, const PosturePoint& point, Course& course) {
  if (!build_program(task, space.at(point))) return;
  if (find_force_above(course, kBetter * course.best_N()) == 0.0) return;
  course.prices = along_.program().prices();
  const SearchEffort& effort = find_effort(*task.form).adopted;
  const PosturePoint steps = space.steps();
  const auto look_at = [&](const PosturePoint& in_steps) { return look(task, space, course, in_steps); };
  Climb& climb = climbs_[0];
  climb.start(look_at(point.cwiseQuotient(steps)), effort.first_step);
  climb.climb(effort.race_looks, effort.agreed, look_at);
  course.candidates.clear();
  course.candidates.push_back({climb.best_worth(), climb.best().cwiseProduct(steps)});
}

void FingerSearch::spread(const SearchTask& task, const PostureSpace& space) {
  const auto pass = [&](std::size_t from, std::size_t to) {
    if (!courses_[from].candidates.empty()) adopt(task, space, courses_[from].candidates[0].point, courses_[to]);
  };
  for (std::size_t k = 1; k < kPullCount; ++k) pass(k - 1, k);
  for (std::size_t k = kPullCount - 1; k > 0; --k) pass(k, k - 1);
}

FingerFan FingerSearch::store(const PostureSpace& space) {
  FingerFan fan;
  for (std::size_t k = 0; k < kPullCount; ++k) {
    leads_[k].clear();
    const auto& found = courses_[k].candidates;
    for (const Candidate& candidate : found) {
      if (!leads_[k].full()) leads_[k].push_back(space.find_lead(candidate.point));
    }
    if (found.empty()) continue;
    fan.force_N[k] = found[0].force_N;
    fan.posture[k] = space.at(found[0].point);
  }
  return fan;
}

void FingerSearch::search_alone(const SearchTask& task, const PostureSpace& space) {
  const FanEffort& effort = find_effort(*task.form);
  space.find_starts(starts_);
  try_starts(task, space, effort.first, kAnchors);
  for (const std::size_t k : kAnchors) race(task, space, effort.first, courses_[k]);
  space.find_end_starts(starts_);
  for (const auto& [k, below, above] : kBetween) {
    for (const std::size_t neighbour : {below, above}) {
      for (const Candidate& found : courses_[neighbour].candidates) {
        try_point(task, space, effort.neighbour, found.point, courses_[k]);
      }
    }
    try_starts(task, space, effort.neighbour, std::array<std::size_t, 1>{k});
    race(task, space, effort.neighbour, courses_[k]);
  }
}

void FingerSearch::search_after(const SearchTask& task, const PostureSpace& space, const FingerLeads& leads) {
  const SearchEffort& effort = find_effort(*task.form).follower;
  for (const std::size_t k : kSearched) {
    for (const PostureLead& lead : leads[k]) try_point(task, space, effort, space.find_point(lead), courses_[k]);
  }
  // Another finger is of other length: what is best for it may not have been good for the first.
  space.find_end_starts(starts_);
  try_starts(task, space, effort, kSearched);
  for (const std::size_t k : kSearched) race(task, space, effort, courses_[k]);
}

bool FingerSearch::search_from_table(const SearchTask& task, const PostureSpace& space, const FingerLeads* leads) {
  const SearchEffort& effort = kTableEffort;
  if (leads != nullptr) {
    for (const std::size_t k : kSearched) {
      for (const PostureLead& lead : (*leads)[k]) try_point(task, space, effort, space.find_point(lead), courses_[k]);
    }
  }
  find_table_leads(*task.finger, *task.outline, task.forearm_swing, table_leads_);
  for (const TableLead& start : table_leads_) {
    const PosturePoint point = space.find_point(start.lead);
    if (!build_program(task, space.at(point))) continue;
    for (const std::size_t k : kSearched) {
      if (start.serves(k)) try_start(space, effort, point, courses_[k]);
    }
  }
  const auto has_start = [&](std::size_t k) { return !courses_[k].candidates.empty(); };
  if (std::none_of(kSearched.begin(), kSearched.end(), has_start)) return false;
  for (const std::size_t k : kSearched) race(task, space, effort, courses_[k]);
  return true;
}

FingerFan FingerSearch::calc_fan_from_nothing(const SearchTask& task) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  for (std::size_t k = 0; k < kPullCount; ++k) courses_[k].reset(task.pulls[k]);
  search_alone(task, space);
  spread(task, space);
  return store(space);
}

FingerFan FingerSearch::calc_fan(const SearchTask& task, const FingerLeads* leads) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  for (std::size_t k = 0; k < kPullCount; ++k) courses_[k].reset(task.pulls[k]);
  const bool is_found = task.form->has_table && search_from_table(task, space, leads);
  if (!is_found && leads == nullptr) search_alone(task, space);
  if (!is_found && leads != nullptr) search_after(task, space, *leads);
  spread(task, space);
  return store(space);
}

FingerFan FingerSearch::turn_fan(const SearchTask& task, const FingerLeads& leads) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  const SearchEffort& effort = find_effort(*task.form).turned;
  for (std::size_t k = 0; k < kPullCount; ++k) {
    Course& course = courses_[k];
    course.reset(task.pulls[k]);
    for (const PostureLead& lead : leads[k]) try_point(task, space, effort, space.find_point(lead), course);
    race(task, space, effort, course);
  }
  spread(task, space);
  return store(space);
}

bool FingerSearch::improve(const SearchTask& task, std::span<const FingerLeads> others, FingerFan& fan) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  bool has_improved = false;
  for (std::size_t k = 0; k < kPullCount; ++k) {
    Course& course = courses_[k];
    course.reset(task.pulls[k]);
    if (fan.force_N[k] > 0.0) course.candidates.push_back({fan.force_N[k], space.find_point(fan.posture[k])});
    for (const FingerLeads& leads : others) {
      if (leads[k].empty()) continue;
      const PosturePoint point = space.find_point(leads[k][0]);
      // With starts from one table fingers in the same seat are level: another seat is worth a look.
      const bool is_level =
          task.form->has_table && course.best_N() > 0.0 && space.is_near(point, course.candidates[0].point);
      if (!is_level) adopt(task, space, point, course);
    }
    has_improved = has_improved || course.best_N() > fan.force_N[k];
  }
  if (!has_improved) return false;
  spread(task, space);
  fan = store(space);
  return true;
}

FingerSearch::Along FingerSearch::calc_along(const SearchTask& task, double angle) {
  const PostureSpace space(*task.finger, *task.outline, *task.form);
  Course& course = courses_[0];
  course.reset(angle);
  space.find_starts(starts_);
  try_starts(task, space, kOpenEffort.first, std::array<std::size_t, 1>{0});
  race(task, space, kOpenEffort.first, course);
  Along best;
  if (course.candidates.empty()) return best;
  best.posture = space.at(course.candidates[0].point);
  if (!build_program(task, best.posture)) return best;
  best.force_N = along_.solve_along(course.direction);
  best.mcp = knuckle_.mcp;
  best.load = along_.load();
  return best;
}

}  // namespace steepwright::grip
