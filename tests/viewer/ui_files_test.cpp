#include "tests/support/killed_child.h"
#include "tests/viewer/ui_driver.h"
#include "viewer/app/background_job.h"

#include <atomic>
#include <chrono>
#include <fstream>
#include <thread>

namespace steepwright::viewer {
namespace {

using tests::text_of;
using tests::UiDriver;

TEST(BackgroundJob, WorksOnAnotherThreadAndForgetsWhatIsNotWanted) {
  std::atomic<int> n_done = 0;
  BackgroundJob<std::thread::id> job([&] { ++n_done; });
  const auto wait_for = [&](int count) {
    for (int i = 0; i < 2000 && n_done < count; ++i) std::this_thread::sleep_for(std::chrono::milliseconds(5));
  };
  job.start("first", [] { return std::this_thread::get_id(); });
  wait_for(1);
  const auto where = job.take();
  ASSERT_TRUE(where.has_value());
  EXPECT_NE(*where, std::this_thread::get_id());
  EXPECT_FALSE(job.is_busy());
  job.start("second", [] { return std::this_thread::get_id(); });
  EXPECT_EQ(job.describe(), "second");
  job.drop();
  EXPECT_FALSE(job.is_busy());
  EXPECT_EQ(job.describe(), "");
  wait_for(2);
  EXPECT_FALSE(job.take().has_value());
}

TEST(Window, SavesInAnotherFolderWithItsInventoryAndMeshes) {
  const tests::TemporaryFolder folder;
  UiDriver ui({.has_picture = false});
  const auto save_as = [&](const std::filesystem::path& place) {
    std::filesystem::create_directories(place);
    ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL, GLFW_KEY_LEFT_SHIFT});
    ui.app().ui().file.folder = place;
    ui.app().ui().file.name = "wall";
    ui.settle();
    ui.click("dialog.ok");
    ui.wait_files();
  };
  save_as(folder.path() / "one");
  ui.app().drop_files({std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "models/holds/meshes/soft-trio.glb"});
  ui.wait_files();
  ui.app().ui().texts["hold.add.model"] = "soft-trio";
  ui.settle();
  ui.click("hold.add");
  ui.app().drop_files({std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "models/holds/meshes/soft-trio.glb"});
  ui.wait_files();
  // What is there already stays as it is.
  std::filesystem::create_directories(folder.path() / "two");
  for (const char* other : {"soft-trio.glb", "wall-holds.toml"}) std::ofstream(folder.path() / "two" / other) << "mine";
  save_as(folder.path() / "two");
  EXPECT_FALSE(ui.document().is_modified());
  EXPECT_THAT(ui.app().ui().status, ::testing::HasSubstr("2 meshes were copied beside it"));
  // Undo leads back to shapes that stand in the other folder: they are taken along when it is saved again.
  ui.key(GLFW_KEY_Z, {GLFW_KEY_LEFT_CONTROL});
  ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
  ui.wait_files();
  EXPECT_FALSE(ui.document().is_modified());
  std::filesystem::remove_all(folder.path() / "one");
  const auto again = open_scene(folder.path() / "two" / "wall.toml");
  ASSERT_TRUE(again.has_value()) << to_text(again.error().front());
  EXPECT_EQ(again->state.scene.holds.size(), ui.document().scene().holds.size());
  EXPECT_EQ(std::filesystem::file_size(folder.path() / "two" / "soft-trio.glb"), 4U);
  EXPECT_EQ(std::filesystem::file_size(folder.path() / "two" / "wall-holds.toml"), 4U);
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "two" / "soft-trio-2.glb"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "two" / "soft-trio-3.glb"));
  // In its own folder nothing is copied again.
  ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
  ui.wait_files();
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "two" / "soft-trio-4.glb"));
}

