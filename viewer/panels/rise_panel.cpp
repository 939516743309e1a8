#include "viewer/panels/rise_panel.h"

#include "engine/core/units.h"
#include "engine/io/quantities.h"
#include "viewer/panels/plot.h"
#include "viewer/panels/widgets.h"
#include "viewer/scene_view/timeline.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::viewer {

namespace {

struct QuantityText {
  PlotQuantity quantity;
  const char* name;
  const char* label;
  const char* sentence;
};
constexpr std::array<QuantityText, 3> kQuantities = {
    {{PlotQuantity::kUse, "use", "use, %", "Force over the most that the limb can hold in that direction."},
     {PlotQuantity::kForce, "force", "force, N", "Force of the hold on the limb."},
     {PlotQuantity::kSlipMargin, "slip-off margin", "slip-off margin, °",
      "How far the pull may still swing, at its load, before the limb comes off: friction lets go, or the pull swings "
      "so far outward over the lip that the fingers open."}}};

double value_of(const move::ContactResult& contact, PlotQuantity quantity) {
  switch (quantity) {
    case PlotQuantity::kUse:
      return 100.0 * contact.capacity_use;
    case PlotQuantity::kForce:
      return contact.f_C_W.norm();
    case PlotQuantity::kSlipMargin:
      return deg_from_rad(contact.slip_off.margin);
  }
  return 0.0;
}

double find_x(const move::Frame& frame, PlotAxis axis) {
  return axis == PlotAxis::kTime ? 100.0 * frame.t : mm_from_m(frame.p_Wcm.z());
}

// Limbs are told apart by their dashes, the lower hand by its width: colour is for use.
PlotLine make_line(Limb limb, bool is_lower, const move::MoveResult& result, const UiState& ui) {
  constexpr std::array<float, 4> kDashes = {0.0F, 9.0F, 2.5F, 5.0F};
  PlotLine line;
  line.label = std::string(short_name(limb)) + (is_lower ? " (lower)" : "");
  line.width = is_lower ? 3.4F : 1.7F;
  line.dash = kDashes[index_of(limb)];
  line.points.reserve(result.frames.size());
  for (const move::Frame& frame : result.frames) {
    const move::ContactResult* contact = frame.find_contact(limb);
    const bool is_there = frame.has_posture && contact != nullptr && contact->is_loaded;
    const double y = is_there ? value_of(*contact, ui.quantity) : std::numeric_limits<double>::quiet_NaN();
    line.points.push_back({find_x(frame, ui.axis), y, is_there ? std::max(0.0, contact->capacity_use) : -1.0});
  }
  return line;
}

// 5 to 95 % of the draws; the lower hand's is the stronger.
PlotBand make_band(Limb limb, bool is_lower, const move::MoveResult& result, const move::MoveRisk& risk,
                   PlotAxis axis) {
  PlotBand band;
  band.opacity = is_lower ? 0.22F : 0.09F;
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  band.slices.reserve(result.frames.size());
  for (std::size_t i = 0; i < result.frames.size() && i < risk.frames.size(); ++i) {
    const auto& margin = risk.frames[i].slip_off_margin[index_of(limb)];
    band.slices.push_back({find_x(result.frames[i], axis), margin ? deg_from_rad(margin->low) : kNone,
                           margin ? deg_from_rad(margin->high) : kNone});
  }
  return band;
}

PlotRange find_y_range(const Plot& plot, PlotQuantity quantity) {
  PlotRange range{0.0, quantity == PlotQuantity::kUse ? 110.0 : 10.0};
  constexpr double kMostShown = 400.0;
  for (const PlotLine& line : plot.lines) {
    for (const PlotPoint& point : line.points) {
      if (!std::isfinite(point.y)) continue;
      range.lower = std::min(range.lower, 1.05 * point.y);
      range.upper = std::max(range.upper, 1.05 * point.y);
    }
  }
  for (const PlotBand& band : plot.bands) {
    for (const PlotBand::Slice& slice : band.slices) {
      if (std::isfinite(slice.low)) range.lower = std::min(range.lower, 1.05 * slice.low);
      if (std::isfinite(slice.high)) range.upper = std::max(range.upper, 1.05 * slice.high);
    }
  }
  if (quantity == PlotQuantity::kUse) range.upper = std::min(range.upper, kMostShown);
  return range;
}

Plot make_plot(const move::MoveResult& result, const move::MoveRisk* risk, const UiState& ui) {
  Plot plot;
  plot.lines.reserve(kLimbs.size());
  plot.x_marks.reserve(8);
  for (const Limb limb : kLimbs) {
    PlotLine line = make_line(limb, result.lower_hand == limb, result, ui);
    const bool has_any = std::any_of(line.points.begin(), line.points.end(),
                                     [](const PlotPoint& point) { return std::isfinite(point.y); });
    if (!has_any) continue;
    plot.lines.push_back(std::move(line));
    if (risk != nullptr && ui.quantity == PlotQuantity::kSlipMargin && is_hand(limb))
      plot.bands.push_back(make_band(limb, result.lower_hand == limb, result, *risk, ui.axis));
  }
  plot.x_title = ui.axis == PlotAxis::kTime ? "share of the move, %" : "height of the centre of mass, mm";
  plot.x = {0.0, 100.0};
  if (ui.axis == PlotAxis::kComHeight) {
    plot.x = {1e9, -1e9};
    for (const move::Frame& frame : result.frames) {
      plot.x.lower = std::min(plot.x.lower, find_x(frame, ui.axis));
      plot.x.upper = std::max(plot.x.upper, find_x(frame, ui.axis));
    }
    if (plot.x.upper - plot.x.lower < 1.0) plot.x = {plot.x.lower - 1.0, plot.x.upper + 1.0};
  } else {
    for (std::size_t i = 0; i < result.frames.size(); ++i) {
      if (i == 0 || result.frames[i].phase != result.frames[i - 1].phase)
        plot.x_marks.emplace_back(100.0 * result.frames[i].t, std::string(name_of(result.frames[i].phase)));
    }
  }
  plot.y = find_y_range(plot, ui.quantity);
  if (ui.quantity == PlotQuantity::kUse) plot.y_marks = {100.0};
  if (ui.quantity == PlotQuantity::kSlipMargin) plot.y_marks = {0.0};
  const Moment moment = find_moment(result.frames, ui.t);
  plot.cursor_x = (1.0 - moment.share) * find_x(result.frames[moment.lower], ui.axis) +
                  moment.share * find_x(result.frames[moment.upper], ui.axis);
  return plot;
}

// The instant whose centre of mass is nearest to a height.
double find_time_at_height(const move::MoveResult& result, double height_mm) {
  const auto nearest = std::min_element(result.frames.begin(), result.frames.end(), [&](const auto& a, const auto& b) {
    return std::abs(mm_from_m(a.p_Wcm.z()) - height_mm) < std::abs(mm_from_m(b.p_Wcm.z()) - height_mm);
  });
  return nearest->t;
}

// On the same line where that has room for it.
void go_on_beside(float width) {
  const float gap = 1.6F * ImGui::GetFontSize();
  const float right = ImGui::GetItemRectMax().x - ImGui::GetWindowPos().x + gap + width;
  if (right < ImGui::GetContentRegionMax().x) ImGui::SameLine(0.0F, gap);
}

void draw_controls(const PanelContext& context) {
  UiState& ui = context.ui;
  if (click_button(context, "rise.play", ui.is_playing ? "Pause" : "Play", "Runs through the move (Space)."))
    ui.is_playing = !ui.is_playing;
  for (const QuantityText& text : kQuantities) {
    ImGui::SameLine();
    if (ImGui::RadioButton(text.label, ui.quantity == text.quantity)) ui.quantity = text.quantity;
    context.marks.note_last_item(fmt::format("rise.quantity/{}", text.name));
    explain(text.sentence);
  }
  go_on_beside(ImGui::GetFrameHeight() + ImGui::CalcTextSize("over height").x + ImGui::GetFontSize());
  bool is_over_height = ui.axis == PlotAxis::kComHeight;
  if (ImGui::Checkbox("over height", &is_over_height))
    ui.axis = is_over_height ? PlotAxis::kComHeight : PlotAxis::kTime;
  context.marks.note_last_item("rise.axis");
  explain("Against the height of the centre of mass instead of the time.");
}

// How sure the move is, or that what is shown is old: one place for both, so that the plot keeps its height.
void draw_standing(const PanelContext& context, const MoveAnswer& answer) {
  const move::MoveRisk* risk = context.risk();
  const std::string text = context.is_stale(answer) ? "before the last change"
                           : risk != nullptr
                               ? fmt::format("fails in {} of the draws", io::show_percent(risk->fail_share))
                               : "";
  go_on_beside(ImGui::CalcTextSize("fails in 100 % of the draws").x);
  ImGui::TextDisabled("%s", text.c_str());
  if (risk == nullptr) return;
  explain(
      "The move in 1000 worlds that differ a little in friction, strength, build and how holds and hands lie. The "
      "spreads are assumed. Bands of the hands' slip-off margin: 5 to 95 % of the draws.");
}

}  // namespace

