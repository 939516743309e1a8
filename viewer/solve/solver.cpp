#include "viewer/solve/solver.h"

#include "engine/body/kinematics.h"
#include "engine/move/frame.h"
#include "engine/move/goals.h"
#include "engine/move/solve.h"

#include <chrono>
#include <utility>

namespace steepwright::viewer {

namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds kLongestUnshown{250};

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

/// What depends on the climber alone, kept while the climber stays the same.
class ClimberWorkspace {
 public:
  explicit ClimberWorkspace(SharedBody& shared) : shared_(shared) {}

  void update(const move::Climber& climber) {
    auto body = shared_.find(climber);
    if (body == body_) return;
    body_ = std::move(body);
    hands_.emplace(move::make_climber_hand(climber, *body_));
    stance_ = std::make_unique<posture::StanceWorkspace>(*body_);
  }
  [[nodiscard]] const std::shared_ptr<const body::Body>& body() const { return body_; }
  [[nodiscard]] grip::CapacityCache& hands() { return *hands_; }
  [[nodiscard]] posture::StanceWorkspace& stance() { return *stance_; }

 private:
  SharedBody& shared_;
  std::shared_ptr<const body::Body> body_;
  std::optional<grip::CapacityCache> hands_;
  std::unique_ptr<posture::StanceWorkspace> stance_;
};

// The wanted move first, then the others in order; without those that are solved.
std::vector<std::size_t> order_moves(const SolveRequest& request) {
  const std::size_t count = request.scene->moves.size();
  const auto is_solved = [&request](std::size_t i) { return i < request.is_solved.size() && request.is_solved[i]; };
  std::vector<std::size_t> order;
  const auto first = static_cast<std::size_t>(request.first_move);
  if (request.first_move >= 0 && first < count && !is_solved(first)) order.push_back(first);
  for (std::size_t i = 0; i < count; ++i) {
    if ((i != first || request.first_move < 0) && !is_solved(i)) order.push_back(i);
  }
  return order;
}

// One try from the near posture: fast, and replaced by the whole move's answer soon.
std::optional<StanceAnswer> solve_stance_ahead(const SolveRequest& request, ClimberWorkspace& climber) {
  const auto index = static_cast<std::size_t>(request.first_move);
  if (!request.stance || request.first_move < 0 || index >= request.scene->moves.size()) return std::nullopt;
  const body::Posture& near = request.stance->near;
  const body::Body& body = *climber.body();
  if (near.angles.size() != body.tree.n_hinges()) return std::nullopt;
  const move::Move& move = request.scene->moves[index];
  const move::Stance stance = request.stance->is_settled ? move::find_settled(move) : move.before;
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, near, kinematics);
  const posture::StanceProblem problem =
      move::make_stance_problem(*request.scene, body, stance, climber.hands(),
                                move::find_forearm_swings(*request.scene, body, stance, kinematics));
  posture::StanceParams params;
  params.wanted_starts = 1;
  params.max_starts = 1;
  params.extra_starts = 0;
  params.max_polish = 0;
  const posture::StanceAnswer answer = posture::solve_stance(problem, params, &near, climber.stance());
  if (!answer.has_posture) return std::nullopt;
  const move::Phase phase = request.stance->is_settled ? move::Phase::kSettled : move::Phase::kBefore;
  StanceAnswer found;
  found.revision = request.revision;
  found.move = move.name;
  found.frame = std::make_shared<const move::Frame>(
      move::make_frame(*request.scene, problem, move::find_places(stance), answer, climber.stance(), phase));
  found.body = climber.body();
  return found;
}

std::optional<SurveyAnswer> calc_survey(const SolveRequest& request, grip::CapacityCache& hands) {
  if (!request.survey) return std::nullopt;
  const auto& [hold, site, swing] = *request.survey;
  const move::Scene& scene = *request.scene;
  if (hold < 0 || static_cast<std::size_t>(hold) >= scene.holds.size()) return std::nullopt;
  const auto& sites = scene.holds[static_cast<std::size_t>(hold)].hold.sites;
  if (site < 0 || static_cast<std::size_t>(site) >= sites.size()) return std::nullopt;
  if (sites[static_cast<std::size_t>(site)].grips.empty()) return std::nullopt;
  SurveyAnswer answer;
  answer.revision = request.revision;
  answer.hold = hold;
  answer.site = site;
  answer.survey =
      std::make_shared<const grip::Survey>(grip::calc_survey(sites[static_cast<std::size_t>(site)], swing, hands));
  if (!hands.hand().is_reference_met)
    answer.unmet_reference = "no finger strength of the model explains the measured force on its edge";
  return answer;
}

}  // namespace

Solver::Solver(std::function<void()> on_update)
    : updates_(std::move(on_update)),
      thread_([this](const std::stop_token& stop) { run(stop); }),
      stance_thread_([this](const std::stop_token& stop) { run_stances(stop); }) {}

