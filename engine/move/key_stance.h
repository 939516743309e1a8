#pragma once

/// The stances of a move that are searched for from several starts, not followed from frame to frame: before, unloaded,
/// touch, settled.

#include "engine/move/instant.h"

namespace steepwright::move {

/// A stance that asks for more effort than this is not tried again.
inline constexpr double kHopelessEffort = 1.5;

/// A stance searched for, and its frame.
struct Key {
  Instant instant;
  SolvedInstant solved;
  Frame frame;
};

/// Searches the key stances of one move. Keeps references to what it is given.
class KeySolver {
 public:
  KeySolver(const Move& move, const InstantSolver& solver) : move_(move), solver_(solver) {}

  [[nodiscard]] Key solve(Phase phase, const Stance& stance, double moving_share, const body::Posture* warm,
                          const ForearmSwings& swings, double t) const;

  /// From this posture alone, or the one of another key. False where it leads to none.
  bool solve_from(const Key& other, Key& key) const;

  /// Another stance's posture may lead to one that has more to spare.
  void improve(const body::Posture& from, Key& key) const;

  /// Makes the frame of a key that is solved.
  void finish(Key& key, const body::Posture* warm, double t) const;

  /// So far from holding that nothing is known to help, where the verdict is all that is asked.
  [[nodiscard]] bool is_lost(const Key& key) const;

 private:
  void improve_as_told(Key& key) const;
  [[nodiscard]] std::optional<Vec3> find_goal(const Key& key) const;

  const Move& move_;
  const InstantSolver& solver_;
};

}  // namespace steepwright::move
