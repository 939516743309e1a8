#include "engine/cli/grip_options.h"

#include <CLI/CLI.hpp>

namespace steepwright::cli {

namespace {

constexpr const char* kExamples = R"(Examples:
  steepwright grip "soft trio"
  steepwright grip "thin rim" --climber me.toml --picture rim.svg
  steepwright grip "square edge" --grip "half crimp" --grip "open hand" --pull 20
  steepwright grip "upright beam" --site "left flank" --surface grit --json - | python3 -m json.tool

The pull is the force of the hand on the hold. 0 deg is straight onto the floor, positive angles lean out of the
wall, as when the body hangs away from a steep panel.
The forearm's angle tells where the elbow is: at 0 it hangs below the hold, square to the floor; at 90 it stands
straight out from the hold, along the floor; up to 150 it comes from above, as when one mantles. The wrist's range
ties the fingers' posture to it, so a grip may hold less from there.

Exit status: 0 printed, 1 a grip that was asked for is not possible there, 2 bad input (nothing is written then).)";

}  // namespace

CLI::App* add_grip(CLI::App& app, GripOptions& options) {
  CLI::App* grip = app.add_subcommand("grip", "What a hand holds on a hold: each grip, each pull, each finger");
  grip->add_option("HOLD", options.hold, "Name of a hold of the inventory")->type_name("")->required();
  grip->add_option("--site", options.site, "Site of the hold; left out: its first one for hands")->type_name("NAME");
  grip->add_option("--grip", options.grips, "Only this grip; may be given several times")
      ->type_name("NAME")
      ->allow_extra_args(false);
  grip->add_option("--forearm", options.forearm_deg,
                   "Where the elbow is: 0 below the hold (left out), 90 straight out, up to 150 above")
      ->type_name("DEG");
  grip->add_option("--pull", options.pull_deg, "Pull that the single fingers are shown for; left out: 0")
      ->type_name("DEG");
  grip->add_option("--climber", options.climber_file, "Climber file (TOML); left out: the one of the example scene")
      ->type_name("FILE");
  grip->add_option("--inventory", options.inventory_file,
                   "Inventory file (TOML); left out: the one that comes with the program")
      ->type_name("FILE");
  grip->add_option("--surface", options.surface, "Take this surface in place of the hold's own")->type_name("NAME");
  grip->add_flag("--no-chalk", options.has_no_chalk, "Hands without chalk");
  grip->add_option("--json", options.json_file, "Write the record (JSON) to FILE; - for standard output")
      ->type_name("FILE");
  grip->add_option("--picture,--svg", options.picture_file, "Draw force against pull into FILE (.svg, .png or .pdf)")
      ->type_name("FILE");
  grip->footer(kExamples);
  return grip;
}

}  // namespace steepwright::cli
