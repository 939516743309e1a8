/// Every file of tests/data/bad breaks one rule. Beside it, NAME.expected lists all findings that it must give, one a
/// line: "line:column | error | key | part of the message | ...". Places were worked out from the text of the file,
/// not taken from the program.

#include "engine/io/climber_file.h"
#include "engine/io/hold_file.h"
#include "engine/io/scene_file.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace steepwright::io {
namespace {

namespace fs = std::filesystem;

std::vector<fs::path> bad_files() {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(std::string(STEEPWRIGHT_SOURCE_DIR) + "/tests/data/bad")) {
    if (entry.path().extension() == ".toml") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// What the file's own reader, told by the kind that the file claims to be, finds wrong.
Findings findings_of(const fs::path& path) {
  const std::string name = path.filename().string();
  const std::string text = text_of(path);
  if (name.starts_with("climber-") && text.find("steepwright_scene") == std::string::npos) {
    const auto loaded = load_climber(path);
    return loaded ? loaded->warnings : loaded.error();
  }
  if (name.starts_with("inventory-")) {
    const auto loaded = load_inventory(path);
    return loaded ? loaded->warnings : loaded.error();
  }
  const auto loaded = load_scene(path);
  return loaded ? loaded->warnings : loaded.error();
}

std::vector<std::string> parts_of(const std::string& line) {
  std::vector<std::string> parts;
  std::size_t begin = 0;
  while (begin <= line.size()) {
    const std::size_t end = std::min(line.find(" | ", begin), line.size());
    parts.push_back(line.substr(begin, end - begin));
    begin = end + 3;
  }
  return parts;
}

/// "" when the finding is as the line says, else what differs.
std::string find_difference(const Finding& finding, const std::string& line) {
  const std::vector<std::string> parts = parts_of(line);
  const std::string place = std::to_string(finding.place.line) + ":" + std::to_string(finding.place.column);
  if (parts.size() < 3) return "the expected line has too few parts";
  if (place != parts[0]) return "place is " + place;
  if ((finding.severity == Severity::kError ? "error" : "warning") != parts[1]) return "severity differs";
  if (finding.key != parts[2]) return "key is " + finding.key;
  for (std::size_t i = 3; i < parts.size(); ++i) {
    if (to_text(finding).find(parts[i]) == std::string::npos) return "lacks '" + parts[i] + "'";
  }
  return "";
}

TEST(BadFiles, EachGivesExactlyTheFindingsBesideIt) {
  const auto files = bad_files();
  EXPECT_GE(files.size(), 40U);
  for (const fs::path& path : files) {
    SCOPED_TRACE(path.filename().string());
    const Findings findings = findings_of(path);
    std::string all;
    for (const Finding& finding : findings) all += to_text(finding) + "\n";
    fs::path expected_path = path;
    std::ifstream expected(expected_path.replace_extension(".expected"));
    std::vector<std::string> lines;
    for (std::string line; std::getline(expected, line);) lines.push_back(line);
    EXPECT_EQ(findings.size(), lines.size()) << all;
    for (std::size_t i = 0; i < std::min(findings.size(), lines.size()); ++i) {
      EXPECT_EQ(find_difference(findings[i], lines[i]), "") << lines[i] << "\n" << to_text(findings[i]).substr(0, 400);
      EXPECT_EQ(findings[i].place.file, path.string());
    }
  }
}

}  // namespace
}  // namespace steepwright::io
