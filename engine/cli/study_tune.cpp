#include "engine/cli/columns.h"
#include "engine/cli/study_common.h"
#include "engine/cli/study_vary.h"
#include "engine/core/units.h"
#include "engine/io/study_rows.h"
#include "engine/io/study_tune_picture.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

namespace steepwright::cli {

namespace {

constexpr std::int64_t kMostPoints = 1'000'000;

/// One an axis.
std::vector<double> find_tolerances(const StudyTuneOptions& options, const study::SweepQuestion& question) {
  std::vector<double> tolerances;
  for (const study::SweepAxis& axis : question.axes) {
    const std::string_view unit = study::unit_of(axis.knob.kind);
    const double usual = unit == "deg" ? 0.1 : unit == "mm" ? 1.0 : 0.005;
    tolerances.push_back(tolerances.size() < options.tolerances.size() ? options.tolerances[tolerances.size()] : usual);
  }
  return tolerances;
}

std::optional<study::SweepQuestion> make_question(const StudyTuneOptions& options, const move::Scene& scene) {
  study::SweepQuestion question;
  question.judging = options.common.is_traced ? study::Judging::kTrace : study::Judging::kStances;
  if (options.vary.size() > 2) {
    complain("--vary: one or two dimensions can be swept at a time");
    return std::nullopt;
  }
  for (const std::string& text : options.vary) {
    const std::optional<Vary> vary = read_vary(text, scene);
    if (!vary) return std::nullopt;
    if (!vary->step) {
      complain(
          fmt::format("--vary: '{}' has no range: write it as {}=FROM:TO:STEP", text, text.substr(0, text.find('='))));
      return std::nullopt;
    }
    if (*vary->step > *vary->upper - *vary->lower) {
      complain(fmt::format("--vary: the step of '{}' is larger than its range", text));
      return std::nullopt;
    }
    question.axes.push_back({vary->knob, *vary->lower, *vary->upper, *vary->step});
  }
  if (options.tolerances.size() > question.axes.size()) {
    complain("--tolerance: there is one for each --vary at most");
    return std::nullopt;
  }
  if (question.count() > kMostPoints) {
    complain(fmt::format("--vary: {} points are more than {}; take larger steps", question.count(), kMostPoints));
    return std::nullopt;
  }
  return question;
}

/// Neighbours along each axis whose verdicts differ: the one that holds first.
std::vector<std::pair<std::size_t, std::size_t>> find_changes(const io::TuneReport& report) {
  std::vector<std::pair<std::size_t, std::size_t>> changes;
  std::size_t stride = 1;
  for (const study::SweepAxis& axis : report.question.axes) {
    const auto count = static_cast<std::size_t>(axis.count());
    for (std::size_t k = 0; k < report.points.size(); ++k) {
      const std::size_t next = k + stride;
      if (k / stride % count + 1 == count || report.points[k].is_held() == report.points[next].is_held()) continue;
      changes.push_back(report.points[k].is_held() ? std::pair{k, next} : std::pair{next, k});
    }
    stride *= count;
  }
  return changes;
}

std::string format_point(const study::SweepPoint& point) {
  std::string text;
  for (const double value : point.values) text += pad_left(fmt::format("{:g}", value), 10);
  if (!point.fault.empty()) return text + "  cannot be built: " + point.fault;
  const study::Judged& judged = point.judged;
  text += pad_left(std::isfinite(judged.effort) ? fmt::format("{:.1f} %", 100.0 * judged.effort) : "-", 10);
  text += pad_left(judged.slip_margin ? fmt::format("{:.1f}", deg_from_rad(*judged.slip_margin)) : "-", 10);
  return text + "  " + pad(judged.is_held ? "static" : "not static", 12) + (judged.is_held ? "" : judged.text);
}

std::string format_break(const io::TuneReport& report, const study::BreakPoint& point) {
  const auto axis = static_cast<std::size_t>(point.axis);
  const auto& axes = report.question.axes;
  const std::string_view unit = study::unit_of(axes[axis].knob.kind);
  const std::string at =
      axes.size() > 1 ? fmt::format("at {} {:g} {}: {} ", study::name_of(axes[1 - axis].knob.kind), point.other,
                                    study::unit_of(axes[1 - axis].knob.kind), study::name_of(axes[axis].knob.kind))
                      : "";
  return fmt::format("{}holds at {:.6g} {}, not at {:.6g} {}: {}\n", at, point.held_value, unit, point.lost_value, unit,
                     point.fault.empty() ? point.lost.text : point.fault);
}

std::string format_table(const io::TuneReport& report, const std::vector<double>& tolerances) {
  const auto& axes = report.question.axes;
  std::string text;
  for (const study::SweepAxis& axis : axes) text += io::describe_axis(*report.scene, axis) + "\n";
  text += "\n";
  if (axes.size() == 1) {
    text += pad_left("value", 10) + pad_left("effort", 10) + pad_left("slip deg", 10) + "  verdict\n";
    for (const study::SweepPoint& point : report.points) text += format_point(point) + "\n";
  } else {
    const auto n_held = std::count_if(report.points.begin(), report.points.end(),
                                      [](const study::SweepPoint& point) { return point.is_held(); });
    text += fmt::format("{} of {} points hold\n", n_held, report.points.size());
  }
  text += "\n";
  for (const study::BreakPoint& point : report.breaks) text += format_break(report, point);
  std::string found_to;
  for (std::size_t a = 0; a < axes.size(); ++a) {
    if (report.breaks.empty())
      text += fmt::format("the verdict does not change along the {}\n", study::describe(*report.scene, axes[a].knob));
    found_to += fmt::format("{}{:g} {}", a == 0 ? "" : " and ", tolerances[a], study::unit_of(axes[a].knob.kind));
  }
  return text + "values where the verdict changes are found to " + found_to + "\n";
}

/// Every rank knows all points before values in between are sought; false when the study is over.
bool share_points(StudyRun& run, io::TuneReport& report) {
  std::string rows;
  if (run.is_first()) {
    for (std::size_t k = 0; k < report.points.size(); ++k)
      rows += io::format_sweep_row(report.question, static_cast<std::int64_t>(k), report.points[k]) + "\n";
  }
  const std::optional<std::string> shared = run.share(rows);
  if (!shared) return false;
  if (run.is_first()) return true;
  std::size_t start = 0;
  while (start < shared->size()) {
    const std::size_t end = shared->find('\n', start);
    const io::Json row = io::Json::parse(shared->substr(start, end - start), nullptr, /*allow_exceptions=*/false);
    if (const auto point = io::read_sweep_row(report.question, row)) report.points.push_back(*point);
    start = end + 1;
  }
  return true;
}

}  // namespace

Exit run_study_tune(const StudyTuneOptions& options) {
  StudyRun run(options.common);
  if (!check_study_files(options.common)) return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_study_scene(options.common);
  if (!loaded) return find_load_exit();
  const move::Scene& scene = loaded->scene;
  const std::optional<study::SweepQuestion> question = make_question(options, scene);
  if (!question) return Exit::kBadInput;
  const std::vector<double> tolerances = find_tolerances(options, *question);

  io::TuneReport report{&scene, *question, {}, {}};
  std::vector<std::string> columns = io::axis_columns(*question);
  const std::vector<std::string> judged = io::judged_columns();
  columns.insert(columns.end(), judged.begin(), judged.end());
  std::string csv = io::format_csv_header(columns);
  const auto on_row = [&](const io::Json& row) {
    if (row.contains("break")) {
      const auto point = io::read_break_row(*question, row);
      if (point) report.breaks.push_back(*point);
      return point.has_value();
    }
    const auto point = io::read_sweep_row(*question, row);
    if (!point) return false;
    report.points.push_back(*point);
    if (!options.common.csv_file.empty()) csv += io::format_csv_row(columns, row);
    return true;
  };
  std::string options_text =
      fmt::format("tolerance {} traced {}", fmt::join(tolerances, " "), options.common.is_traced);
  for (const std::string& vary : options.vary) options_text += " " + vary;
  if (!run.open(make_study_header("tune", *loaded, options_text, "", columns), on_row)) return Exit::kBadInput;
  const std::int64_t count = question->count();
  Exit exit = run.hand_out(count, "points", [&] {
    return [&](std::int64_t sample, const std::string& /*told*/) {
      return io::format_sweep_row(*question, sample,
                                  study::judge_point(scene, *question, question->find_values(sample)));
    };
  });
  if (exit != Exit::kAllHold) return exit;
  if (!share_points(run, report)) return find_silent_exit();
  const auto changes = find_changes(report);
  exit = run.hand_out(count + static_cast<std::int64_t>(changes.size()), "values", [&] {
    return [&](std::int64_t sample, const std::string& /*told*/) {
      const auto& [held, lost] = changes[static_cast<std::size_t>(sample - count)];
      const bool is_first_axis = (std::max(held, lost) - std::min(held, lost)) == 1;
      const double tolerance = tolerances[is_first_axis ? 0 : 1];
      return io::format_break_row(
          *question, study::find_break_point(scene, *question, report.points[held], report.points[lost], tolerance));
    };
  });
  if (exit != Exit::kAllHold || !run.is_first()) return exit;

  const bool is_stdout_taken = options.common.csv_file == kToStdout;
  bool is_good = is_stdout_taken ||
                 print(format_table(report, tolerances) + describe_judging(options.common) + "\n" + format_cautions());
  is_good = save_study_text(options.common.csv_file, "rows", csv, is_stdout_taken) && is_good;
  is_good = save_study_picture(options.common.picture_file, io::make_tune_picture(report), is_stdout_taken) && is_good;
  return is_good ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
