#pragma once

/// Reach map: for limbs that stay and one that moves, every place of the wall where the moving limb can be put while
/// the others hold the body.
///
/// A place is held when a posture touches it with the moving limb unloaded and all others hold: that is the instant
/// that decides a static move; loading the new hold only helps. The map floods outward: each place is solved from the
/// postures of its neighbours, first on a coarse lattice, then on a fine one along the border. Where one place is
/// reached and a neighbour is not, the other way round is tried too, until nothing changes. At last the border is
/// pressed outward: each place beside held ones is tried from each posture that differs among them, in short steps and
/// down to something to spare, and now and then from nothing, because another posture may reach further; what is found
/// presses on in all directions, until nothing moves.

#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

namespace steepwright::study {

/// What the moving limb would take hold of.
struct ReachHold {
  hold::Hold hold;
  int site = 0;
  std::optional<Grip> grip;  ///< hands
  double rotation = 0.0;     ///< rad
};

struct ReachQuestion {
  move::Stance stance;  ///< the limbs that stay; what the moving limb holds there does not count
  Limb moving = Limb::kLeftHand;
  std::optional<ReachHold> hold;  ///< nothing: the bare wall is touched
  std::vector<int> strips;        ///< where to look; empty: everywhere
};

struct ReachTask;
struct ReachOutcome;
class ReachCrew;
/// Solves a round of stances that do not hang on each other: all outcomes in order, or fewer to stop the map.
using ReachRoundRunner = std::function<std::vector<ReachOutcome>(const std::vector<ReachTask>& tasks, ReachCrew& crew)>;

struct ReachOptions {
  double pitch_m = 0.025;
  int refine = 5;     ///< steps of the fine lattice in one of the coarse one; 1: a quick map without refinement
  int n_threads = 0;  ///< 0: as many as there are cores
  std::uint64_t seed = 1;
  bool keep_proofs = false;  ///< the postures of what is held too
  /// Where rounds are solved; nothing: on the threads of this process.
  ReachRoundRunner run_round;
  /// Called between rounds with (stances solved so far, about the share of the work that is done); return false to
  /// stop: the map then has what is done.
  std::function<bool(std::int64_t, double)> on_progress;
};

/// One place of the wall. Places of the fine lattice are there only along the border.
struct ReachPlace {
  int strip = 0;
  int i = 0, j = 0;                   ///< on the fine lattice, across and up
  double across_m = 0.0, up_m = 0.0;  ///< of the hold's bolt, or the touched point; P frame
  bool is_coarse = true;
  bool has_posture = false;  ///< the contacts can be met at all
  bool is_held = false;
  double effort = 0.0;          ///< with the limb just placed; infinite without balance or posture
  double settled_effort = 0.0;  ///< with a hold: when it is loaded, at the same posture
  move::Cause cause = move::Cause::kNone;
  std::optional<Limb> limit_limb;  ///< grip: the hand or foot that gives out first
  int limit_hinge = -1;            ///< strength: index into the tree's hinges
  double margin_m = 0.0;           ///< along the wall to the border of what is held; negative outside
};

/// What holds a place: anyone can check it with the statics of one posture.
struct ReachProof {
  body::Posture posture;                           ///< empty where the place is not held
  std::array<std::optional<int>, 2> forearm_bins;  ///< that the hands' capacity sets are for (ForearmBins)
};

struct BorderSegment {
  int strip = 0;
  double across_m[2] = {0.0, 0.0}, up_m[2] = {0.0, 0.0};  ///< held on the left of its direction
};

struct ReachMap {
  double pitch_m = 0.0, fine_m = 0.0;
  std::vector<ReachPlace> places;  ///< by strip, up, across
  std::vector<ReachProof> proofs;  ///< of each place, when they were asked for
  std::vector<BorderSegment> border;
  std::int64_t n_solved = 0;  ///< stances solved, several at some places
  bool is_complete = true;    ///< false: stopped early
};

/// The map. The same on any number of threads.
[[nodiscard]] ReachMap make_reach_map(const move::Scene& scene, const body::Body& body, const ReachQuestion& question,
                                      const ReachOptions& options);

/// An upper bound on the distance between two limbs' contacts that no posture can pass: the bones between them in one
/// line, m.
[[nodiscard]] double find_bone_distance(const body::Body& body, Limb a, Grip grip_a, Limb b, Grip grip_b);

}  // namespace steepwright::study
