#include "tests/support/killed_child.h"
#include "tests/viewer/opened.h"
#include "viewer/store/autosaver.h"
#include "viewer/store/recovery.h"
#include "viewer/store/settings.h"

#include <gmock/gmock.h>

#include <fstream>

namespace steepwright::viewer {
namespace {

TEST(Settings, ComeBackAsTheyWereWritten) {
  Settings settings;
  settings.is_light = true;
  settings.has_seen_cautions = true;
  settings.has_grid = true;
  settings.text_scale = 1.25;
  settings.recent_files = {"/tmp/a \"quoted\".toml", "/tmp/ä.toml"};
  EXPECT_EQ(parse_settings(write_settings(settings)), settings);
}

TEST(Settings, RubbishGivesTheDefaults) {
  for (const char* text : {"", "light_theme = 7\n", "[[[", "text_scale = 1e9", "recent_files = [1, {a=2}]"})
    EXPECT_EQ(parse_settings(text), Settings{}) << text;
}

TEST(Settings, TheLastFileStandsFirstAndNoneTwice) {
  Settings settings;
  for (int i = 0; i < 15; ++i) remember_file("/tmp/" + std::to_string(i % 12) + ".toml", settings);
  ASSERT_EQ(settings.recent_files.size(), kMostRecentFiles);
  EXPECT_EQ(settings.recent_files.front(), "/tmp/2.toml");
  EXPECT_THAT(settings.recent_files, ::testing::Contains("/tmp/1.toml").Times(1));
}

TEST(Recovery, TextAndPathComeBackWhateverThePathIsCalled) {
  for (const char* path : {"", "/tmp/a.toml", "/tmp/100 %25\n.toml", "/tmp/%", "/tmp/%2"}) {
    const UnsavedScene scene{path, "text\nwith lines\n"};
    const auto again = parse_unsaved(write_unsaved(scene));
    ASSERT_TRUE(again.has_value());
    EXPECT_EQ(again->path, scene.path);
    EXPECT_EQ(again->text, scene.text);
  }
  EXPECT_FALSE(parse_unsaved("").has_value());
  EXPECT_FALSE(parse_unsaved("steepwright_scene = 1\n").has_value());
}

TEST(Recovery, AnOrderlyEndLeavesNothing) {
  const tests::TemporaryFolder folder;
  {
    Autosaver saver(std::move(*RecoverySlot::make(folder.path())));
    saver.keep(UnsavedScene{"/tmp/a.toml", "text"});
  }
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(Recovery, AKilledWindowLeavesItsSceneAndARunningOneKeepsItsOwn) {
  const tests::TemporaryFolder folder;
  tests::KilledChild child([&](const auto& tell_and_wait) {
    const auto slot = RecoverySlot::make(folder.path());
    const bool is_saved = slot && (*slot)->save({"/tmp/a.toml", "killed"}).has_value();
    tell_and_wait(is_saved ? "y" : "n");
  });
  ASSERT_TRUE(child.is_running());
  ASSERT_EQ(child.told(), "y");
  EXPECT_TRUE(find_leftovers(folder.path()).empty()) << "its window still runs";

  child.kill();
  const auto slot = RecoverySlot::make(folder.path());
  ASSERT_TRUE(slot.has_value());
  ASSERT_TRUE((*slot)->save({"", "mine"}).has_value());
  const auto leftovers = find_leftovers(folder.path());
  ASSERT_EQ(leftovers.size(), 1U);
  EXPECT_EQ(leftovers.front().scene_path, "/tmp/a.toml");
  const auto scene = load_leftover(leftovers.front());
  ASSERT_TRUE(scene.has_value());
  EXPECT_EQ(scene->text, "killed");
  remove_leftover(leftovers.front());
  EXPECT_TRUE(find_leftovers(folder.path()).empty());
}

TEST(SceneStore, AFileThatIsNoSceneIsAnErrorWithItsPlace) {
  const tests::TemporaryFolder folder;
  const auto path = folder.path() / "broken.toml";
  std::ofstream(path) << "steepwright_scene = 1\nname = 3\n";
  const auto opened = open_scene(path);
  ASSERT_FALSE(opened.has_value());
  EXPECT_EQ(opened.error().back().place.line, 2);
  EXPECT_FALSE(open_scene(folder.path() / "none.toml").has_value());
}

}  // namespace
}  // namespace steepwright::viewer