TEST(Window, ADroppedMeshJoinsTheInventoryAndIsSavedWithTheScene) {
  const tests::TemporaryFolder folder;
  const std::filesystem::path mesh =
      std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "models/holds/meshes/soft-trio.glb";
  ASSERT_TRUE(std::filesystem::exists(mesh));
  UiDriver ui({.has_picture = false});
  ui.app().drop_files({mesh});
  ui.settle();
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kSaveAs) << "a scene without a file is saved first";
  ui.app().ui().file.folder = folder.path();
  ui.app().ui().file.name = "wall";
  ui.settle();
  ui.click("dialog.ok");
  ui.wait_files();
  ASSERT_NE(ui.document().inventory().find("soft-trio"), nullptr);
  EXPECT_TRUE(ui.document().is_modified());
  ui.key(GLFW_KEY_Z, {GLFW_KEY_LEFT_CONTROL});
  EXPECT_EQ(ui.document().inventory().find("soft-trio"), nullptr);
  EXPECT_FALSE(ui.document().is_modified());
  ui.key(GLFW_KEY_Z, {GLFW_KEY_LEFT_CONTROL, GLFW_KEY_LEFT_SHIFT});
  ASSERT_NE(ui.document().inventory().find("soft-trio"), nullptr);
  const std::size_t holds = ui.document().scene().holds.size();
  ui.app().ui().texts["hold.add.model"] = "soft-trio";
  ui.click("hold.add");
  ASSERT_EQ(ui.document().scene().holds.size(), holds + 1);
  EXPECT_EQ(ui.document().scene().holds.back().model, "soft-trio");
  const std::string edited = ui.text();
  ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
  ui.wait_files();
  ui.app().drop_files({tests::demo("attic-45.toml"), folder.path() / "wall.toml"});
  ui.wait_files();
  EXPECT_EQ(ui.text(), edited);

  std::ofstream(folder.path() / "broken.stl") << "solid nothing";
  ui.app().drop_files({folder.path() / "broken.stl"});
  EXPECT_TRUE(ui.app().is_at_files()) << "beside the thread that draws";
  EXPECT_THAT(ui.app().ui().busy, ::testing::HasSubstr("broken.stl"));  // a frame may find it read already
  ui.wait_files();
  EXPECT_EQ(ui.app().ui().busy, "");
  EXPECT_TRUE(ui.app().ui().log.back().is_error);
  EXPECT_EQ(ui.text(), edited);
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "broken-2.stl"));
}

TEST(Window, SavesUnderANewNameAndOpensItAgain) {
  const tests::TemporaryFolder folder;
  UiDriver ui({});
  ui.app().ui().hold = 0;
  ui.settle();
  ui.key(GLFW_KEY_D, {GLFW_KEY_LEFT_CONTROL});
  ASSERT_TRUE(ui.document().is_modified());
  const std::string edited = ui.text();
  ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kSaveAs) << "it has no file yet";
  ui.app().ui().file.folder = folder.path();
  ui.click("dialog.name");
  ui.key(GLFW_KEY_A, {GLFW_KEY_LEFT_CONTROL});
  ui.type("kept");
  ui.key(GLFW_KEY_ENTER);
  EXPECT_EQ(ui.app().ui().dialog, Dialog::kNone);
  ui.wait_files();
  EXPECT_FALSE(ui.document().is_modified());
  ASSERT_TRUE(std::filesystem::exists(folder.path() / "kept.toml"));
  ui.app().drop_files({tests::demo("attic-45.toml")});
  ui.wait_files();
  ASSERT_NE(ui.text(), edited);
  ui.app().drop_files({folder.path() / "kept.toml"});
  ui.wait_files();
  EXPECT_EQ(ui.text(), edited);
  EXPECT_EQ(ui.app().settings().recent_files.front(), folder.path() / "kept.toml");
}

