#include "engine/io/scene_file.h"

#include "engine/core/units.h"
#include "engine/io/text_file.h"
#include "tests/support/matchers.h"

#include <gtest/gtest.h>

namespace steepwright::io {
namespace {

std::string all_of(const Findings& findings) {
  std::string text;
  for (const Finding& finding : findings) text += to_text(finding) + "\n";
  return text;
}

std::string shipped_path(const std::string& name) { return std::string(STEEPWRIGHT_SOURCE_DIR) + "/" + name; }

TEST(SceneFile, EveryShippedSceneLoadsWithoutAWarning) {
  int scene_count = 0;
  for (const std::string& name : embedded_names()) {
    if (!name.starts_with("scenes/demo/")) continue;
    ++scene_count;
    const auto from_text = parse_scene(*embedded_file(name), name);
    ASSERT_TRUE(from_text) << all_of(from_text.error());
    EXPECT_EQ(all_of(from_text->warnings), "");
    const auto from_file = load_scene(shipped_path(name));
    ASSERT_TRUE(from_file) << all_of(from_file.error());
    EXPECT_EQ(from_file->scene.moves.size(), from_text->scene.moves.size());
    EXPECT_GE(from_text->scene.moves.size(), 3U);
  }
  EXPECT_GE(scene_count, 4);
}

TEST(SceneFile, LengthsAndAnglesAreConvertedToSi) {
  const auto loaded = load_scene(shipped_path("scenes/demo/garage-20.toml"));
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  const move::Scene& scene = loaded->scene;
  ASSERT_EQ(scene.wall.strips.size(), 2U);
  // The numbers are those of the file.
  EXPECT_NEAR(scene.wall.strips[1].angle, 20.0 * kPi / 180.0, 1e-15);
  EXPECT_NEAR(scene.wall.strips[1].length_m, 3.05, 1e-15);
  EXPECT_NEAR(scene.wall.strips[1].thickness_m, 0.018, 1e-15);
  EXPECT_NEAR(scene.wall.strips[1].joists->width_m, 0.045, 1e-15);
  EXPECT_NEAR(scene.climber.measures.stature_m, 1.58, 1e-15);
  EXPECT_NEAR(scene.climber.fingers.edge_force_N, 42.0 * 9.80665, 1e-12);
  EXPECT_TRUE(scene.climber.fingers.is_measured);
}

TEST(SceneFile, HoldsArePlacedOnTheirStrip) {
  const auto loaded = load_scene(shipped_path("scenes/demo/garage-20.toml"));
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  for (const move::PlacedHold& hold : loaded->scene.holds) {
    if (hold.name != "left bucket") continue;
    // By hand: (0, 0, 0.25) + 0.9 (1, 0, 0) + 1.9 (0, -sin 20, cos 20).
    const double a = 20.0 * kPi / 180.0;
    const Vec3 p_WH(0.9, -1.9 * std::sin(a), 0.25 + 1.9 * std::cos(a));
    EXPECT_TRUE(tests::is_near(hold.X_WH.p, p_WH, 1e-12, "m"));
    EXPECT_NEAR(hold.rotation, -15.0 * kPi / 180.0, 1e-15);
    // The lip leans to the right: its right end is lower, seen by the climber (W x is right).
    EXPECT_LT((hold.X_WH.R * Vec3::UnitX()).z(), 0.0);
    return;
  }
  FAIL() << "no such hold";
}

TEST(SceneFile, AMoveStartsWhereTheEarlierOneEnds) {
  const auto loaded = load_scene(shipped_path("scenes/demo/garage-20.toml"));
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  const auto& moves = loaded->scene.moves;
  ASSERT_GE(moves.size(), 3U);
  const auto left = moves[1].before.limbs[index_of(Limb::kLeftHand)];
  ASSERT_TRUE(left);
  EXPECT_EQ(loaded->scene.holds[static_cast<std::size_t>(left->hold)].name, "left bucket");
  EXPECT_EQ(left->grip, Grip::kJug);
  const auto right_foot = moves[2].before.limbs[index_of(Limb::kRightFoot)];
  ASSERT_TRUE(right_foot);
  EXPECT_EQ(loaded->scene.holds[static_cast<std::size_t>(right_foot->hold)].name, "high step");
}

TEST(SceneFile, AnotherClimberTakesTheScenesPlace) {
  SceneOptions options;
  options.climber_file = shipped_path("models/climbers/tall-man.toml");
  const auto loaded = load_scene(shipped_path("scenes/demo/garage-20.toml"), options);
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  EXPECT_NEAR(loaded->scene.climber.measures.stature_m, 1.83, 1e-15);
  EXPECT_FALSE(loaded->scene.climber.fingers.is_measured);
}

TEST(SceneFile, TheDefaultSceneNeedsNoFile) {
  const auto loaded = load_default_scene();
  ASSERT_TRUE(loaded) << all_of(loaded.error());
  EXPECT_GE(loaded->scene.moves.size(), 5U);
}

TEST(SceneFile, MissingFilesAndFoldersAreErrors) {
  const auto missing = load_scene("/no/such/scene.toml");
  ASSERT_FALSE(missing);
  EXPECT_NE(all_of(missing.error()).find("there is no such file"), std::string::npos);
  const auto folder = load_scene(shipped_path("scenes"));
  ASSERT_FALSE(folder);
  EXPECT_NE(all_of(folder.error()).find("is a folder"), std::string::npos);
  const auto endless = load_scene("/dev/zero");
  ASSERT_FALSE(endless);
  EXPECT_NE(all_of(endless.error()).find("larger than"), std::string::npos);
}

}  // namespace
}  // namespace steepwright::io
