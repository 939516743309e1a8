#include "engine/io/study_reach.h"

#include "engine/cli/columns.h"
#include "engine/cli/hold_inventory.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/cli/reach_rounds.h"
#include "engine/cli/study_common.h"
#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace steepwright::cli {

namespace {

bool set_strips(const std::vector<std::string>& names, const move::Scene& scene, study::ReachQuestion& question) {
  for (const std::string& name : names) {
    const int strip = scene.wall.find_strip(name);
    if (strip < 0) {
      std::vector<std::string> known;
      for (const wall::Strip& each : scene.wall.strips) known.push_back(each.name);
      complain(fmt::format("--strip: the wall has no strip '{}'; {}", name, suggest_name(name, known, "strips")));
      return false;
    }
    question.strips.push_back(strip);
  }
  return true;
}

bool set_hold(const StudyReachOptions& options, study::ReachQuestion& question) {
  const std::optional<io::Inventory> inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return false;
  const hold::Shape* shape = inventory->find(options.hold);
  if (shape == nullptr) {
    complain(fmt::format("--hold: the inventory has no hold '{}'; {}", options.hold,
                         suggest_name(options.hold, inventory->names(), "holds")));
    return false;
  }
  study::ReachHold hold;
  hold.hold = inventory->make_hold(*shape);
  hold.rotation = rad_from_deg(options.rotation_deg);
  const bool is_for_hand = is_hand(question.moving);
  const hold::Site* site = hold::find_suited_site(hold.hold, question.moving, options.site);
  if (site == nullptr) {
    complain(fmt::format("--hold: '{}' has no site{} for a {}", options.hold,
                         options.site.empty() ? "" : fmt::format(" '{}'", options.site),
                         is_for_hand ? "hand" : "foot"));
    return false;
  }
  hold.site = static_cast<int>(site - hold.hold.sites.data());
  if (is_for_hand) {
    hold.grip = options.grip.empty() ? site->grips.front() : grip_from_name(options.grip).value_or(site->grips.front());
    const bool is_known = options.grip.empty() || grip_from_name(options.grip).has_value();
    if (!is_known || std::find(site->grips.begin(), site->grips.end(), *hold.grip) == site->grips.end()) {
      complain(fmt::format("--grip: '{}' is not possible on '{}'; possible are {}", options.grip, options.hold,
                           show_grips(*site)));
      return false;
    }
  }
  question.hold = hold;
  return true;
}

std::optional<study::ReachQuestion> make_question(const StudyReachOptions& options, const move::Scene& scene) {
  study::ReachQuestion question;
  const move::Move& move = scene.moves.front();
  question.stance = move.before;
  question.moving = move.moving;
  if (!options.limb.empty()) {
    const std::optional<Limb> limb = limb_from_short_name(options.limb);
    if (!limb) {
      complain(fmt::format("--limb: '{}' is no limb; limbs are LH, RH, LF and RF", options.limb));
      return std::nullopt;
    }
    question.moving = *limb;
  }
  if (options.hold.empty() && !(options.grip.empty() && options.site.empty())) {
    complain("--grip and --site say how a hold is taken: give --hold too");
    return std::nullopt;
  }
  if (!set_strips(options.strips, scene, question)) return std::nullopt;
  if (!options.hold.empty() && !set_hold(options, question)) return std::nullopt;
  return question;
}

/// What there is of one strip.
struct StripSummary {
  int n_places = 0, n_held = 0;
  double least_effort = 1e30, highest_m = 0.0, leftmost_m = 1e30, rightmost_m = 0.0;
  std::map<std::string, int> causes;
};

std::string format_summary(const io::ReachReport& report, const Terminal& terminal) {
  std::map<int, StripSummary> strips;
  for (const study::ReachPlace& place : report.map.places) {
    StripSummary& strip = strips[place.strip];
    if (place.is_held) {
      strip.highest_m = std::max(strip.highest_m, place.up_m);
      strip.leftmost_m = std::min(strip.leftmost_m, place.across_m);
      strip.rightmost_m = std::max(strip.rightmost_m, place.across_m);
      strip.least_effort = std::min(strip.least_effort, place.effort);
    }
    if (!place.is_coarse) continue;
    ++strip.n_places;
    strip.n_held += place.is_held ? 1 : 0;
    if (!place.is_held) ++strip.causes[io::describe_cause(report, place)];
  }
  std::string text =
      bold(make_printable("Where the " + io::describe_asked(report) + " can be put"), terminal) + "\n" +
      make_printable(report.scene->name + "; from the stance before '" + report.scene->moves.front().name + "'") +
      "\n\n" + pad("strip", 14) + pad_left("held m2", 9) + pad_left("up to mm", 10) + pad_left("across mm", 14) +
      pad_left("least effort", 14) + "\n";
  const double cell_m2 = report.map.pitch_m * report.map.pitch_m;
  for (const auto& [s, strip] : strips) {
    const std::string name = make_printable(report.scene->wall.strips[static_cast<std::size_t>(s)].name);
    text += pad(name, 14) + pad_left(fmt::format("{:.2f}", strip.n_held * cell_m2), 9);
    if (strip.n_held > 0) {
      text += pad_left(fmt::format("{:.0f}", mm_from_m(strip.highest_m)), 10) +
              pad_left(fmt::format("{:.0f} to {:.0f}", mm_from_m(strip.leftmost_m), mm_from_m(strip.rightmost_m)), 14) +
              pad_left(io::show_percent(strip.least_effort), 14);
    } else {
      text += pad_left("-", 10) + pad_left("-", 14) + pad_left("-", 14);
    }
    text += "\n";
    std::vector<std::pair<int, std::string>> causes;
    for (const auto& [cause, n] : strip.causes) causes.emplace_back(n, cause);
    std::sort(causes.rbegin(), causes.rend());
    std::string list;
    for (std::size_t k = 0; k < std::min<std::size_t>(4, causes.size()); ++k) {
      list += fmt::format("{}{:.2f} m2 {}", k == 0 ? "" : ", ", causes[k].first * cell_m2, causes[k].second);
    }
    if (!list.empty()) text += list_below("not held:", list, terminal);
  }
  return text;
}

/// All that a map depends on besides scene and climber.
std::string describe_options(const StudyReachOptions& options, const study::ReachQuestion& question) {
  std::string text = fmt::format("limb {} pitch {} coarse {} seed {}", short_name(question.moving), options.pitch_mm,
                                 options.is_coarse, options.common.seed);
  for (const int strip : question.strips) text += fmt::format(" strip {}", strip);
  if (!question.hold) return text;
  text += fmt::format(" hold '{}' site {} rotation {}", options.hold, question.hold->site, options.rotation_deg);
  return question.hold->grip ? fmt::format("{} grip '{}'", text, name_of(*question.hold->grip)) : text;
}

Exit save_map(const StudyReachOptions& options, const io::ReachReport& report) {
  const bool is_stdout_taken = options.json_file == kToStdout || options.common.csv_file == kToStdout;
  bool is_good = true;
  if (!is_stdout_taken) {
    std::string text = format_summary(report, find_terminal(stdout));
    text += fmt::format("\n{} places, {} stances solved\n\n", report.map.places.size(), report.map.n_solved);
    is_good = print(text + format_cautions());
  }
  if (!options.json_file.empty()) {
    const std::string record = io::format_json_line(io::make_reach_record(report)) + "\n";
    is_good = save_study_text(options.json_file, "map", record, is_stdout_taken) && is_good;
  }
  if (!options.common.csv_file.empty()) {
    const std::string places = io::format_reach_csv(report);
    is_good = save_study_text(options.common.csv_file, "places", places, is_stdout_taken) && is_good;
  }
  is_good = save_study_picture(options.common.picture_file, io::make_reach_picture(report), is_stdout_taken) && is_good;
  return is_good ? Exit::kAllHold : Exit::kBadInput;
}

/// Why a map came to no end, printed.
Exit tell_why_stopped(const StudyReachOptions& options, const StudyRun& run, const ReachRounds& rounds,
                      std::int64_t n_solved) {
  if (run.has_failed()) return Exit::kBadInput;
  if (rounds.has_strange_rows()) {
    complain(
        fmt::format("{}: its rows are not those of this map; another version of the program wrote it: give the "
                    "study another file, or remove this one",
                    options.common.rows_file));
    return Exit::kBadInput;
  }
  complain_of_interrupt(options.common, fmt::format("{} stances", n_solved));
  return Exit::kInterrupted;
}

study::ReachOptions make_options(const StudyReachOptions& options) {
  study::ReachOptions reach;
  reach.pitch_m = m_from_mm(options.pitch_mm);
  reach.refine = options.is_coarse ? 1 : 5;
  reach.n_threads = options.common.n_threads;
  reach.seed = options.common.seed;
  return reach;
}

}  // namespace

