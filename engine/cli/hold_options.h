#pragma once

/// The commands below `steepwright hold`: their options, how they are registered, and which one runs.

#include "engine/cli/terminal.h"

#include <optional>
#include <string>
#include <vector>

namespace CLI {  // NOLINT(readability-identifier-naming): the library's own
class App;
}

namespace steepwright::cli {

/// Write a hold as a mesh: one of an inventory, or one given by its dimensions.
struct HoldMakeOptions {
  std::string name;            ///< "": given by dimensions, or all
  std::string inventory_file;  ///< "": the one that comes with the program
  std::string out_file;
  std::string all_folder;  ///< "": only one hold
  std::string format;      ///< of --all, without the dot
  bool is_text = false;    ///< text STL
  std::string family;
  std::string surface;
  // mm and degrees
  std::optional<double> width, height, protrusion, depth, incut, lip_radius, mouth;
  std::optional<int> fingers;
};
[[nodiscard]] Exit run_hold_make(const HoldMakeOptions& options);

/// List an inventory's holds with their sites and the grips that a climber has there.
struct HoldListOptions {
  std::string inventory_file;  ///< "": the one that comes with the program
  std::string climber_file;    ///< "": the one of the example scene
  bool is_json = false;
  bool shows_why = false;
};
[[nodiscard]] Exit run_hold_list(const HoldListOptions& options);

/// Import a mesh and measure its sites.
struct HoldMeasureOptions {
  std::string file;
  std::string unit, out_axis, up_axis;  ///< "": guessed
  double turn_deg = 0.0;
  std::vector<double> bolt_mm;  ///< empty: guessed
  std::string surface;          ///< "": raw wood
  std::string picture_file;     ///< "": none
  bool is_json = false;
  bool is_toml = false;
};
[[nodiscard]] Exit run_hold_measure(const HoldMeasureOptions& options);

struct HoldOptions {
  HoldMakeOptions make;
  HoldListOptions list;
  HoldMeasureOptions measure;
};

/// Registers `hold` and its commands; parsing fills `options`, which must outlive the app.
CLI::App* add_hold(CLI::App& app, HoldOptions& options);

/// Runs the command of `hold` that was parsed.
[[nodiscard]] Exit run_hold(const CLI::App& hold, const HoldOptions& options);

}  // namespace steepwright::cli
