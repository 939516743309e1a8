#include "engine/cli/climber.h"
#include "engine/cli/columns.h"
#include "engine/cli/hold_inventory.h"
#include "engine/cli/hold_options.h"
#include "engine/core/units.h"
#include "engine/grip/judge.h"

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

constexpr int kWidestName = 24;  ///< longer names push their row to the right
/// Grips are judged for a forearm that hangs below the hold.
constexpr double kHanging = 0.0;

/// A site, and what the climber's hand can do there.
struct JudgedSite {
  hold::Site site;
  grip::GripJudgement judgement;
};

struct JudgedHold {
  hold::Shape shape;
  std::vector<JudgedSite> sites;
};

std::vector<JudgedHold> judge_holds(const io::Inventory& inventory, const grip::Hand& hand) {
  grip::CapacityCache hands(hand);
  std::vector<JudgedHold> holds;
  for (const hold::Shape& shape : inventory.shapes) {
    JudgedHold judged;
    judged.shape = shape;
    for (hold::Site& site : inventory.make_hold(shape).sites) {
      grip::GripJudgement judgement = grip::judge_grips(site, kHanging, hands);
      judged.sites.push_back({std::move(site), std::move(judgement)});
    }
    holds.push_back(std::move(judged));
  }
  return holds;
}

std::string show_forced(const grip::GripJudgement& judgement) {
  if (!judgement.forced) return "-";
  return fmt::format("{}: {}", name_of(*judgement.forced), judgement.forced_reason);
}

/// Strongest first: "half crimp 510 N, open hand 480 N".
std::string show_possible(const JudgedSite& judged) {
  if (judged.site.use == hold::Site::Use::kFoot) return "for feet only";
  std::string text;
  for (const grip::GripVerdict& verdict : judged.judgement.grips) {
    if (!verdict.is_possible) continue;
    text += fmt::format("{}{} {:.0f} N", text.empty() ? "" : ", ", name_of(verdict.grip), verdict.outward_N);
  }
  return text.empty() ? "none" : text;
}

std::string format_site(const JudgedSite& judged, bool shows_why, const Terminal& terminal) {
  const hold::Site& site = judged.site;
  const std::string lip = site.lip_radius_m > 0.0 ? "lip radius " + show_mm(site.lip_radius_m) : "sharp lip";
  const std::string mouth = site.mouth_m > 0.0 ? ", mouth " + show_mm(site.mouth_m) : "";
  std::string text =
      fmt::format("  {} {:>6} deep {:>6} deg   {:<15} {:>5} wide{}\n", pad(make_printable(site.name), 11),
                  show_mm(site.depth_m), show_deg(site.incut), lip, show_mm(site.width_m), mouth);
  if (site.use != hold::Site::Use::kFoot) text += list_below("forces  ", show_forced(judged.judgement), terminal);
  text += list_below("possible", show_possible(judged), terminal);
  if (!shows_why || site.use == hold::Site::Use::kFoot) return text;
  for (const grip::GripVerdict& verdict : judged.judgement.grips) {
    if (verdict.is_possible) continue;
    text += list_below("shut    ", fmt::format("{}: {}", name_of(verdict.grip), verdict.reason), terminal);
  }
  return text;
}

std::string format_heading(const std::string& name, const std::vector<JudgedHold>& holds, const ClimberHand& climber,
                           const Terminal& terminal) {
  const std::string heading =
      fmt::format("{}, {} holds; mm and degrees\n{}, {}\n", make_printable(name), holds.size(),
                  make_printable(climber.climber.measures.name), show_edge_force(climber.hand.strength));
  std::string text = heading;
  for (const std::string& line :
       wrap("possible: force of each grip when the hand pulls outward by 0.6 of the friction's angle, elbow below the "
            "hold; "
            "forces: a grip that holds 25 % more there than any other way of bending the fingers",
            terminal.columns))
    text += line + "\n";
  return text + "\n";
}

