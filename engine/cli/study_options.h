#pragma once

/// The commands below `steepwright study`: their options, how they are registered, and which one runs.

#include "engine/cli/terminal.h"

#include <string>
#include <vector>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// What all studies share.
struct StudyOptions {
  std::string scene_file;  ///< "": the scene that comes with the program
  std::string climber_file;
  std::string move_name;  ///< "": all moves; for a reach map the first one
  int n_threads = 0;
  std::uint64_t seed = 1;
  std::string rows_file;  ///< JSON Lines, goes on where it stopped; "": none
  std::string csv_file;
  std::string picture_file;  ///< .svg, .png or .pdf
  bool is_traced = false;    ///< moves in full, not by their four stances
};

struct StudyReachOptions {
  StudyOptions common;
  std::string limb;  ///< "": the one that the move moves
  std::string hold, site, grip, inventory_file;
  double rotation_deg = 0.0;
  std::vector<std::string> strips;
  double pitch_mm = 25.0;
  bool is_coarse = false;
  std::string json_file;
};
[[nodiscard]] Exit run_study_reach(const StudyReachOptions& options);

struct StudyTuneOptions {
  StudyOptions common;
  std::vector<std::string> vary;   ///< "angle@main=20:50:2"
  std::vector<double> tolerances;  ///< one an axis; left out: 0.1 degrees, 1 mm, 0.005 of a factor
};
[[nodiscard]] Exit run_study_tune(const StudyTuneOptions& options);

struct StudyBodiesOptions {
  StudyOptions common;
  std::int64_t count = 200;
  std::string sex = "both";
  std::string people_file;
};
[[nodiscard]] Exit run_study_bodies(const StudyBodiesOptions& options);

struct StudySeekOptions {
  StudyOptions common;
  std::vector<std::string> vary;  ///< "across@upper bar=600:1800"
  double effort = 0.85;
  std::vector<std::string> also;  ///< statures (mm) or climber files that must hold too
  int starts = 6;
  bool is_free = false;  ///< not onto T-nuts
};
[[nodiscard]] Exit run_study_seek(const StudySeekOptions& options);

struct AllStudyOptions {
  StudyReachOptions reach;
  StudyTuneOptions tune;
  StudyBodiesOptions bodies;
  StudySeekOptions seek;
};

/// Registers `study` and its commands; parsing fills `options`, which must outlive the app.
CLI::App* add_study(CLI::App& app, AllStudyOptions& options);

/// Runs the command of `study` that was parsed.
[[nodiscard]] Exit run_study(const CLI::App& study, const AllStudyOptions& options);

}  // namespace steepwright::cli
