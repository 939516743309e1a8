#include "viewer/panels/climber_panel.h"

#include "engine/core/units.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

namespace steepwright::viewer {

namespace {

using enum io::FileKind;

constexpr double kTenths = 10.0;
constexpr double kHundredths = 100.0;

// A measure that follows from the stature unless it was taken.
void edit_measured(const PanelContext& context, const char* name, const char* label, std::optional<double>& value_m,
                   double by_stature_m, const SliderRange& range, bool& is_changed) {
  bool is_taken = value_m.has_value();
  ImGui::PushID(name);
  if (ImGui::Checkbox("##taken", &is_taken)) {
    value_m = is_taken ? std::optional(std::round(mm_from_m(by_stature_m)) / 1000.0) : std::nullopt;
    static_cast<void>(context.ui.begin_gesture());
    is_changed = true;
  }
  context.marks.note_last_item(std::string(name) + ".taken");
  explain("Ticked: as measured. Not ticked: it follows from the stature.");
  ImGui::SameLine();
  ImGui::BeginDisabled(!value_m);
  const auto edited = edit_number(context, name, label, mm_from_m(value_m.value_or(by_stature_m)), range,
                                  "Tick the box to enter what was measured; otherwise from the stature.");
  ImGui::EndDisabled();
  ImGui::PopID();
  if (!edited || !value_m) return;
  value_m = *edited / 1000.0;
  is_changed = true;
}

bool edit_body(const PanelContext& context, move::Climber& climber) {
  body::Measures& measures = climber.measures;
  bool is_changed = false;
  const auto take = [&is_changed](const std::optional<double>& edited, double per_unit, double& value) {
    if (!edited) return;
    value = *edited / per_unit;
    is_changed = true;
  };
  take(edit_number(context, "climber.stature", "stature (mm)", mm_from_m(measures.stature_m),
                   find_key_range(kClimber, "stature_mm"), "Height without shoes."),
       1000.0, measures.stature_m);
  take(edit_number(context, "climber.mass", "mass (kg)", measures.mass_kg,
                   find_key_range(kClimber, "mass_kg", kTenths, "%.1f"), "Body mass with clothes and shoes."),
       1.0, measures.mass_kg);
  const MoveAnswer* answer = context.answer();
  const double span_m = answer == nullptr ? measures.stature_m : answer->body->span_m;
  edit_measured(context, "climber.span", "span (mm)", measures.span_m, span_m, find_key_range(kClimber, "span_mm"),
                is_changed);
  const std::vector<std::string> flexibilities = {"average", "flexible", "very flexible"};
  const auto flexibility =
      edit_choice(context, "climber.flexibility", "flexibility", flexibilities, static_cast<int>(measures.flexibility),
                  "Range of the joints, most of all hips and shoulders.");
  if (flexibility) {
    measures.flexibility = static_cast<body::Flexibility>(*flexibility);
    is_changed = true;
  }
  return is_changed;
}

bool edit_strength(const PanelContext& context, move::Climber& climber) {
  body::Measures& measures = climber.measures;
  bool is_changed = false;
  const auto edit = [&](const char* name, const char* key, const char* label, double& value, const char* sentence) {
    const SliderRange range = find_key_range(kClimber, key, kHundredths, "%.2f");
    const auto edited = edit_number(context, name, label, value, range, sentence);
    if (edited) value = *edited;
    is_changed = is_changed || edited;
  };
  edit("climber.arms", "arm_strength", "arms (factor)", measures.arm_strength,
       "Shoulder, elbow and wrist: factor on the median person of this sex and size.");
  edit("climber.core", "core_strength", "trunk (factor)", measures.core_strength, "Trunk and neck: the same.");
  edit("climber.legs", "leg_strength", "legs (factor)", measures.leg_strength, "Hip, knee and ankle: the same.");
  return is_changed;
}

bool edit_fingers(const PanelContext& context, move::Climber& climber) {
  bool is_changed = false;
  const auto force = edit_number(context, "climber.edge_force", "hang (N)", climber.fingers.edge_force_N,
                                 find_key_range(kClimber, "fingers.edge_force_N"),
                                 "Force that one hand holds for some seconds on the edge below, measured.");
  if (force) {
    climber.fingers.edge_force_N = *force;
    climber.fingers.is_measured = true;
    is_changed = true;
  }
  show_value(context, "on an edge of",
             fmt::format("{:.0f} mm, {}", mm_from_m(climber.fingers.edge_depth_m), name_of(climber.fingers.edge_grip)),
             "The edge and the grip of that hang.");
  show_value(context, "that is", climber.fingers.is_measured ? "measured" : "an ability's default",
             "Whether somebody measured the hang, or it was taken from an ability.");
  if (ImGui::Checkbox("chalked hands", &climber.chalked)) {
    static_cast<void>(context.ui.begin_gesture());
    is_changed = true;
  }
  context.marks.note_last_item("climber.chalk");
  explain("Chalk raises the friction of the hands by 15 to 20 %.");
  return is_changed;
}

}  // namespace

void draw_climber(const PanelContext& context) {
  move::Climber climber = context.document.scene().climber;
  if (!climber.measures.name.empty()) show_wrapped(climber.measures.name);
  show_heading(context, "body");
  bool is_changed = edit_body(context, climber);
  show_heading(context, "strength");
  is_changed = edit_strength(context, climber) || is_changed;
  show_heading(context, "fingers of one hand");
  is_changed = edit_fingers(context, climber) || is_changed;
  if (is_changed) context.intents.edit(SetClimber{climber}, context.ui.open_gesture);
}

}  // namespace steepwright::viewer
