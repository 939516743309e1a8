#pragma once

/// The one way to report what is wrong with input: a list of findings, each with place, key, fault and remedy.
/// Functions that may fail on user input return Result<T>; an infeasible stance is an answer, not an error.

#include <tl/expected.hpp>

#include <string>
#include <vector>

namespace steepwright {

enum class Severity { kWarning, kError };

/// Where in a file a finding stands. line and column count from 1; 0 means "the whole file".
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
};

/// One thing that is wrong or doubtful.
struct Finding {
  Severity severity = Severity::kError;
  Place place;
  std::string key;      ///< dotted path of the offending key, "" where there is none
  std::string message;  ///< what was found, with its unit, and what is allowed
  std::string remedy;   ///< what to do about it, "" where the message says it all
};

using Findings = std::vector<Finding>;

/// "file:line:column: error: key: message; remedy"
[[nodiscard]] std::string to_text(const Finding& finding);

[[nodiscard]] bool has_errors(const Findings& findings);

template <typename T>
using Result = tl::expected<T, Findings>;

/// A Result's failure with a single error that has no place in a file.
[[nodiscard]] tl::unexpected<Findings> failure(std::string message, std::string remedy = "");

}  // namespace steepwright
