#include "engine/body/body.h"
#include "engine/cli/climber.h"
#include "engine/cli/commands.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/cli/table.h"
#include "engine/figure/cautions.h"
#include "engine/io/record.h"
#include "engine/io/scene_file.h"
#include "engine/io/svg.h"
#include "engine/io/text.h"
#include "engine/move/goals.h"
#include "engine/move/solve.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace steepwright::cli {

namespace {

constexpr const char* kToStdout = "-";

Result<io::LoadedScene> load(const CheckOptions& options) {
  io::SceneOptions scene_options;
  if (!options.climber_file.empty()) scene_options.climber_file = options.climber_file;
  return options.scene_file.empty() ? io::load_default_scene(scene_options)
                                    : io::load_scene(options.scene_file, scene_options);
}

bool is_same_file(const std::string& a, const std::string& b) {
  if (a.empty() || b.empty()) return false;
  std::error_code error;
  return std::filesystem::weakly_canonical(a, error) == std::filesystem::weakly_canonical(b, error);
}

// What is written must not take the place of what is read, nor of each other.
bool check_outputs(const CheckOptions& options) {
  for (const std::string& written : {options.json_file, options.picture_file}) {
    if (is_same_file(written, options.scene_file) || is_same_file(written, options.climber_file)) {
      complain(fmt::format("'{}' would be overwritten by the result; give the result another name", written));
      return false;
    }
  }
  if (is_same_file(options.json_file, options.picture_file)) {
    complain("--json and --picture name the same file");
    return false;
  }
  return true;
}

// Keeps only the move of that name; false with a message when there is none.
bool select_move(const std::string& name, move::Scene& scene) {
  if (name.empty()) return true;
  std::vector<std::string> names;
  for (const move::Move& move : scene.moves) names.push_back(move.name);
  std::erase_if(scene.moves, [&name](const move::Move& move) { return move.name != name; });
  if (!scene.moves.empty()) return true;
  const auto nearest = io::find_nearest_name(name, names);
  complain(fmt::format("--move: the scene has no move '{}'; {}", name,
                       nearest         ? fmt::format("did you mean '{}'?", *nearest)
                       : names.empty() ? std::string("it has no moves at all")
                                       : "its moves are " + io::list_of(names)));
  return false;
}

std::string format_heading(const move::Scene& scene, const body::Body& body, const Terminal& terminal) {
  const body::Measures& measures = scene.climber.measures;
  std::string climber = measures.name.empty() ? "climber" : measures.name;
  const std::string stature = fmt::format("{:.2f} m", measures.stature_m);
  if (climber.find(stature) == std::string::npos) climber += ", " + stature;
  climber += fmt::format(", {:.0f} kg, span {:.2f} m, {}", measures.mass_kg, body.span_m,
                         show_edge_force(scene.climber.fingers));
  std::string text = bold(make_printable(scene.name), terminal) + "\n";
  for (const std::string& line : wrap(make_printable(climber), terminal.columns)) text += line + "\n";
  const std::string unmet = describe_unmet_reference(move::make_climber_hand(scene.climber, body));
  if (!unmet.empty()) {
    for (const std::string& line : wrap("note: " + unmet, terminal.columns)) text += line + "\n";
  }
  return text + "\n";
}

std::string format_footer() {
  std::string text =
      "\neffort: share of grip and joint strength at the hardest instant; friction: share of the given\n"
      "friction that any forces need there; over 100 % does not hold, - is not to be had at all.\n\n";
  for (const std::string_view caution : figure::kCautions) text += fmt::format("{}\n", caution);
  return text;
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

// False, with the reasons printed, when a file could not be written; what was there before is kept then.
bool save_files(const CheckOptions& options, const move::Scene& scene, const body::Body& body,
                const std::vector<move::MoveResult>& results) {
  bool is_saved = true;
  const auto report = [&is_saved](const Result<void>& saved, const char* what, const std::string& file) {
    if (!saved) {
      print_findings(saved.error());
      is_saved = false;
    } else {
      is_saved = print(fmt::format("{} written to {}\n", what, make_printable(file))) && is_saved;
    }
  };
  if (!options.json_file.empty() && options.json_file != kToStdout)
    report(io::save_record(options.json_file, scene, body, results), "record", options.json_file);
  if (!options.picture_file.empty())
    report(io::save_svg(options.picture_file, scene, body, results), "picture", options.picture_file);
  return is_saved;
}

}  // namespace

Exit run_check(const CheckOptions& options) {
  if (!check_outputs(options)) return Exit::kBadInput;
  Result<io::LoadedScene> loaded = load(options);
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
  bool is_printed = false;
  if (options.json_file == kToStdout) {
    is_printed = print(io::format_record(scene, body, results));
  } else {
    const std::string table = results.empty() ? "the scene has no moves\n" : format_verdicts(results, terminal);
    is_printed = print(format_heading(scene, body, terminal) + table + format_footer());
  }
  if (!save_files(options, scene, body, results) || !is_printed) return Exit::kBadInput;
  const bool all_hold = std::all_of(results.begin(), results.end(), [](const move::MoveResult& result) {
    return result.verdict == move::Verdict::kStatic;
  });
  return all_hold ? Exit::kAllHold : Exit::kSomeDoNot;
}

}  // namespace steepwright::cli