TEST(Window, ASceneIsWrittenBesideTheDrawingAndWhatIsEditedMeanwhileIsNotSaved) {
  const tests::TemporaryFolder folder;
  UiDriver ui({.has_picture = false});
  const auto path = folder.path() / "wall.toml";
  const auto save = [&] {
    ui.app().push(KeyChanged{GLFW_KEY_LEFT_CONTROL, true});
    ui.app().push(KeyChanged{GLFW_KEY_S, true});
    for (int i = 0; i < 10 && !ui.app().is_at_files(); ++i) ui.frames();
    ui.app().push(KeyChanged{GLFW_KEY_S, false});
    ui.app().push(KeyChanged{GLFW_KEY_LEFT_CONTROL, false});
  };
  save();
  ui.app().ui().file.folder = folder.path();
  ui.app().ui().file.name = "wall";
  ui.settle();
  ui.click("dialog.ok");
  ui.wait_files();
  ui.app().ui().hold = 0;
  ui.settle();
  ui.key(GLFW_KEY_LEFT_BRACKET);
  const std::string first = ui.text();
  save();
  ASSERT_TRUE(ui.app().is_at_files()) << "beside the thread that draws";
  ui.key(GLFW_KEY_LEFT_BRACKET);
  ui.wait_files();
  EXPECT_TRUE(ui.document().is_modified());
  EXPECT_EQ(text_of(Document(*open_scene(path))), first);

  const std::string second = ui.text();
  save();
  ASSERT_TRUE(ui.app().is_at_files());
  ui.app().ask_close();
  EXPECT_FALSE(ui.app().is_closed()) << "not before it is written";
  for (int i = 0; i < 12000 && !ui.app().is_closed(); ++i) {
    ui.frames();
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  EXPECT_TRUE(ui.app().is_closed()) << "and without a question";
  EXPECT_EQ(text_of(Document(*open_scene(path))), second);
}

TEST(Window, ASaveThatFailsLeavesTheChangesGuarded) {
  const tests::TemporaryFolder folder;
  UiDriver ui({.has_picture = false});
  ui.app().ui().hold = 0;
  ui.settle();
  ui.key(GLFW_KEY_LEFT_BRACKET);
  ui.app().ask_close();
  ui.settle();
  ui.click("dialog.ok");  // save, which needs a file
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kSaveAs);
  ui.app().ui().file.folder = folder.path() / "not there";
  ui.app().ui().file.name = "wall";
  ui.settle();
  ui.click("dialog.ok");
  ui.wait_files();
  EXPECT_TRUE(ui.app().ui().log.back().is_error);
  EXPECT_FALSE(ui.app().is_closed());
  EXPECT_TRUE(ui.document().is_modified());
  EXPECT_TRUE(ui.document().path().empty());
}

TEST(Window, AFileThatAnotherProgramHasWrittenIsReplacedOnlyWhenSavedAgain) {
  const tests::TemporaryFolder folder;
  const auto path = folder.path() / "wall.toml";
  std::filesystem::copy_file(tests::demo("barn-35.toml"), path);
  UiDriver ui({.scene = path, .has_picture = false});
  ui.wait_files();
  ASSERT_EQ(ui.document().path(), path);
  ui.app().ui().hold = 0;
  ui.settle();
  const auto turn_and_save = [&] {
    ui.key(GLFW_KEY_LEFT_BRACKET);
    ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
    ui.wait_files();
  };
  turn_and_save();
  ASSERT_FALSE(ui.document().is_modified());
  std::ofstream(path, std::ios::app) << "# the other's";
  const auto size = std::filesystem::file_size(path);
  turn_and_save();
  EXPECT_TRUE(ui.document().is_modified());
  EXPECT_EQ(std::filesystem::file_size(path), size);
  EXPECT_THAT(ui.app().ui().log.back().text, ::testing::HasSubstr("written by another program"));
  ui.key(GLFW_KEY_S, {GLFW_KEY_LEFT_CONTROL});
  ui.wait_files();
  EXPECT_FALSE(ui.document().is_modified());
  EXPECT_EQ(text_of(Document(*open_scene(path))), ui.text());
}

TEST(Window, TheSceneItIsStartedWithIsReadBesideTheDrawing) {
  AppOptions options;
  options.scene = tests::demo("attic-45.toml");
  options.is_quiet = true;
  auto app = App::make(std::move(options));
  ASSERT_TRUE(app.has_value());
  EXPECT_TRUE((*app)->is_at_files());
  EXPECT_TRUE((*app)->ui_state().is_awaiting_scene) << "nothing else is shown in its place";
  ASSERT_TRUE((*app)->wait_first_scene(std::chrono::minutes(1)).has_value());
  EXPECT_EQ((*app)->document().path(), tests::demo("attic-45.toml"));
  EXPECT_FALSE((*app)->ui_state().is_awaiting_scene);
}

TEST(Window, ASceneItIsStartedWithThatCannotBeReadIsToldOverTheExample) {
  const auto bad = std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "tests/data/bad/range-angle-200.toml";
  UiDriver ui({.scene = bad, .has_picture = false});
  ui.wait_files();
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kUnopened);
  ASSERT_FALSE(ui.app().first_scene_faults().empty());
  EXPECT_THAT(to_text(ui.app().first_scene_faults().front()), ::testing::HasSubstr("range-angle-200.toml:"));
  ui.click("dialog.ok");
  EXPECT_TRUE(ui.has_mark("move.0")) << "the example";
  EXPECT_EQ(ui.document().path(), "");
}

