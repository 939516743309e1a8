#include "engine/core/units.h"
#include "viewer/app/app.h"
#include "viewer/commands/placement.h"
#include "viewer/scene_view/timeline.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>

namespace steepwright::viewer {

namespace {

constexpr double kTurnStep_deg = 5.0;
constexpr double kFreeStep_m = 0.01;

template <typename... Handlers>
struct Overloaded : Handlers... {
  using Handlers::operator()...;
};
template <typename... Handlers>
Overloaded(Handlers...) -> Overloaded<Handlers...>;

bool is_pressed(int key) { return ImGui::IsKeyPressed(key); }
// Without repetition while it is held: for what is switched.
bool is_struck(int key) { return ImGui::IsKeyPressed(key, false); }

}  // namespace

void App::report(const Findings& findings) {
  for (const Finding& finding : findings) tell(to_text(finding), finding.severity == Severity::kError, ui_);
}

void App::after_edit() {
  calm_frames_ = 0;
  since_kept_s_ = 0.0;
  clamp_selection();
}

void App::edit(const Edit& edit) {
  const std::size_t holds = document_->scene().holds.size();
  const std::size_t moves = document_->scene().moves.size();
  const std::uint64_t revision = document_->revision();
  const Result<void> done = document_->apply(edit.command, edit.gesture);
  if (!done) {
    report(done.error());
    return;
  }
  if (revision == document_->revision()) return;
  after_edit();
  // What was just made is what one goes on with.
  if (document_->scene().holds.size() > holds) ui_.hold = static_cast<int>(document_->scene().holds.size()) - 1;
  if (document_->scene().holds.size() < holds) ui_.hold = -1;
  if (document_->scene().moves.size() > moves) {
    ui_.move = static_cast<int>(document_->scene().moves.size()) - 1;
    ui_.t = 0.0;
    ui_.define = {};
  }
  if (edit.gesture == kNoGesture) tell(document_->undo_label(), false, ui_);
}

void App::carry_out(const Intent& intent) {
  std::visit(
      Overloaded{[this](const Edit& wanted) { edit(wanted); },
                 [this](const UndoEdit&) {
                   const std::string label = document_->undo_label();
                   if (!document_->undo()) return;
                   after_edit();
                   tell("undone: " + label, false, ui_);
                 },
                 [this](const RedoEdit&) {
                   const std::string label = document_->redo_label();
                   if (!document_->redo()) return;
                   after_edit();
                   tell("done again: " + label, false, ui_);
                 },
                 [this](const OpenScene& wanted) {
                   guard("Open another scene?", [this, path = wanted.path] { start_opening({path, std::nullopt}); });
                 },
                 [this](const AskOpen&) { ask_file(Dialog::kOpen); }, [this](const StopOpening&) { stop_opening(); },
                 [this](const SaveScene&) {
                   if (document_->path().empty()) return ask_file(Dialog::kSaveAs);
                   save_to(document_->path());
                 },
                 [this](const AskSaveAs&) { ask_file(Dialog::kSaveAs); },
                 [this](const SaveSceneAs& wanted) { save_to(wanted.path); },
                 [this](const CompareGrips&) {
                   compared_revision_ = document_->revision();
                   compared_move_ = ui_.move;
                 },
                 [this](const AskPicture&) { ask_file(Dialog::kPicture); },
                 [this](const ExportPicture& wanted) { export_picture(wanted); },
                 [this](const QuitWindow&) { ask_close(); },
                 [this](const AnswerGuard& answer) { answer_guard(answer.answer); },
                 [this](const AnswerRecovery& answer) { answer_recovery(answer.is_wanted); },
                 [this](const ShowView& wanted) { view_.show(wanted.view, make_context()); }},
      intent);
}

void App::nudge(double across, double up, bool is_free) {
  const move::Scene& scene = document_->scene();
  const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(ui_.hold)];
  const wall::Strip& strip = scene.wall.strips[static_cast<std::size_t>(hold.strip)];
  const bool is_stepped = !is_free && strip.lattice;
  const double step_across_m = is_stepped ? strip.lattice->pitch_across_m : kFreeStep_m;
  const double step_up_m = is_stepped ? strip.lattice->pitch_up_m : kFreeStep_m;
  const BoltPlace place = find_snapped_place(scene.wall, hold.strip, hold.across_m + across * step_across_m,
                                             hold.up_m + up * step_up_m, !is_stepped);
  intents_.edit(MoveHold{ui_.hold, place.strip, place.across_m, place.up_m, place.on_lattice});
}

