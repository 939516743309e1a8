#pragma once

/// The window and its loop.

#include "engine/core/error.h"

#include <filesystem>

namespace steepwright::viewer {

struct WindowRunOptions {
  std::filesystem::path scene;  ///< empty: the scene that comes with the program
  bool prints_state =
      false;  ///< on stdout, at every change of what is open and solved, with where widgets are: for tests
};

/// Runs until the window is closed. Errors: no display, no OpenGL 3.3, a scene that cannot be read: found soon, there
/// is no window; found later, the window tells it too.
[[nodiscard]] Result<void> run_window(const WindowRunOptions& options);

}  // namespace steepwright::viewer
