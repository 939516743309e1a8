#include "viewer/panels/move_panel.h"

#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/quantities.h"
#include "viewer/commands/limb_sites.h"
#include "viewer/panels/widgets.h"
#include "viewer/scene_view/timeline.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace steepwright::viewer {

namespace {

constexpr const char* kEffort =
    "Effort: share of grip and joint strength that is used at the hardest instant of the move.";

void draw_verdict(const PanelContext& context, const MoveAnswer* answer) {
  if (answer == nullptr) return show_faint(context, "being solved");
  std::string text(move::name_of(answer->result->verdict));
  if (!answer->result->cause_text.empty()) text += " \u2014 " + answer->result->cause_text;
  if (const move::CutLoose* cut = context.results.find_cut_loose(*answer->result))
    text += "; " + io::describe_cut_loose(*cut);
  ImGui::BeginGroup();
  show_faint(context, text);
  ImGui::EndGroup();
  explain(
      "Static: the body holds still at every instant of the move; what is used most comes behind it. Not static: what "
      "gives out first, and by how much. Faded: from before the last change, and being solved.");
}

bool is_old(const PanelContext& context, const MoveAnswer* answer) {
  return answer != nullptr && context.is_stale(*answer);
}

// The name, and at the right edge the effort of a move that holds: what fails has its own amount in its cause.
void draw_name(const PanelContext& context, const move::Move& move, const MoveAnswer* answer) {
  const float right = ImGui::GetContentRegionMax().x - 0.4F * ImGui::GetFontSize();
  const bool holds = answer != nullptr && answer->result->verdict == move::Verdict::kStatic;
  const std::string effort = holds ? io::show_percent(answer->result->effort_peak) : "";
  const float width = ImGui::CalcTextSize(effort.c_str()).x;
  ImGui::PushTextWrapPos(right - width - ImGui::GetFontSize());
  ImGui::TextUnformatted(move.name.c_str());
  ImGui::PopTextWrapPos();
  if (!holds) return;
  ImGui::SameLine(right - width);
  ImGui::TextColored(ImGui::ColorConvertU32ToFloat4(to_u32(context.palette.faint_text)), "%s", effort.c_str());
  explain(kEffort);
}

void draw_row(const PanelContext& context, int index) {
  const move::Move& move = context.document.scene().moves[static_cast<std::size_t>(index)];
  const MoveAnswer* answer = context.results.find(move.name);
  const bool is_selected = context.ui.move == index;
  ImGui::PushID(index);
  ImDrawList* list = ImGui::GetWindowDrawList();
  list->ChannelsSplit(2);
  list->ChannelsSetCurrent(1);
  const ImVec2 start = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  const float pad = 0.4F * ImGui::GetFontSize();
  ImGui::BeginGroup();
  ImGui::Dummy({width, 0.2F * pad});
  ImGui::Indent(pad);
  draw_name(context, move, answer);
  // Faded only: a list whose lines came and went would jump while something is dragged.
  constexpr float kOld = 0.6F;
  if (is_old(context, answer)) ImGui::PushStyleVar(ImGuiStyleVar_Alpha, kOld);
  const double use = answer == nullptr ? 0.0 : answer->result->effort_peak;
  show_use_bar(context, use, width - 2.0F * pad, 0.32F * ImGui::GetFontSize());
  explain(kEffort);
  draw_verdict(context, answer);
  if (is_old(context, answer)) ImGui::PopStyleVar();
  ImGui::Unindent(pad);
  ImGui::EndGroup();
  const ImVec2 end(start.x + width, ImGui::GetItemRectMax().y + pad * 0.6F);
  list->ChannelsSetCurrent(0);
  if (is_selected) list->AddRectFilled(start, end, to_u32(context.palette.frame), 4.0F * context.palette.scale);
  const bool is_hovered = ImGui::IsMouseHoveringRect(start, end) && ImGui::IsWindowHovered();
  if (is_hovered && !is_selected) list->AddRect(start, end, to_u32(context.palette.line), 4.0F * context.palette.scale);
  list->ChannelsMerge();
  if (is_hovered && ImGui::IsMouseClicked(ImGuiMouseButton_Left)) context.ui.move = index;
  context.marks.note(fmt::format("move.{}", index), {start.x, start.y, end.x, end.y});
  ImGui::SetCursorScreenPos({start.x, end.y});
  ImGui::Spacing();
  ImGui::PopID();
}

void draw_define(const PanelContext& context) {
  DefineMode& define = context.ui.define;
  if (!define.is_on) {
    if (click_button(context, "moves.define", "Define a move",
                     "A new move from the stance on the screen: click a limb, then the hold it goes to."))
      define = {true, std::nullopt};
    ImGui::SameLine();
    if (click_button(context, "moves.delete", "Delete", "Deletes the selected move. Undo brings it back.",
                     context.move() != nullptr))
      context.intents.edit(DeleteMove{context.ui.move});
    return;
  }
  ImGui::PushTextWrapPos(0.0F);
  ImGui::TextUnformatted(define.limb ? "Now click the hold it goes to."
                                     : "Which limb moves? Click it, or choose here.");
  ImGui::PopTextWrapPos();
  for (const Limb limb : kLimbs) {
    if (index_of(limb) % 2 == 1) ImGui::SameLine();
    const bool is_chosen = define.limb == limb;
    if (is_chosen) ImGui::PushStyleColor(ImGuiCol_Button, context.palette.strong);
    if (click_button(context, fmt::format("define.{}", short_name(limb)).c_str(), std::string(long_name(limb)).c_str()))
      define.limb = limb;
    if (is_chosen) ImGui::PopStyleColor();
  }
  if (click_button(context, "define.cancel", "Cancel (Esc)")) define = {};
}

// One limb of the stance at the scrubbed instant.
struct LimbRow {
  Limb limb = Limb::kLeftHand;
  const move::LimbPlace* place = nullptr;
  bool is_target = false;
  std::optional<ContactNumbers> contact;
};

std::string describe_place(const move::Scene& scene, const move::LimbPlace* place) {
  if (place == nullptr) return "free";
  if (place->hold < 0) return "smear on " + scene.wall.strips[static_cast<std::size_t>(place->strip)].name;
  const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(place->hold)];
  if (hold.hold.sites.size() < 2) return hold.name;
  return hold.name + ", " + hold.hold.sites[static_cast<std::size_t>(place->site)].name;
}

