#pragma once

/// What a file allows for a number: sliders and drags end there too.

#include "engine/io/keys.h"

#include <string_view>

namespace steepwright::viewer {

struct KeyLimits {
  double lower = 0.0, upper = 0.0;  ///< in the key's unit
};

/// Precondition: the key is in the table of its kind of file.
[[nodiscard]] KeyLimits find_key_limits(io::FileKind kind, std::string_view path);

}  // namespace steepwright::viewer
