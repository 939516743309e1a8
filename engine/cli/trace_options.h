#pragma once

/// Arguments of `steepwright trace`.

#include "engine/cli/terminal.h"
#include "engine/move/risk.h"

#include <string>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// Follow moves as they happen.
struct TraceOptions {
  std::string scene_file;  ///< "": the scene that comes with the program
  std::string climber_file;
  std::string move_name;     ///< "": all moves in sequence
  std::string json_file;     ///< "": none; "-": standard output, in place of the table
  std::string strip_file;    ///< of one move
  std::string picture_file;  ///< of the whole problem
  bool compares_grips = false;
  bool asks_shortfall = false;
  std::string feet;    ///< "auto": find placements; "": as the scene gives them
  int risk_draws = 0;  ///< 0: no risk
  int seed = 1;
  /// In the units of the command line.
  struct Spreads {
    double friction_percent = 10.0, fingers_percent = 8.0, muscles_percent = 8.0, build_percent = 5.0;
    double place_mm = 3.0, tilt_deg = 2.0;
  } spreads;
};

/// Registers the command; parsing fills `options`, which must outlive the app.
CLI::App* add_trace(CLI::App& app, TraceOptions& options);

/// False, with the reason printed, when an option or two together make no sense.
[[nodiscard]] bool check_trace_options(const TraceOptions& options);

/// The risk that was asked for.
[[nodiscard]] move::RiskOptions make_risk_options(const TraceOptions& options);

[[nodiscard]] Exit run_trace(const TraceOptions& options);

}  // namespace steepwright::cli
