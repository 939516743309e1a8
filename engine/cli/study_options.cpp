#include "engine/cli/study_options.h"

#include "engine/study/knob.h"

#include <CLI/CLI.hpp>

namespace steepwright::cli {

namespace {

constexpr const char* kExamples = R"(Examples:
  steepwright study reach --move "left hand to the bar" --picture reach.svg
  steepwright study tune --move "left hand to the bar" --vary angle=20:50:2
  steepwright study bodies --count 200 --rows bodies.jsonl
  steepwright study seek --move "left hand to the bar" --vary "up@upper bar" --effort 0.85
  steepwright study tune --help            all options of a command

Results are the same on any number of threads. A study with --rows FILE goes on where it was stopped.)";

constexpr const char* kReachExamples = R"(Examples:
  steepwright study reach --picture reach.svg
  steepwright study reach wall.toml --move "ledge to slot" --hold "thin rim" --grip "half crimp" --picture rim.png
  steepwright study reach --move "left hand to the bar" --limb RH --json map.json

The stance is the one before the move; the limb leaves it and is tried at every place of the wall, on a lattice that is
refined fivefold along the border. A place counts when all other limbs hold the body with the limb just placed.

Exit status: 0 done, 2 bad input, 130 interrupted.)";

constexpr const char* kTuneExamples = R"(Examples:
  steepwright study tune --move "left hand to the bar" --vary angle=20:50:2 --picture angle.svg
  steepwright study tune wall.toml --vary "depth@thin rim=8:30:2" --vary stature=1550:1900:25 --picture heat.png
  steepwright study tune --vary strength=0.6:1.4:0.05 --rows strength.jsonl --csv strength.csv

What can be varied: angle (of a strip, deg), kicker (height, mm), across, up (mm), rotation (deg), depth (mm), incut
(deg), rounding (mm) of a hold, stature, span (mm), strength, friction (factors on what is given). A strip or hold is
named after @. One value is swept as a line, two as a field. Where the verdict changes between two neighbours, along
either dimension, the value is found by bisection.
Holds keep their place on their panel; the kicker stays when the angle changes.

Exit status: 0 done, 2 bad input, 130 interrupted (all whole rows are kept).)";

constexpr const char* kBodiesExamples = R"(Examples:
  steepwright study bodies --move "left hand to the bar" --count 400 --picture bodies.pdf
  steepwright study bodies wall.toml --sex female --seed 7 --rows bodies.jsonl --csv bodies.csv
  steepwright study bodies --people friends.csv

Stature, span, sitting height and mass are drawn together as the ANSUR II survey has them; muscles and fingers are as
strong for the mass as those of the scene's climber. A list of people is a CSV file whose first line names its columns:
sex, stature_mm, mass_kg, and where known name, span_mm, sitting_height_mm, edge_force_N.

Exit status: 0 done, 2 bad input, 130 interrupted (all whole rows are kept).)";

constexpr const char* kSeekExamples = R"(Examples:
  steepwright study seek --move "left hand to the bar" --vary "across@upper bar" --vary "up@upper bar" --picture seek.svg
  steepwright study seek wall.toml --vary "up@ledge=800:1600" --effort 0.9 --also 1600
  steepwright study seek --vary "up@upper bar" --also short-woman.toml --also 1900

Places the hold so that the hardest instant of the move has that effort for the climber, and still holds for every body
named by --also (a stature in mm, in proportion, or a climber file). Places go onto T-nuts where the strip has some.

Exit status: 0 a place was found, 1 none, 2 bad input, 130 interrupted.)";

