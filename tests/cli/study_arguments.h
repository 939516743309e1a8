#pragma once

/// Arguments that the tests of studies share.

#include <string>
#include <vector>

namespace steepwright::tests {

inline const std::string kMove = "left hand to the bar";

[[nodiscard]] inline std::vector<std::string> join(std::vector<std::string> arguments,
                                                   const std::vector<std::string>& more) {
  arguments.insert(arguments.end(), more.begin(), more.end());
  return arguments;
}

[[nodiscard]] inline std::vector<std::string> bodies(const std::vector<std::string>& more) {
  return join({"study", "bodies", "--move", kMove}, more);
}

[[nodiscard]] inline std::vector<std::string> reach(const std::vector<std::string>& more) {
  return join({"study", "reach", "--move", kMove, "--strip", "main", "--coarse", "--pitch", "80"}, more);
}

}  // namespace steepwright::tests
