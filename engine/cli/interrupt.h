#pragma once

/// Ctrl-C, a wish to end, and closed pipes.

namespace steepwright::cli {

/// From now on SIGINT sets a flag (a second one ends the program at once) and a closed pipe is a write error.
void install_signal_handlers();

/// From now on SIGTERM does the same as SIGINT: it is what mpirun passes on, and what a batch system sends. For work
/// that asks is_interrupted() often.
void end_like_an_interrupt();

[[nodiscard]] bool is_interrupted();

}  // namespace steepwright::cli
