// Plots of what a hand holds over the shape, the pull and the forearm, as pictures to look at after the model changed.
// From the root of the source, one command writes all five:
//
//   build/release/tests/bench/grip_sweeps models/grips
//
// A hand of average size that holds 450 N on the reference edge; a four-finger edge of raw wood, 20 mm deep, flat, its
// lip rounded by 4 mm, forearm hanging, each but for what is swept.

#include "engine/io/atomic_file.h"
#include "engine/io/svg_canvas.h"
#include "tests/grip/sweeps.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

namespace {

using namespace steepwright;
using namespace steepwright::tests;
using io::Vec2;

constexpr std::array<Grip, 5> kGripsOverDepth = {Grip::kOpenHand, Grip::kThreeFingerOpen, Grip::kTwoFingerOpen,
                                                 Grip::kHalfCrimp, Grip::kFullCrimp};

struct Line {
  Grip grip = Grip::kOpenHand;
  std::vector<Vec2> points;  ///< in data units; force in N
};

struct Panel {
  std::string title;
  std::vector<Line> lines;
};

struct Plot {
  std::string file, title, x_label;
  double x_first = 0.0, x_last = 0.0, x_tick = 1.0;
  std::vector<Panel> panels;
};

// ---- drawing ----

constexpr double kPanelWidth_px = 420.0;
constexpr double kPanelHeight_px = 300.0;
constexpr double kLeft_px = 62.0;
constexpr double kLabels_px = 128.0;  ///< right of a panel, for the names of its lines
constexpr double kTop_px = 70.0;
constexpr double kBottom_px = 52.0;
constexpr double kLabelGap_px = 15.0;
constexpr double kForceTick_N = 100.0;
const std::string kInk = "#1c2733";
const std::string kGrid = "#d9dde2";

io::Paint find_paint(Grip grip) {
  switch (grip) {
    case Grip::kHalfCrimp:
      return {.stroke = kInk, .width_px = 1.8, .dash = "7 4"};
    case Grip::kFullCrimp:
      return {.stroke = kInk, .width_px = 1.8, .dash = "1.5 4"};
    case Grip::kThreeFingerOpen:
      return {.stroke = "#6b7683", .width_px = 1.8};
    case Grip::kTwoFingerOpen:
      return {.stroke = "#6b7683", .width_px = 1.8, .dash = "9 3 2 3"};
    default:
      return {.stroke = kInk, .width_px = 2.2};
  }
}

double find_top_force(const Plot& plot) {
  double top_N = 0.0;
  for (const Panel& panel : plot.panels) {
    for (const Line& line : panel.lines) {
      for (const Vec2& point : line.points) top_N = std::max(top_N, point.y());
    }
  }
  return kForceTick_N * std::ceil(top_N / kForceTick_N);
}

/// Names beside the lines' ends, pushed apart where ends meet.
void draw_line_names(const Panel& panel, double x_px, const std::vector<double>& ends_px, io::SvgCanvas& canvas) {
  std::vector<std::size_t> order(panel.lines.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return ends_px[a] < ends_px[b]; });
  double last_px = -1e9;
  for (const std::size_t i : order) {
    const double y_px = std::max(ends_px[i], last_px + kLabelGap_px);
    last_px = y_px;
    io::Paint leader = {.stroke = "#9aa3ad", .width_px = 0.8};
    canvas.line({x_px + 2.0, ends_px[i]}, {x_px + 12.0, y_px}, leader);
    canvas.text({x_px + 15.0, y_px + 4.0}, name_of(panel.lines[i].grip), {.size_px = 12.0});
  }
}

void draw_panel(const Plot& plot, const Panel& panel, double left_px, io::SvgCanvas& canvas) {
  const double top_N = find_top_force(plot);
  const auto place = [&](const Vec2& p) {
    return Vec2(left_px + kPanelWidth_px * (p.x() - plot.x_first) / (plot.x_last - plot.x_first),
                kTop_px + kPanelHeight_px * (1.0 - p.y() / top_N));
  };
  canvas.text({left_px, kTop_px - 14.0}, panel.title, {.size_px = 13.0});
  for (double force_N = 0.0; force_N <= top_N + 1e-9; force_N += kForceTick_N) {
    const Vec2 at = place({plot.x_first, force_N});
    canvas.line(at, place({plot.x_last, force_N}), {.stroke = kGrid, .width_px = 1.0});
    canvas.text(at + Vec2(-8.0, 4.0), fmt::format("{:.0f}", force_N), {.size_px = 11.0, .anchor = "end"});
  }
  for (double x = std::ceil(plot.x_first / plot.x_tick) * plot.x_tick; x <= plot.x_last + 1e-9; x += plot.x_tick) {
    const Vec2 at = place({x, 0.0});
    canvas.line(at, at + Vec2(0.0, 5.0), {.stroke = kInk, .width_px = 1.0});
    canvas.text(at + Vec2(0.0, 18.0), fmt::format("{:g}", x), {.size_px = 11.0, .anchor = "middle"});
  }
  canvas.text({left_px + 0.5 * kPanelWidth_px, kTop_px + kPanelHeight_px + 38.0}, plot.x_label,
              {.size_px = 12.0, .anchor = "middle"});
  std::vector<double> ends_px;
  for (const Line& line : panel.lines) {
    std::vector<Vec2> points;
    for (const Vec2& point : line.points) points.push_back(place(point));
    canvas.polyline(points, find_paint(line.grip));
    ends_px.push_back(points.back().y());
  }
  draw_line_names(panel, left_px + kPanelWidth_px, ends_px, canvas);
}

