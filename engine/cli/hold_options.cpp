#include "engine/cli/hold_options.h"

#include <CLI/CLI.hpp>

namespace steepwright::cli {

namespace {

constexpr const char* kExamples = R"(Examples:
  steepwright hold list
  steepwright hold make "thin rim" --out rim.stl
  steepwright hold measure scan.stl
  steepwright hold make --help             all options of a command)";

constexpr const char* kMakeExamples = R"(Examples:
  steepwright hold make "soft trio" --out trio.glb
  steepwright hold make --family edge --width 120 --height 40 --protrusion 25 --depth 20 --incut 5
                        --lip-radius 4 --out edge.stl
  steepwright hold make --all meshes --inventory my-holds.toml

Lengths are in mm, angles in degrees. The file's suffix tells its format: .stl, .obj and .ply in mm, .glb in m.
All keep the hold's axes: x right, y up-slope, z out of the panel, origin at the bolt.

Exit status: 0 written, 2 bad input (nothing is written then).)";

constexpr const char* kListExamples = R"(Examples:
  steepwright hold list
  steepwright hold list --why --inventory my-holds.toml
  steepwright hold list --climber me.toml
  steepwright hold list --json | python3 -m json.tool

Exit status: 0 listed, 2 bad input.)";

constexpr const char* kMeasureExamples = R"(Examples:
  steepwright hold measure scan.stl
  steepwright hold measure scan.obj --unit cm --out-axis -y --up-axis +z --picture scan.svg
  steepwright hold measure scan.glb --as-toml >> my-holds.toml

Reads STL, OBJ, PLY, GLB and glTF. Unit, sides and bolt are guessed where they are not told, and the guess is printed.
Sites are floors that look up-slope, to either side and down-slope.

Exit status: 0 measured, 2 bad input.)";

constexpr const char* kInventoryHelp = "Inventory file (TOML); left out: the one that comes with the program";

void add_make(CLI::App& hold, HoldMakeOptions& options) {
  CLI::App* make = hold.add_subcommand("make", "Write a hold as a watertight mesh, to be carved, printed or looked at");
  make->add_option("NAME", options.name, "Hold of the inventory; left out: give its dimensions")->type_name("");
  make->add_option("--out", options.out_file, "Mesh file to write: .stl, .obj, .ply or .glb")->type_name("FILE");
  make->add_option("--inventory", options.inventory_file, kInventoryHelp)->type_name("FILE");
  make->add_option("--all", options.all_folder, "Write every hold of the inventory into DIR")->type_name("DIR");
  make->add_option("--format", options.format, "Format of --all: stl, obj, ply or glb (left out: glb)")
      ->type_name("NAME");
  make->add_flag("--ascii", options.is_text, "Write STL as text");
  make->add_option("--family", options.family, "Family: edge, sloper, pinch, jug, pocket, 'foot chip' or volume")
      ->type_name("NAME");
  const auto add_length = [make](const char* name, std::optional<double>& value, const char* help) {
    make->add_option(name, value, help)->type_name("MM");
  };
  add_length("--width", options.width, "Along the lip; of a pocket its mouth");
  add_length("--height", options.height, "Of the body, up the slope");
  add_length("--protrusion", options.protrusion, "Out of the panel");
  add_length("--depth", options.depth, "Of the floor, from the lip to the face behind it");
  make->add_option("--incut", options.incut, "Floor tilted into the wall; negative: sloping out")->type_name("DEG");
  add_length("--lip-radius", options.lip_radius, "Rounding of the lip; left out: sharp");
  add_length("--mouth", options.mouth, "Clear height of a pocket");
  make->add_option("--fingers", options.fingers, "Fingers that fit a pocket, 2 to 4")->type_name("COUNT");
  make->add_option("--surface", options.surface, "What is rubbed on; left out: raw wood")->type_name("NAME");
  make->footer(kMakeExamples);
}

void add_list(CLI::App& hold, HoldListOptions& options) {
  CLI::App* list = hold.add_subcommand("list", "List an inventory's holds with their sites and grips");
  list->add_option("--inventory", options.inventory_file, kInventoryHelp)->type_name("FILE");
  list->add_option("--climber", options.climber_file, "Climber file (TOML); left out: the one of the example scene")
      ->type_name("FILE");
  list->add_flag("--json", options.is_json, "Print JSON in place of the table");
  list->add_flag("--why", options.shows_why, "Tell of every grip that is shut why it is");
  list->footer(kListExamples);
}

void add_measure(CLI::App& hold, HoldMeasureOptions& options) {
  CLI::App* measure = hold.add_subcommand("measure", "Import a mesh and measure where fingers and shoes can bear");
  measure->add_option("FILE", options.file, "Mesh: .stl, .obj, .ply, .glb or .gltf")->type_name("")->required();
  measure->add_option("--unit", options.unit, "Of the file: mm, cm, m or inch; left out: guessed")->type_name("UNIT");
  measure->add_option("--out-axis", options.out_axis, "The file's axis out of the panel: +z, -y, ...")
      ->type_name("AXIS");
  measure->add_option("--up-axis", options.up_axis, "The file's axis up-slope: +y, +z, ...")->type_name("AXIS");
  measure->add_option("--turn", options.turn_deg, "Turn on the panel after that, counter-clockwise")->type_name("DEG");
  measure->add_option("--bolt", options.bolt_mm, "Where the bolt goes, in the file's axes, mm: X,Y,Z")
      ->delimiter(',')
      ->type_name("X,Y,Z");
  measure->add_option("--surface", options.surface, "What is rubbed on; left out: raw wood")->type_name("NAME");
  measure
      ->add_option("--picture,--svg", options.picture_file,
                   "Draw the sites' sections with their dimensions into FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
  measure->add_flag("--json", options.is_json, "Print JSON in place of the table");
  measure->add_flag("--as-toml", options.is_toml, "Print an entry for an inventory in place of the table");
  measure->footer(kMeasureExamples);
}

}  // namespace

CLI::App* add_hold(CLI::App& app, HoldOptions& options) {
  CLI::App* hold = app.add_subcommand("hold", "Holds as bodies: list an inventory, make meshes, measure meshes");
  hold->require_subcommand(1);
  hold->footer(kExamples);
  add_make(*hold, options.make);
  add_list(*hold, options.list);
  add_measure(*hold, options.measure);
  return hold;
}

Exit run_hold(const CLI::App& hold, const HoldOptions& options) {
  if (hold.got_subcommand("measure")) return run_hold_measure(options.measure);
  return hold.got_subcommand("make") ? run_hold_make(options.make) : run_hold_list(options.list);
}

}  // namespace steepwright::cli
