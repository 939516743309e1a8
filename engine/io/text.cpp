#include "engine/io/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <limits>

namespace steepwright::io {

namespace {

constexpr std::size_t kLongestShown = 60;
constexpr std::size_t kLongestCompared = 64;
constexpr int kDeepestNesting = 24;

/// The key without its unit: "angle" of "angle_deg".
std::string_view stem_of(std::string_view name) {
  for (std::string_view unit : {"_mm", "_cm", "_m", "_deg", "_rad", "_degrees", "_kg", "_g", "_lb", "_N", "_kN"}) {
    if (name.size() > unit.size() && name.substr(name.size() - unit.size()) == unit) {
      return name.substr(0, name.size() - unit.size());
    }
  }
  return name;
}

/// Length of the UTF-8 sequence that starts at i; 0 when it is malformed.
std::size_t find_sequence_length(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const unsigned char first = byte(i);
  if (first < 0x80) return 1;
  std::size_t length = 0;
  if (first >= 0xC2 && first <= 0xDF) length = 2;
  if (first >= 0xE0 && first <= 0xEF) length = 3;
  if (first >= 0xF0 && first <= 0xF4) length = 4;
  if (length == 0 || i + length > text.size()) return 0;
  for (std::size_t k = 1; k < length; ++k) {
    if ((byte(i + k) & 0xC0U) != 0x80U) return 0;
  }
  const unsigned char second = byte(i + 1);
  if (first == 0xE0 && second < 0xA0) return 0;  // overlong
  if (first == 0xED && second > 0x9F) return 0;  // surrogate
  if (first == 0xF0 && second < 0x90) return 0;  // overlong
  if (first == 0xF4 && second > 0x8F) return 0;  // past U+10FFFF
  return length;
}

/// Walks TOML text character by character, knowing whether it is inside a string or a comment.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) {}

  TextScan run() {
    if (text_.substr(0, 2) == "\xFF\xFE" || text_.substr(0, 2) == "\xFE\xFF") {
      fail("the file is UTF-16 text");
      return result_;
    }
    while (i_ < text_.size() && result_.fault.empty()) step();
    return result_;
  }

 private:
  enum class Mode { kPlain, kComment, kBasic, kLiteral, kLongBasic, kLongLiteral };

  [[nodiscard]] bool at(std::string_view token) const { return text_.substr(i_, token.size()) == token; }

  void fail(const char* fault) {
    result_.fault = fault;
    result_.line = line_;
    result_.column = column_;
  }

  void advance(std::size_t bytes) {
    i_ += bytes;
    ++column_;
  }
  void advance_over(std::size_t ascii) {
    i_ += ascii;
    column_ += static_cast<int>(ascii);
  }

  void step() {
    const std::size_t length = find_sequence_length(text_, i_);
    const char c = text_[i_];
    if (length == 0) return fail("the text is not UTF-8");
    if (c == '\0') return fail("the file contains a zero byte: it is not a text file");
    if (c == '\n') {
      if (mode_ != Mode::kLongBasic && mode_ != Mode::kLongLiteral) mode_ = Mode::kPlain;
      dots_ = 0;
      ++i_;
      ++line_;
      column_ = 1;
      return;
    }
    switch (mode_) {
      case Mode::kPlain:
        return step_plain(c, length);
      case Mode::kComment:
        return advance(length);
      case Mode::kBasic:
      case Mode::kLongBasic:
        if (c == '\\' && i_ + 1 < text_.size() && (text_[i_ + 1] == '"' || text_[i_ + 1] == '\\')) {
          return advance_over(2);
        }
        return step_string(length, mode_ == Mode::kBasic ? "\"" : "\"\"\"");
      case Mode::kLiteral:
      case Mode::kLongLiteral:
        return step_string(length, mode_ == Mode::kLiteral ? "'" : "'''");
    }
  }

  void step_string(std::size_t length, std::string_view end) {
    if (!at(end)) return advance(length);
    mode_ = Mode::kPlain;
    advance_over(end.size());
  }

  void step_plain(char c, std::size_t length) {
    const auto open = [&](Mode mode, std::size_t size) {
      mode_ = mode;
      advance_over(size);
    };
    if (at("\"\"\"")) return open(Mode::kLongBasic, 3);
    if (at("'''")) return open(Mode::kLongLiteral, 3);
    if (c == '"') return open(Mode::kBasic, 1);
    if (c == '\'') return open(Mode::kLiteral, 1);
    if (c == '#') {
      result_.has_comments = true;
      return open(Mode::kComment, 1);
    }
    if (c == '[' || c == '{') ++depth_;
    if (c == ']' || c == '}') depth_ = std::max(0, depth_ - 1);
    if (c == '.') ++dots_;
    if (c == '=' || c == ',' || c == '{' || c == '}') dots_ = 0;
    if (depth_ > kDeepestNesting || dots_ > kDeepestNesting) return fail("tables or arrays are nested too deeply");
    advance(length);
  }