std::string draw(const Plot& plot) {
  io::SvgCanvas canvas;
  canvas.text({kLeft_px, 24.0}, plot.title, {.size_px = 16.0, .bold = true});
  canvas.open_group(fmt::format("transform=\"rotate(-90 16 {:.0f})\"", kTop_px + 0.5 * kPanelHeight_px));
  canvas.text({16.0, kTop_px + 0.5 * kPanelHeight_px}, "force of one hand, N", {.size_px = 12.0, .anchor = "middle"});
  canvas.close_group();
  double left_px = kLeft_px;
  for (const Panel& panel : plot.panels) {
    draw_panel(plot, panel, left_px, canvas);
    left_px += kPanelWidth_px + kLabels_px + 40.0;
  }
  return canvas.finish(left_px - 30.0, kTop_px + kPanelHeight_px + kBottom_px, plot.title);
}

// ---- sweeping ----

/// Pull at a swept value, rad from the floor's normal.
using PullOf = double (*)(double swept);

template <std::size_t N>
Panel sweep_panel(const std::string& title, const SweepRange& range, const std::array<Grip, N>& grips, PullOf pull,
                  const grip::Hand& hand) {
  grip::FingerSearch search;
  Panel panel{title, {}};
  for (const Grip grip : grips) {
    Line line{grip, {}};
    for (const SweepPoint& point : make_sweep(range, EdgeShape{}, grip, hand, search)) {
      line.points.emplace_back(point.at, grip::find_capacity_along(point.set, pull(point.at)));
    }
    panel.lines.push_back(std::move(line));
  }
  return panel;
}

double along_normal(double) { return 0.0; }
double outward(double) { return rad_from_deg(20.0); }
double down_the_panel(double incut_deg) { return rad_from_deg(-incut_deg); }
double out_of_the_panel(double incut_deg) { return rad_from_deg(20.0 - incut_deg); }

template <std::size_t N>
Plot sweep_plot(const std::string& file, const SweepRange& range, double tick, const std::array<Grip, N>& grips,
                const grip::Hand& hand) {
  Plot plot{file,
            fmt::format("Force over {}", range.name),
            fmt::format("{}, {}", range.name, range.unit),
            range.first,
            range.last,
            tick,
            {}};
  if (range.what == Swept::kIncut) {
    plot.panels.push_back(sweep_panel("pull down along the panel", range, grips, down_the_panel, hand));
    plot.panels.push_back(sweep_panel("pull 20 deg out from the panel", range, grips, out_of_the_panel, hand));
  } else {
    plot.panels.push_back(sweep_panel("pull square to the floor", range, grips, along_normal, hand));
    plot.panels.push_back(sweep_panel("pull 20 deg outward of that", range, grips, outward, hand));
  }
  return plot;
}

Plot pull_plot(const grip::Hand& hand) {
  Plot plot{"pull", "Force over pull direction", "pull outward from square to the floor, deg", -30.0, 30.0, 10.0, {}};
  grip::FingerSearch search;
  for (const double depth_mm : {20.0, 10.0}) {
    Panel panel{fmt::format("edge {:.0f} mm deep", depth_mm), {}};
    const hold::Site site = make_edge_site(with(EdgeShape{}, Swept::kDepth, depth_mm));
    for (const Grip grip : kSweptGrips) {
      const CapacitySet set = grip::make_hand_capacity({&site, grip, &hand, 0.0}, search);
      Line line{grip, {}};
      for (double pull_deg = plot.x_first; pull_deg <= plot.x_last; pull_deg += 0.5) {
        line.points.emplace_back(pull_deg, grip::find_capacity_along(set, rad_from_deg(pull_deg)));
      }
      panel.lines.push_back(std::move(line));
    }
    plot.panels.push_back(std::move(panel));
  }
  return plot;
}

}  // namespace

int main(int n_arguments, char** arguments) {
  if (n_arguments != 2) {
    fmt::print(stderr, "usage: grip_sweeps <folder for the plots>\n");
    return 2;
  }
  const std::filesystem::path folder = arguments[1];
  std::filesystem::create_directories(folder);
  const grip::Hand hand = make_sweep_hand();
  const std::vector<Plot> plots = {sweep_plot("depth", kSweepRanges[0], 5.0, kGripsOverDepth, hand),
                                   sweep_plot("incut", kSweepRanges[1], 5.0, kSweptGrips, hand),
                                   sweep_plot("lip-radius", kSweepRanges[2], 2.5, kSweptGrips, hand), pull_plot(hand),
                                   sweep_plot("forearm", kSweepRanges[3], 10.0, kSweptGrips, hand)};
  for (const Plot& plot : plots) {
    const auto saved = io::save_atomically(folder / (plot.file + ".svg"), draw(plot));
    if (!saved) {
      fmt::print(stderr, "{}: not written\n", (folder / (plot.file + ".svg")).string());
      return 2;
    }
  }
  return 0;
}