void draw_rise(const PanelContext& context) {
  const MoveAnswer* answer = context.answer();
  if (context.move() == nullptr) {
    ImGui::TextDisabled("No move is selected.");
    return;
  }
  if (answer == nullptr || answer->result->frames.empty()) {
    ImGui::TextDisabled("The move is being solved.");
    return;
  }
  draw_controls(context);
  draw_standing(context, *answer);
  const Plot plot = make_plot(*answer->result, context.risk(), context.ui);
  const auto x = draw_plot(context, "rise.plot", plot);
  if (!x) return;
  context.ui.is_playing = false;
  context.ui.t = context.ui.axis == PlotAxis::kTime ? *x / 100.0 : find_time_at_height(*answer->result, *x);
}

void draw_log(const PanelContext& context) {
  ImGui::BeginChild("log");
  ImGui::PushTextWrapPos(0.0F);
  for (const Finding& warning : context.document.warnings())
    ImGui::TextUnformatted(("scene: " + to_text(warning)).c_str());
  if (const MoveAnswer* answer = context.answer(); answer != nullptr && context.results.is_done(answer->revision)) {
    std::string text = "solved: ";
    if (const StanceAnswer* stance = context.results.stance())
      text += fmt::format("last stance after {:.0f} ms, ", 1e3 * stance->solved_s);
    // Moves that are as they were are not solved again.
    if (const double first_s = context.results.done().first_move_s; first_s > 0.0)
      text += fmt::format("first move after {:.0f} ms, ", 1e3 * first_s);
    text += fmt::format("all after {:.0f} ms", 1e3 * context.results.done().all_s);
    ImGui::TextDisabled("%s", text.c_str());
  }
  for (auto line = context.ui.log.rbegin(); line != context.ui.log.rend(); ++line)
    ImGui::TextUnformatted(line->text.c_str());
  if (context.document.warnings().empty() && context.ui.log.empty()) ImGui::TextDisabled("Nothing to report.");
  ImGui::PopTextWrapPos();
  ImGui::EndChild();
  context.marks.note_last_item("log");
}

}  // namespace steepwright::viewer
