#include "engine/io/toml_reader.h"

#include "engine/io/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

namespace steepwright::io {

namespace {

constexpr std::size_t kMostFindings = 100;
constexpr std::size_t kLongestText = 80;

Place place_at(const std::string& file, const toml::source_region& region) {
  return {file, static_cast<int>(region.begin.line), static_cast<int>(region.begin.column)};
}

std::string dotted(std::string_view prefix, std::string_view name) {
  return prefix.empty() ? std::string(name) : fmt::format("{}.{}", prefix, name);
}

/// A key as it may be shown: names of ours pass unchanged, anything odd is escaped and cut.
std::string shown_key(std::string_view name) {
  const std::string text = in_quotes(name);
  return text.substr(1, text.size() - 2);
}

std::string_view kind_text(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::table:
      return "a table";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::string:
      return "text";
    case toml::node_type::integer:
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::date:
    case toml::node_type::time:
    case toml::node_type::date_time:
      return "a date or time";
    case toml::node_type::none:
      break;
  }
  return "nothing";
}

std::string range_text(const Key& key) {
  const std::string_view unit = unit_of(key.path);
  const std::string range = key.lower == key.upper
                                ? fmt::format("allowed is {}", to_decimal(key.lower))
                                : fmt::format("allowed {} to {}", to_decimal(key.lower), to_decimal(key.upper));
  return unit.empty() ? range : fmt::format("{} {}", range, unit);
}

/// The form stage of one document.
class FormCheck {
 public:
  explicit FormCheck(const Document& document) : document_(document) {}

  Findings run() {
    check_kind();
    if (findings_.empty()) check_table(document_.root, {document_.kind, ""}, "", {document_.file, 1, 1});
    tidy(findings_);
    return std::move(findings_);
  }

 private:
  void add(const Place& place, std::string key, std::string message, std::string remedy = "") {
    findings_.push_back({Severity::kError, place, std::move(key), std::move(message), std::move(remedy)});
  }

  /// A climber file given as a scene would otherwise drown in unknown keys.
  void check_kind() {
    for (const FileKind kind : {FileKind::kScene, FileKind::kInventory, FileKind::kClimber}) {
      const toml::node* node = document_.root.get(version_key_of(kind));
      if (kind != document_.kind && node != nullptr) {
        add(place_at(document_.file, node->source()), std::string(version_key_of(kind)),
            fmt::format("this is the key of a {} file, but a {} file is expected here", name_of(kind),
                        name_of(document_.kind)),
            fmt::format("a {} file has {} = 1", name_of(document_.kind), version_key_of(document_.kind)));
      }
    }
  }

  void check_table(const toml::table& table, const KeyLevel& level, const std::string& path, const Place& place) {
    std::vector<std::string> guessed;
    for (const auto& [name, node] : table) {
      const Key* key = level.find(name.str());
      if (key == nullptr || is_climber_version(level, path, *key)) {
        report_unknown(name, level, path, guessed);
      } else {
        check_value(*key, node, level, dotted(path, name.str()));
      }
    }
    for (const Key* key : level.keys()) {
      const std::string name(leaf_of(key->path));
      const bool is_guessed = std::find(guessed.begin(), guessed.end(), name) != guessed.end();
      if (!key->is_required || is_guessed || table.contains(name) || is_climber_version(level, path, *key)) continue;
      if (is_measured(level, table, name)) continue;
      add(place, dotted(path, name), fmt::format("missing; {}", key->help),
          key->type == KeyType::kTables ? fmt::format("add {}", header_of(level.kind, key->path)) : "");
    }
  }

  /// The version key of a climber file does not belong into the [climber] table of a scene.
  [[nodiscard]] bool is_climber_version(const KeyLevel& level, const std::string& path, const Key& key) const {
    return level.kind != document_.kind && path == "climber" && key.path == version_key_of(level.kind);
  }

  /// Dimensions of an imported shape come from its mesh.
  [[nodiscard]] static bool is_measured(const KeyLevel& level, const toml::table& table, const std::string& name) {
    return level.kind == FileKind::kInventory && level.prefix == "shape" && name.ends_with("_mm") &&
           table["family"].value<std::string_view>() == "imported";
  }

  void report_unknown(const toml::key& name, const KeyLevel& level, const std::string& path,
                      std::vector<std::string>& guessed) {
    std::vector<std::string> known;
    for (const Key* key : level.keys()) known.emplace_back(leaf_of(key->path));
    std::string remedy;
    const auto nearest = find_nearest_name(name.str(), known);
    if (nearest) {
      guessed.push_back(*nearest);
      remedy = fmt::format("did you mean '{}'?", *nearest);
    } else {
      remedy = find_home(name.str(), level);
      if (remedy.empty()) remedy = "known here: " + list_of(known, 20);
    }
    add(place_at(document_.file, name.source()), dotted(path, shown_key(name.str())), "unknown key", remedy);
  }

