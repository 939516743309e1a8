#include "engine/body/body.h"
#include "engine/cli/advice_table.h"
#include "engine/cli/columns.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/cli/risk_table.h"
#include "engine/cli/scene_input.h"
#include "engine/cli/table.h"
#include "engine/cli/trace_options.h"
#include "engine/cli/trace_table.h"
#include "engine/io/captions.h"
#include "engine/io/problem_picture.h"
#include "engine/io/record.h"
#include "engine/io/strip_picture.h"
#include "engine/io/trace_record.h"
#include "engine/move/problem.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::cli {

namespace {

/// All that was computed; results and extras belong together by index.
struct Traced {
  move::ProblemResult problem;
  std::vector<move::MoveResult> results;
  std::vector<io::MoveExtras> extras;
};

void solve_moves(const move::Scene& scene, const body::Body& body, const TraceOptions& options, Traced& traced) {
  ProgressBar bar;
  move::SolveOptions solve;
  solve.on_progress = [&bar](int done, int total) {
    bar.show(done, total);
    return !is_interrupted();
  };
  traced.problem = move::solve_problem(scene, body, solve);
  for (std::size_t i = 0; i < traced.problem.moves.size(); ++i) {
    const move::ProblemMove& step = traced.problem.moves[i];
    traced.results.push_back(step.result);
    io::MoveExtras extras;
    if (options.move_name.empty()) {
      extras.follows = step.follows;
      extras.is_crux = i == traced.problem.crux;
    }
    traced.extras.push_back(std::move(extras));
  }
}

void add_cut_loose(const move::Scene& scene, const body::Body& body, Traced& traced) {
  if (is_interrupted()) return;
  traced.extras.front().cut_loose = move::find_cut_loose(scene, body, scene.moves.front(), traced.results.front(), {});
}

void add_risks(const body::Body& body, const TraceOptions& options, Traced& traced) {
  if (options.risk_draws == 0) return;
  move::RiskOptions risk = make_risk_options(options);
  risk.is_stopped = [] { return is_interrupted(); };
  for (std::size_t i = 0; i < traced.results.size(); ++i)
    traced.extras[i].risk = move::calc_risk(body, traced.results[i], risk);
}

void add_comparisons(const move::Scene& scene, const body::Body& body, const TraceOptions& options, Traced& traced) {
  if (!options.compares_grips || is_interrupted()) return;
  ProgressBar bar;
  move::GripComparisonOptions comparison;
  comparison.threads = 0;
  comparison.known = &traced.results.front();
  comparison.on_progress = [&bar](int done, int total) {
    bar.show(done, total);
    return !is_interrupted();
  };
  traced.extras.front().grips = move::compare_grips(scene, body, scene.moves.front(), comparison);
}

void add_advice(const move::Scene& scene, const body::Body& body, const TraceOptions& options, Traced& traced) {
  ProgressBar bar;
  const auto on_progress = [&bar](int done, int total) {
    bar.show(done, total);
    return !is_interrupted();
  };
  if (!options.feet.empty() && !is_interrupted()) {
    move::FootOptions feet;
    feet.known = &traced.results.front();
    feet.on_progress = on_progress;
    traced.extras.front().feet = move::find_feet(scene, body, scene.moves.front(), feet);
  }
  if (options.asks_shortfall && !is_interrupted()) {
    move::RemedyOptions remedies;
    remedies.known = &traced.results.front();
    remedies.threads = 0;
    remedies.on_progress = on_progress;
    traced.extras.front().remedies = move::solve_remedies(scene, scene.moves.front(), remedies);
  }
}

std::string format_move(const move::MoveResult& result, const io::MoveExtras& extras, const Terminal& terminal) {
  std::string text = bold(make_printable(result.name), terminal) + "\n";
  const std::string verdict = std::string(move::name_of(result.verdict)) + ": " + make_printable(result.cause_text);
  text += wrap_lines(verdict, terminal);
  if (extras.cut_loose)
    text += wrap_lines("That is with the feet as given; " + io::describe_cut_loose(*extras.cut_loose) + ".", terminal);
  return text + "\n" + format_frames(result, terminal) + "\n" + format_peaks(result, terminal) + "\n";
}

std::string format_frame_footer(const Terminal& terminal) {
  return wrap_lines(
      "t: share of the move; com: height of the centre of mass, mm; effort: share of grip and joint strength; use: "
      "share of the contact's capacity; mg: slip-off margin, degrees that the pull may still swing, at its load, "
      "before it comes off: skin or rubber slips, or, outward over the lip, the fingers open; > the frame that "
      "decides.",
      terminal);
}

std::string format_comparisons(const move::Move& move, const io::MoveExtras& extras, const Terminal& terminal) {
  if (extras.grips.empty()) {
    return fmt::format("no grips to compare: {}\n\n",
                       is_hand(move.moving) ? "the move has no lower hand and no hold" : "a foot moves");
  }
  std::string text;
  for (const move::GripComparison& comparison : extras.grips) text += format_comparison(comparison, terminal) + "\n";
  return text;
}

std::string format_one(const move::Scene& scene, const TraceOptions& options, const Traced& traced,
                       const Terminal& terminal) {
  const io::MoveExtras& extras = traced.extras.front();
  std::string text = format_move(traced.results.front(), extras, terminal);
  if (extras.risk) text += format_risk(traced.results.front(), *extras.risk, terminal) + "\n";
  if (options.compares_grips) text += format_comparisons(scene.moves.front(), extras, terminal);
  if (!options.feet.empty()) text += format_feet(extras.feet, terminal) + "\n";
  if (options.asks_shortfall) text += format_remedies(extras.remedies, terminal) + "\n";
  return text + format_frame_footer(terminal);
}

std::string format_problem(const Traced& traced, const Terminal& terminal) {
  if (traced.results.empty()) return "the scene has no moves\n";
  std::string text = format_verdicts(traced.results, terminal) + "\n";
  text += fmt::format("crux: {}\n", make_printable(traced.results[*traced.problem.crux].name));
  for (std::size_t i = 1; i < traced.results.size(); ++i) {
    if (!traced.problem.moves[i].follows)
      text += fmt::format("'{}' starts from a stance of its own\n", make_printable(traced.results[i].name));
  }
  for (std::size_t i = 0; i < traced.results.size(); ++i) {
    if (!traced.extras[i].risk) continue;
    text += "\n" + make_printable(traced.results[i].name) + "\n";
    text += format_risk(traced.results[i], *traced.extras[i].risk, terminal);
  }
  return text;
}

bool save_files(const TraceOptions& options, const move::Scene& scene, const body::Body& body, const Traced& traced) {
  const bool is_stdout_taken = options.json_file == kToStdout;
  bool is_saved = true;
  const auto tell = [&](const Result<void>& saved, const char* what, const std::string& file) {
    is_saved = tell_saved(saved, what, file, is_stdout_taken) && is_saved;
  };
  if (!options.json_file.empty() && !is_stdout_taken)
    tell(io::save_record(options.json_file, scene, body, traced.results, traced.extras), "record", options.json_file);
  if (!options.strip_file.empty())
    tell(io::save_drawing(options.strip_file,
                          io::make_strip(scene, body, traced.results.front(), traced.extras.front())),
         "strip", options.strip_file);
  if (!options.picture_file.empty())
    tell(io::save_drawing(options.picture_file, io::make_problem_picture(scene, body, traced.problem)), "picture",
         options.picture_file);
  return is_saved;
}

}  // namespace

