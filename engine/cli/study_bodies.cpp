#include "engine/io/study_bodies.h"

#include "engine/cli/columns.h"
#include "engine/cli/study_common.h"
#include "engine/io/study_rows.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::cli {

namespace {

constexpr std::size_t kMostShown = 2000;  ///< bodies drawn one by one

study::BodyRow make_row(const move::Scene& scene, const study::BodiesQuestion& question, std::int64_t sample) {
  const move::Climber person = study::find_person(question, scene.climber, sample);
  study::BodyRow row;
  row.name = person.measures.name;
  row.sex = person.measures.sex;
  row.stature_m = person.measures.stature_m;
  row.span_m = body::make_body(person.measures).span_m;
  row.sitting_height_m = person.measures.sitting_height_m.value_or(0.0);
  row.mass_kg = person.measures.mass_kg;
  row.judged = study::judge_person(scene, person, question.judging);
  return row;
}

std::string format_share(const std::string& name, const study::Share& share, bool is_list) {
  if (share.n == 0) return "";
  std::string text =
      pad(name, 10) + fmt::format("{} of {} hold, {:.1f} %", share.n_held, share.n, 100.0 * share.value());
  const auto [low, high] = share.interval();
  if (!is_list) text += fmt::format(" (95 %: {:.1f} to {:.1f} %)", 100.0 * low, 100.0 * high);
  return text + "\n";
}

std::string format_tally(const io::BodiesReport& report) {
  const study::BodiesTally& tally = report.tally;
  std::string text = format_share("all", tally.all, report.is_list) +
                     format_share("women", tally.women, report.is_list) +
                     format_share("men", tally.men, report.is_list);
  if (tally.all.n_held > 0) {
    text += fmt::format("mean effort of those that hold: {:.0f} %\n",
                        100.0 * tally.effort_sum / static_cast<double>(tally.all.n_held));
  }
  std::vector<std::pair<std::int64_t, std::string>> causes;
  for (const auto& [cause, n] : tally.causes) causes.emplace_back(n, cause);
  std::sort(causes.rbegin(), causes.rend());
  if (!causes.empty()) text += "\nwhy the others do not:\n";
  for (const auto& [n, cause] : causes) text += pad_left(std::to_string(n), 8) + "  " + cause + "\n";
  if (report.is_list) {
    text += "\n";
    for (const study::BodyRow& row : report.shown)
      text += pad(make_printable(row.name.empty() ? "-" : row.name), 20) +
              pad_left(fmt::format("{:.0f} mm", 1e3 * row.stature_m), 9) + "  " +
              pad(row.judged.is_held ? "static" : "not static", 12) + make_printable(row.judged.text) + "\n";
  }
  return text;
}

bool set_people(const StudyBodiesOptions& options, const move::Scene& scene, study::BodiesQuestion& question) {
  question.seed = options.common.seed;
  question.judging = options.common.is_traced ? study::Judging::kTrace : study::Judging::kStances;
  if (options.sex == "female") question.sexes = {body::Sex::kFemale};
  if (options.sex == "male") question.sexes = {body::Sex::kMale};
  if (options.people_file.empty()) return true;
  Result<std::vector<move::Climber>> people = io::load_people(options.people_file, scene.climber);
  if (!people) {
    print_findings(people.error());
    return false;
  }
  question.people = std::move(*people);
  return true;
}

std::string describe_people(const study::BodiesQuestion& question) {
  std::string text;
  for (const move::Climber& person : question.people) text += describe_climber_values(person);
  return text;
}

}  // namespace

Exit run_study_bodies(const StudyBodiesOptions& options) {
  StudyRun run(options.common);
  if (!check_study_files(options.common, {}, {options.people_file})) return Exit::kBadInput;
  std::optional<io::LoadedScene> loaded = load_study_scene(options.common);
  if (!loaded) return find_load_exit();
  const move::Scene& scene = loaded->scene;
  study::BodiesQuestion question;
  if (!set_people(options, scene, question)) return Exit::kBadInput;
  const std::int64_t count =
      question.people.empty() ? options.count : static_cast<std::int64_t>(question.people.size());

  io::BodiesReport report;
  report.scene = &scene;
  report.is_list = !question.people.empty();
  const std::vector<std::string> columns = io::body_columns();
  std::string csv = io::format_csv_header(columns);
  const auto on_row = [&](const io::Json& json) {
    const std::optional<study::BodyRow> row = io::read_body_row(json);
    if (!row) return false;
    report.tally.add(*row);
    if (report.shown.size() < kMostShown) report.shown.push_back(*row);
    if (!options.common.csv_file.empty()) csv += io::format_csv_row(columns, json);
    return true;
  };
  const std::string options_text =
      fmt::format("sex {} seed {} traced {}", options.sex, options.common.seed, options.common.is_traced);
  if (!run.open(make_study_header("bodies", *loaded, options_text, describe_people(question), columns), on_row))
    return Exit::kBadInput;
  const Exit exit = run.hand_out(count, "bodies", [&] {
    return [&](std::int64_t sample, const std::string& /*told*/) {
      return io::format_body_row(sample, make_row(scene, question, sample));
    };
  });
  if (exit != Exit::kAllHold || !run.is_first()) return exit;

  const bool is_stdout_taken = options.common.csv_file == kToStdout;
  bool is_good = is_stdout_taken ||
                 print(format_tally(report) + "\n" + describe_judging(options.common) + "\n" + format_cautions());
  is_good = save_study_text(options.common.csv_file, "rows", csv, is_stdout_taken) && is_good;
  is_good =
      save_study_picture(options.common.picture_file, io::make_bodies_picture(report), is_stdout_taken) && is_good;
  return is_good ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
