#pragma once

/// What is on the screen beside the document: selection, time, open dialogs. Plain values; nothing of it is saved with
/// the scene or undone.

#include "engine/core/limb.h"
#include "viewer/document/document.h"

#include <array>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::viewer {

/// Defining a move by two clicks: a limb, then a hold.
struct DefineMode {
  bool is_on = false;
  std::optional<Limb> limb;
};

enum class PlotQuantity { kUse, kForce, kSlipMargin };
enum class PlotAxis { kTime, kComHeight };

enum class Dialog { kNone, kCautions, kShortcuts, kAbout, kOpen, kSaveAs, kPicture, kGuard, kRecover, kUnopened };

struct FolderEntry {
  std::string name;
  bool is_folder = false;
};

/// The file dialog's own state.
struct FileDialog {
  std::filesystem::path folder;
  std::filesystem::path listed_folder;  ///< what `entries` are of; empty: to be read anew
  std::vector<FolderEntry> entries;
  std::string name;
  int width_px = 1600, height_px = 1000;  ///< of a picture
};

/// One line of the log.
struct LogLine {
  bool is_error = false;
  std::string text;
};

struct UiState {
  int move = 0;    ///< selected move, -1: none
  int hold = -1;   ///< selected hold
  int site = 0;    ///< of the selected hold
  double t = 0.0;  ///< scrubber, 0..1 along the move
  bool is_playing = false;
  DefineMode define;
  PlotQuantity quantity = PlotQuantity::kUse;
  PlotAxis axis = PlotAxis::kTime;
  std::optional<int> wanted_side_tab;
  float list_height = 0.0F, define_height = 0.0F;  ///< that the list of moves, and what lies below it, took last
  bool has_side_panels = true;
  bool is_comparing = false;  ///< grips are being compared

  Dialog dialog = Dialog::kNone;
  FileDialog file;
  std::string guard_question;  ///< what waits behind the guard of unsaved changes
  std::string recovered_name;  ///< whose unsaved work is offered
  std::string unopened_name;   ///< of the scene that was asked for at first and cannot be read
  std::vector<std::string> unopened_faults;
  std::vector<LogLine> log;  ///< what happened, oldest first
  std::string status;        ///< one line under the view
  bool is_status_error = false;
  double status_left_s = 0.0;      ///< until it fades
  std::string busy;                ///< what goes on meanwhile, "" for nothing
  bool is_opening = false;         ///< a scene is being read
  bool is_awaiting_scene = false;  ///< the one that was asked for at first: there is nothing to show yet

  Gesture next_gesture = 1;  ///< counts drags
  Gesture open_gesture = kNoGesture;
  std::map<std::string, std::string> texts;  ///< what is being typed, by widget

  [[nodiscard]] Gesture begin_gesture() { return open_gesture = next_gesture++; }
};

inline constexpr double kStatusTime_s = 6.0;
inline constexpr std::size_t kMostLogLines = 500;

/// Shows the text under the view and keeps it in the log.
void tell(std::string text, bool is_error, UiState& ui);

}  // namespace steepwright::viewer
