#pragma once

/// What every panel gets: the state to read, and where to say what is wanted.

#include "viewer/document/document.h"
#include "viewer/panels/intent.h"
#include "viewer/panels/marks.h"
#include "viewer/panels/palette.h"
#include "viewer/panels/ui_state.h"
#include "viewer/solve/results.h"
#include "viewer/store/settings.h"

namespace steepwright::viewer {

struct PanelContext {
  const Document& document;
  const Results& results;
  const Palette& palette;
  UiState& ui;
  Settings& settings;
  Intents& intents;
  Marks& marks;

  /// The selected move, nullptr when there is none.
  [[nodiscard]] const move::Move* move() const {
    const auto& moves = document.scene().moves;
    const auto index = static_cast<std::size_t>(ui.move);
    return ui.move >= 0 && index < moves.size() ? &moves[index] : nullptr;
  }
  /// Its answer, of whatever revision; nullptr before there is one.
  [[nodiscard]] const MoveAnswer* answer() const { return move() == nullptr ? nullptr : results.find(move()->name); }
  /// A stance of the selected move for the present revision, while the move's own answer is older; else nullptr.
  [[nodiscard]] const StanceAnswer* stance_ahead() const {
    if (answer() == nullptr || !is_stale(*answer())) return nullptr;
    return results.find_stance(move()->name, document.revision());
  }
  /// The reach of the selected move's limb, of whatever revision; nullptr when it is off or there is none.
  [[nodiscard]] const ReachAnswer* reach() const {
    const ReachAnswer* answer = results.reach();
    return settings.has_reach && answer != nullptr && move() != nullptr && answer->move == move()->name ? answer
                                                                                                        : nullptr;
  }
  /// The risk of the answer that is shown; nullptr when it is not known.
  [[nodiscard]] const move::MoveRisk* risk() const {
    return answer() == nullptr ? nullptr : results.find_risk(*answer()->result);
  }
  [[nodiscard]] bool is_stale(const MoveAnswer& answer) const { return answer.revision != document.revision(); }
};

}  // namespace steepwright::viewer