  /// "it belongs into [[hold]]" for a key that exists in another table.
  [[nodiscard]] static std::string find_home(std::string_view name, const KeyLevel& level) {
    for (const Key& key : keys_of(level.kind)) {
      const std::size_t dot = key.path.rfind('.');
      if (leaf_of(key.path) != name || dot == std::string_view::npos) continue;
      return fmt::format("it belongs into {}", header_of(level.kind, key.path.substr(0, dot)));
    }
    return "";
  }

  void check_value(const Key& key, const toml::node& node, const KeyLevel& level, const std::string& path) {
    const Place place = place_at(document_.file, node.source());
    switch (key.type) {
      case KeyType::kNumber:
      case KeyType::kInteger:
        return check_number(key, node, path, place);
      case KeyType::kBoolean:
        if (!node.is_boolean()) report_type(key, node, path, place, "true or false, without quotes");
        return;
      case KeyType::kText:
      case KeyType::kChoice:
        return check_text(key, node, path, place);
      case KeyType::kTable:
        if (!node.is_table()) return report_type(key, node, path, place, "a table");
        return check_table(*node.as_table(), level.below(key), path, place);
      case KeyType::kTables:
        return check_tables(key, node, level, path, place);
      case KeyType::kPlace:
        return check_limb_place(key, node, level, path, place);
    }
  }

  void report_type(const Key& key, const toml::node& node, const std::string& path, const Place& place,
                   std::string_view expected) {
    std::string remedy;
    if (node.is_string() && (key.type == KeyType::kNumber || key.type == KeyType::kInteger)) {
      remedy = "write the bare number: the unit is in the key";
    }
    add(place, path, fmt::format("is {}, expected {}", kind_text(node), expected), remedy);
  }

  void check_number(const Key& key, const toml::node& node, const std::string& path, const Place& place) {
    const std::string_view unit = unit_of(key.path);
    if (key.type == KeyType::kInteger && !node.is_integer())
      return report_type(key, node, path, place, "a whole number");
    if (!node.is_number()) {
      return report_type(key, node, path, place, unit.empty() ? "a number" : fmt::format("a number in {}", unit));
    }
    const double value =
        node.is_integer() ? static_cast<double>(node.as_integer()->get()) : node.as_floating_point()->get();
    if (std::isfinite(value) && value >= key.lower && value <= key.upper) return;
    add(place, path, fmt::format("is {}, {}", to_decimal(value), range_text(key)), std::string(key.hint));
  }

  void check_text(const Key& key, const toml::node& node, const std::string& path, const Place& place) {
    if (!node.is_string()) return report_type(key, node, path, place, "text in quotes");
    const std::string& text = node.as_string()->get();
    if (key.type == KeyType::kChoice) {
      const std::vector<std::string> choices = choices_of(key);
      if (std::find(choices.begin(), choices.end(), text) != choices.end()) return;
      const auto nearest = find_nearest_name(text, choices);
      return add(place, path, fmt::format("is {}, allowed are {}", in_quotes(text), list_of(choices)),
                 nearest ? fmt::format("did you mean '{}'?", *nearest) : "");
    }
    if (text.empty()) return add(place, path, "is empty");
    if (text.size() > kLongestText)
      return add(place, path, fmt::format("is {} bytes long, allowed {}", text.size(), kLongestText));
    const bool has_control =
        std::any_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; });
    if (has_control) add(place, path, fmt::format("{} contains line breaks or control characters", in_quotes(text)));
  }

  void check_tables(const Key& key, const toml::node& node, const KeyLevel& level, const std::string& path,
                    const Place& place) {
    const toml::array* list = node.as_array();
    const std::string header = header_of(level.kind, key.path);
    if (list == nullptr) {
      return add(place, path, fmt::format("is {}, expected a list of tables", kind_text(node)),
                 fmt::format("write {}", header));
    }
    const auto count = static_cast<double>(list->size());
    if (count < key.lower || count > key.upper) {
      add(place, path,
          fmt::format("{} entries, allowed {} to {}", list->size(), to_decimal(key.lower), to_decimal(key.upper)));
      if (count > key.upper) return;
    }
    for (const toml::node& item : *list) {
      const Place item_place = place_at(document_.file, item.source());
      if (const toml::table* table = item.as_table()) {
        check_table(*table, level.below(key), path, item_place);
      } else {
        add(item_place, path, fmt::format("is {}, expected a table", kind_text(item)), fmt::format("write {}", header));
      }
    }
  }

  void check_limb_place(const Key& key, const toml::node& node, const KeyLevel& level, const std::string& path,
                        const Place& place) {
    const bool may_be_free = !key.choices.empty();
    if (const toml::table* table = node.as_table()) return check_table(*table, level.below(key), path, place);
    if (may_be_free && node.is_string() && node.as_string()->get() == "free") return;
    const std::string found = node.is_string() ? in_quotes(node.as_string()->get()) : std::string(kind_text(node));
    add(place, path,
        fmt::format("is {}, expected a table such as {{ hold = \"...\" }}{}", found,
                    may_be_free ? " or \"free\"" : ""));
  }

  const Document& document_;
  Findings findings_;
};

}  // namespace

