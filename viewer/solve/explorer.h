#pragma once

/// The thread for what takes longer than a move: where the moving limb gets to, how sure a move is, its grips compared.
/// Coarse answers come first; what an edit has made useless is ended.

#include "engine/move/scene.h"
#include "viewer/solve/latest.h"
#include "viewer/solve/results.h"
#include "viewer/solve/update_queue.h"

#include <functional>
#include <memory>
#include <optional>
#include <thread>
#include <vector>

namespace steepwright::viewer {

struct ExploreRequest {
  std::uint64_t revision = 0;
  std::shared_ptr<const move::Scene> scene;
  int move = -1;
  bool wants_reach = false;
  std::optional<MoveAnswer> risk_of;  ///< of this revision, not known yet
  bool wants_comparison = false;
};

/// All that the reach of a move's limb depends on, as text: equal texts have equal maps. The place of the target is
/// not part of it, so that a map stays valid while the target is dragged over it.
[[nodiscard]] std::string find_reach_key(const move::Scene& scene, const move::Move& move);

class Explorer {
 public:
  /// `on_update` is called on the explorer's thread after each answer.
  explicit Explorer(std::function<void()> on_update);
  ~Explorer() = default;  // joins; studies end at their next round
  Explorer(const Explorer&) = delete;
  Explorer& operator=(const Explorer&) = delete;

  void request(ExploreRequest request) { requests_.put(std::move(request)); }
  /// The answers since the last call, oldest first.
  [[nodiscard]] std::vector<SolveUpdate> take_updates() { return updates_.take(); }

 private:
  void run(const std::stop_token& stop);
  void map_reach(const ExploreRequest& request, const std::stop_token& stop);
  void calc_risk(const ExploreRequest& request, const std::stop_token& stop);
  void compare(const ExploreRequest& request, const std::stop_token& stop);

  Latest<ExploreRequest> requests_;
  UpdateQueue updates_;
  // The thread's own: the last map and what it is of.
  std::string reach_key_;
  ReachAnswer reach_;
  std::jthread thread_;  // last: stops before the rest goes
};

}  // namespace steepwright::viewer
