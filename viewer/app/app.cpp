#include "viewer/app/app.h"

#include "engine/io/scene_writer.h"
#include "viewer/app/fonts.h"
#include "viewer/panels/climber_panel.h"
#include "viewer/panels/comparison_panel.h"
#include "viewer/panels/dialogs.h"
#include "viewer/panels/grip_panel.h"
#include "viewer/panels/hold_panel.h"
#include "viewer/panels/menu_bar.h"
#include "viewer/panels/move_panel.h"
#include "viewer/panels/rise_panel.h"
#include "viewer/panels/wall_panel.h"
#include "viewer/panels/widgets.h"
#include "viewer/scene_view/timeline.h"
#include "viewer/store/scene_store.h"

#include <imgui/imgui.h>
#include <imgui/imgui_internal.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <limits>

namespace steepwright::viewer {

namespace {

constexpr double kMoveTime_s = 3.0;     // how long playing a move takes
constexpr double kLongestStep_s = 0.1;  // after a pause nothing jumps
constexpr double kPause_s = 0.6;        // at its end, before it starts again
constexpr double kKeepAfter_s = 0.5;    // unsaved work is written this long after an edit
constexpr double kSettledFrom = 0.5;    // of the move: from here on the stance it ends in is of interest
constexpr std::chrono::milliseconds kStanceWait{8};
constexpr int kCalmFrames = 4;       // ImGui settles within these
constexpr float kLeftWidth = 21.0F;  // of font size
constexpr float kRightWidth = 23.0F;
constexpr float kLowerHeight = 15.5F;
constexpr float kLowerShare = 0.27F;   // of a large window
constexpr float kLeastMiddle = 22.0F;  // of font size: side panels give way below it

constexpr ImGuiWindowFlags kFixed = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                                    ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_NoBringToFrontOnFocus;

void begin_fixed(const char* name, float left, float top, float width, float height, ImGuiWindowFlags flags = 0) {
  ImGui::SetNextWindowPos({left, top});
  ImGui::SetNextWindowSize({width, height});
  ImGui::Begin(name, nullptr, kFixed | flags);
}

}  // namespace

Result<std::unique_ptr<App>> App::make(AppOptions options) {
  Result<OpenedScene> opened = open_default_scene();
  if (!opened) return tl::unexpected<Findings>(std::move(opened.error()));
  return std::unique_ptr<App>(new App(std::move(options), Document(std::move(*opened))));
}

App::App(AppOptions options, Document document)
    : options_(std::move(options)),
      document_(std::move(document)),
      view_(options_.renderer),
      opening_(options_.wake),
      drop_(options_.wake),
      saving_(options_.wake),
      export_(options_.wake) {
  IMGUI_CHECKVERSION();
  imgui_ = ImGui::CreateContext();
  ImGui::SetCurrentContext(imgui_);
  ImGuiIO& io = ImGui::GetIO();
  io.IniFilename = nullptr;
  io.ConfigWindowsMoveFromTitleBarOnly = true;
  map_keys(io);
  if (options_.has_marks) marks_.enable();
  if (!options_.is_quiet) settings_ = load_settings(options_.folders.config, options_.first_look);
  saved_settings_ = settings_;
  take_shapes(load_shaded_shapes(document_->inventory(), document_->inventory_folder()));
  ui_.is_playing = true;
  solver_ = std::make_unique<Solver>(options_.wake);
  explorer_ = std::make_unique<Explorer>(options_.wake);
  if (!options_.scene.empty()) {
    ui_.is_awaiting_scene = true;
    start_opening({options_.scene, std::nullopt});
  }
  if (options_.is_quiet) return;
  if (!settings_.has_seen_cautions) ui_.dialog = Dialog::kCautions;
  start_recovery();
}

App::~App() {
  ImGui::SetCurrentContext(imgui_);
  ImGui::DestroyContext(imgui_);
}

PanelContext App::make_context() { return {*document_, results_, palette_, ui_, settings_, intents_, marks_}; }

void App::set_display(int width_px, int height_px, float scale) {
  width_px = std::max(width_px, 1);
  height_px = std::max(height_px, 1);
  scale = std::clamp(scale, 0.5F, 4.0F);
  if (width_px == width_px_ && height_px == height_px_ && scale == scale_) return;
  width_px_ = width_px;
  height_px_ = height_px;
  scale_ = scale;
  calm_frames_ = 0;
}

void App::update_style() {
  const float scale = scale_ * static_cast<float>(settings_.text_scale);
  const bool is_same = styled_scale_ == scale && is_style_light_ == settings_.is_light;
  if (is_same && ImGui::GetIO().Fonts->IsBuilt()) return;
  palette_ = make_palette(settings_.is_light ? render::Theme::kLight : render::Theme::kDark, scale);
  apply_style(palette_);
  if (styled_scale_ != scale) {
    ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
    load_fonts(atlas, std::round(kFontSize * scale));
    unsigned char* pixels = nullptr;
    int width = 0;
    int height = 0;
    atlas.GetTexDataAsRGBA32(&pixels, &width, &height);
    if (on_fonts_) on_fonts_();
  }
  styled_scale_ = scale;
  is_style_light_ = settings_.is_light;
}

void App::take_results() {
  const auto accept = [this](std::vector<SolveUpdate> updates) {
    for (SolveUpdate& update : updates) {
      results_.accept(std::move(update));
      calm_frames_ = 0;
    }
  };
  accept(solver_->take_updates());
  accept(explorer_->take_updates());
}

bool App::is_comparison_open() const {
  if (compared_revision_ != document_->revision() || compared_move_ != ui_.move) return false;
  const ComparisonAnswer* known = results_.comparison();
  const auto& moves = document_->scene().moves;
  const auto index = static_cast<std::size_t>(ui_.move);
  if (ui_.move < 0 || index >= moves.size()) return false;
  return known == nullptr || known->revision != document_->revision() || known->move != moves[index].name;
}

void App::request_exploration() {
  const PanelContext context = make_context();
  const MoveAnswer* answer = context.answer();
  const bool has_answer = answer != nullptr && !context.is_stale(*answer) && !answer->result->frames.empty();
  const Asked asked{document_->revision(), ui_.move, settings_.has_reach, is_comparison_open(),
                    has_answer ? answer->result.get() : nullptr};
  ui_.is_comparing = asked.has_comparison;
  if (context.move() == nullptr || asked == explored_) return;
  // What was asked for is done: nothing new is wanted of the thread.
  const bool is_only_less = asked.revision == explored_.revision && asked.move == explored_.move &&
                            asked.has_reach == explored_.has_reach && asked.risk_of == explored_.risk_of &&
                            !asked.has_comparison;
  explored_ = asked;
  if (is_only_less) return;
  ExploreRequest request;
  request.revision = asked.revision;
  request.scene = document_->snapshot();
  request.move = ui_.move;
  request.wants_reach = asked.has_reach;
  if (has_answer && results_.find_risk(*answer->result) == nullptr) request.risk_of = *answer;
  request.wants_comparison = asked.has_comparison;
  explorer_->request(std::move(request));
}

bool App::request_solve() {
  const bool is_same = requested_revision_ == document_->revision() && requested_move_ == ui_.move &&
                       requested_hold_ == ui_.hold && requested_site_ == ui_.site;
  if (is_same) return false;
  const bool is_new = requested_revision_ != document_->revision();
  requested_revision_ = document_->revision();
  requested_move_ = ui_.move;
  requested_hold_ = ui_.hold;
  requested_site_ = ui_.site;
  SolveRequest request;
  request.revision = document_->revision();
  request.scene = document_->snapshot();
  request.first_move = ui_.move;
  for (const move::Move& move : document_->scene().moves) {
    const MoveAnswer* answer = results_.find(move.name);
    request.is_solved.push_back(answer != nullptr && answer->revision == request.revision);
  }
  if (const MoveAnswer* answer = make_context().answer(); answer != nullptr && !answer->result->frames.empty()) {
    const auto& frames = answer->result->frames;
    request.stance = StanceRequest{ui_.t >= kSettledFrom, frames[find_moment(frames, ui_.t).nearest()].posture};
  }
  // The forearm that hangs plumb below the hold, as for a stance that is not known yet.
  if (ui_.hold >= 0) request.survey = SurveyRequest{ui_.hold, ui_.site, 0.0};
  const bool has_stance = is_new && request.stance.has_value();
  solver_->request(std::move(request));
  return has_stance;
}

void App::advance_time(double dt_s) {
  ui_.status_left_s = std::max(0.0, ui_.status_left_s - dt_s);
  if (!ui_.is_playing || ui_.dialog != Dialog::kNone || ui_.is_awaiting_scene) return;
  ui_.t += std::min(dt_s, kLongestStep_s) / kMoveTime_s;
  if (ui_.t > 1.0 + kPause_s / kMoveTime_s) ui_.t = 0.0;
}

void App::clamp_selection() {
  const move::Scene& scene = document_->scene();
  ui_.move = std::clamp(ui_.move, scene.moves.empty() ? -1 : 0, static_cast<int>(scene.moves.size()) - 1);
  if (ui_.hold >= static_cast<int>(scene.holds.size())) ui_.hold = -1;
}

void App::keep_settings() {
  if (options_.is_quiet || settings_ == saved_settings_ || ImGui::IsAnyMouseDown()) return;
  saved_settings_ = settings_;
  if (const auto saved = save_settings(options_.folders.config, settings_); !saved) report(saved.error());
}

void App::keep_unsaved(double dt_s) {
  if (!autosaver_) return;
  since_kept_s_ += dt_s;
  if (const std::string fault = autosaver_->take_fault(); !fault.empty()) tell(fault, true, ui_);
  if (kept_revision_ == document_->revision() || since_kept_s_ < kKeepAfter_s) return;
  kept_revision_ = document_->revision();
  since_kept_s_ = 0.0;
  if (!document_->is_modified()) {
    autosaver_->keep(std::nullopt);
  } else {
    autosaver_->keep(UnsavedScene{document_->path(), io::write_scene(document_->scene(), document_->state().source)});
  }
}

void App::draw_left(float top, float width, float height) {
  const PanelContext context = make_context();
  // The list has what it needs within these shares; it does not jump while something is dragged.
  constexpr float kLeastShare = 0.35F;
  constexpr float kMostShare = 0.6F;
  const float needed = ui_.list_height + ui_.define_height + 3.0F * ImGui::GetFontSize();
  if (!ImGui::IsAnyMouseDown()) moves_height_ = needed;
  const float upper = std::floor(std::clamp(moves_height_, kLeastShare * height, kMostShare * height));
  begin_fixed("moves", 0.0F, top, width, upper);
  draw_move_list(context);
  ImGui::End();
  begin_fixed("stance", 0.0F, top + upper, width, height - upper);
  show_heading(context, "at this instant");
  ImGui::BeginChild("stance rows");
  draw_stance(context);
  ImGui::EndChild();
  ImGui::End();
}

void App::draw_right(float top, float left, float width, float height) {
  const PanelContext context = make_context();
  begin_fixed("settings", left, top, width, height);
  constexpr std::array<std::pair<const char*, void (*)(const PanelContext&)>, 4> kTabs = {
      {{"Hold", draw_hold}, {"Grips", draw_grips}, {"Wall", draw_wall}, {"Climber", draw_climber}}};
  if (ImGui::BeginTabBar("settings")) {
    for (std::size_t i = 0; i < kTabs.size(); ++i) {
      const bool is_wanted = ui_.wanted_side_tab == static_cast<int>(i);
      const bool is_open = ImGui::BeginTabItem(kTabs[i].first, nullptr, is_wanted ? ImGuiTabItemFlags_SetSelected : 0);
      marks_.note_last_item(std::string("tab.") + kTabs[i].first);
      if (!is_open) continue;
      ImGui::BeginChild("content");
      kTabs[i].second(context);
      ImGui::EndChild();
      ImGui::EndTabItem();
    }
    ui_.wanted_side_tab.reset();
    ImGui::EndTabBar();
  }
  ImGui::End();
}

void App::draw_middle(float top, float left, float width, float height) {
  const PanelContext context = make_context();
  const float font = ImGui::GetFontSize();
  const float wanted = std::max(kLowerHeight * font, kLowerShare * height);
  const float lower = std::floor(std::min(wanted, 0.45F * height));
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {0.0F, 0.0F});
  begin_fixed("picture", left, top, width, height - lower,
              ImGuiWindowFlags_NoScrollWithMouse | ImGuiWindowFlags_NoBackground);
  ImGui::PopStyleVar();
  view_.draw(context);
  ImGui::End();
  begin_fixed("course", left, top + height - lower, width, lower);
  if (ImGui::BeginTabBar("course")) {
    if (ImGui::BeginTabItem("Rise")) {
      draw_rise(context);
      ImGui::EndTabItem();
    }
    const bool is_comparison = ImGui::BeginTabItem("Grips compared");
    marks_.note_last_item("tab.Compared");
    if (is_comparison) {
      draw_comparison(context);
      ImGui::EndTabItem();
    }
    const bool is_open = ImGui::BeginTabItem("Log");
    marks_.note_last_item("tab.Log");
    if (is_open) {
      draw_log(context);
      ImGui::EndTabItem();
    }
    ImGui::EndTabBar();
  }
  ImGui::End();
}