Result<Document> parse_document(std::string_view text, const std::string& file, FileKind kind) {
  const auto fail = [&](int line, int column, std::string message, std::string remedy) {
    return tl::unexpected<Findings>(
        Findings{{Severity::kError, {file, line, column}, "", std::move(message), std::move(remedy)}});
  };
  if (text.size() > kLargestFile) {
    return fail(0, 0, fmt::format("the text has {} bytes, allowed {}", text.size(), kLargestFile), "");
  }
  const TextScan scan = scan_text(text);
  if (!scan.fault.empty()) {
    const bool is_encoding = scan.fault.find("UTF") != std::string::npos;
    return fail(scan.line, scan.column, scan.fault, is_encoding ? "save the file as UTF-8 text" : "");
  }
  try {
    return Document{file, kind, toml::parse(text, file)};
  } catch (const toml::parse_error& error) {
    const auto begin = error.source().begin;
    return fail(static_cast<int>(begin.line), static_cast<int>(begin.column),
                "not valid TOML: " + std::string(error.description()), "");
  }
}

Findings check_form(const Document& document) { return FormCheck(document).run(); }

void tidy(Findings& findings) {
  std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
    // Whole-file findings and other files keep their place before the lines of this one.
    return std::tie(a.place.file, a.place.line, a.place.column) < std::tie(b.place.file, b.place.line, b.place.column);
  });
  if (findings.size() <= kMostFindings) return;
  const std::size_t more = findings.size() - kMostFindings;
  const bool hides_error = std::any_of(findings.begin() + kMostFindings, findings.end(),
                                       [](const Finding& f) { return f.severity == Severity::kError; });
  findings.resize(kMostFindings);
  Finding rest;
  rest.severity = hides_error ? Severity::kError : Severity::kWarning;
  rest.place = {findings.back().place.file, 0, 0};
  rest.message = fmt::format("and {} more findings", more);
  findings.push_back(std::move(rest));
}

std::string Entry::path_of(std::string_view name) const { return name.empty() ? path_ : dotted(path_, name); }

std::optional<double> Entry::number(std::string_view name) const {
  if (const toml::node* node = table_->get(name)) return node->value<double>();
  const Key* key = level_.find(name);
  if (key == nullptr || key->fallback.empty()) return std::nullopt;
  return std::strtod(std::string(key->fallback).c_str(), nullptr);
}

std::optional<std::string> Entry::text(std::string_view name) const {
  if (const toml::node* node = table_->get(name)) return node->value<std::string>();
  const Key* key = level_.find(name);
  if (key == nullptr || key->fallback.empty()) return std::nullopt;
  return std::string(key->fallback.substr(1, key->fallback.size() - 2));
}

std::optional<bool> Entry::boolean(std::string_view name) const {
  if (const toml::node* node = table_->get(name)) return node->value<bool>();
  const Key* key = level_.find(name);
  if (key == nullptr || key->fallback.empty()) return std::nullopt;
  return key->fallback == "true";
}

std::optional<Entry> Entry::entry(std::string_view name) const {
  const Key* key = level_.find(name);
  const toml::node* node = table_->get(name);
  if (key == nullptr || node == nullptr || !node->is_table()) return std::nullopt;
  return Entry(*document_, *node->as_table(), level_.below(*key), path_of(name));
}

std::vector<Entry> Entry::entries(std::string_view name) const {
  std::vector<Entry> found;
  const Key* key = level_.find(name);
  const toml::node* node = table_->get(name);
  if (key == nullptr || node == nullptr || !node->is_array()) return found;
  for (const toml::node& item : *node->as_array()) {
    if (item.is_table()) found.push_back(Entry(*document_, *item.as_table(), level_.below(*key), path_of(name)));
  }
  return found;
}

Place Entry::place_of(std::string_view name) const {
  const toml::node* node = name.empty() ? nullptr : table_->get(name);
  return place_at(document_->file, node != nullptr ? node->source() : table_->source());
}

Finding Entry::error(std::string_view name, std::string message, std::string remedy) const {
  return {Severity::kError, place_of(name), path_of(name), std::move(message), std::move(remedy)};
}

Finding Entry::warning(std::string_view name, std::string message, std::string remedy) const {
  return {Severity::kWarning, place_of(name), path_of(name), std::move(message), std::move(remedy)};
}

}  // namespace steepwright::io
