#include "viewer/panels/wall_panel.h"

#include "engine/core/units.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <cmath>

namespace steepwright::viewer {

namespace {

constexpr double kTenths = 10.0;

void draw_strip(const PanelContext& context, int index) {
  const wall::Strip& strip = context.document.scene().wall.strips[static_cast<std::size_t>(index)];
  show_heading(context, strip.name.c_str());
  const std::string name = "wall." + strip.name;
  const auto angle =
      edit_number(context, (name + ".angle").c_str(), "overhang (°)", deg_from_rad(strip.angle),
                  find_key_range(io::FileKind::kScene, "wall.section.strip.angle_deg", kTenths, "%.1f"),
                  "From vertical: 0 upright, 90 a roof, below zero a slab. Holds keep their place on the "
                  "panel.");
  if (angle) context.intents.edit(SetStripAngle{index, rad_from_deg(*angle)}, context.ui.open_gesture);
  const auto length = edit_number(context, (name + ".length").c_str(), "length (mm)", mm_from_m(strip.length_m),
                                  find_key_range(io::FileKind::kScene, "wall.section.strip.length_mm"),
                                  "Up the slope; of an upright kicker it is the height.");
  if (length) context.intents.edit(SetStripLength{index, *length / 1000.0}, context.ui.open_gesture);
  show_value(context, "width", fmt::format("{:.0f} mm", mm_from_m(strip.width_m)), "Of the whole section.");
  const double top_m = (strip.X_WP * Vec3(0.0, strip.length_m, 0.0)).z();
  show_value(context, "upper edge at", fmt::format("{:.0f} mm", mm_from_m(top_m)), "Height above the floor.");
  if (strip.lattice) {
    show_value(context, "T-nuts",
               fmt::format("{:.0f} x {:.0f} mm", mm_from_m(strip.lattice->pitch_across_m),
                           mm_from_m(strip.lattice->pitch_up_m)),
               "Pitch across and up of the bolt holes.");
  }
}

}  // namespace

void draw_wall(const PanelContext& context) {
  const wall::Wall& wall = context.document.scene().wall;
  for (std::size_t i = 0; i < wall.strips.size(); ++i) draw_strip(context, static_cast<int>(i));
  if (!wall.room) return;
  show_heading(context, "room");
  const Vec3 size = wall.room->upper - wall.room->lower;
  show_value(context, "inner size",
             fmt::format("{:.0f} x {:.0f} x {:.0f} mm", mm_from_m(size.x()), mm_from_m(size.y()), mm_from_m(size.z())),
             "Width, depth and height of the room that the wall stands in.");
}

}  // namespace steepwright::viewer
