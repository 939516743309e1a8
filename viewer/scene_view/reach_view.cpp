#include "viewer/scene_view/reach_view.h"

#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/quantities.h"
#include "engine/io/text.h"
#include "viewer/render/convert.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::viewer {

namespace {

constexpr float kOpacity = 0.5F;
constexpr float kStaleShare = 0.4F;
constexpr double kOver_m = 0.0015;  // over the panel's face
constexpr float kBorder_px = 2.0F;

}  // namespace

void ReachView::update(const wall::Wall& wall, std::uint64_t wall_revision, const ReachAnswer& answer,
                       render::Theme theme, bool is_stale) {
  if (map_ == answer.map && wall_revision_ == wall_revision && theme_ == theme && is_stale_ == is_stale) return;
  map_ = answer.map;
  wall_revision_ = wall_revision;
  theme_ = theme;
  is_stale_ = is_stale;
  opacity_ = is_stale ? kStaleShare : 1.0F;
  bands_.clear();
  const auto is_there = [&wall](int strip) { return strip < static_cast<int>(wall.strips.size()); };
  for (const study::ReachRaster& raster : *answer.rasters) {
    if (is_there(raster.strip)) add_bands(wall, raster);
  }
  add_border(wall, *map_, theme);
}

void ReachView::add_bands(const wall::Wall& wall, const study::ReachRaster& raster) {
  const wall::Strip& strip = wall.strips[static_cast<std::size_t>(raster.strip)];
  bands_.begin_band(true);
  const auto corner = [&](double i, double j, float use) {
    render::BandVertex vertex;
    vertex.p_W = render::to_glm(strip.X_WP * Vec3(std::clamp(i * raster.fine_m, 0.0, strip.width_m),
                                                  std::clamp(j * raster.fine_m, 0.0, strip.length_m), kOver_m));
    vertex.use = use;
    vertex.opacity = kOpacity * opacity_;
    return vertex;
  };
  for (const study::ReachRun& run : study::find_runs(raster)) {
    const auto use = static_cast<float>(study::kReachBands[static_cast<std::size_t>(run.band)]);
    bands_.add_band_quad(corner(run.i - 0.5, run.j - 0.5, use), corner(run.end - 0.5, run.j - 0.5, use),
                         corner(run.end - 0.5, run.j + 0.5, use), corner(run.i - 0.5, run.j + 0.5, use));
  }
}

void ReachView::add_border(const wall::Wall& wall, const study::ReachMap& map, render::Theme theme) {
  for (const study::BorderSegment& segment : map.border) {
    if (segment.strip >= static_cast<int>(wall.strips.size())) continue;
    const Pose& X_WP = wall.strips[static_cast<std::size_t>(segment.strip)].X_WP;
    render::LinePiece piece;
    piece.pA_W = render::to_glm(X_WP * Vec3(segment.across_m[0], segment.up_m[0], kOver_m));
    piece.pB_W = render::to_glm(X_WP * Vec3(segment.across_m[1], segment.up_m[1], kOver_m));
    piece.width_px = kBorder_px;
    piece.color = render::Color(theme == render::Theme::kDark ? 0.95F : 0.08F);
    piece.opacity = opacity_;
    bands_.lines.push_back(piece);
  }
}

std::string describe_reach_subject(const ReachAnswer& answer) {
  std::string text = fmt::format("reach of the {}", long_name(answer.limb));
  if (!answer.hold.empty()) text += " with " + io::in_quotes(answer.hold);
  return text;
}

std::string describe_reach(const ReachAnswer& answer, int strip, double across_m, double up_m) {
  const study::ReachPlace* nearest = nullptr;
  double least_m = 0.75 * answer.map->pitch_m;
  for (const study::ReachPlace& place : answer.map->places) {
    if (place.strip != strip) continue;
    const double distance_m = std::hypot(place.across_m - across_m, place.up_m - up_m);
    if (distance_m >= least_m) continue;
    least_m = distance_m;
    nearest = &place;
  }
  if (nearest == nullptr) return "";
  const std::string_view limb = long_name(answer.limb);
  if (nearest->is_held) {
    std::string text = fmt::format("{} here: effort {}", limb, io::show_percent(nearest->effort));
    if (std::isfinite(nearest->margin_m))
      text += fmt::format(", {:.0f} mm inside its reach", mm_from_m(nearest->margin_m));
    return text;
  }
  return fmt::format("{} does not hold here: {}", limb, io::describe_cause(nearest->cause, nearest->limit_limb, ""));
}

}  // namespace steepwright::viewer