void Solver::request(SolveRequest request) {
  if (request.stance) stances_.put({request, false});
  requests_.put(std::move(request));
}

void Solver::run_stances(const std::stop_token& stop) {
  ClimberWorkspace climber(body_);
  while (const std::optional<StanceJob> job = stances_.take(stop)) {
    const Clock::time_point start = Clock::now();
    const SolveRequest& request = job->request;
    const std::vector<std::size_t> order = order_moves(request);
    if (order.empty() || order.front() != static_cast<std::size_t>(request.first_move)) continue;
    climber.update(request.scene->climber);
    auto stance = solve_stance_ahead(request, climber);
    if (job->is_rehearsal) {
      SolveRequest other = request;
      if (other.stance) other.stance->is_settled = !other.stance->is_settled;
      static_cast<void>(solve_stance_ahead(other, climber));
      continue;
    }
    if (!stance) continue;
    stance->solved_s = seconds_since(start);
    updates_.publish(std::move(*stance));
  }
}

void Solver::prepare_stances(SolveRequest request, const move::MoveResult& result) {
  if (result.frames.empty()) return;
  request.stance = StanceRequest{true, result.frames.back().posture};
  stances_.put_if_free({std::move(request), true});
}

/// The thread for moves: what it keeps from request to request.
class Solver::MoveRun {
 public:
  MoveRun(Solver& solver, const std::stop_token& stop) : solver_(solver), stop_(stop), climber_(solver.body_) {}

  void answer(const SolveRequest& request) {
    const Clock::time_point start = Clock::now();
    climber_.update(request.scene->climber);
    if (std::exchange(revision_, request.revision) != request.revision) short_of_reach_.clear();
    SolveDone done;
    done.revision = request.revision;
    bool is_surveyed = false;
    const auto survey = [&] {
      if (std::exchange(is_surveyed, true)) return;
      if (auto answer = calc_survey(request, climber_.hands())) solver_.updates_.publish(std::move(*answer));
    };
    for (const std::size_t index : order_moves(request)) {
      if (is_over()) break;
      const bool is_shown = static_cast<int>(index) == request.first_move;
      const auto result = solve(request, index, is_shown);
      if (!result) break;
      if (done.first_move_s == 0.0) {
        done.first_move_s = seconds_since(start);
        if (!request.stance) solver_.prepare_stances(request, *result);
      }
      if (is_shown) shown_ = Clock::now();
      const MoveAnswer answer{request.revision, request.scene->moves[index].name, result, climber_.body()};
      if (result->cause == move::Cause::kReach) short_of_reach_.push_back({index, result});
      solver_.updates_.publish(answer);
      if (!is_over()) survey();
    }
    if (is_over()) return;
    survey();
    cut_loose(request);
    if (is_over()) return;
    done.all_s = seconds_since(start);
    solver_.updates_.publish(done);
  }

 private:
  struct Short {
    std::size_t move = 0;
    std::shared_ptr<const move::MoveResult> result;
  };

  [[nodiscard]] bool is_over() const { return stop_.stop_requested() || solver_.requests_.is_waiting(); }

  /// Nothing when it was ended.
  std::shared_ptr<const move::MoveResult> solve(const SolveRequest& request, std::size_t index, bool is_shown) {
    // Were each move ended by the next event, a long drag would show none.
    const bool is_due = is_shown && Clock::now() - shown_ > kLongestUnshown;
    bool is_ended = false;
    move::SolveOptions options;
    options.is_cancelled = [&] { return is_ended = is_due ? stop_.stop_requested() : is_over(); };
    auto result = std::make_shared<const move::MoveResult>(move::solve_move(
        *request.scene, *climber_.body(), request.scene->moves[index], options, climber_.stance(), climber_.hands()));
    return is_ended ? nullptr : result;
  }

  /// Would those that end short hold with a foot off its hold?
  void cut_loose(const SolveRequest& request) {
    while (!short_of_reach_.empty()) {
      const Short& next = short_of_reach_.front();
      const move::Move& move = request.scene->moves[next.move];
      bool is_ended = false;
      move::SolveOptions options;
      options.is_cancelled = [&] { return is_ended = is_over(); };
      auto cut = move::find_cut_loose(*request.scene, *climber_.body(), move, *next.result, options);
      if (is_ended) return;
      solver_.updates_.publish(CutLooseAnswer{request.revision, move.name, next.result, std::move(cut)});
      short_of_reach_.erase(short_of_reach_.begin());
    }
  }

  Solver& solver_;
  const std::stop_token& stop_;
  ClimberWorkspace climber_;
  Clock::time_point shown_{};  ///< when the move on the screen was answered last
  std::uint64_t revision_ = 0;
  std::vector<Short> short_of_reach_;  ///< of the revision, yet to be tried with a foot off
};

void Solver::run(const std::stop_token& stop) {
  MoveRun moves(*this, stop);
  while (const std::optional<SolveRequest> request = requests_.take(stop)) moves.answer(*request);
}

}  // namespace steepwright::viewer