void App::handle_hold_keys() {
  const ImGuiIO& io = ImGui::GetIO();
  const move::PlacedHold& hold = document_->scene().holds[static_cast<std::size_t>(ui_.hold)];
  if (io.KeyCtrl) {
    if (is_struck(GLFW_KEY_D)) intents_.edit(DuplicateHold{ui_.hold});
    return;
  }
  const auto turn = [&](double step_deg) {
    const double turned_deg = std::remainder(std::round(deg_from_rad(hold.rotation)) + step_deg, 360.0);
    intents_.edit(RotateHold{ui_.hold, rad_from_deg(turned_deg)});
  };
  if (is_struck(GLFW_KEY_M)) intents_.edit(MirrorHold{ui_.hold});
  if (is_struck(GLFW_KEY_DELETE)) intents_.edit(DeleteHold{ui_.hold});
  if (is_pressed(GLFW_KEY_LEFT_BRACKET)) turn(kTurnStep_deg);
  if (is_pressed(GLFW_KEY_RIGHT_BRACKET)) turn(-kTurnStep_deg);
  if (is_pressed(GLFW_KEY_LEFT)) nudge(-1.0, 0.0, io.KeyAlt);
  if (is_pressed(GLFW_KEY_RIGHT)) nudge(1.0, 0.0, io.KeyAlt);
  if (is_pressed(GLFW_KEY_UP)) nudge(0.0, 1.0, io.KeyAlt);
  if (is_pressed(GLFW_KEY_DOWN)) nudge(0.0, -1.0, io.KeyAlt);
}

void App::handle_escape() {
  ui_.define = {};
  if (ui_.dialog == Dialog::kNone) stop_opening();
  const bool may_close = ui_.dialog != Dialog::kCautions && ui_.dialog != Dialog::kRecover;
  if (ui_.dialog == Dialog::kGuard) intents_.add(AnswerGuard{GuardAnswer::kCancel});
  if (may_close) ui_.dialog = Dialog::kNone;
}

void App::handle_control_keys() {
  const bool has_shift = ImGui::GetIO().KeyShift;
  on_key(GLFW_KEY_O, AskOpen{});
  on_key(GLFW_KEY_S, has_shift ? Intent(AskSaveAs{}) : Intent(SaveScene{}));
  on_key(GLFW_KEY_E, AskPicture{});
  on_key(GLFW_KEY_Q, QuitWindow{});
  on_key(GLFW_KEY_Z, has_shift ? Intent(RedoEdit{}) : Intent(UndoEdit{}));
  on_key(GLFW_KEY_Y, RedoEdit{});
}

void App::handle_view_keys() {
  on_key(GLFW_KEY_HOME, ShowView{View::kOpen});
  on_key(GLFW_KEY_1, ShowView{View::kFront});
  on_key(GLFW_KEY_2, ShowView{View::kLeft});
  on_key(GLFW_KEY_3, ShowView{View::kRight});
  on_key(GLFW_KEY_4, ShowView{View::kClimber});
  on_key(GLFW_KEY_F, ShowView{View::kFit});
  if (is_struck(GLFW_KEY_G)) settings_.has_grid = !settings_.has_grid;
  if (is_struck(GLFW_KEY_R)) settings_.has_reach = !settings_.has_reach;
  if (is_struck(GLFW_KEY_TAB)) ui_.has_side_panels = !ui_.has_side_panels;
}

void App::handle_move_keys() {
  if (is_struck(GLFW_KEY_N)) ui_.define = {true, std::nullopt};
  if (is_struck(GLFW_KEY_SPACE)) ui_.is_playing = !ui_.is_playing;
  const auto select = [this](int step) {
    ui_.move += step;
    ui_.t = 0.0;
    clamp_selection();
  };
  if (is_pressed(GLFW_KEY_PAGE_UP)) select(-1);
  if (is_pressed(GLFW_KEY_PAGE_DOWN)) select(1);
  const MoveAnswer* answer = make_context().answer();
  if (answer == nullptr || answer->result->frames.empty()) return;
  const int step = is_pressed(GLFW_KEY_COMMA) ? -1 : is_pressed(GLFW_KEY_PERIOD) ? 1 : 0;
  if (step == 0) return;
  const auto& frames = answer->result->frames;
  const int shown = static_cast<int>(find_moment(frames, ui_.t).nearest());
  const int next = std::clamp(shown + step, 0, static_cast<int>(frames.size()) - 1);
  ui_.t = frames[static_cast<std::size_t>(next)].t;
  ui_.is_playing = false;
}

void App::on_key(int key, Intent intent) {
  if (is_pressed(key)) intents_.add(std::move(intent));
}

void App::handle_keys() {
  const ImGuiIO& io = ImGui::GetIO();
  if (is_pressed(GLFW_KEY_ESCAPE)) handle_escape();
  if (io.WantTextInput || ui_.dialog != Dialog::kNone) return;
  if (ui_.is_awaiting_scene) {
    if (io.KeyCtrl) on_key(GLFW_KEY_Q, QuitWindow{});
    return;
  }
  if (is_pressed(GLFW_KEY_F1)) ui_.dialog = Dialog::kShortcuts;
  if (ui_.hold >= 0) handle_hold_keys();
  if (io.KeyCtrl) return handle_control_keys();
  handle_view_keys();
  handle_move_keys();
}

}  // namespace steepwright::viewer
