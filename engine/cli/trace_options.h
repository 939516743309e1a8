#pragma once

/// Arguments of `steepwright trace`.

#include "engine/cli/terminal.h"

#include <string>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// Follow moves as they happen.
struct TraceOptions {
  std::string scene_file;  ///< "": the scene that comes with the program
  std::string climber_file;
  std::string move_name;   ///< "": all moves in sequence
  std::string json_file;   ///< "": none; "-": standard output, in place of the table
  std::string strip_file;  ///< of one move
};

/// Declares the command; the options must outlive the app.
[[nodiscard]] CLI::App* add_trace(CLI::App& app, TraceOptions& options);

[[nodiscard]] Exit run_trace(const TraceOptions& options);

}  // namespace steepwright::cli
