// Random input: nothing crashes, no GL error, every state can be saved and read again, and undo leads back to the
// start.

#include "engine/core/random.h"
#include "tests/viewer/ui_driver.h"
#include "viewer/store/scene_store.h"

#include <array>
#include <cstdlib>
#include <utility>

namespace steepwright::viewer {
namespace {

using tests::UiDriver;

constexpr int kActions = 250;         // of a play without a picture
constexpr int kActionsPictured = 40;  // drawn by software: slow

// Ten minutes by the target `viewer_monkey`; otherwise one play of each kind.
double find_duration_s() {
  const char* value = std::getenv("STEEPWRIGHT_MONKEY_S");
  return value == nullptr ? 0.0 : std::atof(value);
}

class Monkey {
 public:
  Monkey(std::uint64_t seed, std::filesystem::path cage) : draw_(seed), cage_(std::move(cage)) {}

  void act(UiDriver& ui) {
    leave_other_folders(ui);
    switch (draw_.next() % 12) {
      case 0:
      case 1:
      case 2:
        return click_a_mark(ui);
      case 3:
      case 4:
        return drag_somewhere(ui);
      case 5:
        return drag_a_hold(ui);
      case 6:
        return press_a_key(ui);
      case 7:
        return edit_a_hold(ui);
      case 8:
        return type_something(ui);
      case 9:
        ui.app().push(WheelTurned{draw_.symmetric(1.0), draw_.symmetric(4.0)});
        return;
      case 10:
        return change_window(ui);
      default:
        ui.click_at(draw_.uniform(0.0, UiDriver::kWidth), draw_.uniform(0.0, UiDriver::kHeight));
    }
  }

 private:
  std::size_t pick(std::size_t count) { return draw_.next() % count; }

  // A monkey must not write over files that are not its own.
  void leave_other_folders(UiDriver& ui) const {
    UiState& state = ui.app().ui();
    const bool has_files =
        state.dialog == Dialog::kOpen || state.dialog == Dialog::kSaveAs || state.dialog == Dialog::kPicture;
    if (!has_files) return;
    state.file.folder = cage_;
    state.file.width_px = state.file.height_px = 64;
  }

  void click_a_mark(UiDriver& ui) {
    const auto& marks = ui.app().marks().all();
    if (marks.empty()) return;
    auto mark = marks.begin();
    std::advance(mark, static_cast<std::ptrdiff_t>(pick(marks.size())));
    if (mark->first == "menu.File/Quit" || mark->first == "dialog.entry/..") return;
    const MarkRect rect = mark->second;
    ui.click_at(draw_.uniform(rect.left, rect.right), draw_.uniform(rect.top, rect.bottom));
  }

  void drag_somewhere(UiDriver& ui) {
    const glm::dvec2 from(draw_.uniform(0.0, UiDriver::kWidth), draw_.uniform(0.0, UiDriver::kHeight));
    const glm::dvec2 to = from + glm::dvec2(draw_.symmetric(200.0), draw_.symmetric(200.0));
    ui.drag(from, to, 4);
  }

  void drag_a_hold(UiDriver& ui) {
    const auto& holds = ui.document().scene().holds;
    if (holds.empty() || !ui.has_mark("view")) return;
    const move::PlacedHold& hold = holds[pick(holds.size())];
    const auto pixel = find_pixel(ui.app().view().camera(), ui.app().view().viewport(),
                                  {hold.X_WH.p.x(), hold.X_WH.p.y(), hold.X_WH.p.z()});
    if (!pixel) return;
    const MarkRect view = ui.mark("view");
    const glm::dvec2 from = glm::dvec2(view.left, view.top) + *pixel;
    ui.drag(from, from + glm::dvec2(draw_.symmetric(150.0), draw_.symmetric(150.0)), 5);
  }

  void press_a_key(UiDriver& ui) {
    constexpr std::array<int, 24> kKeys = {GLFW_KEY_Z,
                                           GLFW_KEY_Y,
                                           GLFW_KEY_D,
                                           GLFW_KEY_M,
                                           GLFW_KEY_N,
                                           GLFW_KEY_G,
                                           GLFW_KEY_F,
                                           GLFW_KEY_1,
                                           GLFW_KEY_2,
                                           GLFW_KEY_3,
                                           GLFW_KEY_4,
                                           GLFW_KEY_HOME,
                                           GLFW_KEY_SPACE,
                                           GLFW_KEY_TAB,
                                           GLFW_KEY_ESCAPE,
                                           GLFW_KEY_DELETE,
                                           GLFW_KEY_ENTER,
                                           GLFW_KEY_F1,
                                           GLFW_KEY_LEFT,
                                           GLFW_KEY_UP,
                                           GLFW_KEY_COMMA,
                                           GLFW_KEY_LEFT_BRACKET,
                                           GLFW_KEY_RIGHT_BRACKET,
                                           GLFW_KEY_S};
    constexpr std::array<int, 3> kModifiers = {GLFW_KEY_LEFT_CONTROL, GLFW_KEY_LEFT_SHIFT, GLFW_KEY_LEFT_ALT};
    std::vector<int> held;
    for (const int modifier : kModifiers) {
      if (pick(3) == 0) held.push_back(modifier);
    }
    ui.key(kKeys[pick(kKeys.size())], held);
  }

