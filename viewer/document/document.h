#pragma once

/// The scene that is open: its state, what was done to it, and whether it differs from the file. Knows no window.

#include "engine/core/error.h"
#include "engine/io/hold_file.h"
#include "viewer/commands/command.h"
#include "viewer/document/scene_state.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace steepwright::viewer {

/// Edits of one drag share a gesture and are taken back together; kNoGesture stands alone.
using Gesture = std::uint64_t;
inline constexpr Gesture kNoGesture = 0;

/// A state that was read from somewhere, with what belongs to it.
struct OpenedScene {
  SceneState state;
  std::filesystem::path path;  ///< empty: it has no file yet
  Findings warnings;
};

class Document {
 public:
  /// Revisions count on from `first_revision`, so that those of several documents, one after the other, differ.
  explicit Document(OpenedScene opened, std::uint64_t first_revision = 1);

  [[nodiscard]] const SceneState& state() const { return state_; }
  [[nodiscard]] const move::Scene& scene() const { return state_.scene; }
  [[nodiscard]] const io::Inventory& inventory() const { return *state_.inventory; }
  [[nodiscard]] const std::filesystem::path& inventory_folder() const { return state_.inventory_folder; }
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  /// What is doubtful about the state, as the file reader would say it.
  [[nodiscard]] const Findings& warnings() const { return warnings_; }
  /// Names the content: two states of one document have equal revisions only when they are the same.
  [[nodiscard]] std::uint64_t revision() const { return revision_; }
  /// No revision of this document is larger.
  [[nodiscard]] std::uint64_t last_revision() const { return last_revision_; }
  /// The scene as it is now, for other threads; made once a revision.
  [[nodiscard]] const std::shared_ptr<const move::Scene>& snapshot() const;

  /// Applies the command, or leaves everything as it was and says why. A command that changes nothing is no edit.
  [[nodiscard]] Result<void> apply(const Command& command, Gesture gesture = kNoGesture);
  bool undo();  ///< false: nothing to take back
  bool redo();
  /// What undo and redo would take back or repeat; "" when there is nothing.
  [[nodiscard]] std::string undo_label() const { return undo_.empty() ? "" : undo_.back().patch.label; }
  [[nodiscard]] std::string redo_label() const { return redo_.empty() ? "" : redo_.back().patch.label; }
  [[nodiscard]] std::size_t undo_count() const { return undo_.size(); }

  [[nodiscard]] bool is_modified() const { return revision_ != saved_revision_; }
  /// A drag that goes on is an edit of its own from here.
  void end_gesture();
  /// The state of that revision is now in that file.
  void mark_saved(const std::filesystem::path& path, std::uint64_t revision);
  /// The same shapes from another place; no edit.
  void take_inventory(InventorySource source);
  /// The climber stands in the scene from now on; no edit.
  void take_climber_in() { state_.source.climber_file.clear(); }
  /// The state is in no file, e.g. because it was recovered.
  void mark_unsaved() { saved_revision_ = kNeverSaved; }

 private:
  struct Step {
    Patch patch;                 ///< leads to the state of `revision`
    std::uint64_t revision = 0;  ///< of the state it leads to
    Gesture gesture = kNoGesture;
  };
  bool walk(std::vector<Step>& from, std::vector<Step>& to);

  static constexpr std::uint64_t kNeverSaved = 0;
  SceneState state_;
  std::filesystem::path path_;
  Findings warnings_;
  std::uint64_t revision_, last_revision_, saved_revision_;
  std::vector<Step> undo_, redo_;
  mutable std::shared_ptr<const move::Scene> snapshot_;
  mutable std::uint64_t snapshot_revision_ = 0;
};

}  // namespace steepwright::viewer
