#pragma once

/// Reading text from files, from the copies compiled into the program, and by the names that scenes refer to.

#include "engine/core/error.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// A file that comes with the program; `name` is its path in the source tree: "scenes/demo/garage-20.toml".
[[nodiscard]] std::optional<std::string_view> embedded_file(std::string_view name);

/// Names of all files that come with the program, sorted.
[[nodiscard]] std::vector<std::string> embedded_names();

/// The scene that is used where none is given.
inline constexpr std::string_view kDefaultScene = "scenes/demo/barn-35.toml";

/// Whole text of a file. Errors: missing, a directory, unreadable, larger than kLargestFile.
[[nodiscard]] Result<std::string> load_text(const std::filesystem::path& path);

/// The folder that a file named so lies in: "." where the name has none.
[[nodiscard]] std::filesystem::path find_folder(const std::filesystem::path& file);

/// Why a reference to another file is not followed, "" where it may be: it must be relative and stay in its folder.
[[nodiscard]] std::string find_reference_fault(const std::string& reference);

/// A text found by reference, and what to call it in messages.
struct FoundText {
  std::string name;
  std::string text;
  std::filesystem::path folder;  ///< that the file lies in; empty for copies that come with the program
};

/// The file that a scene refers to as `reference`: in or below `folder` (skipped when empty), else the copy that comes
/// with the program under `shared` ("models/holds"). A reference may not be absolute nor leave the folder: a scene got
/// from somebody else must not make the program read other files.
[[nodiscard]] Result<FoundText> load_reference(const std::string& reference, const std::filesystem::path& folder,
                                               std::string_view shared);

}  // namespace steepwright::io
