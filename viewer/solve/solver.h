#pragma once

/// The threads that solve while the picture goes on: one for stances, which are there within a frame, one for whole
/// moves. Latest wins: an edit ends the solve that goes on at its next stance, answers that are no longer wanted are
/// not even begun. But in a long drag the move on the screen is carried to its end a few times a second.

#include "engine/move/scene.h"
#include "viewer/solve/latest.h"
#include "viewer/solve/results.h"
#include "viewer/solve/shared_body.h"
#include "viewer/solve/update_queue.h"

#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <thread>
#include <vector>

namespace steepwright::viewer {

/// The site whose grips are compared; the forearm's swing at it, rad.
struct SurveyRequest {
  int hold = 0, site = 0;
  double forearm_swing = 0.0;
};

/// The stance of the first move that is answered before all else, from a posture near it.
struct StanceRequest {
  bool is_settled = false;  ///< the stance that the move ends in, else the one before it
  body::Posture near;
};

struct SolveRequest {
  std::uint64_t revision = 0;
  std::shared_ptr<const move::Scene> scene;
  int first_move = 0;           ///< solved first: the one on the screen
  std::vector<bool> is_solved;  ///< moves that have this revision's answer already; shorter: none
  std::optional<StanceRequest> stance;
  std::optional<SurveyRequest> survey;
};

class Solver {
 public:
  /// `on_update` is called on a solver's thread after each answer, e.g. to wake the window.
  explicit Solver(std::function<void()> on_update);
  ~Solver() = default;  // joins; waits for the stance that is being solved
  Solver(const Solver&) = delete;
  Solver& operator=(const Solver&) = delete;

  void request(SolveRequest request);
  /// Waits for an answer that is not taken yet, no longer than `most`.
  void wait_update(std::chrono::milliseconds most) { updates_.wait(most); }
  /// The answers since the last call, oldest first.
  [[nodiscard]] std::vector<SolveUpdate> take_updates() { return updates_.take(); }

 private:
  void run(const std::stop_token& stop);
  class MoveRun;
  void run_stances(const std::stop_token& stop);
  void prepare_stances(SolveRequest request, const move::MoveResult& result);

  struct StanceJob {
    SolveRequest request;
    bool is_rehearsal = false;  ///< nobody waits: capacity sets are computed before the first edit needs them
  };
  Latest<SolveRequest> requests_;
  Latest<StanceJob> stances_;
  UpdateQueue updates_;
  SharedBody body_;
  std::jthread thread_, stance_thread_;  // last: stop before the rest goes
};

}  // namespace steepwright::viewer
