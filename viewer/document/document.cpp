#include "viewer/document/document.h"

#include "engine/io/scene_writer.h"
#include "viewer/document/state_check.h"

#include <algorithm>
#include <utility>

namespace steepwright::viewer {

namespace {

// A patch taken back after another of the same gesture must restore what was before both: the earlier values win, and
// parts that only the later one changed are added.
void join_inverse(Patch& earlier, Patch later) {
  if (!earlier.wall) earlier.wall = std::move(later.wall);
  if (!earlier.climber) earlier.climber = std::move(later.climber);
  if (!earlier.inventory) earlier.inventory = std::move(later.inventory);
  if (!earlier.holds) earlier.holds = std::move(later.holds);
  if (!earlier.moves) earlier.moves = std::move(later.moves);
}

// Two splices can be joined when they replace the same holds one for one.
bool can_join(const Patch& earlier, const Patch& later) {
  if (!earlier.holds || !later.holds) return true;
  return earlier.holds->first == later.holds->first && earlier.holds->count == later.holds->count &&
         earlier.holds->holds.size() == later.holds->holds.size();
}

}  // namespace

Document::Document(OpenedScene opened, std::uint64_t first_revision)
    : state_(std::move(opened.state)),
      path_(std::move(opened.path)),
      warnings_(std::move(opened.warnings)),
      revision_(first_revision),
      last_revision_(first_revision),
      saved_revision_(first_revision) {}

const std::shared_ptr<const move::Scene>& Document::snapshot() const {
  if (snapshot_revision_ != revision_) {
    snapshot_ = std::make_shared<const move::Scene>(state_.scene);
    snapshot_revision_ = revision_;
  }
  return snapshot_;
}

Result<void> Document::apply(const Command& command, Gesture gesture) {
  Result<std::optional<Patch>> patch = make_patch(state_, command);
  if (!patch) return tl::unexpected<Findings>(std::move(patch.error()));
  if (!*patch) return {};
  Patch inverse = apply_patch(std::move(**patch), state_);
  Findings findings = check_state(state_);
  if (has_errors(findings)) {
    static_cast<void>(apply_patch(std::move(inverse), state_));
    std::erase_if(findings, [](const Finding& finding) { return finding.severity != Severity::kError; });
    return tl::unexpected<Findings>(std::move(findings));
  }
  warnings_ = std::move(findings);
  const bool is_joined = gesture != kNoGesture && !undo_.empty() && undo_.back().gesture == gesture &&
                         can_join(undo_.back().patch, inverse);
  if (is_joined) {
    join_inverse(undo_.back().patch, std::move(inverse));
  } else {
    undo_.push_back({std::move(inverse), revision_, gesture});
  }
  redo_.clear();
  revision_ = ++last_revision_;
  return {};
}

bool Document::walk(std::vector<Step>& from, std::vector<Step>& to) {
  if (from.empty()) return false;
  Step step = std::move(from.back());
  from.pop_back();
  // The gesture is over: what comes next must not join it.
  to.push_back({apply_patch(std::move(step.patch), state_), revision_, kNoGesture});
  revision_ = step.revision;
  warnings_ = check_state(state_);
  return true;
}

bool Document::undo() { return walk(undo_, redo_); }
bool Document::redo() { return walk(redo_, undo_); }

void Document::take_inventory(InventorySource source) {
  state_.inventory = std::move(source.inventory);
  state_.inventory_folder = std::move(source.folder);
  state_.source.inventory_file = std::move(source.inventory_file);
}

void Document::end_gesture() {
  if (!undo_.empty()) undo_.back().gesture = kNoGesture;
}

void Document::mark_saved(const std::filesystem::path& path, std::uint64_t revision) {
  path_ = path;
  saved_revision_ = revision;
}

}  // namespace steepwright::viewer
