#pragma once

/// The climber file: body measures, joint strength, finger strength.

#include "engine/core/error.h"
#include "engine/io/toml_reader.h"
#include "engine/move/scene.h"

#include <filesystem>
#include <string>
#include <string_view>

namespace steepwright::io {

struct LoadedClimber {
  move::Climber climber;
  Findings warnings;
};

/// Climber from text; `file` is what findings call it. All findings of the first stage that fails: syntax; form;
/// measures that contradict each other.
[[nodiscard]] Result<LoadedClimber> parse_climber(std::string_view text, const std::string& file);

/// Climber from a file; where there is no such file, the one of that name that comes with the program.
[[nodiscard]] Result<LoadedClimber> load_climber(const std::filesystem::path& path);

/// The climber in a table whose form has been checked; findings are added.
[[nodiscard]] move::Climber read_climber(const Entry& entry, Findings& findings);

/// The keys of a climber, one a line, without the version key; `table` is "" for a file or "climber" in a scene.
[[nodiscard]] std::string write_climber_keys(const move::Climber& climber, std::string_view table);

/// The climber as TOML text; parse_climber gives the same values.
[[nodiscard]] std::string write_climber(const move::Climber& climber);

}  // namespace steepwright::io
