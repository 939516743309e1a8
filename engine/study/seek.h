#pragma once

/// Goal seek: the places (and dimensions) of holds at which a move has the effort wished for, and that other bodies
/// still hold. Searches without gradients (Subplex of NLopt, after Rowan 1990) from several starts, then onto T-nuts.

#include "engine/study/judge.h"
#include "engine/study/knob.h"

#include <cstdint>
#include <functional>

namespace steepwright::study {

struct SeekAxis {
  Knob knob;
  double lower = 0.0, upper = 0.0;
};

struct SeekQuestion {
  std::vector<SeekAxis> axes;
  double effort = 0.85;             ///< of the scene's climber at the hardest instant
  std::vector<move::Climber> also;  ///< bodies that must hold too
  bool onto_tnuts = true;           ///< holds that are moved end on a free T-nut of their strip, where it has any
  int most_judgements = 60;         ///< of one search
  std::uint64_t seed = 1;
  Judging judging = Judging::kStances;
};

/// A place that was found.
struct SeekAnswer {
  std::vector<double> values;  ///< by axis
  bool is_on_tnut = false;
  Judged judged;             ///< the scene's climber
  std::vector<Judged> also;  ///< the other bodies
  double miss = 0.0;         ///< 0: as wished; see find_miss
  int n_judged = 0;

  /// Everybody holds.
  [[nodiscard]] bool is_held() const;
};

/// How far a place is from what is wished: the difference in effort of the climber, and of the others what is above 1;
/// where a body has no posture or balance 2 and more, with what is missing to reach.
[[nodiscard]] double find_miss(const SeekQuestion& question, const Judged& judged, const std::vector<Judged>& also);

/// One search from the start of that number; number 0 starts from the scene as it is. `is_cancelled` ends it early.
[[nodiscard]] SeekAnswer seek(const move::Scene& scene, const SeekQuestion& question, std::int64_t start,
                              const std::function<bool()>& is_cancelled);

/// What binds at a place: "left hand grip used most", "1.60 m: right hand ends 12 mm short ...", a bound of the search.
[[nodiscard]] std::string describe_binding(const move::Scene& scene, const SeekQuestion& question,
                                           const SeekAnswer& answer);

}  // namespace steepwright::study