void App::draw_windows() {
  if (ui_.is_awaiting_scene) {
    draw_awaited_scene(make_context());
  } else {
    draw_panels();
  }
  draw_dialog(make_context());
}

void App::draw_panels() {
  const float font = ImGui::GetFontSize();
  const auto width = static_cast<float>(width_px_);
  const float top = draw_menu_bar(make_context());
  const float height = static_cast<float>(height_px_) - top;
  float left_width = ui_.has_side_panels ? std::floor(kLeftWidth * font) : 0.0F;
  float right_width = ui_.has_side_panels ? std::floor(kRightWidth * font) : 0.0F;
  // A narrow window keeps the picture; the panels share the rest.
  const float most = std::max(0.0F, width - kLeastMiddle * font);
  if (left_width + right_width > most) {
    const float share = most / (left_width + right_width);
    left_width = std::floor(left_width * share);
    right_width = std::floor(right_width * share);
  }
  constexpr float kLeastPanel = 8.0F;
  if (left_width > kLeastPanel * font) draw_left(top, left_width, height);
  if (right_width > kLeastPanel * font) draw_right(top, width - right_width, right_width, height);
  draw_middle(top, left_width, width - left_width - right_width, height);
}

void App::solve_and_show() {
  // What is dragged is shown with its stance in the same frame, when that does not keep the picture back.
  if (request_solve()) {
    solver_->wait_update(kStanceWait);
    take_results();
  }
  view_.update(make_context());
  request_exploration();
}

