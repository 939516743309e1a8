#include "engine/io/scene_writer.h"

#include "engine/core/random.h"
#include "engine/io/climber_file.h"
#include "engine/io/file_units.h"
#include "engine/io/hold_file.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"
#include "tests/io/random_scene.h"
#include "tests/io/scene_difference.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>

namespace steepwright::io {
namespace {

std::string all_of(const Findings& findings) {
  std::string text;
  for (const Finding& finding : findings) text += to_text(finding) + "\n";
  return text;
}

TEST(SceneWriter, EveryShippedSceneReadsBackEqual) {
  int count = 0;
  for (const std::string& name : embedded_names()) {
    if (!name.starts_with("scenes/")) continue;
    const auto first = parse_scene(*embedded_file(name), name);
    ASSERT_TRUE(first) << all_of(first.error());
    SceneSource inline_climber = first->source;
    inline_climber.climber_file.clear();
    for (const SceneSource& source : {first->source, inline_climber}) {
      const std::string text = write_scene(first->scene, source);
      const auto second = parse_scene(text, "written.toml");
      ASSERT_TRUE(second) << all_of(second.error()) << text;
      EXPECT_EQ(tests::SceneComparison::find_difference(first->scene, second->scene), "") << text;
      EXPECT_EQ(write_scene(second->scene, source), text);
    }
    ++count;
  }
  EXPECT_GE(count, 4);
}

TEST(SceneWriter, RandomScenesReadBackEqual) {
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const move::Scene scene = tests::RandomScene(seed).make();
    const std::string text = write_scene(scene, {});
    const auto read = parse_scene(text, "written.toml");
    ASSERT_TRUE(read) << "seed " << seed << "\n" << all_of(read.error()) << text;
    ASSERT_EQ(tests::SceneComparison::find_difference(scene, read->scene), "") << "seed " << seed << "\n" << text;
  }
}

TEST(SceneWriter, AStanceThatAnEarlierMoveEndsInIsWrittenAsFrom) {
  const auto loaded = load_default_scene();
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  const std::string text = write_scene(loaded->scene, loaded->source);
  EXPECT_NE(text.find("from = \"left hand to the bar\""), std::string::npos);
  EXPECT_EQ(text.find("across_mm = 1100.0"), std::string::npos);
  EXPECT_NE(text.find("across_mm = 1100\n"), std::string::npos);
}

TEST(SceneWriter, AStanceThatDiffersOnlyInAGripIsWrittenInFull) {
  const auto loaded = load_default_scene();
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  move::Scene scene = loaded->scene;
  auto& left = scene.moves[1].before.limbs[index_of(Limb::kLeftHand)];
  ASSERT_TRUE(left);
  ASSERT_EQ(left->grip, Grip::kJug);
  left->grip = Grip::kOpenHand;
  const auto again = parse_scene(write_scene(scene, loaded->source), "written.toml");
  ASSERT_TRUE(again) << all_of(again.error());
  EXPECT_EQ(tests::SceneComparison::find_difference(scene, again->scene), "");
}

TEST(HoldFile, TheShippedInventoryReadsBackEqualAndHasEveryFamily) {
  const auto loaded = parse_inventory(*embedded_file("models/holds/workshop.toml"), "workshop.toml");
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  EXPECT_EQ(all_of(loaded->warnings), "");
  const auto again = parse_inventory(write_inventory(loaded->inventory), "written.toml");
  ASSERT_TRUE(again) << all_of(again.error());
  const auto& shapes = loaded->inventory.shapes;
  ASSERT_EQ(again->inventory.shapes.size(), shapes.size());
  EXPECT_GE(shapes.size(), 12U);
  std::array<int, 7> counts{};
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const hold::Shape& a = shapes[i];
    const hold::Shape& b = again->inventory.shapes[i];
    EXPECT_TRUE(a.name == b.name && a.family == b.family && a.surface == b.surface && a.width_m == b.width_m &&
                a.height_m == b.height_m && a.protrusion_m == b.protrusion_m && a.depth_m == b.depth_m &&
                a.incut == b.incut && a.lip_radius_m == b.lip_radius_m && a.mouth_m == b.mouth_m &&
                a.fingers == b.fingers)
        << a.name;
    ++counts[static_cast<std::size_t>(a.family)];
  }
  for (const int count : counts) EXPECT_GE(count, 1);
}

TEST(ClimberFile, BothShippedClimbersReadBackEqual) {
  for (const char* name : {"models/climbers/short-woman.toml", "models/climbers/tall-man.toml"}) {
    const auto loaded = parse_climber(*embedded_file(name), name);
    ASSERT_TRUE(loaded) << all_of(loaded.error());
    EXPECT_EQ(all_of(loaded->warnings), "");
    const auto again = parse_climber(write_climber(loaded->climber), "written.toml");
    ASSERT_TRUE(again) << all_of(again.error());
    move::Scene a;
    move::Scene b;
    a.climber = loaded->climber;
    b.climber = again->climber;
    EXPECT_EQ(tests::SceneComparison::find_difference(a, b), "");
  }
}

TEST(Text, DecimalsReadBackToTheLastBit) {
  RandomStream draw(7);
  for (int i = 0; i < 20000; ++i) {
    const double value = std::ldexp(draw.symmetric(1.0), static_cast<int>(draw.next() % 60) - 30);
    EXPECT_EQ(std::strtod(to_decimal(value).c_str(), nullptr), value);
    // Every length that a file can state: v mm for some double v.
    const double length = length_from_mm(draw.uniform(-5000.0, 5000.0));
    EXPECT_EQ(length_from_mm(std::strtod(to_mm_text(length).c_str(), nullptr)), length);
    const double angle = rad_from_deg(draw.uniform(-360.0, 360.0));
    EXPECT_EQ(rad_from_deg(std::strtod(to_deg_text(angle).c_str(), nullptr)), angle);
  }
  EXPECT_EQ(to_mm_text(1.2345), "1234.5");
  EXPECT_EQ(to_mm_text(0.018), "18");
  EXPECT_EQ(to_deg_text(rad_from_deg(35.0)), "35");
}

TEST(Text, EditDistanceCountsSwapsAsOne) {
  EXPECT_EQ(find_edit_distance("angle_deg", "angle_deg"), 0);
  EXPECT_EQ(find_edit_distance("angel_deg", "angle_deg"), 1);
  EXPECT_EQ(find_edit_distance("", "abc"), 3);
  EXPECT_EQ(find_edit_distance("kitten", "sitting"), 3);  // the textbook pair
  EXPECT_EQ(find_nearest_name("width_cm", {"angle_deg", "width_mm"}), "width_mm");
  EXPECT_EQ(find_nearest_name("paint", {"angle_deg", "width_mm"}), std::nullopt);
}

TEST(Text, WhatAUserWroteCannotSteerTheTerminal) {
  EXPECT_EQ(in_quotes("a\x1b[31mb"), "'a\\x1B[31mb'");
  EXPECT_EQ(in_quotes("\xc2\x9b"
                      "31m"),
            "'\\xC2\\x9B31m'");  // the one-character form of ESC [
  EXPECT_EQ(in_quotes("\xff"), "'\\xFF'");
  EXPECT_EQ(in_quotes("Wände"), "'Wände'");
  EXPECT_LT(in_quotes(std::string(100000, 'x')).size(), 80U);
}

}  // namespace
}  // namespace steepwright::io
