#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "tests/support/malloc_guard.h"
#include "tests/viewer/ui_driver.h"
#include "viewer/app/presenter.h"
#include "viewer/picture/png.h"
#include "viewer/scene_view/scene_view.h"

#include <cmath>

namespace steepwright::viewer {
namespace {

using tests::UiDriver;

const move::PlacedHold& hold_of(const UiDriver& ui, int hold) {
  return ui.document().scene().holds[static_cast<std::size_t>(hold)];
}

// The middle of a hold's front, so that the pointer is on it and not on the panel.
Vec3 front_of(const move::PlacedHold& hold) { return hold.X_WH * Vec3(0.0, 0.0, hold.hold.shape.protrusion_m); }

TEST(Window, OpensTheExampleSolvedWithAVerdictForEveryMove) {
  UiDriver ui({});
  ASSERT_TRUE(ui.wait_solved());
  const auto count = static_cast<int>(ui.document().scene().moves.size());
  ASSERT_GT(count, 0);
  for (int i = 0; i < count; ++i) {
    EXPECT_TRUE(ui.has_mark("move." + std::to_string(i)));
    ASSERT_NE(ui.result(i), nullptr);
    EXPECT_FALSE(io::describe_verdict(*ui.result(i)).empty());
  }
  EXPECT_FALSE(ui.document().is_modified());
  ui.app().set_display(1280, 900, 1.0F);
  ui.settle();
  const std::string last = "move." + std::to_string(count - 1);
  EXPECT_LT(ui.mark(last).bottom, ui.mark("moves.define").top) << "all verdicts without a scroll bar";
}

TEST(Window, AStanceIsAnsweredAheadOfTheWholeMoveAfterAnEdit) {
  UiDriver ui({.has_picture = false});
  ASSERT_TRUE(ui.wait_answer());
  ui.app().ui().hold = ui.document().scene().moves[0].before.limbs[0]->hold;
  ui.settle();
  const std::string name = ui.document().scene().moves[0].name;
  // A machine at work on other things may keep the thread for stances waiting: not each time.
  bool is_ahead = false;
  for (int i = 0; i < 5 && !is_ahead; ++i) {
    ui.key(i % 2 == 0 ? GLFW_KEY_LEFT_BRACKET : GLFW_KEY_RIGHT_BRACKET);
    ASSERT_TRUE(ui.wait_solved());
    const StanceAnswer* ahead = ui.app().results().find_stance(name, ui.document().revision());
    ASSERT_NE(ahead, nullptr);
    EXPECT_TRUE(ahead->frame->has_posture);
    EXPECT_GT(ahead->solved_s, 0.0);
    const SolveDone& done = ui.app().results().done();
    is_ahead = ahead->solved_s < done.first_move_s;
    std::printf("stance after %.1f ms, first move after %.1f ms, all after %.1f ms\n", 1e3 * ahead->solved_s,
                1e3 * done.first_move_s, 1e3 * done.all_s);
  }
  EXPECT_TRUE(is_ahead);
}

// The picture of a frame is drawn after the edits of its events: no frame between a drag and its stance.
TEST(Window, TheFrameThatTakesUpADragShowsItsStance) {
  UiDriver ui({.has_picture = false});
  ASSERT_TRUE(ui.wait_solved());
  ui.app().ui().t = 1.0;
  ui.app().ui().hold = ui.document().scene().moves[0].target.hold;
  ui.settle();
  const std::string name = ui.document().scene().moves[0].name;
  int shown = 0;
  constexpr int kSteps = 8;
  for (int i = 0; i < kSteps; ++i) {
    ASSERT_TRUE(ui.wait_solved());
    const std::uint64_t before = ui.document().revision();
    ui.app().push(KeyChanged{i % 2 == 0 ? GLFW_KEY_LEFT_BRACKET : GLFW_KEY_RIGHT_BRACKET, true});
    ui.frames();
    ASSERT_NE(ui.document().revision(), before);
    if (const StanceAnswer* stance = ui.app().results().find_stance(name, ui.document().revision())) {
      ++shown;
      EXPECT_EQ(stance->body, ui.app().results().find(name)->body) << "else the old posture is shown, faded";
    }
    ui.app().push(KeyChanged{i % 2 == 0 ? GLFW_KEY_LEFT_BRACKET : GLFW_KEY_RIGHT_BRACKET, false});
    ui.settle();
  }
  // A stance takes half a millisecond and is waited for 8: only a machine at work on other things makes some late.
  std::printf("%d of %d at once\n", shown, kSteps);
  EXPECT_GE(shown, kSteps / 2);
}

TEST(Window, AMoveThatEndsShortTellsThatItHoldsWithAFootOff) {
  UiDriver ui({.has_picture = false});
  ASSERT_TRUE(ui.wait_solved());
  int told = 0;
  const auto& moves = ui.document().scene().moves;
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const MoveAnswer* answer = ui.app().results().find(moves[i].name);
    ASSERT_NE(answer, nullptr);
    const move::CutLoose* cut = ui.app().results().find_cut_loose(*answer->result);
    const auto wanted = move::find_cut_loose(ui.document().scene(), *answer->body, moves[i], *answer->result, {});
    ASSERT_EQ(cut != nullptr, wanted.has_value()) << moves[i].name;
    if (cut == nullptr) continue;
    ++told;
    EXPECT_EQ(io::describe_cut_loose(*cut), io::describe_cut_loose(*wanted));
  }
  std::printf("%d moves hold with a foot off\n", told);
}

TEST(Window, DraggingAHoldOutOfReachChangesTheVerdictAndUndoTakesItBackToTheByte) {
  UiDriver ui({});
  ASSERT_TRUE(ui.wait_answer());
  const std::string start = ui.text();
  const int hold = ui.document().scene().moves[0].target.hold;
  const std::string before = io::describe_verdict(*ui.result(0));
  const move::PlacedHold placed = hold_of(ui, hold);
  const wall::Strip& strip = ui.document().scene().wall.strips[static_cast<std::size_t>(placed.strip)];
  const Vec3 far_W = strip.X_WP * Vec3(0.9 * strip.width_m, 0.92 * strip.length_m, 0.0);
  ui.drag(ui.pixel_of(front_of(placed)), ui.pixel_of(far_W));
  ASSERT_NE(hold_of(ui, hold).up_m, placed.up_m) << "the hold has not moved";
  EXPECT_TRUE(hold_of(ui, hold).on_lattice) << "it snaps to T-nuts";
  EXPECT_EQ(ui.app().ui().hold, hold) << "what is dragged is selected";
  EXPECT_EQ(ui.document().undo_count(), 1U) << "a drag is one edit";
  ASSERT_TRUE(ui.wait_answer());
  EXPECT_NE(io::describe_verdict(*ui.result(0)), before);
  ui.key(GLFW_KEY_Z, {GLFW_KEY_LEFT_CONTROL});
  EXPECT_EQ(ui.text(), start);
  EXPECT_FALSE(ui.document().is_modified());
  ASSERT_TRUE(ui.wait_answer());
  EXPECT_EQ(io::describe_verdict(*ui.result(0)), before);
}

TEST(Window, AltFreesTheDraggedHoldFromTheTeeNuts) {
  UiDriver ui({});
  const int hold = ui.document().scene().moves[0].target.hold;
  const move::PlacedHold placed = hold_of(ui, hold);
  const wall::Strip& strip = ui.document().scene().wall.strips[static_cast<std::size_t>(placed.strip)];
  const Vec3 near_W = front_of(placed) + strip.X_WP.R * Vec3(0.031, 0.037, 0.0);
  ui.app().push(KeyChanged{GLFW_KEY_LEFT_ALT, true});
  ui.drag(ui.pixel_of(front_of(placed)), ui.pixel_of(near_W));
  ui.app().push(KeyChanged{GLFW_KEY_LEFT_ALT, false});
  EXPECT_FALSE(hold_of(ui, hold).on_lattice);
  EXPECT_NEAR(hold_of(ui, hold).across_m, placed.across_m + 0.031, 0.012);
  EXPECT_NEAR(hold_of(ui, hold).up_m, placed.up_m + 0.037, 0.012);
}

// On a slow machine the whole drag may wait for one frame.
TEST(Window, ADragThatArrivesAtOnceIsADragAndNoClick) {
  UiDriver ui({.has_picture = false});
  const int hold = ui.document().scene().moves[0].target.hold;
  ui.app().ui().hold = hold;
  ui.settle();
  const double across_m = hold_of(ui, hold).across_m;
  const MarkRect slider = ui.mark("hold.across");
  ui.point(slider.left + 0.2 * (slider.right - slider.left), slider.middle_y());
  ui.press();
  ui.point(slider.left + 0.5 * (slider.right - slider.left), slider.middle_y());
  ui.release();
  ui.settle();
  const wall::Strip& strip = ui.document().scene().wall.strips[static_cast<std::size_t>(hold_of(ui, hold).strip)];
  EXPECT_NE(hold_of(ui, hold).across_m, across_m);
  EXPECT_NEAR(hold_of(ui, hold).across_m, 0.5 * strip.width_m, 0.05);
}

TEST(Window, TheScrubberSetsTheInstant) {
  UiDriver ui({});
  ASSERT_TRUE(ui.wait_answer());
  const MarkRect plot = ui.mark("rise.plot");
  ui.click_at(plot.left + 0.25 * (plot.right - plot.left), plot.middle_y());
  EXPECT_NEAR(ui.app().ui().t, 0.25, 0.01);
  ui.drag({plot.left + 5.0, plot.middle_y()}, {plot.right + 50.0, plot.middle_y()});
  EXPECT_DOUBLE_EQ(ui.app().ui().t, 1.0);
  ui.key(GLFW_KEY_COMMA);
  EXPECT_LT(ui.app().ui().t, 1.0);
}

TEST(Window, TheAngleSliderMarksAnswersStaleUntilTheyAreSolvedAnew) {
  UiDriver ui({});
  ASSERT_TRUE(ui.wait_answer());
  ui.click("tab.Wall");
  const auto& wall = ui.document().scene().wall;
  const int main = wall.find_strip("main");
  ASSERT_GE(main, 0);
  const double before_deg = deg_from_rad(wall.strips[static_cast<std::size_t>(main)].angle);
  const MarkRect slider = ui.mark("wall.main.angle");
  const double x = slider.left + (before_deg + 20.0) / 110.0 * (slider.right - slider.left);
  ui.point(x, slider.middle_y());
  ui.settle();
  ui.press();
  ui.frames(2);
  ui.point(x - 6.0, slider.middle_y());
  ui.frames(1);
  const MoveAnswer* answer = ui.app().results().find(ui.document().scene().moves[0].name);
  ASSERT_NE(answer, nullptr);
  EXPECT_NE(answer->revision, ui.document().revision());
  ui.release();
  ui.settle();
  EXPECT_LT(deg_from_rad(ui.document().scene().wall.strips[static_cast<std::size_t>(main)].angle), before_deg);
  EXPECT_EQ(ui.document().undo_count(), 1U);
  ASSERT_TRUE(ui.wait_answer());
  answer = ui.app().results().find(ui.document().scene().moves[0].name);
  EXPECT_EQ(answer->revision, ui.document().revision());
}

TEST(Window, TheOverhangAndTheKickerAreDraggedByTheirUpperCorners) {
  UiDriver ui({});
  const auto& strips = ui.document().scene().wall.strips;
  const int main = ui.document().scene().wall.find_strip("main");
  const int kicker = ui.document().scene().wall.find_strip("kicker");
  ASSERT_GE(main, 0);
  ASSERT_GE(kicker, 0);
  const wall::Strip panel = strips[static_cast<std::size_t>(main)];
  const Vec3 corner_W = find_strip_grip(panel);
  ui.drag(ui.pixel_of(corner_W), ui.pixel_of(corner_W + Vec3(0.0, 0.25, 0.1)));
  EXPECT_LT(strips[static_cast<std::size_t>(main)].angle, panel.angle) << "the corner went towards the wall";
  const wall::Strip foot = strips[static_cast<std::size_t>(kicker)];
  ui.drag(ui.pixel_of(find_strip_grip(foot)), ui.pixel_of(find_strip_grip(foot) + Vec3(0.0, 0.0, 0.08)));
  EXPECT_NEAR(strips[static_cast<std::size_t>(kicker)].length_m, foot.length_m + 0.08, 0.03);
  EXPECT_EQ(strips[static_cast<std::size_t>(kicker)].angle, foot.angle);
  EXPECT_EQ(ui.document().undo_count(), 2U);
}

TEST(Window, ExportsAPictureOfTheChosenSize) {
  const tests::TemporaryFolder folder;
  UiDriver ui({});
  ui.key(GLFW_KEY_E, {GLFW_KEY_LEFT_CONTROL});
  ASSERT_EQ(ui.app().ui().dialog, Dialog::kPicture);
  ui.app().ui().file.folder = folder.path();
  ui.app().ui().file.width_px = 320;
  ui.app().ui().file.height_px = 200;
  ui.settle();
  ui.click("dialog.ok");
  ui.wait_files();
  const auto image = load_png(folder.path() / "picture.png");
  ASSERT_TRUE(image.has_value());
  EXPECT_EQ(image->width_px, 320);
  EXPECT_EQ(image->height_px, 200);
}

TEST(Window, GripsOfTheClickedHoldAreCompared) {
  UiDriver ui({});
  const int hold = ui.document().scene().moves[0].target.hold;
  const glm::dvec2 pixel = ui.pixel_of(front_of(hold_of(ui, hold)));
  ui.click_at(pixel.x, pixel.y);
  ASSERT_EQ(ui.app().ui().hold, hold);
  ASSERT_TRUE(ui.wait_solved());
  ui.click("tab.Grips");
  EXPECT_TRUE(ui.has_mark("grips.polar"));
  ASSERT_NE(ui.app().results().survey(), nullptr);
  EXPECT_EQ(ui.app().results().survey()->hold, hold);
}

TEST(Window, RestsWhenNothingHappens) {
  UiDriver ui({.has_picture = false});
  ASSERT_TRUE(ui.wait_solved());
  for (int i = 0; i < 500 && ui.app().wants_frame(); ++i) {
    ui.app().set_display(UiDriver::kWidth, UiDriver::kHeight, 1.0F);  // as the loop does each time
    ui.frames();
  }
  EXPECT_FALSE(ui.app().wants_frame());
  EXPECT_TRUE(std::isinf(ui.app().find_rest_s())) << "sleeps until something comes";
  ui.app().ui().hold = 0;
  ui.settle();
  ui.key(GLFW_KEY_LEFT_BRACKET);
  EXPECT_LT(ui.app().find_rest_s(), 1.0) << "what is not saved is kept soon";
  ui.app().set_display(UiDriver::kWidth + 1, UiDriver::kHeight, 1.0F);
  EXPECT_TRUE(ui.app().wants_frame());
}

// A whole frame of a move that plays: panels, scene, picture. The renderer's share is none, ImGui's too; this is what
// texts and curves of the panels take.
TEST(Window, AFrameOfAMoveThatPlaysAllocatesLittle) {
  constexpr std::size_t kMost = 120;
  UiDriver ui({.has_marks = false});
  ASSERT_TRUE(ui.wait_solved());
  ui.app().ui().hold = ui.document().scene().moves[0].target.hold;
  for (int tab = 0; tab < 4; ++tab) {
    ui.app().ui().wanted_side_tab = tab;
    constexpr int kFrames = 40;
    const auto play = [&] {
      for (int i = 0; i < kFrames; ++i) {
        ui.app().ui().t = static_cast<double>(i) / kFrames;
        ui.frames();
      }
    };
    ASSERT_TRUE(ui.wait_solved());
    play();
    const std::size_t before = tests::allocation_count();
    play();
    EXPECT_LE((tests::allocation_count() - before) / kFrames, kMost) << "tab " << tab;
  }
}

TEST(Window, GripsOfTheMoveAreComparedWhenAsked) {
  UiDriver ui({.has_picture = false});
  ASSERT_TRUE(ui.wait_answer());
  ui.click("tab.Compared");
  ui.frames(2);
  EXPECT_EQ(ui.app().results().comparison(), nullptr) << "only on demand";
  ui.click("compared.ask");
  for (int i = 0; i < 12000 && ui.app().results().comparison() == nullptr; ++i) {
    ui.frames();
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  const ComparisonAnswer* answer = ui.app().results().comparison();
  ASSERT_NE(answer, nullptr);
  ui.frames(2);
  EXPECT_EQ(answer->revision, ui.document().revision());
  ASSERT_FALSE(answer->hands->empty());
  EXPECT_TRUE(ui.has_mark("compared.table/" + std::string(short_name(answer->hands->front().limb))));
}

TEST(Window, AMoveIsDefinedByClickingALimbAndThenAHold) {
  UiDriver ui({});
  ASSERT_TRUE(ui.wait_answer());
  ui.app().ui().t = 0.0;
  ui.settle();
  const std::size_t count = ui.document().scene().moves.size();
  ui.key(GLFW_KEY_N);
  const move::Frame& frame = ui.result(0)->frames.front();
  for (const move::ContactResult& contact : frame.contacts) {
    if (contact.limb != Limb::kRightHand) continue;
    const glm::dvec2 hand = ui.pixel_of(contact.p_WC);
    ui.click_at(hand.x, hand.y);
  }
  ASSERT_EQ(ui.app().ui().define.limb, Limb::kRightHand);
  const int hold = ui.document().scene().moves[0].target.hold;
  const glm::dvec2 pixel = ui.pixel_of(front_of(hold_of(ui, hold)));
  ui.click_at(pixel.x, pixel.y);
  ASSERT_EQ(ui.document().scene().moves.size(), count + 1);
  const move::Move& move = ui.document().scene().moves.back();
  EXPECT_EQ(move.moving, Limb::kRightHand);
  EXPECT_EQ(move.target.hold, hold);
  EXPECT_EQ(ui.app().ui().move, static_cast<int>(count)) << "the new move is selected";
  ASSERT_TRUE(ui.wait_answer());
  EXPECT_NE(ui.result(static_cast<int>(count)), nullptr);
}

// Where a processor draws, only what differs from the frame before is drawn: every pixel must be as if all were.
TEST(Window, AFrameShownByItsChangesIsTheFrameDrawnWhole) {
  UiDriver ui({});
  auto presenter = Presenter::make();
  ASSERT_TRUE(presenter.has_value());
  ui.app().set_font_handler([&] { presenter->update_fonts(); });
  std::vector<std::string> different;
  std::vector<std::uint8_t> last;
  int n_new = 0;
  const auto compare = [&](const std::string& what) {
    const ShownPicture picture = ui.app().view().shown_picture();
    const auto draw = [&](Presenting how) {
      return presenter->draw_picture(UiDriver::kWidth, UiDriver::kHeight, picture, how).rgba;
    };
    const auto by_changes = draw(Presenting::kChanges);
    if (by_changes != draw(Presenting::kWhole)) different.push_back(what);
    n_new += by_changes != last ? 1 : 0;
    last = by_changes;
  };
  ASSERT_TRUE(ui.wait_solved());
  compare("solved");
  const int hold = ui.document().scene().moves[0].target.hold;
  const glm::dvec2 start = ui.pixel_of(front_of(hold_of(ui, hold)));
  ui.point(start.x, start.y);
  ui.settle();
  compare("hold pointed at");
  ui.press();
  for (int i = 0; i < 6; ++i) {
    ui.point(start.x + 12.0 * i, start.y);
    ui.frames();
    compare("hold dragged");
  }
  ui.release();
  ui.settle();
  ui.app().ui().t = 0.4;
  ui.frames();
  compare("scrubbed");
  ui.click("tab.Climber");
  compare("other tab");
  ui.app().settings().is_light = true;
  ui.frames(2);
  compare("other theme");
  ui.key(GLFW_KEY_F1);
  compare("over it a list of keys");
  EXPECT_THAT(different, ::testing::IsEmpty());
  EXPECT_GE(n_new, 8) << "frames that differ from the one before";
}

TEST(Window, KeysTypedIntoAFieldAreTextAndNoCommands) {
  UiDriver ui({.has_picture = false});
  ui.app().ui().hold = 0;
  ui.settle();
  const std::size_t holds = ui.document().scene().holds.size();
  ui.click("hold.name.0");
  ui.key(GLFW_KEY_A, {GLFW_KEY_LEFT_CONTROL});
  ui.key(GLFW_KEY_M);
  ui.type("m 2");
  ui.key(GLFW_KEY_ENTER);
  EXPECT_EQ(hold_of(ui, 0).name, "m 2");
  EXPECT_EQ(ui.document().undo_count(), 1U) << "M has not mirrored";
  ui.key(GLFW_KEY_DELETE);
  EXPECT_EQ(ui.document().scene().holds.size(), holds - 1);
}

}  // namespace
}  // namespace steepwright::viewer
