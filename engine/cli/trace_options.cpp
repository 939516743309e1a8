#include "engine/cli/trace_options.h"

#include <CLI/CLI.hpp>

namespace steepwright::cli {

namespace {

constexpr const char* kExamples = R"(Examples:
  steepwright trace --move "left hand to the bar"
  steepwright trace wall.toml --move "ledge to slot" --strip move.png --json move.json

Exit status: 0 the move holds, 1 it does not, 2 bad input (nothing is written then).)";

}  // namespace

CLI::App* add_trace(CLI::App& app, TraceOptions& options) {
  CLI::App* trace = app.add_subcommand("trace", "Follow a move as it happens: what every hold feels, frame by frame");
  trace->add_option("SCENE", options.scene_file, "Scene file (TOML); left out: the scene that comes with the program")
      ->type_name("");
  trace->add_option("--move", options.move_name, "Follow the move of this name")->type_name("NAME");
  trace->add_option("--json", options.json_file, "Write the record with all frames (JSON) to FILE; - for standard output")
      ->type_name("FILE");
  trace->add_option("--strip", options.strip_file, "Draw the move's frames and plots to FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
  trace->add_option("--climber", options.climber_file, "Climber file (TOML), in place of the scene's climber")
      ->type_name("FILE");
  trace->footer(kExamples);
  return trace;
}

}  // namespace steepwright::cli
