#include "engine/cli/climber.h"
#include "engine/cli/grip_options.h"
#include "engine/cli/grip_table.h"
#include "engine/cli/hold_inventory.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/scene_input.h"
#include "engine/core/units.h"
#include "engine/io/grip_picture.h"
#include "engine/io/grip_record.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

namespace steepwright::cli {

namespace {

constexpr double kMostForearm_deg = 150.0;
/// A pull beyond this is none on the floor (own choice: a pinch's pulls straight out stay inside).
constexpr double kMostPull_deg = 90.0;

bool check_outputs(const GripOptions& options) {
  const bool is_free = check_written_files({{"--json", options.json_file}, {"--picture", options.picture_file}},
                                           {options.inventory_file, options.climber_file});
  return is_free && check_picture_name("--picture", options.picture_file);
}

bool check_angle(const char* option, double angle_deg, double lower_deg, double upper_deg) {
  if (angle_deg >= lower_deg && angle_deg <= upper_deg) return true;
  complain(fmt::format("{}: is {:g}, allowed {:g} to {:g} deg", option, angle_deg, lower_deg, upper_deg));
  return false;
}

/// The grips that were asked for; nothing, with the reason printed, when one is none.
std::optional<std::set<Grip>> read_grips(const GripOptions& options) {
  std::set<Grip> grips;
  for (const std::string& name : options.grips) {
    const auto grip = grip_from_name(name);
    if (!grip) {
      std::vector<std::string> known;
      known.reserve(kGrips.size());
      for (const Grip each : kGrips) known.emplace_back(name_of(each));
      complain(fmt::format("--grip: there is no grip '{}'; {}", name, suggest_name(name, known, "grips")));
      return std::nullopt;
    }
    grips.insert(*grip);
  }
  return grips;
}

std::vector<std::string> list_hand_sites(const hold::Hold& hold) {
  std::vector<std::string> names;
  for (const hold::Site& site : hold.sites) {
    if (site.use != hold::Site::Use::kFoot) names.push_back(site.name);
  }
  return names;
}

/// The site that was asked for; nothing, with the reason printed, when there is none for hands.
std::optional<hold::Site> find_site(const GripOptions& options, const hold::Hold& hold) {
  const std::vector<std::string> names = list_hand_sites(hold);
  if (names.empty()) {
    complain(fmt::format("'{}' is for feet only", hold.shape.name));
    return std::nullopt;
  }
  const hold::Site* site = hold.find_site(options.site.empty() ? names.front() : options.site);
  if (site == nullptr) {
    complain(fmt::format("--site: '{}' has no site '{}'; {}", hold.shape.name, options.site,
                         suggest_name(options.site, names, "its sites for hands")));
    return std::nullopt;
  }
  if (site->use == hold::Site::Use::kFoot) {
    complain(fmt::format("--site: '{}' of '{}' is for feet only; {}", site->name, hold.shape.name,
                         suggest_name("", names, "its sites for hands")));
    return std::nullopt;
  }
  return *site;
}

/// Hold and site with the surface of the command line.
struct Chosen {
  hold::Shape shape;
  hold::Site site;
};

std::optional<Chosen> find_chosen(const GripOptions& options) {
  const auto inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return std::nullopt;
  const hold::Shape* shape = inventory->find(options.hold);
  if (shape == nullptr) {
    complain(fmt::format("the inventory has no hold '{}'; {}", options.hold,
                         suggest_name(options.hold, inventory->names(), "its holds")));
    return std::nullopt;
  }
  auto site = find_site(options, inventory->make_hold(*shape));
  if (!site) return std::nullopt;
  if (!options.surface.empty()) {
    const auto surface = read_surface(options.surface);
    if (!surface) return std::nullopt;
    site->surface = *surface;
  }
  return Chosen{*shape, std::move(*site)};
}

/// Leaves only the grips that were asked for.
void select_grips(const std::set<Grip>& asked, grip::Survey& survey) {
  if (asked.empty()) return;
  std::erase_if(survey.grips, [&asked](const grip::SurveyedGrip& grip) { return asked.count(grip.grip) == 0; });
  std::erase_if(survey.judgement.grips,
                [&asked](const grip::GripVerdict& verdict) { return asked.count(verdict.grip) == 0; });
}

/// Loads of single fingers: of every grip at the survey's pulls for the record, else where they are printed.
void add_finger_loads(const GripOptions& options, io::GripReport& report) {
  grip::FingerSearch search;
  std::set<double> pulls_deg = {options.pull_deg};
  if (!options.json_file.empty()) pulls_deg.insert(grip::kSurveyPulls_deg.begin(), grip::kSurveyPulls_deg.end());
  for (grip::SurveyedGrip& grip : report.survey.grips) {
    for (const double pull_deg : pulls_deg)
      grip::add_fingers(report.survey, report.hand, rad_from_deg(pull_deg), search, grip);
    // Without a wish, the strongest grip whose fingers can be told apart is printed.
    if (options.json_file.empty() && options.grips.empty() && grip.grip != Grip::kPinch) return;
  }
}

std::string format_report(const GripOptions& options, const io::GripReport& report) {
  const Terminal terminal = find_terminal(stdout);
  std::string text = format_grip_heading(report, rad_from_deg(options.forearm_deg), terminal);
  text += format_capacities(report, terminal);
  for (const grip::SurveyedGrip& grip : report.survey.grips) {
    text += format_fingers(grip, rad_from_deg(options.pull_deg), terminal);
    if (options.grips.empty() && grip.grip != Grip::kPinch) break;
  }
  text += format_shut(report, terminal);
  text += format_cautions();
  return text;
}

/// False, with the reasons printed, when a file could not be written; what was there before is kept then.
bool save_files(const GripOptions& options, const io::GripReport& report) {
  const bool is_stdout_taken = options.json_file == kToStdout;
  bool is_saved = true;
  if (!options.json_file.empty() && !is_stdout_taken)
    is_saved = tell_saved(io::save_grip_record(options.json_file, report), "record", options.json_file, false);
  if (!options.picture_file.empty())
    is_saved = tell_saved(io::save_drawing(options.picture_file, io::make_grip_picture(report)), "picture",
                          options.picture_file, is_stdout_taken) &&
               is_saved;
  return is_saved;
}

}  // namespace

Exit run_grip(const GripOptions& options) {
  if (!check_outputs(options) || !check_angle("--forearm", options.forearm_deg, 0.0, kMostForearm_deg) ||
      !check_angle("--pull", options.pull_deg, -kMostPull_deg, kMostPull_deg))
    return Exit::kBadInput;
  const auto asked = read_grips(options);
  if (!asked) return Exit::kBadInput;
  const auto chosen = find_chosen(options);
  if (!chosen) return Exit::kBadInput;
  const auto climber = load_climber_hand_or_complain(options.climber_file, !options.has_no_chalk);
  if (!climber) return Exit::kBadInput;

  io::GripReport report;
  report.hold = chosen->shape.name;
  report.family = chosen->shape.family;
  report.climber = climber->climber.measures.name;
  report.hand_length_m = climber->hand_length_m;
  report.hand = climber->hand;
  grip::CapacityCache hands(climber->hand);
  report.survey = grip::calc_survey(chosen->site, rad_from_deg(options.forearm_deg), hands);
  select_grips(*asked, report.survey);
  add_finger_loads(options, report);
  if (is_interrupted()) {
    complain("interrupted; nothing was written");
    return Exit::kInterrupted;
  }
  const bool is_json = options.json_file == kToStdout;
  const bool is_printed = print(is_json ? io::format_grip_record(report) : format_report(options, report));
  if (!save_files(options, report) || !is_printed) return Exit::kBadInput;
  return report.survey.grips.size() < asked->size() ? Exit::kSomeDoNot : Exit::kAllHold;
}

}  // namespace steepwright::cli
