#include "engine/figure/strip_frames.h"

#include "engine/body/kinematics.h"
#include "engine/core/constants.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::figure {

namespace {

/// What of a frame is compared with its neighbour.
struct Instant {
  int frame = 0;
  std::vector<Vec3> joints_W;
  std::array<Vec3, kLimbs.size()> f_W;
};

Instant find_instant(const body::Body& body, const Skeleton& skeleton, const move::Frame& frame, int index) {
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  Instant instant{index, calc_joint_positions(skeleton, kinematics), {}};
  instant.f_W.fill(Vec3::Zero());
  for (const move::ContactResult& contact : frame.contacts) instant.f_W[index_of(contact.limb)] = contact.f_C_W;
  return instant;
}

double find_change(const Instant& a, const Instant& b, double weight_N) {
  double moved_m = 0.0;
  for (std::size_t i = 0; i < a.joints_W.size(); ++i) moved_m += (a.joints_W[i] - b.joints_W[i]).norm();
  double changed_N = 0.0;
  for (std::size_t i = 0; i < a.f_W.size(); ++i) changed_N += (a.f_W[i] - b.f_W[i]).norm();
  return moved_m / static_cast<double>(std::max<std::size_t>(1, a.joints_W.size())) +
         kChangePerWeight_m * changed_N / weight_N;
}

/// Puts `wanted` in place of the chosen frame next to it, the ends excepted.
void include_frame(int wanted, std::vector<int>& chosen) {
  if (chosen.size() < 3 || std::find(chosen.begin(), chosen.end(), wanted) != chosen.end()) return;
  const auto nearest = std::min_element(chosen.begin() + 1, chosen.end() - 1,
                                        [wanted](int a, int b) { return std::abs(a - wanted) < std::abs(b - wanted); });
  *nearest = wanted;
  std::sort(chosen.begin(), chosen.end());
}

}  // namespace

std::vector<int> choose_strip_frames(const body::Body& body, const Skeleton& skeleton, const move::MoveResult& result,
                                     int most, std::optional<int> wanted) {
  std::vector<Instant> instants;
  for (std::size_t i = 0; i < result.frames.size(); ++i) {
    if (result.frames[i].posture.angles.size() == body.tree.n_hinges())
      instants.push_back(find_instant(body, skeleton, result.frames[i], static_cast<int>(i)));
  }
  std::vector<double> change(instants.size(), 0.0);  // since the first
  const double weight_N = std::max(body.tree.mass_kg * kGravity, 1.0);
  for (std::size_t i = 1; i < instants.size(); ++i)
    change[i] = change[i - 1] + find_change(instants[i - 1], instants[i], weight_N);

  std::vector<int> chosen;
  const std::size_t n = std::min(instants.size(), static_cast<std::size_t>(std::max(most, 1)));
  std::size_t next = 0;
  for (std::size_t k = 0; k < n; ++k) {
    const double goal = n > 1 ? change.back() * static_cast<double>(k) / static_cast<double>(n - 1) : 0.0;
    const std::size_t last = instants.size() - (n - k);  // leaves enough for the rest
    while (k > 0 && next < last && std::abs(change[next + 1] - goal) <= std::abs(change[next] - goal)) ++next;
    if (k + 1 == n && n > 1) next = instants.size() - 1;
    chosen.push_back(instants[next++].frame);
  }
  const bool is_there = wanted && std::any_of(instants.begin(), instants.end(),
                                              [&](const Instant& instant) { return instant.frame == *wanted; });
  if (is_there) include_frame(*wanted, chosen);
  return chosen;
}

}  // namespace steepwright::figure
