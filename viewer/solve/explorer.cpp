#include "viewer/solve/explorer.h"

#include "engine/body/body.h"
#include "engine/io/scene_writer.h"

#include <algorithm>
#include <array>
#include <utility>

namespace steepwright::viewer {

namespace {

/// Pitch and refinement of a map's stages. The first takes less than half a second of one processor on the example
/// scene, the last half a minute.
struct Stage {
  double pitch_m;
  int refine;
};
constexpr std::array<Stage, kReachStages> kStages = {{{0.1, 1}, {0.05, 1}, {0.05, 5}}};

/// One processor is left for the answers to what is being dragged.
int count_threads() { return std::max(1, static_cast<int>(std::thread::hardware_concurrency()) - 1); }

const move::Move* find_move(const ExploreRequest& request) {
  const auto index = static_cast<std::size_t>(request.move);
  return request.move >= 0 && index < request.scene->moves.size() ? &request.scene->moves[index] : nullptr;
}

study::ReachQuestion make_question(const move::Scene& scene, const move::Move& move) {
  study::ReachQuestion question;
  question.stance = move.before;
  question.moving = move.moving;
  if (move.target.hold >= 0) {
    const move::PlacedHold& target = scene.holds[static_cast<std::size_t>(move.target.hold)];
    question.hold = study::ReachHold{target.hold, move.target.site, move.target.grip, target.rotation};
  }
  return question;
}

}  // namespace

std::string find_reach_key(const move::Scene& scene, const move::Move& move) {
  move::Scene asked = scene;
  asked.moves = {move};
  asked.moves.front().name.clear();
  std::vector<bool> is_used(scene.holds.size(), false);
  for (std::size_t limb = 0; limb < kLimbs.size(); ++limb) {
    const auto& place = move.before.limbs[limb];
    if (place && place->hold >= 0 && limb != index_of(move.moving))
      is_used[static_cast<std::size_t>(place->hold)] = true;
  }
  for (std::size_t i = 0; i < scene.holds.size(); ++i) {
    if (is_used[i]) continue;
    move::PlacedHold& hold = asked.holds[i];
    hold.strip = 0;
    hold.across_m = hold.up_m = 0.0;
    hold.on_lattice = false;
    if (static_cast<int>(i) == move.target.hold) continue;
    hold.rotation = 0.0;
    hold.model.clear();
  }
  return io::write_scene(asked, {});
}

Explorer::Explorer(std::function<void()> on_update)
    : updates_(std::move(on_update)), thread_([this](const std::stop_token& stop) { run(stop); }) {}

void Explorer::run(const std::stop_token& stop) {
  while (const std::optional<ExploreRequest> request = requests_.take(stop)) {
    if (find_move(*request) == nullptr) continue;
    calc_risk(*request, stop);
    compare(*request, stop);
    map_reach(*request, stop);
  }
}

void Explorer::map_reach(const ExploreRequest& request, const std::stop_token& stop) {
  if (!request.wants_reach) return;
  const move::Move& move = *find_move(request);
  const std::string key = find_reach_key(*request.scene, move);
  int stage = 0;
  if (key == reach_key_ && reach_.map) {
    reach_.revision = request.revision;
    reach_.move = move.name;
    updates_.publish(reach_);
    stage = reach_.stage + 1;
  }
  const study::ReachQuestion question = make_question(*request.scene, move);
  const body::Body body = body::make_body(request.scene->climber.measures);
  for (; stage < kReachStages; ++stage) {
    study::ReachOptions options;
    options.pitch_m = kStages[static_cast<std::size_t>(stage)].pitch_m;
    options.refine = kStages[static_cast<std::size_t>(stage)].refine;
    options.n_threads = count_threads();
    // The first is carried to its end, or a drag would never see one.
    options.on_progress = [&](std::int64_t, double) {
      return !stop.stop_requested() && (stage == 0 || !requests_.is_waiting());
    };
    ReachAnswer answer;
    answer.revision = request.revision;
    answer.move = move.name;
    answer.limb = move.moving;
    if (question.hold) answer.hold = request.scene->holds[static_cast<std::size_t>(move.target.hold)].model;
    answer.stage = stage;
    auto map = std::make_shared<study::ReachMap>(study::make_reach_map(*request.scene, body, question, options));
    if (stop.stop_requested() || (stage > 0 && !map->is_complete)) return;
    answer.rasters = std::make_shared<const std::vector<study::ReachRaster>>(study::make_reach_rasters(*map));
    answer.map = std::move(map);
    reach_key_ = key;
    reach_ = answer;
    updates_.publish(std::move(answer));
    if (requests_.is_waiting()) return;
  }
}

void Explorer::calc_risk(const ExploreRequest& request, const std::stop_token& stop) {
  if (!request.risk_of || requests_.is_waiting()) return;
  move::RiskOptions options;
  options.is_stopped = [&] { return stop.stop_requested() || requests_.is_waiting(); };
  const auto risk = move::calc_risk(*request.risk_of->body, *request.risk_of->result, options);
  if (!risk) return;
  updates_.publish(RiskAnswer{request.revision, request.risk_of->move, request.risk_of->result,
                              std::make_shared<const move::MoveRisk>(*risk)});
}

void Explorer::compare(const ExploreRequest& request, const std::stop_token& stop) {
  if (!request.wants_comparison) return;
  const move::Move& move = *find_move(request);
  const body::Body body = body::make_body(request.scene->climber.measures);
  move::GripComparisonOptions options;
  bool is_ended = false;
  options.on_progress = [&](int, int) {
    is_ended = stop.stop_requested() || requests_.is_waiting();
    return !is_ended;
  };
  auto hands = move::compare_grips(*request.scene, body, move, options);
  if (is_ended) return;
  updates_.publish(ComparisonAnswer{request.revision, move.name,
                                    std::make_shared<const std::vector<move::GripComparison>>(std::move(hands))});
}

}  // namespace steepwright::viewer
