#include "engine/io/study_seek.h"

#include "engine/cli/columns.h"
#include "engine/cli/interrupt.h"
#include "engine/cli/study_common.h"
#include "engine/cli/study_vary.h"
#include "engine/core/units.h"
#include "engine/io/climber_file.h"
#include "engine/io/quantities.h"
#include "engine/io/study_marks.h"
#include "engine/io/study_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

namespace steepwright::cli {

namespace {

constexpr std::size_t kMostShown = 5;
constexpr double kShortest_mm = 1000.0, kTallest_mm = 2500.0;

/// Bounds where --vary gives none: the hold's strip for its place, half and double for the rest.
void set_bounds(const Vary& vary, const move::Scene& scene, study::SeekAxis& axis) {
  const double now = study::find_knob_value(scene, vary.knob);
  axis.lower = 0.5 * now;
  axis.upper = 2.0 * now;
  const study::KnobKind kind = vary.knob.kind;
  if (kind == study::KnobKind::kAcross || kind == study::KnobKind::kUp) {
    const move::PlacedHold& placed = scene.holds[static_cast<std::size_t>(vary.knob.index)];
    const wall::Strip& strip = scene.wall.strips[static_cast<std::size_t>(placed.strip)];
    const bool is_across = kind == study::KnobKind::kAcross;
    const double half_mm = mm_from_m(0.5 * (is_across ? placed.hold.shape.width_m : placed.hold.shape.height_m));
    axis.lower = half_mm;
    axis.upper = mm_from_m(is_across ? strip.width_m : strip.length_m) - half_mm;
  } else if (study::unit_of(kind) == "deg") {
    axis.lower = now - 30.0;
    axis.upper = now + 30.0;
  }
  axis.lower = vary.lower.value_or(axis.lower);
  axis.upper = vary.upper.value_or(axis.upper);
}

/// A stature in mm (the climber in proportion), or a climber file.
bool add_also(const std::string& who, const move::Scene& scene, std::vector<move::Climber>& also) {
  double stature_mm = 0.0;
  const auto [end, error] = std::from_chars(who.data(), who.data() + who.size(), stature_mm);
  if (error == std::errc() && end == who.data() + who.size()) {
    if (stature_mm < kShortest_mm || stature_mm > kTallest_mm) {
      complain(fmt::format("--also: {} is no stature from {} to {} mm", who, kShortest_mm, kTallest_mm));
      return false;
    }
    also.push_back(study::turn_knobs(scene, {study::Knob{study::KnobKind::kStature, -1}}, {stature_mm}).scene.climber);
    return true;
  }
  Result<io::LoadedClimber> loaded = io::load_climber(who);
  if (!loaded) {
    print_findings(loaded.error());
    return false;
  }
  print_findings(loaded->warnings);
  also.push_back(std::move(loaded->climber));
  return true;
}

std::optional<study::SeekQuestion> make_question(const StudySeekOptions& options, const move::Scene& scene) {
  study::SeekQuestion question;
  question.effort = options.effort;
  question.onto_tnuts = !options.is_free;
  question.seed = options.common.seed;
  question.judging = options.common.is_traced ? study::Judging::kTrace : study::Judging::kStances;
  for (const std::string& text : options.vary) {
    const std::optional<Vary> vary = read_vary(text, scene);
    if (!vary) return std::nullopt;
    if (vary->knob.is_of_climber()) {
      complain("--vary: seek moves the wall and its holds, not the climber");
      return std::nullopt;
    }
    study::SeekAxis axis;
    axis.knob = vary->knob;
    set_bounds(*vary, scene, axis);
    question.axes.push_back(axis);
  }
  for (const std::string& who : options.also) {
    if (!add_also(who, scene, question.also)) return std::nullopt;
  }
  return question;
}

bool is_same_place(const io::SeekRow& a, const io::SeekRow& b) {
  for (std::size_t k = 0; k < a.values.size(); ++k) {
    if (std::abs(a.values[k] - b.values[k]) > 0.5) return false;
  }
  return true;
}

/// The best few that differ.
std::vector<io::SeekRow> find_best(std::vector<io::SeekRow> rows) {
  std::stable_sort(rows.begin(), rows.end(), [](const io::SeekRow& a, const io::SeekRow& b) {
    if (a.is_held != b.is_held) return a.is_held;
    return a.miss < b.miss;
  });
  std::vector<io::SeekRow> best;
  for (const io::SeekRow& row : rows) {
    const bool is_new =
        std::none_of(best.begin(), best.end(), [&](const io::SeekRow& b) { return is_same_place(row, b); });
    if (is_new && best.size() < kMostShown) best.push_back(row);
  }
  return best;
}

std::string format_answers(const io::SeekReport& report, const Terminal& terminal) {
  std::string text =
      bold(make_printable(fmt::format("Where {} {}", io::describe_moves(*report.scene), io::describe_reached(report))),
           terminal) +
      fmt::format("\nwished for: effort {}", io::show_percent(report.question.effort));
  for (const move::Climber& other : report.question.also)
    text += fmt::format(", and held at {:.2f} m", other.measures.stature_m);
  text += "\n\n";
  for (const io::SeekRow& row : report.best) {
    text += row.is_held ? "held      " : "not held  ";
    text += make_printable(io::describe_values(report, row)) + ", ";
    text += std::isfinite(row.effort) ? fmt::format("effort {:.1f} %", 100.0 * row.effort) : "no posture or balance";
    text += row.is_on_tnut ? ", on a T-nut\n" : "\n";
    text += list_below("binds:", make_printable(row.binds), terminal);
  }
  return text + "\n";
}

}  // namespace

Exit run_study_seek(const StudySeekOptions& options) {
  StudyRun run(options.common);
  if (!check_study_files(options.common, {}, options.also)) return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_study_scene(options.common);
  if (!loaded) return find_load_exit();
  const move::Scene& scene = loaded->scene;
  const std::optional<study::SeekQuestion> question = make_question(options, scene);
  if (!question) return Exit::kBadInput;

  std::vector<io::SeekRow> rows;
  const std::vector<std::string> columns = io::seek_columns(scene, *question);
  std::string csv = io::format_csv_header(columns);
  const auto on_row = [&](const io::Json& json) {
    const std::optional<io::SeekRow> row = io::read_seek_row(scene, *question, json);
    if (row) rows.push_back(*row);
    csv += io::format_csv_row(columns, json);
    return row.has_value();
  };
  std::string options_text = fmt::format("effort {} anywhere {} seed {} traced {}", options.effort, options.is_free,
                                         options.common.seed, options.common.is_traced);
  for (const study::SeekAxis& axis : question->axes)
    options_text += fmt::format(" {} {} {}", study::describe(scene, axis.knob), axis.lower, axis.upper);
  std::string others;
  for (const move::Climber& other : question->also) others += describe_climber_values(other);
  if (!run.open(make_study_header("seek", *loaded, options_text, others, columns), on_row)) return Exit::kBadInput;
  const Exit exit = run.hand_out(options.starts, "searches", [&] {
    return [&](std::int64_t sample, const std::string& /*told*/) {
      return io::format_seek_row(scene, *question, sample, study::seek(scene, *question, sample, is_interrupted));
    };
  });
  if (exit != Exit::kAllHold || !run.is_first()) return exit;

  const io::SeekReport report{&scene, *question, find_best(std::move(rows))};
  const bool is_stdout_taken = options.common.csv_file == kToStdout;
  bool is_good = is_stdout_taken || print(format_answers(report, find_terminal(stdout)) +
                                          describe_judging(options.common) + "\n" + format_cautions());
  is_good = save_study_text(options.common.csv_file, "rows", csv, is_stdout_taken) && is_good;
  is_good = save_study_picture(options.common.picture_file, io::make_seek_picture(report), is_stdout_taken) && is_good;
  if (!is_good) return Exit::kBadInput;
  return !report.best.empty() && report.best.front().is_held ? Exit::kAllHold : Exit::kSomeDoNot;
}

}  // namespace steepwright::cli
