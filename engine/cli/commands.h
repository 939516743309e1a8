#pragma once

/// The commands of the program, one file each: options in, exit status out.

#include "engine/cli/terminal.h"

#include <optional>
#include <string>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// Judge the moves of a scene.
struct CheckOptions {
  std::string scene_file;  ///< "": the scene that comes with the program
  std::string json_file;   ///< "": none; "-": standard output, in place of the table
  std::string picture_file;
  std::string climber_file;
  std::string move_name;  ///< "": all
};
[[nodiscard]] Exit run_check(const CheckOptions& options);

/// Print every key of every kind of file.
[[nodiscard]] Exit run_keys();

/// Write the example files into a folder; files that are there stay as they are.
[[nodiscard]] Exit run_demo(const std::string& folder);

/// Print what bash needs to complete our commands, options and files.
[[nodiscard]] Exit run_completion(const CLI::App& app);

}  // namespace steepwright::cli