Exit run_trace(const TraceOptions& options) {
  if (!check_trace_options(options)) return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_scene_or_complain(options.scene_file, options.climber_file);
  if (!loaded) return find_load_exit();
  move::Scene& scene = loaded->scene;
  if (!select_move(options.move_name, scene)) return Exit::kBadInput;

  const body::Body body = body::make_body(scene.climber.measures);
  Traced traced;
  solve_moves(scene, body, options, traced);
  add_risks(body, options, traced);
  if (!options.move_name.empty() && !traced.results.empty()) {
    add_cut_loose(scene, body, traced);
    add_comparisons(scene, body, options, traced);
    add_advice(scene, body, options, traced);
  }
  if (is_interrupted()) {
    complain("interrupted; nothing was written");
    return Exit::kInterrupted;
  }
  const Terminal terminal = find_terminal(stdout);
  std::string text;
  if (options.json_file == kToStdout) {
    text = io::format_record(scene, body, traced.results, traced.extras);
  } else {
    text = format_heading(scene, body, terminal);
    text += options.move_name.empty() ? format_problem(traced, terminal) : format_one(scene, options, traced, terminal);
    text += "\n" + format_cautions();
  }
  const bool is_printed = print(text);
  if (!save_files(options, scene, body, traced) || !is_printed) return Exit::kBadInput;
  return find_exit(traced.results);
}

}  // namespace steepwright::cli
