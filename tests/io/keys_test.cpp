#include "engine/io/keys.h"

#include "engine/core/limb.h"
#include "engine/hold/hold.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <set>

namespace steepwright::io {
namespace {

TEST(Keys, EveryEntryIsWholeAndUnique) {
  for (const FileKind kind : {FileKind::kScene, FileKind::kInventory, FileKind::kClimber}) {
    std::set<std::string_view> paths;
    for (const Key& key : keys_of(kind)) {
      SCOPED_TRACE(key.path);
      EXPECT_TRUE(paths.insert(key.path).second);
      EXPECT_FALSE(key.help.empty());
      EXPECT_EQ(key.help.back(), '.');
      EXPECT_FALSE(key.is_required && !key.fallback.empty());
      const std::size_t dot = key.path.rfind('.');
      const std::string_view parent = dot == std::string_view::npos ? "" : key.path.substr(0, dot);
      EXPECT_TRUE(parent.empty() || parent == "place" || paths.count(parent) == 1) << "parent stands before";
      if (key.type == KeyType::kNumber) {
        EXPECT_LT(key.lower, key.upper);
        if (!key.fallback.empty()) {
          const double value = std::strtod(std::string(key.fallback).c_str(), nullptr);
          EXPECT_TRUE(value >= key.lower && value <= key.upper);
        }
      }
      if (key.type == KeyType::kChoice) {
        EXPECT_GE(choices_of(key).size(), 2U);
      }
    }
  }
}

TEST(Keys, ChoicesAreTheEnginesWords) {
  const auto choices = [](FileKind kind, std::string_view prefix, std::string_view name) {
    return choices_of(*KeyLevel{kind, prefix}.find(name));
  };
  std::vector<std::string> grips;
  for (const Grip grip : kGrips) grips.emplace_back(name_of(grip));
  EXPECT_EQ(choices(FileKind::kScene, "place", "grip"), grips);
  for (const std::string& family : choices(FileKind::kInventory, "shape", "family")) {
    EXPECT_TRUE(hold::family_from_name(family)) << family;
  }
  for (const std::string& surface : choices(FileKind::kInventory, "shape", "surface")) {
    EXPECT_TRUE(hold::surface_from_name(surface)) << surface;
  }
}

TEST(Keys, TheReferenceTextIsThatOfTheTable) {
  const auto text = load_text(std::string(STEEPWRIGHT_SOURCE_DIR) + "/scenes/keys.md");
  ASSERT_TRUE(text);
  EXPECT_EQ(*text, describe_keys()) << "write the output of `steepwright keys` to scenes/keys.md";
}

}  // namespace
}  // namespace steepwright::io