  std::string_view text_;
  TextScan result_;
  Mode mode_ = Mode::kPlain;
  std::size_t i_ = 0;
  int line_ = 1;
  int column_ = 1;
  int depth_ = 0;
  int dots_ = 0;
};

}  // namespace

std::string in_quotes(std::string_view text) {
  std::string shown = "'";
  std::size_t i = 0;
  while (i < text.size()) {
    const std::size_t length = find_sequence_length(text, i);
    if (shown.size() + length > kLongestShown) {
      shown += "...";
      break;
    }
    const auto byte = static_cast<unsigned char>(text[i]);
    if (length == 0 || byte < 0x20 || byte == 0x7F ||
        (byte == 0xC2 && static_cast<unsigned char>(text[i + 1]) < 0xA0)) {
      shown += fmt::format("\\x{:02X}", byte);
      ++i;
      if (length == 2) shown += fmt::format("\\x{:02X}", static_cast<unsigned char>(text[i++]));
      continue;
    }
    shown += text.substr(i, length);
    i += length;
  }
  return shown + "'";
}

std::string list_of(const std::vector<std::string>& names, std::size_t limit) {
  std::string text;
  const std::size_t shown = std::min(names.size(), limit);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += in_quotes(names[i]);
  }
  if (names.size() > shown) text += fmt::format(" and {} more", names.size() - shown);
  return text;
}

int find_edit_distance(std::string_view a, std::string_view b) {
  a = a.substr(0, kLongestCompared);
  b = b.substr(0, kLongestCompared);
  std::vector<int> before(b.size() + 1);
  std::vector<int> previous(b.size() + 1);
  std::vector<int> current(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) previous[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    current[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int replaced = previous[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      current[j] = std::min({replaced, previous[j] + 1, current[j - 1] + 1});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        current[j] = std::min(current[j], before[j - 2] + 1);
      }
    }
    before.swap(previous);
    previous.swap(current);
  }
  return previous[b.size()];
}

std::optional<std::string> find_nearest_name(std::string_view name, const std::vector<std::string>& known) {
  const std::string* best = nullptr;
  int best_distance = std::numeric_limits<int>::max();
  for (const std::string& candidate : known) {
    int distance = find_edit_distance(name, candidate);
    if (stem_of(name) == stem_of(candidate)) distance = std::min(distance, 1);
    if (distance < best_distance) {
      best_distance = distance;
      best = &candidate;
    }
  }
  const int allowed = std::max(1, static_cast<int>(std::min(name.size(), kLongestCompared) / 3));
  if (best == nullptr || best_distance > allowed) return std::nullopt;
  return *best;
}

std::string to_decimal(double value) {
  if (!std::isfinite(value)) return std::isnan(value) ? "nan" : (value > 0.0 ? "inf" : "-inf");
  if (value == std::trunc(value) && std::abs(value) < 1e15) {
    // Plain digits read better than 1e+03; a negative zero keeps its sign.
    return std::signbit(value) && value == 0.0 ? "-0.0" : fmt::format("{}", static_cast<long long>(value));
  }
  std::array<char, 64> buffer{};
  const auto [end, error] = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  return {buffer.data(), end};
}

std::string to_decimal_where(double rough, const std::function<bool(double)>& is_exact) {
  for (int digits = 1; digits <= 17; ++digits) {
    const double candidate = std::strtod(fmt::format("{:.{}e}", rough, digits - 1).c_str(), nullptr);
    if (is_exact(candidate)) return to_decimal(candidate);
  }
  double below = rough;
  double above = rough;
  for (int i = 0; i < 4; ++i) {
    below = std::nextafter(below, -std::numeric_limits<double>::infinity());
    above = std::nextafter(above, std::numeric_limits<double>::infinity());
    if (is_exact(below)) return to_decimal(below);
    if (is_exact(above)) return to_decimal(above);
  }
  return to_decimal(rough);
}

std::string to_toml_string(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (byte < 0x20 || byte == 0x7F) {
      out += fmt::format("\\u{:04X}", byte);
    } else {
      out += c;
    }
  }
  return out + "\"";
}

TextScan scan_text(std::string_view text) { return Scanner(text).run(); }

}  // namespace steepwright::io