Exit run_study_reach(const StudyReachOptions& options) {
  StudyRun run(options.common);
  if (!check_study_files(options.common, {{"--json", options.json_file}}, {options.inventory_file}))
    return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_study_scene(options.common);
  if (!loaded) return find_load_exit();
  const std::optional<study::ReachQuestion> question = make_question(options, loaded->scene);
  if (!question) return Exit::kBadInput;
  const body::Body body = body::make_body(loaded->scene.climber.measures);
  study::ReachOptions reach = make_options(options);

  ReachRounds rounds(run, body);
  if (!run.is_first()) {
    study::ReachCrew crew(loaded->scene, body, *question, reach.seed, 1);
    rounds.serve(crew);
    return find_silent_exit();
  }
  const io::Json header =
      make_study_header("reach", *loaded, describe_options(options, *question),
                        question->hold ? describe_hold_values(question->hold->hold) : "", io::reach_row_columns());
  if (!run.open(header, [&rounds](const io::Json& row) { return rounds.take(row); })) return Exit::kBadInput;
  if (run.n_ranks() > 1 || !options.common.rows_file.empty()) {
    reach.run_round = [&rounds](const std::vector<study::ReachTask>& tasks, study::ReachCrew& crew) {
      return rounds.solve(tasks, crew);
    };
  }
  ProgressBar bar;
  reach.on_progress = [&bar](std::int64_t n_solved, double share) {
    bar.show_share(share, fmt::format("{} stances solved", n_solved));
    return !is_interrupted();
  };
  io::ReachReport report{&loaded->scene, &body, *question, options.hold, {}};
  report.map = study::make_reach_map(loaded->scene, body, *question, reach);
  bar.clear();
  return report.map.is_complete ? save_map(options, report)
                                : tell_why_stopped(options, run, rounds, report.map.n_solved);
}

}  // namespace steepwright::cli
