#pragma once

/// `steepwright grip`: its options, how it is registered, and what runs.

#include "engine/cli/terminal.h"

#include <string>
#include <vector>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// What each grip of one hand holds at a site.
struct GripOptions {
  std::string hold;
  std::string site;                ///< "": the first one for hands
  std::vector<std::string> grips;  ///< empty: all that are possible
  double forearm_deg = 0.0;
  double pull_deg = 0.0;  ///< of the table of single fingers
  std::string climber_file, inventory_file;
  std::string surface;  ///< "": the hold's own
  bool has_no_chalk = false;
  std::string json_file;  ///< "-": standard output, in place of the tables
  std::string picture_file;
};

/// Registers the command; parsing fills `options`, which must outlive the app.
CLI::App* add_grip(CLI::App& app, GripOptions& options);

[[nodiscard]] Exit run_grip(const GripOptions& options);

}  // namespace steepwright::cli
