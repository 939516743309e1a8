#include "engine/study/reach_goals.h"

#include "engine/core/units.h"

#include <cmath>

namespace steepwright::study {

namespace {

/// Fingers touch the bare wall from the climber's side: they point into it, or along it with this much to spare
/// (assumed).
constexpr double kTouchOutward = rad_from_deg(20.0);
/// The end of the hand, as the body's clearance counts it, stays this far off the wall that it touches, m.
constexpr double kTouchGap = 0.004;
constexpr int kNoBin = 1000;

void add_touch_range(const body::Station& station, const Vec3& normal_W, posture::LimbGoal& goal) {
  goal.directions.push_back({goal.segment, station.distal_B, -normal_W, -std::sin(kTouchOutward)});
}

}  // namespace

ReachGoals::ReachGoals(const move::Scene& scene, const body::Body& body, const ReachQuestion& question)
    : scene_(scene),
      body_(body),
      question_(question),
      support_(question.stance),
      hands_(move::make_climber_hand(scene.climber, body)) {
  support_.limbs[index_of(question.moving)].reset();
  for (int strip = 0; strip < static_cast<int>(scene.wall.strips.size()); ++strip) {
    strips_.push_back(make_strip_goal(strip));
  }
  staying_ = make_support({});
  const Grip own_grip = question.hold && question.hold->grip ? *question.hold->grip : Grip::kOpenHand;
  for (const Limb limb : kLimbs) {
    const std::optional<move::LimbPlace>& place = support_.limbs[index_of(limb)];
    if (!place) continue;
    const Grip grip = place->grip.value_or(Grip::kOpenHand);
    bones_.push_back(
        {find_support_goal(limb, {}).p_WC, find_bone_distance(body, question.moving, own_grip, limb, grip)});
  }
}

ReachGoals::StripGoal ReachGoals::make_strip_goal(int strip) {
  StripGoal made;
  const Limb limb = question_.moving;
  if (question_.hold) {
    move::PlacedHold placed;
    placed.strip = strip;
    placed.rotation = question_.hold->rotation;
    placed.hold = question_.hold->hold;
    made.place.hold = static_cast<int>(scene_.holds.size());
    made.place.site = question_.hold->site;
    made.place.grip = question_.hold->grip;
    scene_.holds.push_back(placed);
    move::place_holds(scene_);
    made.goal = move::make_limb_goal(scene_, body_, limb, made.place, hands_);
  } else {
    made.place.strip = strip;
    if (is_hand(limb)) {
      const body::Station& station = body_.station(limb, Grip::kOpenHand);
      made.goal.limb = limb;
      made.goal.segment = station.segment;
      made.goal.p_BC = station.p_BC;
      const wall::Strip& face = scene_.wall.strips[static_cast<std::size_t>(strip)];
      made.goal.p_WC = face.X_WP.p + kTouchGap * face.X_WP.R.col(2);
      made.goal.points = {made.goal.p_WC};
      add_touch_range(station, face.X_WP.R.col(2), made.goal);
    } else {
      made.goal = move::make_limb_goal(scene_, body_, limb, made.place, hands_);
    }
  }
  made.goal.is_loaded = false;
  return made;
}

void ReachGoals::move_goal(posture::LimbGoal& goal, int strip, double across_m, double up_m) const {
  const Mat3& R = scene_.wall.strips[static_cast<std::size_t>(strip)].X_WP.R;
  const Vec3 shift = across_m * R.col(0) + up_m * R.col(1);
  goal.p_WC += shift;
  for (Vec3& p_WC : goal.points) p_WC += shift;
}

Vec3 ReachGoals::find_contact(int strip, double across_m, double up_m) const {
  const Mat3& R = scene_.wall.strips[static_cast<std::size_t>(strip)].X_WP.R;
  return strips_[static_cast<std::size_t>(strip)].goal.p_WC + across_m * R.col(0) + up_m * R.col(1);
}

bool ReachGoals::is_within_bones(const Vec3& p_WC) const {
  for (const Bone& bone : bones_) {
    if ((p_WC - bone.p_WC).norm() > bone.most_m) return false;
  }
  return true;
}

posture::LimbGoal ReachGoals::find_support_goal(Limb limb, const ForearmBins& bins) {
  const std::optional<int> bin = is_hand(limb) ? bins.hands[is_left(limb) ? 0 : 1] : std::nullopt;
  const std::pair<std::size_t, int> key{index_of(limb), bin.value_or(kNoBin)};
  const std::lock_guard lock(mutex_);
  const auto found = support_goals_.find(key);
  if (found != support_goals_.end()) return found->second;
  // Through the whole stance, because limbs that share a site stand side by side on it.
  move::ForearmSwings swings;
  if (bin) swings[is_left(limb) ? 0 : 1] = *bin * grip::kForearmBin;
  const posture::StanceProblem problem = move::make_stance_problem(scene_, body_, support_, hands_, swings);
  for (const posture::LimbGoal& goal : problem.limbs) {
    if (goal.limb == limb) return support_goals_.emplace(key, goal).first->second;
  }
  return {};
}

posture::StanceProblem ReachGoals::make_support(const ForearmBins& bins) {
  posture::StanceProblem problem;
  problem.body = &body_;
  problem.wall = &scene_.wall;
  for (const Limb limb : kLimbs) {
    if (support_.limbs[index_of(limb)]) problem.limbs.push_back(find_support_goal(limb, bins));
  }
  return problem;
}

posture::StanceProblem ReachGoals::make_touch(const ForearmBins& bins, int strip, double across_m, double up_m) {
  posture::StanceProblem problem = make_support(bins);
  posture::LimbGoal goal = strips_[static_cast<std::size_t>(strip)].goal;
  move_goal(goal, strip, across_m, up_m);
  problem.limbs.push_back(goal);
  return problem;
}

posture::StanceProblem ReachGoals::make_settled(const ForearmBins& bins, int strip, double across_m, double up_m) {
  posture::StanceProblem problem = make_touch(bins, strip, across_m, up_m);
  problem.limbs.back().is_loaded = true;
  return problem;
}

ForearmBins ReachGoals::find_bins(const body::Kinematics& kinematics, const ForearmBins& present) const {
  const move::ForearmSwings swings = move::find_forearm_swings(scene_, body_, support_, kinematics);
  ForearmBins bins = present;
  for (std::size_t hand = 0; hand < swings.size(); ++hand) {
    if (!swings[hand]) continue;
    const double in_bins = *swings[hand] / grip::kForearmBin;
    if (bins.hands[hand] && std::abs(in_bins - *bins.hands[hand]) < 0.75) continue;
    bins.hands[hand] = static_cast<int>(std::lround(in_bins));
  }
  return bins;
}

double find_bone_distance(const body::Body& body, Limb a, Grip grip_a, Limb b, Grip grip_b) {
  struct End {
    int segment;
    double length_m;  ///< from the contact to the joint of `segment`
  };
  const auto start = [&body](Limb limb, Grip grip) {
    const body::Station& station = body.station(limb, grip);
    return End{station.segment, station.p_BC.norm()};
  };
  const auto climb = [&body](End& end) {
    const body::Segment& segment = body.tree.segments[static_cast<std::size_t>(end.segment)];
    end.length_m += segment.p_PB.norm();
    end.segment = segment.parent;
  };
  // Up the tree from both ends until they meet; a joint's place in the parent closes the last gap.
  End from_a = start(a, grip_a);
  End from_b = start(b, grip_b);
  while (from_a.segment != from_b.segment) climb(from_a.segment > from_b.segment ? from_a : from_b);
  return from_a.length_m + from_b.length_m;
}

}  // namespace steepwright::study