  // By keys: so that many edits stand behind each other.
  void edit_a_hold(UiDriver& ui) {
    if (ui.app().ui().dialog != Dialog::kNone) return ui.key(GLFW_KEY_ESCAPE);
    const std::size_t count = ui.document().scene().holds.size();
    if (count == 0) return;
    ui.app().ui().hold = static_cast<int>(pick(count));
    constexpr std::array<int, 8> kKeys = {GLFW_KEY_LEFT_BRACKET, GLFW_KEY_RIGHT_BRACKET, GLFW_KEY_UP, GLFW_KEY_LEFT,
                                          GLFW_KEY_DOWN,         GLFW_KEY_RIGHT,         GLFW_KEY_M,  GLFW_KEY_D};
    const int key = kKeys[pick(kKeys.size())];
    for (std::size_t i = 0; i < 1 + pick(3); ++i)
      ui.key(key, key == GLFW_KEY_D ? std::vector{GLFW_KEY_LEFT_CONTROL} : std::vector<int>{});
  }

  void type_something(UiDriver& ui) {
    constexpr std::array<const char*, 7> kTexts = {"1", "-", "77.5", "name", "\"", " ", "e9"};
    ui.type(kTexts[pick(kTexts.size())]);
  }

  void change_window(UiDriver& ui) {
    switch (pick(5)) {
      case 0:
        ui.app().set_display(200 + static_cast<int>(pick(1200)), 150 + static_cast<int>(pick(700)), 1.0F);
        break;
      case 1:
        ui.app().set_display(UiDriver::kWidth, UiDriver::kHeight, 1.0F);
        break;
      case 2:
        ui.app().push(FocusLost{});
        break;
      case 3:
        ui.app().push(PointerLeft{});
        break;
      default:
        // Closing for good would end the play.
        if (ui.document().is_modified()) ui.app().ask_close();
    }
    ui.frames(2);
    if (ui.app().ui().dialog == Dialog::kGuard) ui.key(GLFW_KEY_ESCAPE);
  }

  RandomStream draw_;
  std::filesystem::path cage_;
};

void check_state_of(const UiDriver& ui) {
  const auto again = open_scene_text(ui.text(), {});
  ASSERT_TRUE(again.has_value()) << to_text(again.error().front());
  ASSERT_EQ(io::write_scene(again->state.scene, again->state.source), ui.text());
}

struct Played {
  int actions = 0, windows = 0;
  std::size_t edits = 0;
};

/// The state that no undo leads back from.
struct Origin {
  std::uint64_t revision = 0;
  std::string text;
};

void check_undo_to(const Origin& origin, UiDriver& ui) {
  constexpr int kMostUndone = 2000;
  for (int i = 0; i < 3; ++i) ui.key(GLFW_KEY_ESCAPE);
  for (int i = 0; i < kMostUndone && ui.document().undo_count() > 0; ++i) ui.key(GLFW_KEY_Z, {GLFW_KEY_LEFT_CONTROL});
  // Another scene may have been opened meanwhile.
  if (ui.document().revision() == origin.revision) {
    ASSERT_EQ(ui.text(), origin.text);
  }
}

// One play from one seed; where the monkey closes the window, the next opens on the same folder.
void play(std::uint64_t seed, bool has_picture, Played& played) {
  const tests::TemporaryFolder cage;
  Monkey monkey(seed, cage.path());
  const int actions = has_picture ? kActionsPictured : kActions;
  for (int i = 0; i < actions;) {
    UiDriver ui({.has_picture = has_picture, .folder = cage.path() / "user"});
    ++played.windows;
    std::uint64_t revision = ui.document().revision();
    Origin origin{revision, ui.text()};
    for (; i < actions && !ui.app().is_closed(); ++i, ++played.actions) {
      monkey.act(ui);
      ui.frames(1);
      if (i % 10 == 0) check_state_of(ui);
      if (ui.document().undo_count() == 0) origin = {ui.document().revision(), ui.text()};
      if (std::exchange(revision, ui.document().revision()) != ui.document().revision()) ++played.edits;
      ASSERT_FALSE(::testing::Test::HasFailure()) << "seed " << seed << ", action " << i;
    }
    if (ui.app().is_closed()) continue;
    check_state_of(ui);
    check_undo_to(origin, ui);
  }
}

TEST(Monkey, LosesNothingWhateverItDoes) {
  const double duration_s = find_duration_s();
  const auto start = std::chrono::steady_clock::now();
  Played played;
  std::uint64_t seed = 1;
  do {
    for (const bool has_picture : {false, true}) play(seed++, has_picture, played);
  } while (!HasFailure() &&
           std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count() < duration_s);
  std::printf("%d actions in %d windows, %zu of them edits\n", played.actions, played.windows, played.edits);
  EXPECT_GT(played.edits, static_cast<std::size_t>(played.actions) / 20);
}

}  // namespace
}  // namespace steepwright::viewer
