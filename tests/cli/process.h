#pragma once

/// Runs the built command as a user's shell would: arguments in, exit status and both streams out.

#include "tests/support/temporary_folder.h"

#include <functional>
#include <string>
#include <vector>

namespace steepwright::tests {

struct Outcome {
  int status = -1;  ///< exit status; 128 + signal when it was killed
  std::string out, err;
};

struct Launch {
  std::vector<std::string> arguments;
  std::vector<std::string> environment;  ///< "NAME=value", over the test's own; "NAME" removes it
  std::string out_file;                  ///< "": captured; else opened for writing (a device, a full disk)
  bool close_out = false;                ///< the reader of its output goes away before it starts
  bool on_terminal = false;              ///< stdout and stderr are a terminal; both arrive in `out`
  int columns = 80;                      ///< of that terminal
  std::function<void(int)> after_start;  ///< called with the process id
};

/// Runs `steepwright` to its end; kills it after a minute (status 128 + 9).
[[nodiscard]] Outcome launch(const Launch& what);
[[nodiscard]] Outcome launch(std::vector<std::string> arguments);

[[nodiscard]] std::string read_file(const std::string& path);
void write_file(const std::string& path, const std::string& text);

}  // namespace steepwright::tests
