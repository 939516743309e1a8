#include "viewer/panels/hold_panel.h"

#include "engine/core/units.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>

namespace steepwright::viewer {

namespace {

int index_of_name(const std::vector<std::string>& names, const std::string& name) {
  const auto found = std::find(names.begin(), names.end(), name);
  return found == names.end() ? -1 : static_cast<int>(found - names.begin());
}

// The longest strip: where a new hold is wanted unless one is selected.
int find_main_strip(const wall::Wall& wall) {
  const auto longest =
      std::max_element(wall.strips.begin(), wall.strips.end(),
                       [](const wall::Strip& a, const wall::Strip& b) { return a.length_m < b.length_m; });
  return static_cast<int>(longest - wall.strips.begin());
}

void draw_add(const PanelContext& context) {
  show_heading(context, "add a hold");
  const std::vector<std::string> models = context.document.inventory().names();
  std::string& wanted = context.ui.texts["hold.add.model"];
  if (index_of_name(models, wanted) < 0 && !models.empty()) wanted = models.front();
  const auto chosen = edit_choice(context, "hold.add.model", "shape", models, index_of_name(models, wanted),
                                  "A shape of the inventory.");
  if (chosen) wanted = models[static_cast<std::size_t>(*chosen)];
  if (!click_button(context, "hold.add", "Add to the wall",
                    "Bolts it to the free T-nut nearest to the selected hold, or to the middle of the longest panel."))
    return;
  const move::Scene& scene = context.document.scene();
  AddHold command;
  command.model = wanted;
  if (context.ui.hold >= 0) {
    const move::PlacedHold& near = scene.holds[static_cast<std::size_t>(context.ui.hold)];
    command.strip = near.strip;
    command.across_m = near.across_m;
    command.up_m = near.up_m;
  } else {
    command.strip = find_main_strip(scene.wall);
    const wall::Strip& strip = scene.wall.strips[static_cast<std::size_t>(command.strip)];
    command.across_m = 0.5 * strip.width_m;
    command.up_m = 0.5 * strip.length_m;
  }
  context.intents.edit(command);
}

void draw_place(const PanelContext& context, const move::PlacedHold& hold) {
  const wall::Strip& strip = context.document.scene().wall.strips[static_cast<std::size_t>(hold.strip)];
  show_value(context, "on", fmt::format("{}, {:.0f}°", strip.name, deg_from_rad(strip.angle)),
             "The strip that it is bolted to, and the overhang there.");
  MoveHold command{context.ui.hold, hold.strip, hold.across_m, hold.up_m, false};
  const auto across =
      edit_number(context, "hold.across", "across (mm)", mm_from_m(hold.across_m), {0.0, mm_from_m(strip.width_m)},
                  "Bolt, from the strip's left edge. Drag it in the picture to snap to T-nuts.");
  const auto up = edit_number(context, "hold.up", "up (mm)", mm_from_m(hold.up_m), {0.0, mm_from_m(strip.length_m)},
                              "Bolt, from the strip's lower edge, up the slope.");
  if (across) command.across_m = *across / 1000.0;
  if (up) command.up_m = *up / 1000.0;
  if (across || up) context.intents.edit(command, context.ui.open_gesture);
  const auto turn = edit_number(context, "hold.turn", "turn (°)", deg_from_rad(hold.rotation), {-180.0, 180.0},
                                "Turn about the bolt, counter-clockwise seen by the climber.");
  if (turn) context.intents.edit(RotateHold{context.ui.hold, rad_from_deg(*turn)}, context.ui.open_gesture);
  show_value(context, "fixed", hold.on_lattice ? "bolted to a T-nut" : "screwed on",
             "Dragging snaps to T-nuts; with Alt held it goes anywhere, screwed on.");
}

void draw_shape(const PanelContext& context, const move::PlacedHold& hold) {
  const auto& sites = hold.hold.sites;
  std::vector<std::string> names;
  names.reserve(sites.size());
  for (const hold::Site& site : sites) names.push_back(site.name);
  context.ui.site = std::clamp(context.ui.site, 0, std::max(0, static_cast<int>(sites.size()) - 1));
  if (sites.empty()) return;
  if (sites.size() > 1) {
    const auto chosen = edit_choice(context, "hold.site", "site", names, context.ui.site,
                                    "Where on the hold a limb can act; the grips of this one are compared.");
    if (chosen) context.ui.site = *chosen;
  }
  const hold::Site& site = sites[static_cast<std::size_t>(context.ui.site)];
  const auto mm = [](double length_m) { return fmt::format("{:.0f} mm", mm_from_m(length_m)); };
  show_value(context, "depth", mm(site.depth_m), "Depth of the floor, from lip to face.");
  show_value(context, "incut", fmt::format("{:.0f}°", deg_from_rad(site.incut)),
             "Tilt of the floor into the wall; below zero it slopes out.");
  show_value(context, "lip rounding", mm(site.lip_radius_m), "Radius of the lip.");
  show_value(context, "width", mm(site.width_m), "Along the lip.");
  show_value(context, "surface", std::string(hold::name_of(site.surface)), "What hand and shoe rub on.");
}

}  // namespace

void draw_hold(const PanelContext& context) {
  const auto& holds = context.document.scene().holds;
  if (context.ui.hold < 0 || static_cast<std::size_t>(context.ui.hold) >= holds.size()) {
    show_faint(context, "Click a hold in the picture to see and change it.");
    draw_add(context);
    return;
  }
  const move::PlacedHold& hold = holds[static_cast<std::size_t>(context.ui.hold)];
  const std::string id = fmt::format("hold.name.{}", context.ui.hold);
  if (const auto name = edit_text(context, id.c_str(), "name", hold.name, "What moves and sheets call this hold."))
    context.intents.edit(RenameHold{context.ui.hold, *name});
  const std::vector<std::string> models = context.document.inventory().names();
  const auto model = edit_choice(context, "hold.model", "shape", models, index_of_name(models, hold.model),
                                 "Swap it for another shape of the inventory at the same bolt.");
  if (model) context.intents.edit(SwapHold{context.ui.hold, models[static_cast<std::size_t>(*model)]});
  draw_place(context, hold);
  if (click_button(context, "hold.duplicate", "Duplicate", "The same shape beside it (Ctrl+D)."))
    context.intents.edit(DuplicateHold{context.ui.hold});
  ImGui::SameLine();
  if (click_button(context, "hold.mirror", "Mirror", "To the other side of the strip's middle (M)."))
    context.intents.edit(MirrorHold{context.ui.hold});
  ImGui::SameLine();
  if (click_button(context, "hold.delete", "Delete", "Takes it off, with the moves that use it (Delete)."))
    context.intents.edit(DeleteHold{context.ui.hold});
  show_heading(context, "shape");
  draw_shape(context, hold);
  draw_add(context);
}

}  // namespace steepwright::viewer