std::string format_table(const std::vector<JudgedHold>& holds, bool shows_why, const Terminal& terminal) {
  std::string text;
  int name_columns = 4;
  for (const JudgedHold& hold : holds)
    name_columns = std::clamp(find_display_width(make_printable(hold.shape.name)), name_columns, kWidestName);
  text += fmt::format("{}  {:<9} {:>6} {:>6} {:>6}  surface\n", pad("name", name_columns), "family", "width", "height",
                      "out");
  for (const auto& [shape, sites] : holds) {
    text += fmt::format("\n{}  {:<9} {:>6} {:>6} {:>6}  {}\n",
                        bold(pad(make_printable(shape.name), name_columns), terminal), hold::name_of(shape.family),
                        show_mm(shape.width_m), show_mm(shape.height_m), show_mm(shape.protrusion_m),
                        hold::name_of(shape.surface));
    for (const JudgedSite& site : sites) text += format_site(site, shows_why, terminal);
  }
  return text;
}

/// To a thousandth: what a conversion from SI adds is noise.
double rounded(double value) { return std::round(1000.0 * value) / 1000.0; }

Json to_json(const JudgedSite& judged) {
  const hold::Site& site = judged.site;
  const grip::GripJudgement& judgement = judged.judgement;
  constexpr std::array<const char*, 3> kUses = {"hand", "foot", "both"};
  Json json = {{"name", site.name},
               {"use", kUses[static_cast<std::size_t>(site.use)]},
               {"width_mm", rounded(mm_from_m(site.width_m))},
               {"depth_mm", rounded(mm_from_m(site.depth_m))},
               {"incut_deg", rounded(deg_from_rad(site.incut))},
               {"lip_radius_mm", rounded(mm_from_m(site.lip_radius_m))},
               {"mouth_mm", rounded(mm_from_m(site.mouth_m))},
               {"fingers", site.fingers}};
  json["forced"] = judgement.forced ? Json(name_of(*judgement.forced)) : Json(nullptr);
  json["forced_reason"] = judgement.forced_reason;
  json["outward_pull_deg"] = rounded(deg_from_rad(judgement.outward));
  json["grips"] = Json::array();
  json["strengths"] = Json::array();
  json["shut"] = Json::array();
  for (const grip::GripVerdict& verdict : judgement.grips) {
    if (!verdict.is_possible) {
      json["shut"].push_back({{"grip", name_of(verdict.grip)}, {"reason", verdict.reason}});
      continue;
    }
    json["grips"].push_back(name_of(verdict.grip));
    json["strengths"].push_back({{"grip", name_of(verdict.grip)},
                                 {"down_N", rounded(verdict.down_N)},
                                 {"outward_N", rounded(verdict.outward_N)}});
  }
  return json;
}

Json to_json(const JudgedHold& judged) {
  const hold::Shape& shape = judged.shape;
  Json json = {{"name", shape.name},
               {"family", hold::name_of(shape.family)},
               {"surface", hold::name_of(shape.surface)},
               {"width_mm", rounded(mm_from_m(shape.width_m))},
               {"height_mm", rounded(mm_from_m(shape.height_m))},
               {"protrusion_mm", rounded(mm_from_m(shape.protrusion_m))}};
  json["sites"] = Json::array();
  for (const JudgedSite& site : judged.sites) json["sites"].push_back(to_json(site));
  return json;
}

std::string format_json(const std::string& name, const std::vector<JudgedHold>& holds, const ClimberHand& climber) {
  const grip::FingerStrength& strength = climber.hand.strength;
  Json json = {{"inventory", name},
               {"climber", climber.climber.measures.name},
               {"edge_force_N", rounded(strength.edge_force_N)},
               {"edge_force_measured", strength.is_measured}};
  json["holds"] = Json::array();
  for (const JudgedHold& hold : holds) json["holds"].push_back(to_json(hold));
  return json.dump(2) + "\n";
}

}  // namespace

Exit run_hold_list(const HoldListOptions& options) {
  const auto inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return Exit::kBadInput;
  const auto climber = load_climber_hand_or_complain(options.climber_file);
  if (!climber) return Exit::kBadInput;
  const std::string unmet = describe_unmet_reference(climber->hand);
  if (!unmet.empty()) complain(unmet);
  const std::vector<JudgedHold> holds = judge_holds(*inventory, climber->hand);
  const Terminal terminal = find_terminal(stdout);
  const std::string text = options.is_json ? format_json(inventory->name, holds, *climber)
                                           : format_heading(inventory->name, holds, *climber, terminal) +
                                                 format_table(holds, options.shows_why, terminal);
  return print(text) ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
