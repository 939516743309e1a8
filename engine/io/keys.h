#pragma once

/// The one table of keys of our files. The reader checks against it, the reference text is printed from it, and
/// defaults live nowhere else: a key that is not here does not exist.
///
/// The unit of a number is the end of its key (`_mm`, `_deg`, `_kg`, `_N`); conversion to SI happens in the readers.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

enum class FileKind { kScene, kInventory, kClimber };

enum class KeyType {
  kNumber,   ///< integer or float; finite, within [lower, upper]
  kInteger,  ///< within [lower, upper]
  kBoolean,  ///< true or false
  kText,     ///< 1 to 80 characters on one line
  kChoice,   ///< one of `choices`
  kTable,    ///< [table]
  kTables,   ///< [[table]]; lower to upper of them
  kPlace,    ///< where a limb is: a table of the `place` keys, or "free" where `choices` says so
};

struct Key {
  std::string_view path;  ///< dotted, without indices: "wall.section.strip.angle_deg"
  KeyType type = KeyType::kNumber;
  bool is_required = false;
  std::string_view fallback;  ///< the value when the key is left out, as TOML writes it; "" when there is none
  double lower = 0.0;
  double upper = 0.0;
  std::string_view choices;   ///< kChoice: separated by '|'
  std::string_view children;  ///< tables: "" = keys below this path; else the path (or "climber file") they stand under
  std::string_view help;      ///< one sentence
  std::string_view hint;      ///< what to do when the value is out of range; "" when the range says it all
};

/// All keys of a kind of file, parents before children.
[[nodiscard]] std::span<const Key> keys_of(FileKind kind);

/// "scene", "inventory", "climber".
[[nodiscard]] std::string_view name_of(FileKind kind);

/// The key that names the kind and version of a file: "steepwright_scene".
[[nodiscard]] std::string_view version_key_of(FileKind kind);

/// A place in the key table: the keys directly below `prefix` ("" for the top) of `kind`.
struct KeyLevel {
  FileKind kind = FileKind::kScene;
  std::string_view prefix;

  [[nodiscard]] const Key* find(std::string_view name) const;  ///< nullptr when there is none
  [[nodiscard]] std::vector<const Key*> keys() const;
  /// The level of a table key of this level.
  [[nodiscard]] KeyLevel below(const Key& key) const;
};

/// Last part of a key's path.
[[nodiscard]] std::string_view leaf_of(std::string_view path);

/// "mm", "deg", "kg", "N" or "".
[[nodiscard]] std::string_view unit_of(std::string_view path);

[[nodiscard]] std::vector<std::string> choices_of(const Key& key);

/// The table that a dotted path stands in, as a file writes it: "[[wall.section.strip]]".
[[nodiscard]] std::string header_of(FileKind kind, std::string_view path);

/// Every key of every kind of file with type, unit, range, default and meaning, as Markdown text.
[[nodiscard]] std::string describe_keys();

}  // namespace steepwright::io
