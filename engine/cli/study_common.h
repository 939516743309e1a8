#pragma once

/// What the studies share on the command line: the scene in question, and a hand-out of samples with file, progress and
/// Ctrl-C.

#include "engine/cli/scene_input.h"
#include "engine/cli/study_options.h"
#include "engine/io/drawing.h"
#include "engine/io/scene_file.h"
#include "engine/io/study_journal.h"
#include "engine/study/ranks.h"

#include <optional>

namespace steepwright::cli {

/// The scene with the moves in question; nothing, with the findings printed, when it cannot be read or has no such
/// move.
[[nodiscard]] std::optional<io::LoadedScene> load_study_scene(const StudyOptions& options);

/// check_written_files of what all studies write and read, and more.
[[nodiscard]] bool check_study_files(const StudyOptions& options, const std::vector<WrittenFile>& more_written = {},
                                     const std::vector<std::string>& more_read = {});

/// All of a climber that a result depends on.
[[nodiscard]] std::string describe_climber_values(const move::Climber& climber);

/// The dimensions of a hold's sites: they come from the inventory or a mesh, which a scene's text only names.
[[nodiscard]] std::string describe_hold_values(const hold::Hold& hold);

/// First line of a study's file: kind, digest of scene, options and what else it depends on, columns with their units.
[[nodiscard]] io::Json make_study_header(const std::string& kind, const io::LoadedScene& loaded,
                                         const std::string& options_text, const std::string& more_inputs,
                                         const std::vector<std::string>& columns);

/// A study under way: its file on the first rank, its ranks.
class StudyRun {
 public:
  /// Joins the other ranks, if there are any; all but the first fall silent.
  explicit StudyRun(const StudyOptions& options);

  [[nodiscard]] bool is_first() const { return ranks_.is_first(); }

  /// Opens the file and reads what it has; false with the reason printed. Other ranks have none.
  [[nodiscard]] bool open(const io::Json& header, io::StudyJournal::OnRow on_row);

  /// Hands out what is missing up to `end` rows; on an interrupt all whole rows are kept.
  [[nodiscard]] Exit hand_out(std::int64_t end, const std::string& noun,
                              const std::function<study::SampleWorker()>& make_worker);

  [[nodiscard]] int n_ranks() const { return ranks_.count(); }
  /// Rows that are there.
  [[nodiscard]] std::int64_t count() const { return journal_->count(); }

  /// Hands out a round of samples, of a study whose samples hang on the rounds before, up to `end` rows; says nothing.
  /// False when it is over: has_failed() tells why.
  [[nodiscard]] bool run_round(std::int64_t end, const std::function<study::SampleWorker()>& make_worker,
                               const std::function<std::string(std::int64_t)>& describe);
  /// Rows could not be kept, which was printed.
  [[nodiscard]] bool has_failed() const { return has_failed_; }
  /// Other ranks: solves what the first one hands out in its rounds, until it leaves.
  void serve(const std::function<study::SampleWorker()>& make_worker);

  /// Rank 0's text on every rank; nothing when the study is over.
  [[nodiscard]] std::optional<std::string> share(const std::string& text) { return ranks_.share(text); }

 private:
  [[nodiscard]] study::HandOut make_hand_out(std::int64_t end, const std::function<study::SampleWorker()>& make_worker);

  const StudyOptions& options_;
  study::Ranks ranks_;
  std::optional<io::StudyJournal> journal_;
  bool has_failed_ = false;
};

/// How a rank ends that is not the first: that one tells why the work has ended, the others have done what was asked.
[[nodiscard]] Exit find_silent_exit();

/// What is said of a study that was interrupted so far into its samples.
void complain_of_interrupt(const StudyOptions& options, const std::string& so_far);

/// Writes a file atomically and says so, or writes to standard output for "-"; "": nothing to do.
[[nodiscard]] bool save_study_text(const std::string& path, std::string_view what, const std::string& text,
                                   bool is_stdout_taken);
/// The same for a picture, in the format that its name asks for.
[[nodiscard]] bool save_study_picture(const std::string& path, const io::Drawing& drawing, bool is_stdout_taken);

/// How moves were judged, for the end of a table.
[[nodiscard]] std::string describe_judging(const StudyOptions& options);

}  // namespace steepwright::cli
