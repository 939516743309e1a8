#include "engine/io/climber_file.h"

#include "engine/core/constants.h"
#include "engine/io/file_units.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace steepwright::io {

namespace {

constexpr std::array<std::string_view, 3> kFlexibilities = {"average", "flexible", "very flexible"};
constexpr std::array<std::string_view, 4> kAbilities = {"non-climber", "intermediate", "advanced", "elite"};

template <std::size_t N>
std::size_t index_in(const std::array<std::string_view, N>& names, std::string_view name) {
  for (std::size_t i = 0; i < N; ++i) {
    if (names[i] == name) return i;
  }
  return 0;  // the form stage has checked the choice
}

/// What one hand holds on an edge, N (assumed; the strongest known one-handed hangs are well below).
constexpr double kLeastEdgeForce_N = 5.0;
constexpr double kMostEdgeForce_N = 2500.0;

/// An ability stands for one hand on the default edge: what describes another hang contradicts it.
void check_ability_alone(const Entry& fingers, Findings& findings) {
  for (const char* key : {"hang_hands", "edge_depth_mm", "edge_grip"}) {
    if (!fingers.has(key)) continue;
    findings.push_back(fingers.error(key, "goes with a measured hang, but 'ability' is given",
                                     "leave it out, or write what was held in place of 'ability'"));
  }
}

/// What the hang put on the edge, all hands together, N.
double read_hang(const Entry& fingers, std::string_view key, double mass_kg) {
  const double value = *fingers.number(key);
  if (key == "edge_force_N") return value;
  return (key == "added_load_kg" ? mass_kg + value : value) * kGravity;
}

/// Exactly one way of saying how strong the fingers are.
grip::FingerStrength read_fingers(const Entry& fingers, double mass_kg, Findings& findings) {
  std::vector<std::string> given;
  for (const char* key : {"edge_force_N", "edge_load_kg", "added_load_kg", "ability"}) {
    if (fingers.has(key)) given.emplace_back(key);
  }
  if (given.empty()) {
    findings.push_back(fingers.error("", "needs one of edge_force_N, edge_load_kg, added_load_kg, ability"));
    return {};
  }
  if (given.size() > 1) {
    findings.push_back(fingers.error(given[1], fmt::format("{} are given, keep one of them", list_of(given))));
    return {};
  }
  grip::FingerStrength strength;
  if (given.front() == "ability") {
    check_ability_alone(fingers, findings);
    const auto ability = static_cast<grip::Ability>(index_in(kAbilities, *fingers.text("ability")));
    strength.edge_force_N = grip::default_edge_force(ability, mass_kg);
    return strength;
  }
  strength.is_measured = *fingers.boolean("is_measured");
  strength.edge_depth_m = length_from_mm(*fingers.number("edge_depth_mm"));
  strength.edge_grip = *grip_from_name(*fingers.text("edge_grip"));
  const double hands = *fingers.number("hang_hands");
  strength.edge_force_N = read_hang(fingers, given.front(), mass_kg) / hands;
  if (strength.edge_force_N < kLeastEdgeForce_N || strength.edge_force_N > kMostEdgeForce_N) {
    findings.push_back(fingers.error(given.front(),
                                     fmt::format("leaves {:.0f} N for each hand, allowed is {:.0f} to {:.0f} N",
                                                 strength.edge_force_N, kLeastEdgeForce_N, kMostEdgeForce_N),
                                     given.front() == "added_load_kg"
                                         ? "write the load beyond the body's own mass_kg, negative when it was less"
                                         : "check the number and hang_hands"));
  }
  return strength;
}

/// Measures that no body has together. Ratios to stature with ample room about the adult range (ANSUR II, Gordon et al.
/// 2014, from memory: sitting height 0.49-0.56, crotch height 0.43-0.52, span 0.95-1.11, hand 0.10-0.12, foot
/// 0.14-0.17).
void check_proportions(const Entry& entry, const body::Measures& measures, Findings& findings) {
  struct Ratio {
    const char* key;
    const std::optional<double>& value;
    double lower, upper;
  };
  const std::array<Ratio, 5> ratios = {{{"span_mm", measures.span_m, 0.88, 1.18},
                                        {"sitting_height_mm", measures.sitting_height_m, 0.45, 0.60},
                                        {"inseam_mm", measures.inseam_m, 0.39, 0.56},
                                        {"hand_length_mm", measures.hand_length_m, 0.09, 0.13},
                                        {"foot_length_mm", measures.foot_length_m, 0.125, 0.18}}};
  for (const Ratio& ratio : ratios) {
    if (!ratio.value) continue;
    const double share = *ratio.value / measures.stature_m;
    if (share >= ratio.lower && share <= ratio.upper) continue;
    findings.push_back(entry.error(
        ratio.key,
        fmt::format("is {:.0f} mm, {:.2f} of the stature {:.0f} mm; bodies have {:.2f} to {:.2f}",
                    mm_from_m(*ratio.value), share, mm_from_m(measures.stature_m), ratio.lower, ratio.upper),
        "measure again"));
  }
  if (measures.sitting_height_m && measures.inseam_m &&
      *measures.sitting_height_m + *measures.inseam_m > 1.09 * measures.stature_m) {
    findings.push_back(entry.error("inseam_mm", "sitting height and inseam together are more than the stature allows",
                                   "measure again"));
  }
  const double body_mass_index = measures.mass_kg / (measures.stature_m * measures.stature_m);
  if (body_mass_index < 15.5 || body_mass_index > 40.0) {
    findings.push_back(
        entry.warning("mass_kg",
                      fmt::format("{} kg at {:.0f} mm is unusual: body mass index {:.1f}", to_decimal(measures.mass_kg),
                                  mm_from_m(measures.stature_m), body_mass_index),
                      "check both numbers"));
  }
}

/// A middle finger takes 0.40 of the hand's length on the palm side (ANSUR II, read); a fifth of room either way
/// (assumed).
void check_middle_finger(const Entry& fingers, const move::Climber& climber, Findings& findings) {
  constexpr double kLeast = 0.32;
  constexpr double kMost = 0.48;
  if (climber.middle_finger_m <= 0.0 || !climber.measures.hand_length_m) return;
  const double share = climber.middle_finger_m / *climber.measures.hand_length_m;
  if (share >= kLeast && share <= kMost) return;
  findings.push_back(fingers.error(
      "middle_finger_mm",
      fmt::format("is {:.0f} mm, {:.2f} of the hand's {:.0f} mm; hands have {:.2f} to {:.2f}",
                  mm_from_m(climber.middle_finger_m), share, mm_from_m(*climber.measures.hand_length_m), kLeast, kMost),
      "measure again, from the crease at the knuckle to the tip"));
}

std::string write_fingers(const move::Climber& climber) {
  const grip::FingerStrength& fingers = climber.fingers;
  const grip::FingerStrength usual;
  std::string text;
  const auto length = [&text](std::string_view key, double value) {
    if (value > 0.0) text += fmt::format("{} = {}\n", key, to_mm_text(value));
  };
  length("middle_finger_mm", climber.middle_finger_m);
  length("finger_breadth_mm", climber.finger_breadth_m);
  const bool is_usual_edge = fingers.edge_depth_m == usual.edge_depth_m && fingers.edge_grip == usual.edge_grip;
  if (!fingers.is_measured && is_usual_edge) {
    for (std::size_t i = 0; i < kAbilities.size(); ++i) {
      const auto ability = static_cast<grip::Ability>(i);
      if (grip::default_edge_force(ability, climber.measures.mass_kg) != fingers.edge_force_N) continue;
      return text + fmt::format("ability = \"{}\"\n", kAbilities[i]);
    }
  }
  text += fmt::format("edge_force_N = {}\n", to_decimal(fingers.edge_force_N));
  if (!fingers.is_measured) text += "is_measured = false\n";
  if (fingers.edge_depth_m != usual.edge_depth_m) length("edge_depth_mm", fingers.edge_depth_m);
  if (fingers.edge_grip != usual.edge_grip) text += fmt::format("edge_grip = \"{}\"\n", name_of(fingers.edge_grip));
  return text;
}

}  // namespace

