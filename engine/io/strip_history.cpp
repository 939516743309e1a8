#include "engine/io/strip_history.h"

#include "engine/core/units.h"

#include <cmath>
#include <optional>

namespace steepwright::io {

namespace {

const move::ContactResult* find_loaded(const move::Frame& frame, Limb limb) {
  for (const move::ContactResult& contact : frame.contacts) {
    if (contact.limb == limb && contact.is_loaded) return &contact;
  }
  return nullptr;
}

/// What the row shows of a contact; nothing where it means nothing.
std::optional<double> find_value(StripRow row, const move::ContactResult& contact) {
  switch (row) {
    case StripRow::kLoad:
      return contact.f_C_W.norm();
    case StripRow::kUse:
      return 100.0 * contact.capacity_use;
    case StripRow::kFail:
    case StripRow::kPull:
      return std::nullopt;
    case StripRow::kMargin:
      break;
  }
  if (contact.f_C_W.norm() < move::kCarries_N) return std::nullopt;
  return deg_from_rad(contact.slip_off.margin);
}

}  // namespace

std::vector<Piece> find_pieces(const move::MoveResult& result, Limb limb, StripRow row, bool over_height) {
  std::vector<Piece> pieces;
  bool is_open = false;
  for (const move::Frame& frame : result.frames) {
    const move::ContactResult* contact = frame.has_posture ? find_loaded(frame, limb) : nullptr;
    const std::optional<double> value = contact != nullptr ? find_value(row, *contact) : std::nullopt;
    if (!value || !std::isfinite(*value)) {
      is_open = false;
      continue;
    }
    if (!is_open) pieces.emplace_back();
    is_open = true;
    pieces.back().push_back({over_height ? mm_from_m(frame.p_Wcm.z()) : frame.t, *value, contact->capacity_use});
  }
  return pieces;
}

std::vector<Piece> find_pull_pieces(const move::MoveResult& result) {
  std::vector<Piece> pieces(1);
  for (const move::Frame& frame : result.frames) {
    if (frame.has_posture && frame.lower_hand && !frame.lower_hand->pull_W.isZero()) {
      pieces.back().push_back(
          {mm_from_m(frame.p_Wcm.z()), deg_from_rad(frame.lower_hand->pull_swing), frame.lower_hand->capacity_use});
    } else if (!pieces.back().empty()) {
      pieces.emplace_back();
    }
  }
  std::erase_if(pieces, [](const Piece& piece) { return piece.empty(); });
  return pieces;
}

std::vector<Span> find_spans(const std::vector<move::Frame>& frames) {
  std::vector<Span> spans;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const double from = i == 0 ? frames[i].t : 0.5 * (frames[i - 1].t + frames[i].t);
    const double to = i + 1 == frames.size() ? frames[i].t : 0.5 * (frames[i].t + frames[i + 1].t);
    if (!spans.empty() && spans.back().phase == frames[i].phase) {
      spans.back().to = to;
    } else {
      spans.push_back({frames[i].phase, from, to});
    }
  }
  return spans;
}

}  // namespace steepwright::io
