/// Shipped scenes, damaged: each either loads or gives at least one error with text; never a crash, a hang or a file.

#include "engine/core/random.h"
#include "engine/io/climber_file.h"
#include "engine/io/hold_file.h"
#include "engine/io/scene_file.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>

namespace steepwright::io {
namespace {

class Mutator {
 public:
  explicit Mutator(std::uint64_t seed) : draw_(seed) {}

  std::string mutate(std::string text) {
    const std::uint64_t count = 1 + draw_.next() % 3;
    for (std::uint64_t i = 0; i < count && !text.empty(); ++i) text = mutate_once(std::move(text));
    return text;
  }

 private:
  std::size_t below(std::size_t count) { return draw_.next() % count; }

  std::string mutate_once(std::string text) {
    switch (below(8)) {
      case 0:
        text[below(text.size())] ^= static_cast<char>(1U << below(8));
        return text;
      case 1:
        text.resize(below(text.size()));
        return text;
      case 2:
        return change_line(text, [](const std::string&) { return std::string(); });
      case 3:
        return change_line(text, [](const std::string& line) { return line + line; });
      case 4:
        return replace_number(text);
      case 5:
        return rename_key(text);
      case 6:
        text[below(text.size())] = static_cast<char>(below(256));
        return text;
      default:
        text.insert(below(text.size()), kInserts[below(kInserts.size())]);
        return text;
    }
  }

  template <typename Change>
  std::string change_line(const std::string& text, Change change) {
    const std::size_t at = below(text.size());
    const std::size_t before = text.rfind('\n', at);
    const std::size_t begin = before == std::string::npos ? 0 : before + 1;
    const std::size_t end = std::min(text.find('\n', begin), text.size() - 1) + 1;
    return text.substr(0, begin) + change(text.substr(begin, end - begin)) + text.substr(end);
  }

  std::string replace_number(const std::string& text) {
    const std::size_t digit = text.find_first_of("0123456789", below(text.size()));
    if (digit == std::string::npos) return text;
    const std::size_t end = text.find_first_not_of("0123456789.", digit);
    static const std::vector<std::string> values = {"nan",
                                                    "inf",
                                                    "-inf",
                                                    "1e308",
                                                    "-1",
                                                    "",
                                                    "0",
                                                    "1e-320",
                                                    "99999999999999999999",
                                                    fmt::format("\"{}\"", std::string(5000, 'x')),
                                                    "true",
                                                    "[]",
                                                    "{}"};
    return text.substr(0, digit) + values[below(values.size())] + (end == std::string::npos ? "" : text.substr(end));
  }

  std::string rename_key(const std::string& text) {
    const std::size_t equals = text.find(" = ", below(text.size()));
    if (equals == std::string::npos || equals == 0) return text;
    return text.substr(0, equals - 1) + "x" + text.substr(equals);
  }

  inline static const std::vector<std::string> kInserts = {
      "[[move]]\n",         "[[hold]]\n",     "\"",    "'''", "[[[", "}", "\n\r\n", "\xEF\xBB\xBF", "\x80",
      std::string(1, '\0'), "name = \"a\"\n", "= = =", "#"};
  RandomStream draw_;
};

TEST(MutatedFiles, EachLoadsOrGivesAnErrorWithText) {
  using Clock = std::chrono::steady_clock;
  const auto files_before =
      std::distance(std::filesystem::directory_iterator("."), std::filesystem::directory_iterator());
  int loaded_count = 0;
  int failed_count = 0;
  const auto judge = [&](const auto& result, const std::string& name, std::uint64_t seed) {
    if (result) {
      ++loaded_count;
      return;
    }
    ++failed_count;
    EXPECT_TRUE(has_errors(result.error())) << name << " seed " << seed;
    for (const Finding& finding : result.error()) {
      EXPECT_FALSE(finding.message.empty()) << name << " seed " << seed;
      EXPECT_LT(to_text(finding).size(), 2000U) << name << " seed " << seed;
    }
  };
  std::uint64_t seed = 1;
  double longest_s = 0.0;
  for (const std::string& name : embedded_names()) {
    const std::string text(*embedded_file(name));
    for (int i = 0; i < 150; ++i, ++seed) {
      const std::string damaged = Mutator(seed).mutate(text);
      const auto begin = Clock::now();
      if (name.starts_with("scenes/")) judge(parse_scene(damaged, name), name, seed);
      if (name.starts_with("models/holds/")) judge(parse_inventory(damaged, name), name, seed);
      if (name.starts_with("models/climbers/")) judge(parse_climber(damaged, name), name, seed);
      longest_s = std::max(longest_s, std::chrono::duration<double>(Clock::now() - begin).count());
    }
  }
  EXPECT_GE(seed, 1000U);
  EXPECT_LT(longest_s, 2.0);
  // Both ends of the claim are exercised: a comment may change, a key may not.
  EXPECT_GT(loaded_count, 50);
  EXPECT_GT(failed_count, 300);
  const auto files_after =
      std::distance(std::filesystem::directory_iterator("."), std::filesystem::directory_iterator());
  EXPECT_EQ(files_before, files_after);
  RecordProperty("loaded", loaded_count);
  RecordProperty("failed", failed_count);
}

TEST(HostileFiles, LargeInputEndsInTime) {
  const auto begin = std::chrono::steady_clock::now();
  std::string many_keys = "steepwright_scene = 1\n";
  for (int i = 0; many_keys.size() < 3000000; ++i) many_keys += fmt::format("k{} = 1\n", i);
  const std::string long_key = fmt::format("steepwright_scene = 1\n{} = 1\n", std::string(3000000, 'k'));
  std::string many_holds = "steepwright_scene = 1\nname = \"x\"\n";
  while (many_holds.size() < 3000000) many_holds += "[[hold]]\n";
  for (const std::string& text : {many_keys, long_key, many_holds, std::string(5000000, '#')}) {
    const auto loaded = parse_scene(text, "hostile.toml");
    ASSERT_FALSE(loaded);
    EXPECT_LE(loaded.error().size(), 101U);
    for (const Finding& finding : loaded.error()) EXPECT_LT(to_text(finding).size(), 2000U);
  }
  EXPECT_LT(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(), 60.0);
}

TEST(SceneFile, ByteOrderMarkAndCarriageReturnsAreFine) {
  const std::string shipped(embedded_file(kDefaultScene).value());
  std::string text = "\xEF\xBB\xBF";
  for (const char c : shipped) {
    if (c == '\n') text += '\r';
    text += c;
  }
  EXPECT_TRUE(parse_scene(text, "windows.toml"));
}

}  // namespace
}  // namespace steepwright::io
