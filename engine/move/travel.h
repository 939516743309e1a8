#pragma once

/// The way of the moving limb from where it lets go to its target, and feet that cut loose on it.

#include "engine/move/key_stance.h"
#include "engine/move/path.h"
#include "engine/move/stretch.h"

#include <optional>
#include <vector>

namespace steepwright::move {

// Frame::t at which the phases end (assumed shares of a move's time; nothing in statics depends on them).
inline constexpr double kUnloaded_t = 0.2;
inline constexpr double kTouch_t = 0.7;

class Travel {
 public:
  Travel(const Move& move, const InstantSolver& solver, const KeySolver& keys)
      : move_(move), solver_(solver), keys_(keys) {}

  /// The frames between, the target touched or come near to as in `touch`.
  std::vector<Frame> trace(const Frame& unloaded, const Frame& touch);

  /// The target touched without the fewest feet that it takes, with the touch of least effort; none where that does not
  /// help.
  struct CutTouch {
    std::vector<Limb> feet;
    Key touch;
  };
  [[nodiscard]] std::optional<CutTouch> find_cut_touch(const Key& unloaded, const Key& touch) const;

  /// The way on which these feet cut loose, when that holds all along; else empty.
  std::vector<Frame> trace_cut(const Key& unloaded, const CutTouch& cut);

 private:
  struct Leaving;
  void set_path(const Frame& unloaded, const Frame& touch);
  [[nodiscard]] Vec3 find_outward(const LimbPlace& place) const;
  [[nodiscard]] Instant make_instant(double u) const;
  [[nodiscard]] Instant make_easing_instant(double u, double share, const std::vector<Limb>& cut) const;
  [[nodiscard]] Stretch make_stretch(double u_from, double u_to, double t_from, double t_to) const;
  [[nodiscard]] Frame solve_at(double u, const body::Posture& start) const;
  [[nodiscard]] std::optional<Leaving> find_leaving(const Frame& unloaded, const std::vector<Limb>& cut) const;
  std::vector<Frame> make_cut_frames(const Key& unloaded, const Key& touch, const std::vector<Limb>& cut);

  const Move& move_;
  const InstantSolver& solver_;
  const KeySolver& keys_;
  std::vector<Limb> off_;  ///< feet that hang free now
  PathEnds ends_;
  LimbPath path_;
  Vec3 p_BC_from_ = Vec3::Zero(), p_BC_to_ = Vec3::Zero();
};

}  // namespace steepwright::move
