#include "viewer/panels/comparison_panel.h"

#include "engine/core/units.h"
#include "engine/io/quantities.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <array>
#include <cmath>

namespace steepwright::viewer {

namespace {

struct Column {
  const char* title;
  const char* sentence;
  float weight;
};
constexpr std::array<Column, 8> kColumns = {{
    {"grip", "Of the compared hand; the others hold as the move says.", 3.0F},
    {"verdict", "Of the whole move with this grip.", 2.5F},
    {"effort", "Largest share of all strength over the move.", 1.0F},
    {"use", "Largest share of what this hand can hold along its pull.", 1.0F},
    {"margin",
     "Slip-off margin: how far the pull may still swing, at its load, before the skin slips or, outward over the lip, "
     "the "
     "fingers open; the least over the move.",
     1.2F},
    {"load, N", "Largest force on this hand.", 1.0F},
    {"reach, mm", "Gained or lost on the way to the target against the move's own grip; strength is not asked.", 1.2F},
    {"fingers, N", "Index, middle, ring and little finger where the load is largest. No force is without risk.", 2.2F},
}};

constexpr float kLeastWidth = 40.0F;  // of font size, for all columns beside each other

std::string finger_text(const std::array<std::optional<double>, 4>& fingers_N) {
  std::string text;
  for (const auto& force_N : fingers_N) text += force_N ? fmt::format("{:.0f}  ", *force_N) : std::string("-  ");
  return text;
}

// Half a unit either way is 0, never -0.
double to_whole(double value) {
  const double whole = std::round(value);
  return whole == 0.0 ? 0.0 : whole;
}

std::array<std::string, kColumns.size()> find_cells(const move::ComparedGrip& grip) {
  std::string name(name_of(grip.grip));
  if (grip.is_own) name += " (own)";
  std::string reach = "-";
  if (grip.is_own) reach = "0";
  if (!grip.is_own && grip.reach_gain_m) {
    const double gain_mm = to_whole(mm_from_m(*grip.reach_gain_m));
    reach = gain_mm == 0.0 ? "0" : fmt::format("{:+.0f}", gain_mm);
  }
  const bool holds = grip.verdict == move::Verdict::kStatic;
  return {name,
          holds ? std::string("static") : fmt::format("not static, {}", name_of(grip.cause)),
          io::show_percent(grip.effort_peak),
          grip.use_peak ? io::show_percent(*grip.use_peak) : "-",
          grip.slip_off ? fmt::format("{:.0f}°", to_whole(deg_from_rad(grip.slip_off->margin))) : "-",
          fmt::format("{:.0f}", grip.load_peak_N),
          reach,
          finger_text(grip.fingers_N)};
}

void draw_hand(const PanelContext& context, const move::GripComparison& hand) {
  const std::string title =
      fmt::format("{}{}, {}", long_name(hand.limb), hand.is_target ? " at its target" : " (lower)", hand.hold);
  show_heading(context, title.c_str());
  // Where not all columns fit, the table is moved sideways.
  const float font = ImGui::GetFontSize();
  const bool is_narrow = ImGui::GetContentRegionAvail().x < kLeastWidth * font;
  const float height = static_cast<float>(hand.grips.size() + 1) * ImGui::GetTextLineHeightWithSpacing() +
                       ImGui::GetStyle().ScrollbarSize + 0.5F * font;
  const ImGuiTableFlags width_flags =
      is_narrow ? ImGuiTableFlags_ScrollX | ImGuiTableFlags_SizingFixedFit : ImGuiTableFlags_SizingStretchProp;
  if (ImGui::BeginTable(std::string(short_name(hand.limb)).c_str(), static_cast<int>(kColumns.size()),
                        ImGuiTableFlags_RowBg | width_flags, {0.0F, is_narrow ? height : 0.0F})) {
    if (is_narrow) ImGui::TableSetupScrollFreeze(1, 0);
    for (const Column& column : kColumns)
      ImGui::TableSetupColumn(column.title, ImGuiTableColumnFlags_None, is_narrow ? 0.0F : column.weight);
    // An ordinary row, so that columns are as wide as their titles.
    ImGui::TableNextRow();
    ImGui::TableSetBgColor(ImGuiTableBgTarget_RowBg0, ImGui::GetColorU32(ImGuiCol_TableHeaderBg));
    for (const Column& column : kColumns) {
      ImGui::TableNextColumn();
      ImGui::TextDisabled("%s", column.title);
      explain(column.sentence);
    }
    for (const move::ComparedGrip& grip : hand.grips) {
      ImGui::TableNextRow();
      const auto cells = find_cells(grip);
      for (std::size_t i = 0; i < cells.size(); ++i) {
        ImGui::TableNextColumn();
        ImGui::PushStyleColor(ImGuiCol_Text, grip.is_own ? context.palette.text : context.palette.faint_text);
        ImGui::TextUnformatted(cells[i].c_str());
        ImGui::PopStyleColor();
        if (i == 1 && !grip.cause_text.empty()) explain(grip.cause_text.c_str());
      }
    }
    ImGui::EndTable();
    context.marks.note_last_item(fmt::format("compared.table/{}", short_name(hand.limb)));
  }
  for (const auto& shut : hand.shut) show_faint(context, fmt::format("{}: {}", name_of(shut.grip), shut.reason));
}

}  // namespace

void draw_comparison(const PanelContext& context) {
  const move::Move* move = context.move();
  if (move == nullptr) {
    ImGui::TextDisabled("No move is selected.");
    return;
  }
  if (!is_hand(move->moving)) {
    ImGui::TextDisabled("Grips are compared for moves of a hand.");
    return;
  }
  const ComparisonAnswer* answer = context.results.comparison();
  if (answer != nullptr && answer->move != move->name) answer = nullptr;
  const bool is_present = answer != nullptr && answer->revision == context.document.revision();
  if (click_button(context, "compared.ask", "Compare the grips",
                   "Traces the move with every grip that the holds of the lower and of the moving hand allow.",
                   !is_present && !context.ui.is_comparing))
    context.intents.add(CompareGrips{});
  if (context.ui.is_comparing || (answer != nullptr && !is_present)) {
    ImGui::SameLine();
    ImGui::TextDisabled(context.ui.is_comparing ? "being computed" : "before the last change");
  }
  if (answer == nullptr) {
    show_faint(
        context,
        "The whole move with every grip that the holds of the lower and of the moving hand leave room for: verdict, "
        "effort, slip-off margin, load of each finger.");
    return;
  }
  ImGui::BeginChild("compared");
  for (const move::GripComparison& hand : *answer->hands) draw_hand(context, hand);
  ImGui::EndChild();
}

}  // namespace steepwright::viewer
