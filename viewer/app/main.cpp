#include "engine/cli/version.h"
#include "viewer/app/offscreen.h"
#include "viewer/app/window.h"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <cstdio>
#include <string>

namespace {

using steepwright::Findings;
using steepwright::Result;

constexpr int kBadInput = 2;

int report(const Result<void>& done) {
  if (done) return 0;
  for (const steepwright::Finding& finding : done.error()) fmt::print(stderr, "{}\n", to_text(finding));
  return kBadInput;
}

// "1400x900"
bool parse_size(const std::string& text, int& width_px, int& height_px) {
  constexpr int kLeast = 64;
  constexpr int kMost = 8192;
  char end = 0;
  if (std::sscanf(text.c_str(), "%dx%d%c", &width_px, &height_px, &end) != 2) return false;
  return width_px >= kLeast && height_px >= kLeast && width_px <= kMost && height_px <= kMost;
}

}  // namespace

int main(int argc, char** argv) {
  steepwright::viewer::WindowRunOptions window;
  steepwright::viewer::OffscreenOptions picture;
  std::string scene;
  std::string picture_file;
  std::string size = "1400x900";
  int move = 1;
  bool is_margin = false;
  double instant_percent = 100.0;

  CLI::App cli("The window of Steepwright: a scene to see, drag and scrub.", "steepwright-view");
  cli.set_version_flag("--version", steepwright::cli::kVersion);
  cli.add_option("SCENE", scene, "Scene file; left out, the example scene.");
  CLI::Option* render =
      cli.add_option("--render", picture_file, "Draw the whole window into this PNG, without a display, and end.");
  cli.add_option("--size", size, "With --render: width x height, pixels.")->needs(render)->capture_default_str();
  cli.add_option("--move", move, "With --render: number of the move that is shown.")->needs(render);
  cli.add_option("--instant", instant_percent, "With --render: share of the move, percent.")
      ->needs(render)
      ->check(CLI::Range(0.0, 100.0));
  cli.add_option("--hold", picture.hold, "With --render: index of the selected hold, from 0.")->needs(render);
  cli.add_option("--tab", picture.side_tab, "With --render: right panel, 0 hold, 1 grips, 2 wall, 3 climber.")
      ->needs(render);
  cli.add_flag("--reach", picture.has_reach, "With --render: the reach of the moving limb too; takes a minute.")
      ->needs(render);
  cli.add_flag("--margin", is_margin, "With --render: plot the slip margin.")->needs(render);
  cli.add_option("--scale", picture.scale, "With --render: pixels a layout unit.")->needs(render);
  cli.add_flag("--light", picture.is_light, "With --render: light theme.")->needs(render);
  cli.add_flag("--plain", picture.is_plain, "With --render: without shadows and smooth edges.")->needs(render);
  cli.add_flag("--print-state", window.prints_state, "Print a line when something was edited or solved.");
  try {
    cli.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return cli.exit(error) == 0 ? 0 : kBadInput;
  }

  if (picture_file.empty()) {
    window.scene = scene;
    return report(run_window(window));
  }
  if (!parse_size(size, picture.width_px, picture.height_px)) {
    fmt::print(stderr, "--size: '{}' is no size; write width x height like 1400x900, 64 to 8192 each\n", size);
    return kBadInput;
  }
  picture.scene = scene;
  picture.picture = picture_file;
  picture.move = move - 1;
  if (is_margin) picture.quantity = steepwright::viewer::PlotQuantity::kSlipMargin;
  picture.t = instant_percent / 100.0;
  return report(render_offscreen(picture));
}
