#pragma once

/// A reach map's rounds through a study's file and its ranks.

#include "engine/cli/study_common.h"
#include "engine/io/reach_rows.h"

#include <deque>

namespace steepwright::cli {

class ReachRounds {
 public:
  ReachRounds(StudyRun& run, const body::Body& body) : run_(run), n_hinges_(body.tree.n_hinges()) {}

  /// A row of the file, or one that was just solved; false: it is none.
  bool take(const io::Json& row);

  /// The outcomes of a round: those that the file has, the others solved and kept in it. Fewer when the study is over.
  [[nodiscard]] std::vector<study::ReachOutcome> solve(const std::vector<study::ReachTask>& tasks,
                                                       study::ReachCrew& crew);

  /// Other ranks: solves what they are handed, until the study is over.
  void serve(study::ReachCrew& crew);

  /// The file's rows are not those of this map: it was written by a program that solves otherwise.
  [[nodiscard]] bool has_strange_rows() const { return has_strange_rows_; }

 private:
  StudyRun& run_;
  int n_hinges_;
  std::int64_t n_used_ = 0;           ///< rows that rounds have had
  std::deque<io::ReachRow> waiting_;  ///< those behind them
  bool has_strange_rows_ = false;
};

}  // namespace steepwright::cli
