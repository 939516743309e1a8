#pragma once

/// What a person asks for by a panel, a key or the menu. Panels only say it; the app does it after the frame.

#include "viewer/commands/command.h"
#include "viewer/document/document.h"

#include <filesystem>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace steepwright::viewer {

struct Edit {
  Command command;
  Gesture gesture = kNoGesture;
};
struct UndoEdit {};
struct RedoEdit {};
struct OpenScene {
  std::filesystem::path path;  ///< empty: the scene that comes with the program
};
struct AskOpen {};      ///< by the file dialog
struct StopOpening {};  ///< what is being read
struct SaveScene {};
struct AskSaveAs {};
struct SaveSceneAs {
  std::filesystem::path path;
};
/// Of the selected move's hands.
struct CompareGrips {};
struct AskPicture {};
struct ExportPicture {
  std::filesystem::path path;
  int width_px = 1600, height_px = 1000;
};
struct QuitWindow {};
/// What the guard of unsaved changes was answered.
enum class GuardAnswer { kSave, kDiscard, kCancel };
struct AnswerGuard {
  GuardAnswer answer = GuardAnswer::kCancel;
};
struct AnswerRecovery {
  bool is_wanted = false;
};
enum class View { kOpen, kFront, kLeft, kRight, kClimber, kFit };
struct ShowView {
  View view = View::kOpen;
};

using Intent =
    std::variant<Edit, UndoEdit, RedoEdit, OpenScene, AskOpen, StopOpening, SaveScene, AskSaveAs, SaveSceneAs,
                 CompareGrips, AskPicture, ExportPicture, QuitWindow, AnswerGuard, AnswerRecovery, ShowView>;

class Intents {
 public:
  void add(Intent intent) { intents_.push_back(std::move(intent)); }
  void edit(Command command, Gesture gesture = kNoGesture) { add(Edit{std::move(command), gesture}); }
  [[nodiscard]] std::vector<Intent> take() { return std::exchange(intents_, {}); }

 private:
  std::vector<Intent> intents_;
};

}  // namespace steepwright::viewer