move::Climber read_climber(const Entry& entry, Findings& findings) {
  const auto length = [&](std::string_view key) -> std::optional<double> {
    const auto value = entry.number(key);
    return value ? std::optional(length_from_mm(*value)) : std::nullopt;
  };
  move::Climber climber;
  body::Measures& measures = climber.measures;
  measures.name = *entry.text("name");
  measures.sex = *entry.text("sex") == "female" ? body::Sex::kFemale : body::Sex::kMale;
  measures.stature_m = *length("stature_mm");
  measures.mass_kg = *entry.number("mass_kg");
  measures.span_m = length("span_mm");
  measures.sitting_height_m = length("sitting_height_mm");
  measures.inseam_m = length("inseam_mm");
  measures.hand_length_m = length("hand_length_mm");
  measures.foot_length_m = length("foot_length_mm");
  measures.flexibility = static_cast<body::Flexibility>(index_in(kFlexibilities, *entry.text("flexibility")));
  measures.arm_strength = *entry.number("arm_strength");
  measures.core_strength = *entry.number("core_strength");
  measures.leg_strength = *entry.number("leg_strength");
  climber.chalked = *entry.boolean("chalk");
  const Entry fingers = *entry.entry("fingers");
  climber.fingers = read_fingers(fingers, measures.mass_kg, findings);
  const auto finger_length = [&](std::string_view key) {
    const auto value = fingers.number(key);
    return value ? length_from_mm(*value) : 0.0;
  };
  climber.middle_finger_m = finger_length("middle_finger_mm");
  climber.finger_breadth_m = finger_length("finger_breadth_mm");
  check_proportions(entry, measures, findings);
  check_middle_finger(fingers, climber, findings);
  return climber;
}

