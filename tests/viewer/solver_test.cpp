#include "viewer/solve/solver.h"

#include "engine/body/body.h"
#include "engine/move/goals.h"
#include "engine/move/solve.h"
#include "tests/viewer/opened.h"
#include "viewer/solve/explorer.h"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <memory>
#include <thread>

namespace steepwright::viewer {
namespace {

using namespace std::chrono_literals;

// Until the revision is done, or a minute is over.
Results wait_for(Solver& solver, std::uint64_t revision) {
  Results results;
  for (int i = 0; i < 12000 && !results.is_done(revision); ++i) {
    for (SolveUpdate& update : solver.take_updates()) results.accept(std::move(update));
    std::this_thread::sleep_for(5ms);
  }
  return results;
}

TEST(Solver, AnswersAreThoseOfTheEngineWithTheRevisionTheyAreFor) {
  const Document document = tests::open_default();
  Solver solver(nullptr);
  solver.request({7, document.snapshot(), 1, {}, {}, SurveyRequest{document.scene().moves[0].target.hold, 0, 0.0}});
  const Results results = wait_for(solver, 7);
  ASSERT_TRUE(results.is_done(7));
  const move::Move& move = document.scene().moves[1];
  const MoveAnswer* answer = results.find(move.name);
  ASSERT_NE(answer, nullptr);
  EXPECT_EQ(answer->revision, 7U);
  EXPECT_EQ(results.find("no such move"), nullptr);
  ASSERT_NE(results.survey(), nullptr);
  EXPECT_FALSE(results.survey()->survey->grips.empty());
  const body::Body body = body::make_body(document.scene().climber.measures);
  const auto expected = move::solve_moves(document.scene(), body, {});
  for (const move::MoveResult& result : expected) {
    ASSERT_NE(results.find(result.name), nullptr);
    EXPECT_EQ(results.find(result.name)->result->cause_text, result.cause_text);
    EXPECT_EQ(results.find(result.name)->result->effort_peak, result.effort_peak);
  }
}

TEST(Solver, TheLatestOfManyRequestsIsTheOneThatGetsDone) {
  const Document document = tests::open_default();
  Solver solver(nullptr);
  constexpr std::uint64_t kLast = 50;
  for (std::uint64_t revision = 1; revision <= kLast; ++revision)
    solver.request({revision, document.snapshot(), 0, std::vector<bool>(document.scene().moves.size(), true), {}, {}});
  std::uint64_t done = 0;
  std::uint64_t count = 0;
  for (int i = 0; i < 12000 && done != kLast; ++i) {
    for (const SolveUpdate& update : solver.take_updates()) {
      const auto* end = std::get_if<SolveDone>(&update);
      ASSERT_NE(end, nullptr) << "moves that are solved are not solved again";
      ASSERT_GT(end->revision, done) << "never back to an older one";
      done = end->revision;
      ++count;
    }
    std::this_thread::sleep_for(5ms);
  }
  EXPECT_EQ(done, kLast);
  EXPECT_LE(count, kLast);
}

// The first map of a revision; none within a minute.
std::optional<ReachAnswer> wait_for_map(Explorer& explorer, std::uint64_t revision) {
  for (int i = 0; i < 12000; ++i) {
    for (SolveUpdate& update : explorer.take_updates()) {
      auto* map = std::get_if<ReachAnswer>(&update);
      if (map != nullptr && map->revision == revision) return std::move(*map);
    }
    std::this_thread::sleep_for(5ms);
  }
  return std::nullopt;
}

// The coarse map says that the move's own target is within reach; it stays good while the target is dragged, and is
// made anew when a hold that carries is.
TEST(Explorer, MapsTheReachOfTheMovingLimbAndKeepsItWhileTheTargetMoves) {
  move::Scene scene = *tests::open_default().snapshot();
  const move::Move& move = scene.moves[0];
  Explorer explorer(nullptr);
  const auto ask = [&](std::uint64_t revision) {
    ExploreRequest request;
    request.revision = revision;
    request.scene = std::make_shared<const move::Scene>(scene);
    request.move = 0;
    request.wants_reach = true;
    explorer.request(std::move(request));
    return wait_for_map(explorer, revision);
  };
  const auto first = ask(1);
  ASSERT_TRUE(first.has_value());
  EXPECT_EQ(first->limb, move.moving);
  const move::PlacedHold& target = scene.holds[static_cast<std::size_t>(move.target.hold)];
  const study::ReachPlace* nearest = nullptr;
  const auto distance_m = [&](const study::ReachPlace& place) {
    return std::hypot(place.across_m - target.across_m, place.up_m - target.up_m);
  };
  for (const study::ReachPlace& place : first->map->places) {
    if (place.strip == target.strip && (nearest == nullptr || distance_m(place) < distance_m(*nearest)))
      nearest = &place;
  }
  ASSERT_NE(nearest, nullptr);
  EXPECT_TRUE(nearest->is_held);
  scene.holds[static_cast<std::size_t>(move.target.hold)].up_m += 0.1;
  move::place_holds(scene);
  const auto dragged = ask(2);
  ASSERT_TRUE(dragged.has_value());
  EXPECT_GE(dragged->stage, first->stage);
  EXPECT_TRUE(dragged->stage > first->stage || dragged->map == first->map);
  const auto foot = move.before.limbs[index_of(Limb::kLeftFoot)];
  ASSERT_TRUE(foot && foot->hold >= 0);
  scene.holds[static_cast<std::size_t>(foot->hold)].across_m += 0.05;
  move::place_holds(scene);
  const auto anew = ask(3);
  ASSERT_TRUE(anew.has_value());
  EXPECT_EQ(anew->stage, 0);
  EXPECT_NE(anew->map, first->map);
}

// In processor time, so that a machine at work on other things does not count.
TEST(Solver, EndsInTheMiddleOfAMove) {
  const Document document = tests::open_default();
  const auto find_processor_ms = [] { return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; };
  double whole_ms = 0.0;
  double ending_ms = 0.0;
  // The first round fills what all solvers share, the second tells how long a whole move takes.
  constexpr int kWhole = 2, kEnded = 8;
  constexpr double kAsked = 0.4;  // of the work: by then the body is made and the move begun
  for (int i = 0; i < kWhole + kEnded; ++i) {
    auto solver = std::make_unique<Solver>(nullptr);
    const double start_ms = find_processor_ms();
    solver->request({1, document.snapshot(), 0, {}, {}, {}});
    if (i < kWhole) {
      while (solver->take_updates().empty()) std::this_thread::sleep_for(1ms);
      whole_ms = find_processor_ms() - start_ms;
    } else {
      while (find_processor_ms() < start_ms + kAsked * whole_ms) std::this_thread::sleep_for(100us);
      const double before_ms = find_processor_ms();
      solver.reset();
      ending_ms += find_processor_ms() - before_ms;
    }
  }
  std::printf("a move %.0f ms, ended after %.1f\n", whole_ms, ending_ms / kEnded);
  EXPECT_LT(ending_ms / kEnded, 0.25 * whole_ms);
}

}  // namespace
}  // namespace steepwright::viewer
