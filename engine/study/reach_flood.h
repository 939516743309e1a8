#pragma once

/// The flood behind a reach map: rounds of places next to solved ones, each round's places solved in parallel from the
/// rounds before.

#include "engine/study/reach_solver.h"

namespace steepwright::study {

/// One strip's lattice of places; coarse places are every `refine`-th.
struct StripLattice {
  int strip = 0;
  int n_i = 0, n_j = 0;  ///< fine places across and up
  double fine_m = 0.0;
  [[nodiscard]] bool has(int i, int j) const { return i >= 0 && j >= 0 && i < n_i && j < n_j; }
};

/// From a place to those around it; beside it first, then round its corners.
inline constexpr std::array<std::array<int, 2>, 8> kNeighbours = {
    {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}}};

struct FloodNode {
  enum class State : unsigned char { kIdle, kActive, kFailed, kMet, kHeld };
  State state = State::kIdle;
  signed char tries = 0;
  bool is_searched = false;       ///< from several starts, or a place near by is
  bool is_inside = false;         ///< idle, amid held ones
  bool is_blocked = false;        ///< failed, and met but for wall and room
  int answer = -1;                ///< index of the answer, from kMet on
  int tried = -1;                 ///< best answer that it was last solved from
  int pending_round = 0;          ///< asked again in this round
  bool is_sought = false;         ///< searched from nothing
  BoundedVector<int, 8> pressed;  ///< answers that it was pressed from
};

class ReachFlood {
 public:
  ReachFlood(const body::Body& body, ReachCrew& crew, std::vector<StripLattice> lattices, const ReachOptions& options);

  /// What follows is the part of the work up to `share` of the whole, of about so many stances: for progress alone.
  void begin_part(double share, double stances);
  /// Solves places far apart from the posture of the limbs that stay, so that the flood has sources. False when those
  /// limbs have no posture at all, or when stopped.
  bool sow(int stride);
  /// Makes a place part of the flood.
  void activate(int lattice, int i, int j);
  /// Runs rounds until nothing changes, neighbours `step` fine places away. False when stopped.
  bool run(int step);
  /// Asks places that are not held although most of their neighbours are once more, patiently, then runs on. An effort
  /// close to 1 has a rough landscape, and a quick search now and then stops short of what the neighbours show to be
  /// possible. False when stopped.
  bool mend(int step);
  /// Solves places beside held ones, where the contacts are met but do not hold, from several starts: other postures
  /// may hold further out than the ones that the flood has brought. Not all of them, because what is found floods on to
  /// the others. False when stopped.
  bool search_border(int step);

  /// Asks the places of the fine lattice beside held ones once more, from each posture among these that leads
  /// elsewhere, and places ahead of the border from nothing, until nothing changes. False when stopped.
  bool press_border();

  /// Solves held places again from neighbours that manage with clearly less effort, so that the map does not show which
  /// way the flood came. False when stopped.
  bool even_out(int step);

  /// A place to be solved from another one that is held, some steps away.
  struct Probe {
    int lattice = 0, i = 0, j = 0;
    int from_i = 0, from_j = 0;
  };
  /// Solves the probes that are not known yet. False when stopped.
  bool probe(const std::vector<Probe>& probes);

  [[nodiscard]] const std::vector<StripLattice>& lattices() const { return lattices_; }
  [[nodiscard]] const FloodNode& node(int lattice, int i, int j) const;
  [[nodiscard]] const ReachAnswer& answer(const FloodNode& node) const {
    return answers_[static_cast<std::size_t>(node.answer)];
  }
  [[nodiscard]] bool is_held(int lattice, int i, int j) const {
    return node(lattice, i, j).state == FloodNode::State::kHeld;
  }
  [[nodiscard]] std::int64_t n_solved() const { return n_solved_; }

 private:
  struct Task {
    int lattice = 0, i = 0, j = 0;
    BoundedVector<int, ReachTask::kMostSources> sources;  ///< answers to start from, best first
    Care care = Care::kQuick;
    double back_i = 0.0, back_j = 0.0;  ///< where the source is, in fine steps from this one
  };
  [[nodiscard]] FloodNode& node_at(int lattice, int i, int j);
  [[nodiscard]] std::vector<Task> collect_tasks(int step);
  /// Fills the task's sources with up to `most` answers of neighbours; returns how many neighbours are held.
  int gather_sources(int step, std::size_t most, Task& task) const;
  [[nodiscard]] bool is_within_bones(int lattice, int i, int j) const;
  void mark_inside();
  [[nodiscard]] bool is_amid_held(int lattice, int i, int j) const;
  bool press_until_still();
  void leave_to_search(int lattice, std::size_t first_new);
  [[nodiscard]] bool is_beside_held(int lattice, int i, int j) const;
  [[nodiscard]] std::vector<Task> collect_beside(std::size_t first_new);
  [[nodiscard]] int find_press_source(int lattice, int i, int j) const;
  void press(int lattice, int i, int j, std::vector<Task>& tasks);
  void mark_searched(int lattice, int i, int j, int around, int step, bool is_searched);
  bool solve_round(const std::vector<Task>& tasks, int step);
  [[nodiscard]] ReachTask find_asked(const Task& task) const;
  [[nodiscard]] double find_share() const;
  void take(const Task& task, ReachOutcome& outcome, int step);
  void ask_neighbours(const Task& task, int step);

  const body::Body& body_;
  ReachCrew& crew_;
  ReachGoals& goals_;
  const ReachOptions& options_;
  std::vector<StripLattice> lattices_;
  std::vector<std::vector<FloodNode>> nodes_;
  std::vector<ReachAnswer> answers_;
  std::vector<Task> pending_;  ///< places to be looked at in the next round, without sources yet
  int round_ = 0;
  std::int64_t n_solved_ = 0;
  bool is_stopped_ = false;
  struct Part {
    double from = 0.0, to = 0.0;  ///< shares of the whole
    std::int64_t n_before = 0;
    double stances = 1.0;
  };
  Part part_;
};

}  // namespace steepwright::study
