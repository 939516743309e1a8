#pragma once

/// What a study asks of a move, and the one place that decides how much work goes into the answer.

#include "engine/move/result.h"
#include "engine/move/scene.h"
#include "engine/posture/stance.h"

#include <memory>

namespace steepwright::study {

enum class Judging {
  kStances,  ///< the four stances of the move alone: fast
  kTrace,    ///< all that move::solve_move does
};

struct JudgeOptions {
  Judging judging = Judging::kStances;
  double friction_factor = 1.0;  ///< on every mu. What fingers carry along their pulls stays
};

/// The answer for one move, or for the hardest of several.
struct Judged {
  bool is_held = false;
  double effort = 0.0;                ///< at the hardest instant; infinite without posture or balance
  std::optional<double> slip_margin;  ///< rad, smallest of the lower hand, where there is one
  move::Cause cause = move::Cause::kNone;
  std::optional<Limb> limb;
  std::optional<double> short_m;  ///< reach, clearance
  std::string text;               ///< in words
  std::string move;               ///< which one decides
};

/// Judges moves of one body. One per thread; wall and holds may change from call to call, the body may not.
class Judge {
 public:
  Judge(const move::Climber& climber, const body::Body& body, const JudgeOptions& options);
  ~Judge();
  Judge(const Judge&) = delete;
  Judge& operator=(const Judge&) = delete;

  [[nodiscard]] Judged judge(const move::Scene& scene, const move::Move& move);
  /// The move that decides among all of the scene: the first that does not hold, else the one of most effort.
  [[nodiscard]] Judged judge_all(const move::Scene& scene);

 private:
  struct Storage;
  std::unique_ptr<Storage> storage_;
};

}  // namespace steepwright::study