Result<LoadedClimber> parse_climber(std::string_view text, const std::string& file) {
  const Result<Document> document = parse_document(text, file, FileKind::kClimber);
  if (!document) return tl::unexpected<Findings>(document.error());
  Findings findings = check_form(*document);
  if (has_errors(findings)) return tl::unexpected<Findings>(std::move(findings));
  LoadedClimber loaded;
  loaded.climber = read_climber(Entry(*document), findings);
  tidy(findings);
  if (has_errors(findings)) return tl::unexpected<Findings>(std::move(findings));
  loaded.warnings = std::move(findings);
  return loaded;
}

Result<LoadedClimber> load_climber(const std::filesystem::path& path) {
  std::error_code error;
  const auto shipped = embedded_file("models/climbers/" + path.string());
  if (shipped && !std::filesystem::exists(path, error)) {
    return parse_climber(*shipped, "models/climbers/" + path.string());
  }
  const Result<std::string> text = load_text(path);
  if (!text) return tl::unexpected<Findings>(text.error());
  return parse_climber(*text, path.string());
}

std::string write_climber_keys(const move::Climber& climber, std::string_view table) {
  const body::Measures& measures = climber.measures;
  std::string text = fmt::format("name = {}\nsex = \"{}\"\n", to_toml_string(measures.name),
                                 measures.sex == body::Sex::kFemale ? "female" : "male");
  const auto length = [&](std::string_view key, const std::optional<double>& value) {
    if (value) text += fmt::format("{} = {}\n", key, to_mm_text(*value));
  };
  const auto number = [&](std::string_view key, double value) {
    text += fmt::format("{} = {}\n", key, to_decimal(value));
  };
  length("stature_mm", measures.stature_m);
  number("mass_kg", measures.mass_kg);
  length("span_mm", measures.span_m);
  length("sitting_height_mm", measures.sitting_height_m);
  length("inseam_mm", measures.inseam_m);
  length("hand_length_mm", measures.hand_length_m);
  length("foot_length_mm", measures.foot_length_m);
  text += fmt::format("flexibility = \"{}\"\n", kFlexibilities[static_cast<std::size_t>(measures.flexibility)]);
  number("arm_strength", measures.arm_strength);
  number("core_strength", measures.core_strength);
  number("leg_strength", measures.leg_strength);
  text += fmt::format("chalk = {}\n\n[{}fingers]\n", climber.chalked, table.empty() ? "" : fmt::format("{}.", table));
  return text + write_fingers(climber);
}

std::string write_climber(const move::Climber& climber) {
  return "steepwright_climber = 1\n" + write_climber_keys(climber, "");
}

}  // namespace steepwright::io
