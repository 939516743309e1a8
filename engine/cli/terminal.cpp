#include "engine/cli/terminal.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstdlib>
#include <cstring>

namespace steepwright::cli {

namespace {

constexpr int kWidest = 100;
constexpr int kNarrowest = 60;

// One code point and its bytes; a byte that begins none counts as itself.
struct CodePoint {
  char32_t value = 0;
  std::size_t size = 1;
};

CodePoint decode(std::string_view text) {
  const auto lead = static_cast<unsigned char>(text.front());
  const std::size_t size = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 1;
  if (size == 1 || text.size() < size) return {lead, 1};
  char32_t value = lead & (0xFFU >> (size + 1));
  for (std::size_t i = 1; i < size; ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if ((byte & 0xC0U) != 0x80U) return {lead, 1};
    value = (value << 6U) | (byte & 0x3FU);
  }
  return {value, size};
}

int find_width(char32_t letter) {
  struct Range {
    char32_t first, last;
  };
  // The common blocks of Unicode 15 (from memory).
  constexpr std::array<Range, 5> kZero = {
      {{0x0300, 0x036F}, {0x200B, 0x200F}, {0x20D0, 0x20FF}, {0xFE00, 0xFE0F}, {0x1AB0, 0x1AFF}}};
  constexpr std::array<Range, 7> kWide = {{{0x1100, 0x115F},
                                           {0x2E80, 0xA4CF},
                                           {0xAC00, 0xD7A3},
                                           {0xF900, 0xFAFF},
                                           {0xFF00, 0xFF60},
                                           {0x1F300, 0x1FAFF},
                                           {0x20000, 0x3FFFD}}};
  const auto holds = [letter](const Range& range) { return letter >= range.first && letter <= range.last; };
  if (std::any_of(kZero.begin(), kZero.end(), holds)) return 0;
  return std::any_of(kWide.begin(), kWide.end(), holds) ? 2 : 1;
}

// Longest part of `word` that fits; at least one code point.
std::size_t find_cut(std::string_view word, int columns) {
  std::size_t cut = 0;
  int width = 0;
  while (cut < word.size()) {
    const CodePoint point = decode(word.substr(cut));
    width += find_width(point.value);
    if (width > columns && cut > 0) break;
    cut += point.size;
  }
  return cut;
}

}  // namespace

Terminal find_terminal(std::FILE* stream) {
  Terminal terminal;
  const int file = fileno(stream);
  if (isatty(file) == 0) return terminal;
  const char* no_colour = std::getenv("NO_COLOR");
  const char* kind = std::getenv("TERM");
  terminal.has_colour = (no_colour == nullptr || *no_colour == '\0') && kind != nullptr && *kind != '\0' &&
                        std::strcmp(kind, "dumb") != 0;
  winsize size{};
  if (ioctl(file, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
    terminal.columns = std::clamp(static_cast<int>(size.ws_col), kNarrowest, kWidest);
  return terminal;
}

int find_display_width(std::string_view text) {
  int width = 0;
  while (!text.empty()) {
    const CodePoint point = decode(text);
    width += find_width(point.value);
    text.remove_prefix(point.size);
  }
  return width;
}

std::string make_printable(std::string_view text) {
  std::string safe;
  while (!text.empty()) {
    const CodePoint point = decode(text);
    const bool is_control =
        point.value < 0x20 || (point.value >= 0x7F && point.value < 0xA0) || (point.size == 1 && point.value >= 0x80);
    if (is_control) {
      safe += '?';
    } else {
      safe += text.substr(0, point.size);
    }
    text.remove_prefix(point.size);
  }
  return safe;
}

std::vector<std::string> wrap(std::string_view text, int columns) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t start = 0;
  while (start < text.size()) {
    const std::size_t space = std::min(text.find(' ', start), text.size());
    std::string_view word = text.substr(start, space - start);
    start = space + 1;
    const int gap = line.empty() ? 0 : 1;
    if (find_display_width(line) + gap + find_display_width(word) <= columns) {
      line += std::string(static_cast<std::size_t>(gap), ' ') + std::string(word);
      continue;
    }
    if (!line.empty()) lines.push_back(std::move(line));
    while (find_display_width(word) > columns) {
      const std::size_t cut = find_cut(word, columns);
      lines.emplace_back(word.substr(0, cut));
      word.remove_prefix(cut);
    }
    line = std::string(word);
  }
  if (!line.empty() || lines.empty()) lines.push_back(std::move(line));
  return lines;
}

std::string bold(std::string_view text, const Terminal& terminal) {
  return terminal.has_colour ? fmt::format("\033[1m{}\033[0m", text) : std::string(text);
}

std::string on_use_colour(std::string_view text, double use, const Terminal& terminal) {
  if (!terminal.has_colour) return std::string(text);
  // Nearest entries of the 256-colour table to the pictures' scale, with the lettering that reads on each.
  constexpr std::array<int, 6> kBackground = {17, 60, 242, 245, 143, 227};
  constexpr std::array<int, 6> kLetters = {231, 231, 231, 16, 16, 16};
  const double share = std::isfinite(use) ? std::clamp(use, 0.0, 1.0) : 1.0;
  const auto step = static_cast<std::size_t>(std::lround(share * static_cast<double>(kBackground.size() - 1)));
  return fmt::format("\033[38;5;{};48;5;{}m{}\033[0m", kLetters[step], kBackground[step], text);
}

bool print(std::string_view text) {
  errno = 0;
  const bool is_whole = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
  if (std::fflush(stdout) == 0 && is_whole) return true;
  if (errno == EPIPE) return true;
  complain(fmt::format("cannot write to standard output: {}", std::strerror(errno)));
  return false;
}

void print_findings(const Findings& findings) {
  for (const Finding& finding : findings) fmt::print(stderr, "{}\n", make_printable(to_text(finding)));
}

void complain(std::string_view message) { fmt::print(stderr, "steepwright: {}\n", make_printable(message)); }

}  // namespace steepwright::cli
