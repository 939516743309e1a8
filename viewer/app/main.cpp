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

/// The options of `--render` as they are written.
struct PictureArguments {
  steepwright::viewer::OffscreenOptions options;
  std::string file;
  std::string size = "1400x900";
  int move = 1;
  bool is_margin = false;
  double instant_percent = 100.0;
};

void add_picture_options(CLI::App& cli, PictureArguments& picture) {
  auto& options = picture.options;
  CLI::Option* render =
      cli.add_option("--render", picture.file, "Draw the whole window into this PNG, without a display, and end.");
  cli.add_option("--size", picture.size, "With --render: width x height, pixels.")
      ->needs(render)
      ->capture_default_str();
  cli.add_option("--move", picture.move, "With --render: number of the move that is shown.")->needs(render);
  cli.add_option("--instant", picture.instant_percent, "With --render: share of the move, percent.")
      ->needs(render)
      ->check(CLI::Range(0.0, 100.0));
  cli.add_option("--hold", options.hold, "With --render: index of the selected hold, from 0.")->needs(render);
  cli.add_option("--tab", options.side_tab, "With --render: right panel, 0 hold, 1 grips, 2 wall, 3 climber.")
      ->needs(render);
  cli.add_flag("--reach", options.has_reach, "With --render: the reach of the moving limb too; takes a minute.")
      ->needs(render);
  cli.add_flag("--margin", picture.is_margin, "With --render: plot the slip-off margin.")->needs(render);
  cli.add_option("--scale", options.scale, "With --render: pixels a layout unit.")->needs(render);
  cli.add_flag("--light", options.is_light, "With --render: light theme.")->needs(render);
  cli.add_flag("--plain", options.is_plain, "With --render: without shadows and smooth edges.")->needs(render);
}

int render(PictureArguments& picture) {
  auto& options = picture.options;
  if (!parse_size(picture.size, options.width_px, options.height_px)) {
    fmt::print(stderr, "--size: '{}' is no size; write width x height like 1400x900, 64 to 8192 each\n", picture.size);
    return kBadInput;
  }
  options.picture = picture.file;
  options.move = picture.move - 1;
  if (picture.is_margin) options.quantity = steepwright::viewer::PlotQuantity::kSlipMargin;
  options.t = picture.instant_percent / 100.0;
  return report(render_offscreen(options));
}

}  // namespace

int main(int argc, char** argv) {
  steepwright::viewer::WindowRunOptions window;
  PictureArguments picture;
  std::string scene;

  CLI::App cli("The window of Steepwright: a scene to see, drag and scrub.", "steepwright-view");
  cli.set_version_flag("--version", steepwright::cli::kVersion);
  cli.add_option("SCENE", scene, "Scene file; left out, the example scene.");
  add_picture_options(cli, picture);
  cli.add_flag("--print-state", window.prints_state, "Print a line when something was edited or solved.");
  try {
    cli.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return cli.exit(error) == 0 ? 0 : kBadInput;
  }
  window.scene = picture.options.scene = scene;
  return picture.file.empty() ? report(run_window(window)) : render(picture);
}
