#pragma once

/// TOML text to a checked tree: after check_form, every key is known, has its type and lies in its range, so that the
/// readers above only translate. Findings carry file, line and column of the key or value they are about.

#include "engine/core/error.h"
#include "engine/io/keys.h"

#include <toml++/toml.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// A parsed file. Findings name `file` as it was given by the user.
struct Document {
  std::string file;
  FileKind kind = FileKind::kScene;
  toml::table root;
};

/// Largest file that is read, bytes.
inline constexpr std::size_t kLargestFile = 4U << 20U;

/// Syntax stage: text that is not TOML, not UTF-8, too large or too deep.
[[nodiscard]] Result<Document> parse_document(std::string_view text, const std::string& file, FileKind kind);

/// Form stage: unknown keys (with the nearest known), missing keys, types, ranges; all findings at once, in file order.
[[nodiscard]] Findings check_form(const Document& document);

/// Sorts by line and column, and cuts a flood to its first entries.
void tidy(Findings& findings);

/// One table of a document whose form has been checked, read with the defaults of the key table.
class Entry {
 public:
  explicit Entry(const Document& document) : document_(&document), table_(&document.root), level_{document.kind, ""} {}

  [[nodiscard]] bool has(std::string_view name) const { return table_->contains(name); }
  /// Value of a key, or its default, or nothing.
  [[nodiscard]] std::optional<double> number(std::string_view name) const;
  [[nodiscard]] std::optional<std::string> text(std::string_view name) const;
  [[nodiscard]] std::optional<bool> boolean(std::string_view name) const;
  /// The table below a key; nothing when it is absent (or, for a place, the word "free").
  [[nodiscard]] std::optional<Entry> entry(std::string_view name) const;
  /// The tables of a [[key]], empty when it is absent.
  [[nodiscard]] std::vector<Entry> entries(std::string_view name) const;

  /// Where a key's value stands; where the table stands when the key is absent or "".
  [[nodiscard]] Place place_of(std::string_view name) const;
  /// A finding about a key of this table.
  [[nodiscard]] Finding error(std::string_view name, std::string message, std::string remedy = "") const;
  [[nodiscard]] Finding warning(std::string_view name, std::string message, std::string remedy = "") const;

 private:
  Entry(const Document& document, const toml::table& table, KeyLevel level, std::string path)
      : document_(&document), table_(&table), level_(level), path_(std::move(path)) {}
  [[nodiscard]] std::string path_of(std::string_view name) const;

  const Document* document_;
  const toml::table* table_;
  KeyLevel level_;
  std::string path_;
};

}  // namespace steepwright::io
