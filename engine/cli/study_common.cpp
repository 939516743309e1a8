#include "engine/cli/study_common.h"

#include "engine/cli/interrupt.h"
#include "engine/cli/progress.h"
#include "engine/io/atomic_file.h"
#include "engine/io/climber_file.h"
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
      {"--rows", options.rows_file}, {"--csv", options.csv_file}, {"--picture", options.picture_file}};
  written.insert(written.end(), more_written.begin(), more_written.end());
  std::vector<std::string> read = {options.scene_file, options.climber_file};
  read.insert(read.end(), more_read.begin(), more_read.end());
  return check_picture_name("--picture", options.picture_file) && check_written_files(written, read);
}

std::string describe_climber_values(const move::Climber& climber) {
  // What the climber's file can state, and the force that it comes to.
  return fmt::format("{}force {}\n", io::write_climber(climber), climber.fingers.edge_force_N);
}

std::string describe_hold_values(const hold::Hold& hold) {
  std::string text;
  for (const hold::Site& site : hold.sites) {
    text += fmt::format("{} {} {} {} {} {} {} {} {} {} {}", site.name, static_cast<int>(site.use), site.width_m,
                        site.depth_m, site.incut, site.lip_radius_m, site.mouth_m, site.fingers,
                        static_cast<int>(site.surface), site.has_thumb_face, site.grips.size());
    for (const Grip grip : site.grips) text += fmt::format(" {}", static_cast<int>(grip));
    for (const double number : site.X_HS.p) text += fmt::format(" {}", number);
    for (const double number : site.X_HS.R.reshaped()) text += fmt::format(" {}", number);
    text += "\n";
  }
  return text;
}

io::Json make_study_header(const std::string& kind, const io::LoadedScene& loaded, const std::string& options_text,
                           const std::string& more_inputs, const std::vector<std::string>& columns) {
  io::SceneSource source = loaded.source;
  source.climber_file.clear();  // the climber's values count, not the name of its file
  std::string text = io::write_scene(loaded.scene, source) + describe_climber_values(loaded.scene.climber);
  for (const move::PlacedHold& placed : loaded.scene.holds) text += describe_hold_values(placed.hold);
  text += options_text + more_inputs;
  return {{"study", kind},
          {"version", 1},
          {"scene", loaded.scene.name},
          {"options", options_text},
          {"digest", io::find_digest(text)},
          {"columns", columns}};
}

StudyRun::StudyRun(const StudyOptions& options) : options_(options) {
  end_like_an_interrupt();
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

study::HandOut StudyRun::make_hand_out(std::int64_t end, const std::function<study::SampleWorker()>& make_worker) {
  study::HandOut hand_out;
  hand_out.first = is_first() ? journal_->count() : 0;
  hand_out.end = end;
  hand_out.n_threads = options_.n_threads;
  hand_out.make_worker = make_worker;
  hand_out.is_cancelled = [] { return is_interrupted(); };
  hand_out.take = [this](std::int64_t /*at*/, const std::vector<std::string>& rows) {
    const Result<void> appended = journal_->append(rows);
    if (!appended) print_findings(appended.error());
    has_failed_ = !appended.has_value();
    return !has_failed_;
  };
  return hand_out;
}

Exit StudyRun::hand_out(std::int64_t end, const std::string& noun,
                        const std::function<study::SampleWorker()>& make_worker) {
  ProgressBar bar;
  study::HandOut hand_out = make_hand_out(end, make_worker);
  const std::int64_t first = hand_out.first;
  hand_out.chunk = static_cast<int>(std::clamp<std::int64_t>((end - first) / 64, 1, 16));
  const auto keep = std::move(hand_out.take);
  hand_out.take = [&](std::int64_t at, const std::vector<std::string>& rows) {
    const bool is_kept = keep(at, rows);
    bar.show_samples(first, journal_->count(), end, noun);
    return is_kept;
  };
  const study::HandOutEnd ended = ranks_.run(hand_out);
  bar.clear();
  if (has_failed_) return Exit::kBadInput;
  if (ended == study::HandOutEnd::kDone) return Exit::kAllHold;
  if (!is_first()) return find_silent_exit();
  complain_of_interrupt(options_, fmt::format("{} of {} {}", journal_->count(), end, noun));
  return Exit::kInterrupted;
}

bool StudyRun::run_round(std::int64_t end, const std::function<study::SampleWorker()>& make_worker,
                         const std::function<std::string(std::int64_t)>& describe) {
  study::HandOut hand_out = make_hand_out(end, make_worker);
  // A round lasts as long as its last chunk.
  constexpr std::int64_t kChunks = 32;
  hand_out.chunk = static_cast<int>(std::clamp<std::int64_t>((end - hand_out.first) / kChunks, 1, 8));
  hand_out.describe = describe;
  return ranks_.run(hand_out) == study::HandOutEnd::kDone;
}

void StudyRun::serve(const std::function<study::SampleWorker()>& make_worker) {
  const study::HandOut hand_out = make_hand_out(0, make_worker);
  while (ranks_.run(hand_out) == study::HandOutEnd::kDone) {
  }
}

void complain_of_interrupt(const StudyOptions& options, const std::string& so_far) {
  complain(fmt::format("interrupted after {}; {}", so_far,
                       options.rows_file.empty()
                           ? "with --rows FILE a study can go on"
                           : fmt::format("the same command goes on from '{}'", options.rows_file)));
}

Exit find_silent_exit() { return is_interrupted() ? Exit::kInterrupted : Exit::kAllHold; }

bool save_study_text(const std::string& path, std::string_view what, const std::string& text, bool is_stdout_taken) {
  if (path.empty()) return true;
  if (path == kToStdout) return print(text);
  return tell_saved(io::save_atomically(path, text), what, path, is_stdout_taken);
}

bool save_study_picture(const std::string& path, const io::Drawing& drawing, bool is_stdout_taken) {
  return path.empty() || tell_saved(io::save_drawing(path, drawing), "picture", path, is_stdout_taken);
}

std::string describe_judging(const StudyOptions& options) {
  return options.is_traced ? "every move judged in all its frames\n"
                           : "every move judged by four stances: before, unloaded, touch, settled; --traced judges all "
                             "frames\n";
}

}  // namespace steepwright::cli
