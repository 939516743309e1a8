#include "engine/cli/study_common.h"

#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/io/atomic_file.h"
#include "engine/io/scene_writer.h"
#include "engine/io/text.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::cli {

std::optional<io::LoadedScene> load_study_scene(const StudyOptions& options) {
  std::optional<io::LoadedScene> loaded = load_scene_or_complain(options.scene_file, options.climber_file);
  if (!loaded) return std::nullopt;
  if (loaded->scene.moves.empty()) {
    complain("the scene has no moves: a study needs one to start from");
    return std::nullopt;
  }
  if (!select_move(options.move_name, loaded->scene)) return std::nullopt;
  return loaded;
}

bool check_study_files(const StudyOptions& options, const std::vector<WrittenFile>& more_written,
                       const std::vector<std::string>& more_read) {
  std::vector<WrittenFile> written = {
      {"--rows", options.rows_file}, {"--csv", options.csv_file}, {"--svg", options.svg_file}};
  written.insert(written.end(), more_written.begin(), more_written.end());
  std::erase_if(written, [](const WrittenFile& each) { return each.file == "-"; });
  std::vector<std::string> read = {options.scene_file, options.climber_file};
  read.insert(read.end(), more_read.begin(), more_read.end());
  return check_written_files(written, read);
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
