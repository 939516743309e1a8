#pragma once

/// What was computed for the document, each answer with the revision that it is for.

#include "engine/body/body.h"
#include "engine/grip/survey.h"
#include "engine/move/cut_loose.h"
#include "engine/move/grip_comparison.h"
#include "engine/move/result.h"
#include "engine/move/risk.h"
#include "engine/study/reach_map.h"
#include "engine/study/reach_raster.h"

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace steepwright::viewer {

/// One move's answer.
struct MoveAnswer {
  std::uint64_t revision = 0;
  std::string move;
  std::shared_ptr<const move::MoveResult> result;
  std::shared_ptr<const body::Body> body;  ///< the one it was solved with
};

/// One stance of a move, solved from a neighbouring posture while the whole move is still to come.
struct StanceAnswer {
  std::uint64_t revision = 0;
  std::string move;
  std::shared_ptr<const move::Frame> frame;
  std::shared_ptr<const body::Body> body;
  double solved_s = 0.0;  ///< from the request to the answer
};

/// What the climber's hand holds at a site.
struct SurveyAnswer {
  std::uint64_t revision = 0;
  int hold = -1, site = -1;
  std::shared_ptr<const grip::Survey> survey;
  std::string unmet_reference;  ///< why the measured finger force cannot be met, "" when it is
};

/// Where on the wall the moving limb of a move can be put; coarse at once, finer ones after.
struct ReachAnswer {
  std::uint64_t revision = 0;
  std::string move;
  Limb limb = Limb::kLeftHand;
  std::string hold;  ///< what is put there: the target's shape; "" for the bare wall
  int stage = 0;     ///< 0 to kReachStages - 1; the last is as fine as it gets
  std::shared_ptr<const study::ReachMap> map;
  std::shared_ptr<const std::vector<study::ReachRaster>> rasters;
};
inline constexpr int kReachStages = 3;

/// How sure a move is.
struct RiskAnswer {
  std::uint64_t revision = 0;
  std::string move;
  std::shared_ptr<const move::MoveResult> result;  ///< that it is the risk of
  std::shared_ptr<const move::MoveRisk> risk;
};

/// What a move that ends short becomes with a foot off its hold.
struct CutLooseAnswer {
  std::uint64_t revision = 0;
  std::string move;
  std::shared_ptr<const move::MoveResult> result;  ///< that ends short
  std::optional<move::CutLoose> cut;               ///< none: it helps nothing
};

/// A move with every grip that its hands' holds allow.
struct ComparisonAnswer {
  std::uint64_t revision = 0;
  std::string move;
  std::shared_ptr<const std::vector<move::GripComparison>> hands;
};

/// All of a revision is done.
struct SolveDone {
  std::uint64_t revision = 0;
  double first_move_s = 0.0;  ///< from the request to the first move's answer
  double all_s = 0.0;
};

using SolveUpdate = std::variant<MoveAnswer, StanceAnswer, SurveyAnswer, CutLooseAnswer, ReachAnswer, RiskAnswer,
                                 ComparisonAnswer, SolveDone>;

class Results {
 public:
  void accept(SolveUpdate update);
  /// Forgets everything, and what still comes for revisions before `first`: another scene was opened.
  void restart(std::uint64_t first);

  /// The last answer for the move of that name, of whatever revision; nullptr before the first.
  [[nodiscard]] const MoveAnswer* find(const std::string& move) const;
  /// The stance that was solved ahead for this move and revision; nullptr when there is none.
  [[nodiscard]] const StanceAnswer* find_stance(const std::string& move, std::uint64_t revision) const;
  /// The last one, of whatever move and revision; nullptr before the first.
  [[nodiscard]] const StanceAnswer* stance() const { return stance_.frame ? &stance_ : nullptr; }
  [[nodiscard]] const SurveyAnswer* survey() const { return survey_.survey ? &survey_ : nullptr; }
  /// The last map, of whatever move and revision; nullptr before the first.
  [[nodiscard]] const ReachAnswer* reach() const { return reach_.map ? &reach_ : nullptr; }
  /// The risk of just this result; nullptr when it is not known.
  [[nodiscard]] const move::MoveRisk* find_risk(const move::MoveResult& result) const;
  /// How just this result holds with a foot off its hold; nullptr when it does not or is not known.
  [[nodiscard]] const move::CutLoose* find_cut_loose(const move::MoveResult& result) const;
  /// The last comparison, of whatever move and revision; nullptr before the first.
  [[nodiscard]] const ComparisonAnswer* comparison() const { return comparison_.hands ? &comparison_ : nullptr; }
  [[nodiscard]] const SolveDone& done() const { return done_; }
  [[nodiscard]] bool is_done(std::uint64_t revision) const { return done_.revision == revision; }
  /// Counts accepted updates: whoever draws from results knows that they changed.
  [[nodiscard]] std::uint64_t count() const { return count_; }

 private:
  std::map<std::string, MoveAnswer> moves_;
  StanceAnswer stance_;
  SurveyAnswer survey_;
  ReachAnswer reach_;
  std::map<std::string, RiskAnswer> risks_;          ///< by move
  std::map<std::string, CutLooseAnswer> cut_loose_;  ///< by move
  ComparisonAnswer comparison_;
  SolveDone done_;
  std::uint64_t count_ = 0, first_ = 0;
};

}  // namespace steepwright::viewer
