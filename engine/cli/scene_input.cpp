#include "engine/cli/scene_input.h"

#include "engine/cli/climber.h"
#include "engine/cli/interrupt.h"
#include "engine/figure/cautions.h"
#include "engine/io/drawing.h"
#include "engine/io/text.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

namespace steepwright::cli {

namespace {

bool is_same_file(const std::string& a, const std::string& b) {
  if (a.empty() || b.empty()) return false;
  std::error_code error;
  return std::filesystem::weakly_canonical(a, error) == std::filesystem::weakly_canonical(b, error);
}

}  // namespace

std::optional<io::LoadedScene> load_scene_or_complain(const std::string& scene_file, const std::string& climber_file) {
  io::SceneOptions options;
  if (!climber_file.empty()) options.climber_file = climber_file;
  Result<io::LoadedScene> loaded =
      scene_file.empty() ? io::load_default_scene(options) : io::load_scene(scene_file, options);
  if (is_interrupted()) return std::nullopt;
  if (!loaded) {
    print_findings(loaded.error());
    return std::nullopt;
  }
  print_findings(loaded->warnings);
  return std::move(*loaded);
}

Exit find_load_exit() { return is_interrupted() ? Exit::kInterrupted : Exit::kBadInput; }

bool check_written_files(const std::vector<WrittenFile>& written, const std::vector<std::string>& read) {
  for (std::size_t i = 0; i < written.size(); ++i) {
    for (const std::string& file : read) {
      if (!is_same_file(written[i].file, file)) continue;
      complain(fmt::format("'{}' would be overwritten by the result; give the result another name", written[i].file));
      return false;
    }
    for (std::size_t k = 0; k < i; ++k) {
      if (!is_same_file(written[i].file, written[k].file)) continue;
      complain(fmt::format("{} and {} name the same file", written[k].option, written[i].option));
      return false;
    }
  }
  return true;
}

bool check_picture_name(const char* option, const std::string& file) {
  if (file.empty() || io::find_picture_format(file)) return true;
  complain(fmt::format("{}: '{}' is no picture's name; it ends in .svg, .png or .pdf", option, file));
  return false;
}

bool tell_saved(const Result<void>& saved, std::string_view what, const std::string& file, bool is_stdout_taken) {
  if (!saved) {
    print_findings(saved.error());
    return false;
  }
  return is_stdout_taken || print(fmt::format("{} written to {}\n", what, make_printable(file)));
}

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

std::string format_cautions() {
  std::string text;
  for (const std::string_view caution : figure::kCautions) text += fmt::format("{}\n", caution);
  return text;
}

Exit find_exit(const std::vector<move::MoveResult>& results) {
  const bool all_hold = std::all_of(results.begin(), results.end(), [](const move::MoveResult& result) {
    return result.verdict == move::Verdict::kStatic;
  });
  return all_hold ? Exit::kAllHold : Exit::kSomeDoNot;
}

}  // namespace steepwright::cli