TEST(Window, GuardsUnsavedChangesWhenItIsClosed) {
  UiDriver ui({.has_picture = false});
  ui.app().ui().hold = 0;
  ui.settle();
  ui.key(GLFW_KEY_LEFT_BRACKET);
  ASSERT_TRUE(ui.document().is_modified());
  ui.app().ask_close();
  ui.settle();
  EXPECT_FALSE(ui.app().is_closed());
  ui.click("dialog.cancel");
  EXPECT_FALSE(ui.app().is_closed());
  ui.app().ask_close();
  ui.settle();
  ui.click("dialog.discard");
  EXPECT_TRUE(ui.app().is_closed());
}

// What was read waits while the mouse holds something, so that the order of things is known here.
TEST(Window, WhatIsDoneWhileASceneIsReadIsNotLost) {
  UiDriver ui({.has_picture = false});
  ui.app().ui().hold = 0;
  ui.settle();
  const std::string start = ui.text();
  const auto begin_opening = [&] {
    ui.press();
    ui.settle();
    ui.app().drop_files({tests::demo("attic-45.toml")});
    ui.settle();
    EXPECT_THAT(ui.app().ui().busy, ::testing::HasSubstr("opening 'attic-45.toml'"));
  };
  begin_opening();
  ui.key(GLFW_KEY_ESCAPE);
  EXPECT_FALSE(ui.app().is_at_files()) << "stopped";
  ui.release();
  ui.settle();
  EXPECT_EQ(ui.text(), start);

  begin_opening();
  ui.key(GLFW_KEY_LEFT_BRACKET);
  const std::string edited = ui.text();
  ASSERT_NE(edited, start);
  ui.release();
  ui.wait_files();
  EXPECT_EQ(ui.text(), edited);
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kGuard) << "edited since it was asked for";
  ui.click("dialog.discard");
  EXPECT_EQ(ui.document().path(), tests::demo("attic-45.toml"));
}

TEST(Window, ABrokenFileIsReportedAndLeavesWhatIsOpen) {
  UiDriver ui({.has_picture = false});
  const std::string start = ui.text();
  ui.app().drop_files({std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "tests/data/bad/range-angle-200.toml"});
  EXPECT_TRUE(ui.app().is_at_files()) << "beside the thread that draws";
  ui.wait_files();
  EXPECT_EQ(ui.text(), start);
  const auto& log = ui.app().ui().log;
  ASSERT_GE(log.size(), 2U);
  EXPECT_THAT(log[log.size() - 2].text, ::testing::HasSubstr("range-angle-200.toml:"));
  EXPECT_TRUE(log.back().is_error);
  EXPECT_THAT(log.back().text, ::testing::HasSubstr("'range-angle-200.toml' was not opened: 1 error"));
}

TEST(Window, ShowsTheCautionsOnceAtTheFirstStart) {
  const tests::TemporaryFolder folder;
  {
    UiDriver ui({.has_picture = false, .is_first_start = true, .folder = folder.path()});
    ASSERT_EQ(ui.app().ui().dialog, Dialog::kCautions);
    ui.click("dialog.ok");
    EXPECT_EQ(ui.app().ui().dialog, Dialog::kNone);
  }
  UiDriver ui({.has_picture = false, .is_first_start = true, .folder = folder.path()});
  EXPECT_EQ(ui.app().ui().dialog, Dialog::kNone);
}

TEST(Window, BringsBackUnsavedWorkAfterItWasKilled) {
  const tests::TemporaryFolder folder;
  tests::KilledChild child([&](const auto& tell_and_wait) {
    UiDriver ui({.has_picture = false, .folder = folder.path()});
    ui.app().ui().hold = 0;
    ui.settle();
    ui.key(GLFW_KEY_LEFT_BRACKET);
    ui.frames(60);  // longer than unsaved work waits
    const auto kept = folder.path() / "state" / "unsaved" / "unsaved-1.toml";
    for (int i = 0; i < 2000 && !std::filesystem::exists(kept); ++i)
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    tell_and_wait(ui.text());
  });
  ASSERT_TRUE(child.is_running());
  const std::string edited = child.told();
  child.kill();

  UiDriver ui({.has_picture = false, .folder = folder.path()});
  ASSERT_NE(ui.text(), edited);
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kRecover);
  ui.click("dialog.ok");
  ui.wait_files();
  EXPECT_EQ(ui.text(), edited);
  EXPECT_TRUE(ui.document().is_modified()) << "it is in no file yet";
}

}  // namespace
}  // namespace steepwright::viewer
