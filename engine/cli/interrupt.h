#pragma once

/// Ctrl-C and closed pipes.

namespace steepwright::cli {

/// From now on SIGINT sets a flag (a second one ends the program at once) and a closed pipe is a write error.
void install_signal_handlers();

[[nodiscard]] bool is_interrupted();

}  // namespace steepwright::cli
