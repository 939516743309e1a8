#include "engine/move/feet.h"

#include "engine/core/constants.h"
#include "engine/move/foot_places.h"
#include "engine/move/instant.h"
#include "engine/move/parallel.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <limits>
#include <memory>

namespace steepwright::move {

namespace {

constexpr double kNoPosture = std::numeric_limits<double>::infinity();
/// A stance without balance comes after every one with it, by the friction that it lacks.
constexpr double kNoBalance = 1e3;

Move with_feet(const Move& move, const FootPair& feet) {
  Move changed = move;
  changed.before.limbs[index_of(Limb::kLeftFoot)] = feet[0];
  changed.before.limbs[index_of(Limb::kRightFoot)] = feet[1];
  return changed;
}

/// One thread's storage.
struct Worker {
  Worker(const Scene& scene, const body::Body& body) : workspace(body), hands(make_climber_hand(scene.climber, body)) {}
  posture::StanceWorkspace workspace;
  grip::CapacityCache hands;
};

double rank(const posture::StanceAnswer& answer) {
  if (!answer.has_posture) return kNoPosture;
  if (answer.effort.status == statics::Status::kSolved) return answer.effort.rho;
  return kNoBalance + std::min(answer.friction.factor, kNoBalance);
}

class FootSearch {
 public:
  FootSearch(const Scene& scene, const body::Body& body, const Move& move, const FootOptions& options)
      : scene_(scene),
        body_(body),
        move_(move),
        options_(options),
        pairs_(find_foot_pairs(scene, body, move)),
        workers_(std::max(1, options.n_threads), [this] { return std::make_unique<Worker>(scene_, body_); }) {}

  std::vector<FootChoice> find() {
    ranks_.assign(pairs_.size(), kNoPosture);
    // A trace counts for ten stances in the progress.
    const std::size_t n_traced = std::min<std::size_t>(pairs_.size(), static_cast<std::size_t>(options_.traced));
    total_ = static_cast<int>(pairs_.size() + kTraceWeight * n_traced);
    if (!run(pairs_.size(), 1, [this](std::size_t i, Worker& worker) { ranks_[i] = rank_pair(pairs_[i], worker); })) {
      return {};
    }
    const std::vector<std::size_t> order = find_order(n_traced);
    choices_.resize(order.size());
    is_traced_.assign(order.size(), 0);
    run(order.size(), kTraceWeight, [this, &order](std::size_t i, Worker& worker) {
      choices_[i] = trace(order[i], worker);
      is_traced_[i] = 1;
    });
    return take_best();
  }

 private:
  static constexpr int kTraceWeight = 10;

  /// Calls task(i, worker) for i < n on all threads; false when the caller's progress asked to stop.
  template <typename Task>
  bool run(std::size_t n, int weight, const Task& task) {
    std::atomic<int> n_done = 0;
    std::atomic<bool> is_stopped = false;
    run_parallel(static_cast<int>(n), std::max(1, options_.n_threads), [&](int i, int thread) {
      if (thread == 0 && options_.on_progress && !options_.on_progress(done_ + weight * n_done, total_))
        is_stopped = true;
      if (is_stopped) return;
      task(static_cast<std::size_t>(i), workers_.at(thread));
      ++n_done;
    });
    done_ += weight * static_cast<int>(n);
    return !is_stopped;
  }

  /// The larger effort of the two stances that ask most: on the limbs that stay, at the start and at the target.
  double rank_pair(const FootPair& feet, Worker& worker) const {
    const Move move = with_feet(move_, feet);
    SolveOptions quick = options_.solve;
    quick.stance.wanted_starts = 1;
    quick.stance.max_starts = 4;
    quick.stance.extra_starts = 0;
    quick.stance.max_polish = 0;
    const InstantSolver solver(scene_, body_, move, quick, worker.workspace, worker.hands);
    Instant touch;
    touch.phase = Phase::kTouch;
    touch.stance = find_settled(move);
    touch.load_share[index_of(move.moving)] = 0.0;
    const SolvedInstant at_target = solver.solve_key(touch, nullptr, {});
    const double largest = rank(at_target.answer);
    if (largest == kNoPosture) return largest;
    Instant unloaded = touch;
    unloaded.phase = Phase::kUnloaded;
    unloaded.stance = move.before;
    return std::max(largest, rank(solver.solve_key(unloaded, &at_target.answer.posture, {}).answer));
  }

  /// The pairs of least rank, and the given one.
  [[nodiscard]] std::vector<std::size_t> find_order(std::size_t n_traced) const {
    std::vector<std::size_t> order(pairs_.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [this](std::size_t a, std::size_t b) { return ranks_[a] < ranks_[b]; });
    order.resize(n_traced);
    std::erase_if(order, [this](std::size_t i) { return i != 0 && ranks_[i] == kNoPosture; });
    if (std::find(order.begin(), order.end(), 0) == order.end()) order.push_back(0);
    return order;
  }

  [[nodiscard]] FootChoice trace(std::size_t pair, Worker& worker) const {
    FootChoice choice;
    choice.feet = pairs_[pair];
    choice.is_given = pair == 0;
    choice.places = describe_feet(scene_, choice.feet);
    choice.result =
        choice.is_given && options_.known != nullptr
            ? *options_.known
            : solve_move(scene_, body_, with_feet(move_, choice.feet), options_.solve, worker.workspace, worker.hands);
    const Frame& deciding = choice.result.frames[static_cast<std::size_t>(choice.result.deciding_frame)];
    double carried_N = 0.0;
    for (const ContactResult& contact : deciding.contacts) {
      if (!is_hand(contact.limb)) carried_N += contact.f_C_W.z();
    }
    choice.foot_share = carried_N / (body_.tree.mass_kg * kGravity);
    choice.reason = choice.result.cause_text;
    if (deciding.has_posture)
      choice.reason += fmt::format("; feet carry {:.0f} % of the weight there", 100.0 * choice.foot_share);
    return choice;
  }

  std::vector<FootChoice> take_best() {
    std::vector<FootChoice> best;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
      if (is_traced_[i] != 0) best.push_back(std::move(choices_[i]));
    }
    std::stable_sort(best.begin(), best.end(), [](const FootChoice& a, const FootChoice& b) {
      const bool a_holds = a.result.verdict == Verdict::kStatic;
      const bool b_holds = b.result.verdict == Verdict::kStatic;
      if (a_holds != b_holds) return a_holds;
      return a.result.effort_peak < b.result.effort_peak;
    });
    if (best.size() > static_cast<std::size_t>(options_.wanted)) best.resize(static_cast<std::size_t>(options_.wanted));
    return best;
  }

  const Scene& scene_;
  const body::Body& body_;
  const Move& move_;
  const FootOptions& options_;
  const std::vector<FootPair> pairs_;
  std::vector<double> ranks_;
  std::vector<FootChoice> choices_;
  std::vector<char> is_traced_;
  PerThread<Worker> workers_;
  int done_ = 0, total_ = 0;
};

}  // namespace

std::vector<FootChoice> find_feet(const Scene& scene, const body::Body& body, const Move& move,
                                  const FootOptions& options) {
  return FootSearch(scene, body, move, options).find();
}

}  // namespace steepwright::move
