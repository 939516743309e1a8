#include "viewer/solve/results.h"

#include <utility>

namespace steepwright::viewer {

void Results::restart(std::uint64_t first) {
  const std::uint64_t count = count_ + 1;
  *this = {};
  count_ = count;
  first_ = first;
}

void Results::accept(SolveUpdate update) {
  if (std::visit([](const auto& answer) { return answer.revision; }, update) < first_) return;
  ++count_;
  if (auto* move = std::get_if<MoveAnswer>(&update)) {
    moves_[move->move] = std::move(*move);
  } else if (auto* stance = std::get_if<StanceAnswer>(&update)) {
    if (stance->revision >= stance_.revision) stance_ = std::move(*stance);
  } else if (auto* survey = std::get_if<SurveyAnswer>(&update)) {
    survey_ = std::move(*survey);
  } else if (auto* reach = std::get_if<ReachAnswer>(&update)) {
    reach_ = std::move(*reach);
  } else if (auto* cut = std::get_if<CutLooseAnswer>(&update)) {
    cut_loose_[cut->move] = std::move(*cut);
  } else if (auto* risk = std::get_if<RiskAnswer>(&update)) {
    risks_[risk->move] = std::move(*risk);
  } else if (auto* comparison = std::get_if<ComparisonAnswer>(&update)) {
    comparison_ = std::move(*comparison);
  } else {
    done_ = std::get<SolveDone>(update);
  }
}

const MoveAnswer* Results::find(const std::string& move) const {
  const auto found = moves_.find(move);
  return found == moves_.end() ? nullptr : &found->second;
}

const StanceAnswer* Results::find_stance(const std::string& move, std::uint64_t revision) const {
  return stance_.frame && stance_.revision == revision && stance_.move == move ? &stance_ : nullptr;
}

const move::MoveRisk* Results::find_risk(const move::MoveResult& result) const {
  const auto found = risks_.find(result.name);
  return found != risks_.end() && found->second.result.get() == &result ? found->second.risk.get() : nullptr;
}

const move::CutLoose* Results::find_cut_loose(const move::MoveResult& result) const {
  const auto found = cut_loose_.find(result.name);
  const bool is_its = found != cut_loose_.end() && found->second.result.get() == &result;
  return is_its && found->second.cut ? &*found->second.cut : nullptr;
}

}  // namespace steepwright::viewer
