#include "engine/cli/hold_inventory.h"
#include "engine/cli/hold_options.h"
#include "engine/core/units.h"
#include "engine/hold/grips.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::cli {

namespace {

using Json = nlohmann::ordered_json;

constexpr int kIndent = 4;
constexpr int kWidestName = 24;  ///< longer names push their row to the right

std::string pad(std::string_view text, int columns) {
  const int missing = columns - find_display_width(text);
  return std::string(text) + std::string(static_cast<std::size_t>(std::max(0, missing)), ' ');
}

std::string show_forced(const hold::Site& site) {
  const auto forced = hold::find_forced_grip(site);
  return forced ? std::string(name_of(*forced)) : "-";
}

/// Lines below a row, after a label.
std::string list_below(std::string_view label, std::string_view text, const Terminal& terminal) {
  const int start = kIndent + find_display_width(label) + 1;
  std::string lines;
  for (const std::string& line : wrap(text, std::max(20, terminal.columns - start))) {
    const bool is_first = lines.empty();
    lines += std::string(kIndent, ' ') + pad(is_first ? label : "", start - kIndent) + line + "\n";
  }
  return lines;
}

std::string format_site(const hold::Site& site, bool shows_why, const Terminal& terminal) {
  const std::string lip = site.lip_radius_m > 0.0 ? "lip radius " + show_mm(site.lip_radius_m) : "sharp lip";
  const std::string mouth = site.mouth_m > 0.0 ? ", mouth " + show_mm(site.mouth_m) : "";
  std::string text =
      fmt::format("  {} {:>6} deep {:>6} deg   {:<15} {:>5} wide{}\n", pad(make_printable(site.name), 11),
                  show_mm(site.depth_m), show_deg(site.incut), lip, show_mm(site.width_m), mouth);
  if (site.use != hold::Site::Use::kFoot) text += list_below("forces  ", show_forced(site), terminal);
  text += list_below("possible", show_grips(site), terminal);
  if (!shows_why || site.use == hold::Site::Use::kFoot) return text;
  for (const hold::ShutGrip& shut : site.shut_grips) {
    text += list_below("shut    ", fmt::format("{}: {}", name_of(shut.grip), shut.reason), terminal);
  }
  return text;
}

std::string format_table(const io::Inventory& inventory, bool shows_why, const Terminal& terminal) {
  std::string text =
      fmt::format("{}, {} holds; mm and degrees\n\n", make_printable(inventory.name), inventory.shapes.size());
  int name_columns = 4;
  for (const hold::Shape& shape : inventory.shapes)
    name_columns = std::clamp(find_display_width(make_printable(shape.name)), name_columns, kWidestName);
  text += fmt::format("{}  {:<9} {:>6} {:>6} {:>6}  surface\n", pad("name", name_columns), "family", "width", "height",
                      "out");
  for (const hold::Shape& shape : inventory.shapes) {
    text += fmt::format("\n{}  {:<9} {:>6} {:>6} {:>6}  {}\n",
                        bold(pad(make_printable(shape.name), name_columns), terminal), hold::name_of(shape.family),
                        show_mm(shape.width_m), show_mm(shape.height_m), show_mm(shape.protrusion_m),
                        hold::name_of(shape.surface));
    for (const hold::Site& site : inventory.make_hold(shape).sites) text += format_site(site, shows_why, terminal);
  }
  return text;
}

/// To a thousandth: what a conversion from SI adds is noise.
double rounded(double value) { return std::round(1000.0 * value) / 1000.0; }

Json to_json(const hold::Site& site) {
  constexpr std::array<const char*, 3> kUses = {"hand", "foot", "both"};
  Json json = {{"name", site.name},
               {"use", kUses[static_cast<std::size_t>(site.use)]},
               {"width_mm", rounded(mm_from_m(site.width_m))},
               {"depth_mm", rounded(mm_from_m(site.depth_m))},
               {"incut_deg", rounded(deg_from_rad(site.incut))},
               {"lip_radius_mm", rounded(mm_from_m(site.lip_radius_m))},
               {"mouth_mm", rounded(mm_from_m(site.mouth_m))},
               {"fingers", site.fingers}};
  const auto forced = hold::find_forced_grip(site);
  json["forced"] = forced ? Json(name_of(*forced)) : Json(nullptr);
  json["grips"] = Json::array();
  for (const Grip grip : site.grips) json["grips"].push_back(name_of(grip));
  json["shut"] = Json::array();
  for (const hold::ShutGrip& shut : site.shut_grips)
    json["shut"].push_back({{"grip", name_of(shut.grip)}, {"reason", shut.reason}});
  return json;
}

Json to_json(const io::Inventory& inventory, const hold::Shape& shape) {
  Json json = {{"name", shape.name},
               {"family", hold::name_of(shape.family)},
               {"surface", hold::name_of(shape.surface)},
               {"width_mm", rounded(mm_from_m(shape.width_m))},
               {"height_mm", rounded(mm_from_m(shape.height_m))},
               {"protrusion_mm", rounded(mm_from_m(shape.protrusion_m))}};
  json["sites"] = Json::array();
  for (const hold::Site& site : inventory.make_hold(shape).sites) json["sites"].push_back(to_json(site));
  return json;
}

std::string format_json(const io::Inventory& inventory) {
  Json json = {{"inventory", inventory.name}};
  json["holds"] = Json::array();
  for (const hold::Shape& shape : inventory.shapes) json["holds"].push_back(to_json(inventory, shape));
  return json.dump(2) + "\n";
}

}  // namespace

Exit run_hold_list(const HoldListOptions& options) {
  const auto inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return Exit::kBadInput;
  const std::string text =
      options.is_json ? format_json(*inventory) : format_table(*inventory, options.shows_why, find_terminal(stdout));
  return print(text) ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
