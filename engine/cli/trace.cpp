#include "engine/body/body.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/cli/scene_input.h"
#include "engine/cli/trace_options.h"
#include "engine/cli/trace_table.h"
#include "engine/io/record.h"
#include "engine/io/strip_picture.h"
#include "engine/move/solve.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::cli {

namespace {

constexpr const char* kToStdout = "-";

bool check_outputs(const TraceOptions& options) {
  if (!options.strip_file.empty() && !io::find_picture_format(options.strip_file)) {
    complain(fmt::format("--strip: '{}' is no picture's name; it ends in .svg, .png or .pdf", options.strip_file));
    return false;
  }
  if (!options.strip_file.empty() && options.move_name.empty()) {
    complain("--strip shows one move: name it with --move");
    return false;
  }
  return check_written_files({{"--json", options.json_file}, {"--strip", options.strip_file}},
                             {options.scene_file, options.climber_file});
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

std::string format_move(const move::MoveResult& result, const Terminal& terminal) {
  std::string text = bold(make_printable(result.name), terminal) + "\n";
  const std::string verdict = std::string(move::name_of(result.verdict)) + ": " + make_printable(result.cause_text);
  for (const std::string& line : wrap(verdict, terminal.columns)) text += line + "\n";
  return text + "\n" + format_frames(result, terminal) + "\n" + format_peaks(result, terminal) + "\n";
}

std::string format_footer(const Terminal& terminal) {
  std::string text;
  for (const std::string& line :
       wrap("t: share of the move; com: height of the centre of mass, mm; effort: share of grip and joint strength; "
            "use: share of the contact's capacity; mg: slip margin, degrees from the force to where it slips; > the "
            "frame that decides.",
            terminal.columns))
    text += line + "\n";
  return text + "\n" + format_cautions();
}

bool save_files(const TraceOptions& options, const move::Scene& scene, const body::Body& body,
                const std::vector<move::MoveResult>& results) {
  bool is_saved = true;
  const auto tell = [&is_saved, &options](const Result<void>& saved, const char* what, const std::string& file) {
    if (!saved) print_findings(saved.error());
    // Behind a record on standard output there must be nothing else.
    const bool is_told =
        options.json_file == kToStdout || !saved || print(fmt::format("{} written to {}\n", what, make_printable(file)));
    is_saved = saved && is_told && is_saved;
  };
  if (!options.json_file.empty() && options.json_file != kToStdout)
    tell(io::save_record(options.json_file, scene, body, results), "record", options.json_file);
  if (!options.strip_file.empty())
    tell(io::save_drawing(options.strip_file, io::make_strip(scene, body, results.front())), "strip",
         options.strip_file);
  return is_saved;
}

}  // namespace

Exit run_trace(const TraceOptions& options) {
  if (!check_outputs(options)) return Exit::kBadInput;
  Result<io::LoadedScene> loaded = load_scene_of(options.scene_file, options.climber_file);
  if (is_interrupted()) return Exit::kInterrupted;
  if (!loaded) {
    print_findings(loaded.error());
    return Exit::kBadInput;
  }
  print_findings(loaded->warnings);
  move::Scene& scene = loaded->scene;
  if (!select_move(options.move_name, scene)) return Exit::kBadInput;

  const body::Body body = body::make_body(scene.climber.measures);
  const std::vector<move::MoveResult> results = solve(scene, body);
  if (is_interrupted()) {
    complain("interrupted; nothing was written");
    return Exit::kInterrupted;
  }
  const Terminal terminal = find_terminal(stdout);
  std::string text;
  if (options.json_file == kToStdout) {
    text = io::format_record(scene, body, results);
  } else {
    text = format_heading(scene, body, terminal);
    for (const move::MoveResult& result : results) text += format_move(result, terminal);
    text += format_footer(terminal);
  }
  const bool is_printed = print(text);
  if (!save_files(options, scene, body, results) || !is_printed) return Exit::kBadInput;
  const bool all_hold = std::all_of(results.begin(), results.end(), [](const move::MoveResult& result) {
    return result.verdict == move::Verdict::kStatic;
  });
  return all_hold ? Exit::kAllHold : Exit::kSomeDoNot;
}

}  // namespace steepwright::cli