void draw_grip(const PanelContext& context, const LimbRow& row) {
  const move::PlacedHold& hold = context.document.scene().holds[static_cast<std::size_t>(row.place->hold)];
  const auto& grips = hold.hold.sites[static_cast<std::size_t>(row.place->site)].grips;
  std::vector<std::string> names;
  names.reserve(grips.size());
  int present = -1;
  for (std::size_t i = 0; i < grips.size(); ++i) {
    names.emplace_back(name_of(grips[i]));
    if (row.place->grip == grips[i]) present = static_cast<int>(i);
  }
  const std::string name = fmt::format("grip.{}", short_name(row.limb));
  const auto chosen = edit_choice(context, name.c_str(), "   grip", names, present,
                                  "How the hand holds. Only grips that the shape leaves room for are listed.");
  if (chosen)
    context.intents.edit(SetGrip{context.ui.move, row.limb, row.is_target, grips[static_cast<std::size_t>(*chosen)]});
}

void draw_numbers(const PanelContext& context, const LimbRow& row) {
  if (!row.contact) return;
  const ContactNumbers& contact = *row.contact;
  const std::string force =
      fmt::format("{:.0f} N, {} used", contact.f_C_W.norm(), io::show_percent(contact.capacity_use));
  show_value(context, "   force", force,
             "Force of the hold on the limb at this instant, and the share that it takes of what the limb can hold in "
             "that direction.");
  // Half a degree either way is 0, never -0.
  const double margin_deg = std::round(deg_from_rad(contact.slip_off.margin));
  const std::string margin =
      fmt::format("{:.0f}°, {}", margin_deg == 0.0 ? 0.0 : margin_deg, name_of_end(contact.slip_off));
  show_value(
      context, "   slip-off margin", margin,
      "How far the pull may still swing, at its load, before the limb comes off, and what lets go then: friction, or "
      "strength where it swings outward over the lip; below zero it is beyond that.");
}