void App::frame(double dt_s) {
  ImGui::SetCurrentContext(imgui_);
  ImGuiIO& io = ImGui::GetIO();
  update_style();
  calm_frames_ = input_.empty() ? calm_frames_ + 1 : 0;
  io.DisplaySize = {static_cast<float>(width_px_), static_cast<float>(height_px_)};
  io.DeltaTime = static_cast<float>(std::clamp(dt_s, 1e-4, kLongestStep_s));
  input_.pump(io);
  marks_.begin_frame();
  take_results();
  take_saved();
  take_exported();
  take_opened();
  take_dropped();
  advance_time(dt_s);
  clamp_selection();

  ImGui::NewFrame();
  handle_keys();
  draw_windows();
  for (const Intent& intent : intents_.take()) carry_out(intent);
  // What was to be done then is over when the file dialog was left without a file.
  if (after_save_ && ui_.dialog != Dialog::kSaveAs && !saving_.is_busy()) {
    after_save_ = nullptr;
    waiting_meshes_.clear();
  }
  ImGui::Render();

  clamp_selection();
  if (!ui_.is_awaiting_scene) solve_and_show();
  keep_unsaved(dt_s);
  keep_settings();
}

bool App::wants_frame() const {
  const bool is_running = ui_.is_playing && ui_.dialog == Dialog::kNone && !ui_.is_awaiting_scene;
  return !input_.empty() || calm_frames_ < kCalmFrames || is_running || view_.is_moving();
}

double App::find_rest_s() const {
  constexpr double kBlink_s = 0.5;  // of the mark in a text field
  double rest_s = std::numeric_limits<double>::infinity();
  if (autosaver_ && kept_revision_ != document_->revision()) rest_s = std::max(0.0, kKeepAfter_s - since_kept_s_);
  if (ui_.status_left_s > 0.0) rest_s = std::min(rest_s, ui_.status_left_s);
  if (imgui_->IO.WantTextInput) rest_s = std::min(rest_s, kBlink_s);
  return rest_s;
}

}  // namespace steepwright::viewer
