#include "engine/body/body.h"
#include "engine/cli/columns.h"
#include "engine/cli/commands.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/cli/scene_input.h"
#include "engine/cli/table.h"
#include "engine/io/captions.h"
#include "engine/io/moves_picture.h"
#include "engine/io/record.h"
#include "engine/io/trace_record.h"
#include "engine/move/solve.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::cli {

namespace {

bool check_outputs(const CheckOptions& options) {
  const bool is_free = check_written_files({{"--json", options.json_file}, {"--picture", options.picture_file}},
                                           {options.scene_file, options.climber_file});
  return is_free && check_picture_name("--picture", options.picture_file);
}

std::string format_footer() {
  return "\neffort: share of grip and joint strength at the hardest instant; friction: share of the given\n"
         "friction that any forces need there; over 100 % does not hold, - is not to be had at all.\n\n" +
         format_cautions();
}

std::vector<move::MoveResult> solve(const move::Scene& scene, const body::Body& body) {
  ProgressBar bar;
  move::SolveOptions options;
  options.on_progress = [&bar](int done, int total) {
    bar.show(done, total);
    return !is_interrupted();
  };
  return move::solve_moves(scene, body, options);
}

// What is to be said of each move beyond its verdict.
std::vector<io::MoveExtras> find_extras(const move::Scene& scene, const body::Body& body,
                                        const std::vector<move::MoveResult>& results) {
  std::vector<io::MoveExtras> extras(results.size());
  for (std::size_t i = 0; i < results.size() && !is_interrupted(); ++i)
    extras[i].cut_loose = move::find_cut_loose(scene, body, scene.moves[i], results[i], {});
  return extras;
}

std::string format_extras(const std::vector<move::MoveResult>& results, const std::vector<io::MoveExtras>& extras,
                          const Terminal& terminal) {
  std::string text;
  for (std::size_t i = 0; i < results.size(); ++i) {
    if (!extras[i].cut_loose) continue;
    text += wrap_lines(make_printable(results[i].name) + ": short with the feet as given; " +
                           io::describe_cut_loose(*extras[i].cut_loose) + ".",
                       terminal);
  }
  return text.empty() ? text : "\n" + text;
}

// False, with the reasons printed, when a file could not be written; what was there before is kept then.
bool save_files(const CheckOptions& options, const move::Scene& scene, const body::Body& body,
                const std::vector<move::MoveResult>& results, const std::vector<io::MoveExtras>& extras) {
  const bool is_stdout_taken = options.json_file == kToStdout;
  bool is_saved = true;
  if (!options.json_file.empty() && !is_stdout_taken)
    is_saved = tell_saved(io::save_record(options.json_file, scene, body, results, extras), "record", options.json_file,
                          false);
  if (!options.picture_file.empty())
    is_saved = tell_saved(io::save_drawing(options.picture_file, io::make_moves_picture(scene, body, results)),
                          "picture", options.picture_file, is_stdout_taken) &&
               is_saved;
  return is_saved;
}

}  // namespace

Exit run_check(const CheckOptions& options) {
  if (!check_outputs(options)) return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_scene_or_complain(options.scene_file, options.climber_file);
  if (!loaded) return find_load_exit();
  move::Scene& scene = loaded->scene;
  if (!select_move(options.move_name, scene)) return Exit::kBadInput;

  const body::Body body = body::make_body(scene.climber.measures);
  const std::vector<move::MoveResult> results = solve(scene, body);
  const std::vector<io::MoveExtras> extras = find_extras(scene, body, results);
  if (is_interrupted()) {
    complain("interrupted; nothing was written");
    return Exit::kInterrupted;
  }
  const Terminal terminal = find_terminal(stdout);
  bool is_printed = false;
  if (options.json_file == kToStdout) {
    is_printed = print(io::format_record(scene, body, results, extras));
  } else {
    const std::string table = results.empty() ? "the scene has no moves\n" : format_verdicts(results, terminal);
    is_printed = print(format_heading(scene, body, terminal) + table + format_extras(results, extras, terminal) +
                       format_footer());
  }
  if (!save_files(options, scene, body, results, extras) || !is_printed) return Exit::kBadInput;
  return find_exit(results);
}

}  // namespace steepwright::cli