LimbRow find_row(const PanelContext& context, const move::Move& move, Limb limb) {
  LimbRow row;
  row.limb = limb;
  row.is_target = limb == move.moving;
  const auto& before = move.before.limbs[index_of(limb)];
  row.place = before ? &*before : nullptr;
  // The moving limb's grip is that of the hold that it goes to, once it is there.
  const bool is_after = context.ui.t >= 0.5;
  if (row.is_target && is_after) row.place = &move.target;
  if (row.is_target && !is_after) row.is_target = false;
  return row;
}

}  // namespace

void draw_move_list(const PanelContext& context) {
  UiState& ui = context.ui;
  const auto& moves = context.document.scene().moves;
  const bool has_old = std::any_of(moves.begin(), moves.end(), [&](const move::Move& move) {
    return is_old(context, context.results.find(move.name));
  });
  show_heading(context, has_old ? "moves, faded: before the last change" : "moves");
  const auto count = static_cast<int>(moves.size());
  // What lies below keeps its place; both heights are those of the last frame.
  const float room = std::max(ImGui::GetContentRegionAvail().y - ui.define_height, 2.0F * ImGui::GetFontSize());
  ImGui::BeginChild("move list", {0.0F, std::min(room, std::max(ui.list_height, ImGui::GetFontSize()))});
  if (count == 0) show_faint(context, "No moves yet.");
  for (int i = 0; i < count; ++i) draw_row(context, i);
  ui.list_height = ImGui::GetCursorPosY();
  ImGui::EndChild();
  const float upper = ImGui::GetCursorPosY();
  draw_define(context);
  ui.define_height = ImGui::GetCursorPosY() - upper + ImGui::GetStyle().ItemSpacing.y;
}

void draw_stance(const PanelContext& context) {
  const move::Move* move = context.move();
  if (move == nullptr) {
    ImGui::TextDisabled("No move is selected.");
    return;
  }
  if (const auto name = edit_text(context, "move.name", "name", move->name, "What the move is called in reports."))
    context.intents.edit(RenameMove{context.ui.move, *name});
  const MoveAnswer* answer = context.answer();
  const StanceAnswer* ahead = context.stance_ahead();
  const bool has_frames = answer != nullptr && !answer->result->frames.empty();
  const Moment moment = has_frames ? find_moment(answer->result->frames, context.ui.t) : Moment{};
  // Posture, limit and the like are those of the nearer frame, numbers lie between.
  const move::Frame* frame = ahead != nullptr ? ahead->frame.get()
                             : has_frames     ? &answer->result->frames[moment.nearest()]
                                              : nullptr;
  for (const Limb limb : kLimbs) {
    LimbRow row = find_row(context, *move, limb);
    if (ahead != nullptr) {
      row.contact = find_contact_numbers(*frame, limb);
    } else if (has_frames) {
      row.contact = find_contact_at(answer->result->frames, moment, limb);
    }
    const bool is_lower = answer != nullptr && answer->result->lower_hand == limb;
    std::string label(long_name(limb));
    if (is_lower) label += " (lower)";
    ImGui::Spacing();
    show_value(context, label.c_str(), describe_place(context.document.scene(), row.place),
               is_lower ? "The loaded hand below the moving one: it feels the body rise past it."
                        : "Where the limb is at this instant.");
    if (is_hand(limb) && row.place != nullptr && row.place->hold >= 0) draw_grip(context, row);
    draw_numbers(context, row);
  }
  if (frame == nullptr) return;
  ImGui::Spacing();
  if (frame->has_posture) {
    const double effort = ahead != nullptr ? frame->effort : find_effort_at(answer->result->frames, moment);
    show_value(context, "effort", io::show_percent(effort),
               "Smallest share of all grip and joint strength with which this instant holds; over 100 % it does not.");
  } else {
    ImGui::TextDisabled("not reached: the nearest posture is shown");
  }
  if (const move::MoveRisk* risk = context.risk(); risk != nullptr && context.stance_ahead() == nullptr) {
    const std::size_t nearest = find_moment(answer->result->frames, context.ui.t).nearest();
    show_value(context, "risk", io::show_percent(risk->frames[nearest].fail_share),
               "Share of the draws over friction, strength, build and placing in which this instant fails; their "
               "spreads are assumed.");
  }
  if (!frame->limit.empty())
    show_value(context, "limit", frame->limit, "What is used most, or gives out first, at this instant.");
}

}  // namespace steepwright::viewer
