#include "engine/cli/study_common.h"

#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/io/atomic_file.h"
#include "engine/io/scene_writer.h"
#include "engine/io/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <set>

namespace steepwright::cli {

std::optional<io::LoadedScene> load_study_scene(const StudyOptions& options) {
  io::SceneOptions scene_options;
  if (!options.climber_file.empty()) scene_options.climber_file = options.climber_file;
  Result<io::LoadedScene> loaded = options.scene_file.empty() ? io::load_default_scene(scene_options)
                                                              : io::load_scene(options.scene_file, scene_options);
  if (!loaded) {
    print_findings(loaded.error());
    return std::nullopt;
  }
  print_findings(loaded->warnings);
  std::vector<std::string> names;
  for (const move::Move& move : loaded->scene.moves) names.push_back(move.name);
  if (names.empty()) {
    complain("the scene has no moves: a study needs one to start from");
    return std::nullopt;
  }
  if (options.move_name.empty()) return std::move(*loaded);
  std::erase_if(loaded->scene.moves, [&](const move::Move& move) { return move.name != options.move_name; });
  if (!loaded->scene.moves.empty()) return std::move(*loaded);
  const auto nearest = io::find_nearest_name(options.move_name, names);
  complain(fmt::format("--move: the scene has no move '{}'; {}", options.move_name,
                       nearest ? fmt::format("did you mean '{}'?", *nearest) : "its moves are " + io::list_of(names)));
  return std::nullopt;
}

bool check_study_files(const StudyOptions& options, const std::vector<std::string>& more_written) {
  std::set<std::filesystem::path> taken;
  std::error_code error;
  for (const std::string& read : {options.scene_file, options.climber_file}) {
    if (!read.empty()) taken.insert(std::filesystem::weakly_canonical(read, error));
  }
  std::vector<std::string> written = more_written;
  written.insert(written.end(), {options.rows_file, options.csv_file, options.svg_file});
  for (const std::string& path : written) {
    if (path.empty() || path == "-") continue;
    if (!taken.insert(std::filesystem::weakly_canonical(path, error)).second) {
      complain(fmt::format("'{}' is read, or written twice; give the result another name", path));
      return false;
    }
  }
  return true;
}

io::Json make_study_header(const std::string& kind, const io::LoadedScene& loaded, const std::string& options_text,
                           const std::vector<std::string>& columns) {
  io::SceneSource source = loaded.source;
  source.climber_file.clear();  // the climber's values count, not the name of its file
  // Dimensions of holds come from the inventory, which the scene's text only names.
  std::string shapes;
  for (const move::PlacedHold& placed : loaded.scene.holds) {
    for (const hold::Site& site : placed.hold.sites)
      shapes += fmt::format("{} {} {} {} {} {} {}\n", site.name, site.depth_m, site.incut, site.lip_radius_m,
                            site.mouth_m, site.width_m, static_cast<int>(site.surface));
  }
  const std::string text = io::write_scene(loaded.scene, source) + shapes + options_text;
  return {{"study", kind},
          {"version", 1},
          {"scene", loaded.scene.name},
          {"options", options_text},
          {"digest", io::find_digest(text)},
          {"columns", columns}};
}

StudyRun::StudyRun(const StudyOptions& options) : options_(options) {
  if (is_first()) return;
  // One voice for all ranks: what the others would say, the first one says.
  for (std::FILE* stream : {stdout, stderr}) {
    if (std::freopen("/dev/null", "w", stream) == nullptr) std::fclose(stream);
  }
}

bool StudyRun::open(const io::Json& header, io::StudyJournal::OnRow on_row) {
  if (!is_first()) return true;
  Result<io::StudyJournal> opened = io::StudyJournal::open(options_.rows_file, header, std::move(on_row));
  if (!opened) {
    print_findings(opened.error());
    return false;
  }
  journal_.emplace(std::move(*opened));
  return true;
}

Exit StudyRun::hand_out(std::int64_t end, const std::string& noun,
                        const std::function<study::SampleWorker()>& make_worker) {
  ProgressBar bar;
  const std::int64_t first = is_first() ? journal_->count() : 0;
  bool is_saved = true;
  study::HandOut hand_out;
  hand_out.first = first;
  hand_out.end = end;
  hand_out.chunk = static_cast<int>(std::clamp<std::int64_t>((end - first) / 64, 1, 16));
  hand_out.n_threads = options_.n_threads;
  hand_out.make_worker = make_worker;
  hand_out.is_cancelled = [] { return is_interrupted(); };
  hand_out.take = [&](std::int64_t /*at*/, const std::vector<std::string>& rows) {
    const Result<void> appended = journal_->append(rows);
    if (!appended) print_findings(appended.error());
    is_saved = appended.has_value();
    bar.show_samples(first, journal_->count(), end, noun);
    return is_saved;
  };
  const study::HandOutEnd ended = ranks_.run(hand_out);
  bar.clear();
  if (!is_saved) return Exit::kBadInput;
  if (ended == study::HandOutEnd::kDone) return Exit::kAllHold;
  if (!is_first()) return Exit::kInterrupted;
  const std::string so_far = fmt::format("interrupted after {} of {} {}; ", journal_->count(), end, noun);
  complain(so_far + (options_.rows_file.empty()
                         ? "with --rows FILE a study can go on"
                         : fmt::format("the same command goes on from '{}'", options_.rows_file)));
  return Exit::kInterrupted;
}

bool save_study_file(const std::string& path, const std::string& what, const std::string& text) {
  if (path.empty()) return true;
  if (path == "-") return print(text);
  const Result<void> saved = io::save_atomically(path, text);
  if (!saved) {
    print_findings(saved.error());
    return false;
  }
  return print(fmt::format("{} written to {}\n", what, make_printable(path)));
}

}  // namespace steepwright::cli
