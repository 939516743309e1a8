/// The whole stance of the full body with its three answers: cold from several starts, and warm from the posture of a
/// neighbouring stance (one hand's hold moved by 20 mm). Holds, grips and capacities are the engine's own.

#include "engine/body/body.h"
#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "engine/posture/stance.h"
#include "tests/bench/posture_sets.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/scene_parts.h"

#include <array>
#include <cmath>
#include <memory>

namespace steepwright::bench {

namespace {

using posture::StanceAnswer;
using posture::StanceProblem;

constexpr int kStanceCount = 200;

/// A scene with four holds and a stance on them; the problem points into scene and body.
struct StanceCase {
  move::Scene scene;
  body::Body body;
  StanceProblem problem;
  StanceProblem neighbour;  ///< the right hand's hold 20 mm away
};

wall::Wall make_bench_wall(double angle_deg) {
  wall::Strip kicker;
  kicker.name = "kicker";
  kicker.width_m = 2.4;
  kicker.length_m = 0.3;
  wall::Strip panel = kicker;
  panel.name = "main";
  panel.angle = rad_from_deg(angle_deg);
  panel.length_m = 3.0;
  return wall::make_wall("bench", {{kicker, panel}}, std::nullopt);
}

hold::Hold make_hand_hold(RandomStream& random) {
  hold::Shape shape;
  const bool is_jug = random.uniform() < 0.5;
  shape.name = is_jug ? "jug" : "edge";
  shape.family = is_jug ? hold::Family::kJug : hold::Family::kEdge;
  shape.width_m = is_jug ? 0.16 : 0.12;
  shape.height_m = is_jug ? 0.09 : 0.05;
  shape.protrusion_m = is_jug ? 0.06 : 0.035;
  shape.depth_m = is_jug ? 0.045 : 0.030;
  shape.incut = rad_from_deg(is_jug ? 20.0 : 10.0);
  shape.lip_radius_m = 0.008;
  return hold::make_hold(shape);
}

/// Hands and feet about as far apart as on the reference problems, scaled to the climber.
std::unique_ptr<StanceCase> make_stance_case(RandomStream& random) {
  constexpr std::array<double, 4> kAngles_deg = {20.0, 30.0, 35.0, 45.0};
  constexpr std::array<std::array<double, 2>, 4> kPlaces = {{{-.30, 1.90}, {.25, 2.05}, {-.25, .50}, {.30, .75}}};
  auto made = std::make_unique<StanceCase>();
  move::Scene& scene = made->scene;
  body::Measures& measures = scene.climber.measures;
  measures.sex = random.uniform() < 0.5 ? body::Sex::kFemale : body::Sex::kMale;
  measures.stature_m = random.uniform(1.58, 1.88);
  measures.mass_kg = 22.0 * measures.stature_m * measures.stature_m;
  scene.climber.fingers.edge_force_N = grip::default_edge_force(grip::Ability::kAdvanced, measures.mass_kg);
  scene.wall = make_bench_wall(kAngles_deg[static_cast<std::size_t>(4.0 * random.uniform())]);
  made->body = body::make_body(measures);
  const double scale = measures.stature_m / 1.80;
  move::Stance stance;
  for (const Limb limb : kLimbs) {
    const auto [across, up] = kPlaces[index_of(limb)];
    move::PlacedHold placed;
    placed.hold = is_hand(limb) ? make_hand_hold(random) : tests::make_foot_block();
    placed.strip = 1;
    placed.across_m = 1.2 + scale * (across + random.symmetric(0.15));
    placed.up_m = std::max(0.1, scale * (up + random.symmetric(0.15)) - 0.3);
    move::LimbPlace place;
    place.hold = static_cast<int>(scene.holds.size());
    if (is_hand(limb)) place.grip = placed.hold.sites.front().grips.front();
    scene.holds.push_back(placed);
    stance.limbs[index_of(limb)] = place;
  }
  move::place_holds(scene);
  grip::CapacityCache hands(move::make_climber_hand(scene.climber, made->body));
  made->problem = move::make_stance_problem(scene, made->body, stance, hands);
  const double direction = random.uniform(0.0, 2.0 * kPi);
  scene.holds[1].across_m += 0.02 * std::cos(direction);
  scene.holds[1].up_m += 0.02 * std::sin(direction);
  move::place_holds(scene);
  made->neighbour = move::make_stance_problem(scene, made->body, stance, hands);
  return made;
}

struct StanceSet {
  std::vector<std::unique_ptr<StanceCase>> cases;
  std::vector<std::unique_ptr<posture::StanceWorkspace>> workspaces;
  std::vector<body::Posture> warm;  ///< cold answers

  [[nodiscard]] const StanceCase& at(int i) const { return *cases[static_cast<std::size_t>(i)]; }
};

std::unique_ptr<StanceSet> make_stance_set() {
  auto set = std::make_unique<StanceSet>();
  RandomStream random(7);
  for (int i = 0; i < kStanceCount; ++i) {
    set->cases.push_back(make_stance_case(random));
    set->workspaces.push_back(std::make_unique<posture::StanceWorkspace>(set->cases.back()->body));
    set->warm.push_back(
        posture::solve_stance(set->cases.back()->problem, posture::StanceParams{}, nullptr, *set->workspaces.back())
            .posture);
  }
  return set;
}

Outcome measure_stances(StanceSet& set, bool is_warm, bool held_only) {
  Outcome outcome;
  outcome.n_allocations = 0;
  const posture::StanceParams params;
  std::vector<char> is_held(kStanceCount), has_posture(kStanceCount);
  std::vector<int> evaluations(kStanceCount);
  const std::vector<double> times_s = time_instances(
      kStanceCount, 3, [](int) {},
      [&](int i) {
        const auto k = static_cast<std::size_t>(i);
        const std::size_t before = tests::allocation_count();
        const StanceAnswer answer = posture::solve_stance(is_warm ? set.at(i).neighbour : set.at(i).problem, params,
                                                          is_warm ? &set.warm[k] : nullptr, *set.workspaces[k]);
        outcome.n_allocations += static_cast<long>(tests::allocation_count() - before);
        is_held[k] = answer.is_held() ? 1 : 0;
        has_posture[k] = answer.has_posture ? 1 : 0;
        evaluations[k] = answer.evaluations;
      });
  for (std::size_t k = 0; k < times_s.size(); ++k) {
    if (held_only && is_held[k] == 0) continue;
    outcome.times_s.push_back(times_s[k]);
    outcome.n_solved += held_only ? is_held[k] : has_posture[k];
    outcome.iterations += evaluations[k];
  }
  outcome.iterations /= static_cast<double>(std::max<std::size_t>(outcome.times_s.size(), 1));
  outcome.n_total = kStanceCount;
  return outcome;
}

}  // namespace

void add_stance_runs(std::vector<Run>& runs) {
  auto set = std::make_shared<std::unique_ptr<StanceSet>>();
  const auto get = [set]() -> StanceSet& {
    if (!*set) *set = make_stance_set();
    return **set;
  };
  runs.push_back({"stance/cold", [get] { return measure_stances(get(), false, false); }});
  runs.push_back({"stance/warm", [get] { return measure_stances(get(), true, false); }});
  runs.push_back({"stance/cold_held", [get] { return measure_stances(get(), false, true); }});
  runs.push_back({"stance/warm_held", [get] { return measure_stances(get(), true, true); }});
}

}  // namespace steepwright::bench
