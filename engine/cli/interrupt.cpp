#include "engine/cli/interrupt.h"

#include <csignal>

namespace steepwright::cli {

namespace {

// A handler can reach nothing but a variable of its own.
volatile std::sig_atomic_t interrupted = 0;  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)

extern "C" void on_interrupt(int /*signal*/) { interrupted = 1; }

void set_flag_on(int signal) {
  struct sigaction action {};
  action.sa_handler = on_interrupt;
  sigemptyset(&action.sa_mask);
  action.sa_flags = static_cast<int>(SA_RESETHAND);  // and no SA_RESTART: a blocked read ends
  sigaction(signal, &action, nullptr);
}

}  // namespace

void install_signal_handlers() {
  set_flag_on(SIGINT);
  struct sigaction ignore {};
  ignore.sa_handler = SIG_IGN;
  sigemptyset(&ignore.sa_mask);
  sigaction(SIGPIPE, &ignore, nullptr);
}

void end_like_an_interrupt() { set_flag_on(SIGTERM); }

bool is_interrupted() { return interrupted != 0; }

}  // namespace steepwright::cli