void add_picture(CLI::App& command, StudyOptions& options) {
  command.add_option("--picture,--svg", options.picture_file, "Draw the result into FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
}

void add_common(CLI::App& command, StudyOptions& options, bool has_rows) {
  command.add_option("SCENE", options.scene_file, "Scene file (TOML); left out: the scene that comes with the program")
      ->type_name("");
  command.add_option("--move", options.move_name, "The move in question; left out: all of the scene")
      ->type_name("NAME");
  command.add_option("--climber", options.climber_file, "Climber file (TOML), in place of the scene's climber")
      ->type_name("FILE");
  command.add_option("--threads", options.n_threads, "Threads; left out: one a core")
      ->type_name("COUNT")
      ->check(CLI::Range(0, 1024));
  if (!has_rows) return;
  command.add_option("--rows", options.rows_file, "Write one row a sample (JSON Lines) to FILE, and go on from it")
      ->type_name("FILE");
  command.add_option("--csv", options.csv_file, "Write the rows as CSV to FILE; - for standard output")
      ->type_name("FILE");
  add_picture(command, options);
  command.add_flag("--traced", options.is_traced,
                   "Judge every move in all its frames: slower; left out: by four stances (before, unloaded, touch, "
                   "settled)");
}

void add_reach(CLI::App& study, StudyReachOptions& options) {
  CLI::App* reach = study.add_subcommand("reach", "Map of the places that a limb reaches from a stance");
  add_common(*reach, options.common, false);
  reach->add_option("--limb", options.limb, "LH, RH, LF or RF; left out: the one that the move moves")
      ->type_name("LIMB");
  reach->add_option("--hold", options.hold, "Hold of the inventory that is tried everywhere; left out: the bare wall")
      ->type_name("NAME");
  reach->add_option("--site", options.site, "Its site; left out: the first one for the limb")->type_name("NAME");
  reach->add_option("--grip", options.grip, "Grip of the hand; left out: the site's best suited")->type_name("NAME");
  reach->add_option("--rotation", options.rotation_deg, "How the hold is turned, counter-clockwise")->type_name("DEG");
  reach
      ->add_option("--inventory", options.inventory_file,
                   "Inventory file; left out: the one that comes with the program")
      ->type_name("FILE");
  reach->add_option("--strip", options.strips, "Only this strip; may be given several times")
      ->type_name("NAME")
      ->allow_extra_args(false);
  reach->add_option("--pitch", options.pitch_mm, "Distance of the places; left out: 25")
      ->type_name("MM")
      ->check(CLI::Range(5.0, 500.0));
  reach
      ->add_option("--rows", options.common.rows_file,
                   "Keep every stance that is solved (JSON Lines) in FILE, and go on from it")
      ->type_name("FILE");
  reach->add_flag("--coarse", options.is_coarse, "A quick map: no search and no refinement along the border");
  add_picture(*reach, options.common);
  reach->add_option("--json", options.json_file, "Write the map (JSON) to FILE; - for standard output")
      ->type_name("FILE");
  reach->add_option("--csv", options.common.csv_file, "Write one line a place (CSV) to FILE; - for standard output")
      ->type_name("FILE");
  reach->footer(kReachExamples);
}

void add_tune(CLI::App& study, StudyTuneOptions& options) {
  CLI::App* tune = study.add_subcommand("tune", "Effort over one or two dimensions of wall, hold or climber");
  add_common(*tune, options.common, true);
  tune->add_option("--vary", options.vary, "WHAT=FROM:TO:STEP or WHAT@NAME=FROM:TO:STEP; once or twice")
      ->type_name("TEXT")
      ->allow_extra_args(false)
      ->required();
  tune->add_option("--tolerance", options.tolerances,
                   "Of the values where the verdict changes, one for each --vary; left out: 0.1 deg, 1 mm, 0.005 of a "
                   "factor")
      ->type_name("VALUE")
      ->allow_extra_args(false)
      ->check(CLI::PositiveNumber);
  tune->footer(kTuneExamples);
}

void add_bodies(CLI::App& study, StudyBodiesOptions& options) {
  CLI::App* bodies = study.add_subcommand("bodies", "Which bodies hold the moves: a population, or a list of people");
  add_common(*bodies, options.common, true);
  bodies->add_option("--count", options.count, "Bodies to draw; left out: 200")
      ->type_name("COUNT")
      ->check(CLI::Range(std::int64_t{1}, std::int64_t{100'000'000}));
  bodies->add_option("--sex", options.sex, "female, male or both (in turn)")
      ->type_name("SEX")
      ->check(CLI::IsMember({"female", "male", "both"}))
      ->option_text("SEX");
  bodies->add_option("--seed", options.common.seed, "Another seed draws other bodies")->type_name("NUMBER");
  bodies->add_option("--people", options.people_file, "CSV file of people, in place of a population")
      ->type_name("FILE");
  bodies->footer(kBodiesExamples);
}

void add_seek(CLI::App& study, StudySeekOptions& options) {
  CLI::App* seek = study.add_subcommand("seek", "Place a hold so that a move has the effort wished for");
  add_common(*seek, options.common, true);
  seek->add_option("--vary", options.vary, "WHAT@NAME or WHAT@NAME=FROM:TO; may be given several times")
      ->type_name("TEXT")
      ->allow_extra_args(false)
      ->required();
  seek->add_option("--effort", options.effort, "Effort to be met; left out: 0.85")
      ->type_name("SHARE")
      ->check(CLI::Range(0.05, 1.0));
  seek->add_option("--also", options.also,
                   "Stature in mm or climber file that must hold too; may be given several times")
      ->type_name("WHO")
      ->allow_extra_args(false);
  seek->add_option("--starts", options.starts, "Searches from different starts; left out: 6")
      ->type_name("COUNT")
      ->check(CLI::Range(1, 1000));
  seek->add_flag("--anywhere", options.is_free, "Places need not be T-nuts");
  seek->add_option("--seed", options.common.seed, "Another seed draws other starts")->type_name("NUMBER");
  seek->footer(kSeekExamples);
}

}  // namespace

CLI::App* add_study(CLI::App& app, AllStudyOptions& options) {
  CLI::App* study = app.add_subcommand("study", "Before the drill: reach maps, wall tuning, many bodies, goal seek");
  study->require_subcommand(1);
  study->footer(kExamples);
  add_reach(*study, options.reach);
  add_tune(*study, options.tune);
  add_bodies(*study, options.bodies);
  add_seek(*study, options.seek);
  return study;
}

Exit run_study(const CLI::App& study, const AllStudyOptions& options) {
  if (study.got_subcommand("reach")) return run_study_reach(options.reach);
  if (study.got_subcommand("tune")) return run_study_tune(options.tune);
  return study.got_subcommand("bodies") ? run_study_bodies(options.bodies) : run_study_seek(options.seek);
}

}  // namespace steepwright::cli
