#include "engine/cli/trace_options.h"

#include "engine/cli/scene_input.h"
#include "engine/core/units.h"
#include "engine/io/drawing.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <vector>

namespace steepwright::cli {

namespace {

constexpr int kMostDraws = 100000;  // their answers are kept: some 40 bytes a frame and draw

constexpr const char* kExamples = R"(Examples:
  steepwright trace --move "left hand to the bar"
  steepwright trace wall.toml --move "ledge to slot" --strip move.png --json move.json
  steepwright trace wall.toml --move "ledge to slot" --risk 1000 --spread-friction 15
  steepwright trace wall.toml --move "ledge to slot" --compare-grips
  steepwright trace wall.toml --move "ledge to slot" --feet auto --shortfall
  steepwright trace wall.toml --picture problem.pdf

Without --move all moves are followed in their order, each from where the one before ended.

Exit status: 0 all moves hold, 1 some do not, 2 bad input (nothing is written then).)";

void add_spread(CLI::App& trace, const std::string& option, double& value, const std::string& of,
                const std::string& unit) {
  trace.add_option(option, value, fmt::format("Standard deviation of {}; left out: {:g}", of, value))
      ->type_name(unit)
      ->group("Spreads of the risk (assumed)");
}

bool check_range(const char* option, double value, double lower, double upper, const char* unit) {
  if (value >= lower && value <= upper) return true;
  complain(fmt::format("{}: is {:g}, allowed {:g} to {:g}{}", option, value, lower, upper, unit));
  return false;
}

bool check_spreads(const TraceOptions::Spreads& spreads) {
  constexpr double kMost_percent = 50.0;
  return check_range("--spread-friction", spreads.friction_percent, 0.0, kMost_percent, " %") &&
         check_range("--spread-fingers", spreads.fingers_percent, 0.0, kMost_percent, " %") &&
         check_range("--spread-muscles", spreads.muscles_percent, 0.0, kMost_percent, " %") &&
         check_range("--spread-build", spreads.build_percent, 0.0, kMost_percent, " %") &&
         check_range("--spread-place", spreads.place_mm, 0.0, 50.0, " mm") &&
         check_range("--spread-tilt", spreads.tilt_deg, 0.0, 20.0, " deg");
}

std::vector<WrittenFile> list_written_files(const TraceOptions& options) {
  std::vector<WrittenFile> files;
  files.push_back({"--json", options.json_file});
  files.push_back({"--strip", options.strip_file});
  files.push_back({"--picture", options.picture_file});
  return files;
}

}  // namespace

CLI::App* add_trace(CLI::App& app, TraceOptions& options) {
  CLI::App* trace = app.add_subcommand("trace", "Follow moves as they happen: what every hold feels, frame by frame");
  trace->add_option("SCENE", options.scene_file, "Scene file (TOML); left out: the scene that comes with the program")
      ->type_name("");
  trace->add_option("--move", options.move_name, "Follow the move of this name; left out: all, in sequence")
      ->type_name("NAME");
  trace
      ->add_option("--json", options.json_file,
                   "Write the record with all frames (JSON) to FILE; - for standard output")
      ->type_name("FILE");
  trace->add_option("--strip", options.strip_file, "Draw the move's frames and plots to FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
  trace->add_option("--picture", options.picture_file, "Draw all moves on one page to FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
  trace->add_flag(
      "--compare-grips", options.compares_grips,
      "Follow the move with every grip that the lower hand's hold and the target allow, and tell what each would "
      "have left under the move's own pulls");
  trace->add_option("--feet", options.feet, "auto: find the placements of the feet with which the move holds best")
      ->check(CLI::IsMember({"auto"}))
      ->option_text("auto");
  trace->add_flag("--shortfall", options.asks_shortfall,
                  "How much closer, less steep, rougher, deeper or stronger makes the move hold");
  trace->add_option("--risk", options.risk_draws, "Share of N draws of friction, strength, build and placing that fail")
      ->type_name("N");
  trace->add_option("--seed", options.seed, "Of the draws; left out: 1")->type_name("N");
  trace->add_option("--climber", options.climber_file, "Climber file (TOML), in place of the scene's climber")
      ->type_name("FILE");
  add_spread(*trace, "--spread-friction", options.spreads.friction_percent, "friction, skin and rubber each",
             "PERCENT");
  add_spread(*trace, "--spread-fingers", options.spreads.fingers_percent, "finger strength", "PERCENT");
  add_spread(*trace, "--spread-muscles", options.spreads.muscles_percent, "muscle torques", "PERCENT");
  add_spread(*trace, "--spread-build", options.spreads.build_percent, "the masses of trunk, arms, legs", "PERCENT");
  add_spread(*trace, "--spread-place", options.spreads.place_mm, "where each contact lies", "MM");
  add_spread(*trace, "--spread-tilt", options.spreads.tilt_deg, "how each contact is turned", "DEG");
  trace->footer(kExamples);
  return trace;
}

bool check_trace_options(const TraceOptions& options) {
  if (!check_picture_name("--strip", options.strip_file) || !check_picture_name("--picture", options.picture_file))
    return false;
  const bool is_one = !options.move_name.empty();
  const char* of_one = !options.strip_file.empty() ? "--strip"
                       : options.compares_grips    ? "--compare-grips"
                       : !options.feet.empty()     ? "--feet"
                       : options.asks_shortfall    ? "--shortfall"
                                                   : nullptr;
  if (!is_one && of_one != nullptr) {
    complain(fmt::format("{} is about one move: name it with --move", of_one));
    return false;
  }
  if (is_one && !options.picture_file.empty()) {
    complain("--picture shows all moves: leave out --move, or ask for --strip");
    return false;
  }
  return check_range("--risk", options.risk_draws, 0, kMostDraws, " draws") && check_spreads(options.spreads) &&
         check_written_files(list_written_files(options), {options.scene_file, options.climber_file});
}

move::RiskOptions make_risk_options(const TraceOptions& options) {
  constexpr double kPercent = 0.01;
  move::RiskOptions risk;
  risk.draws = options.risk_draws;
  risk.seed = static_cast<std::uint64_t>(options.seed);
  risk.spreads.friction = kPercent * options.spreads.friction_percent;
  risk.spreads.fingers = kPercent * options.spreads.fingers_percent;
  risk.spreads.joints = kPercent * options.spreads.muscles_percent;
  risk.spreads.build = kPercent * options.spreads.build_percent;
  risk.spreads.place_m = m_from_mm(options.spreads.place_mm);
  risk.spreads.tilt = rad_from_deg(options.spreads.tilt_deg);
  risk.threads = 0;
  return risk;
}

}  // namespace steepwright::cli
