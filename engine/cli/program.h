#pragma once

/// The command line of `steepwright`.

namespace steepwright::cli {

/// Parses the arguments, runs the command, returns the exit status.
[[nodiscard]] int run_program(int argc, const char* const* argv);

}  // namespace steepwright::cli
