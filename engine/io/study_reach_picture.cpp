#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/study_marks.h"
#include "engine/io/study_reach.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/wall_faces.h"
#include "engine/move/goals.h"
#include "engine/study/reach_raster.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace steepwright::io {

namespace {

constexpr double kPerMetre = WallFaces::kPerMetre;
constexpr double kMargin_px = 56.0;
constexpr double kTop_px = 64.0;
constexpr double kLegend_px = 250.0;
constexpr double kEdge_m = 0.02;  ///< glyphs keep this far from a strip's edge
constexpr double kGlyphPitch_m = 0.1;
constexpr double kOverlap_px = 0.8;

double band_upper(std::size_t band) { return study::kReachBands[band]; }
std::string band_colour(std::size_t band) { return use_colour(band_upper(band)); }

/// Nothing stands for out of reach: most of the wall is.
const char* glyph_of(move::Cause cause) { return cause == move::Cause::kReach ? "" : letter_of(cause); }

class ReachPicture {
 public:
  explicit ReachPicture(const ReachReport& report)
      : report_(report), faces_(report.scene->wall, {kMargin_px, kTop_px}) {}

  [[nodiscard]] Vec2 size_px() const { return {faces_.end().x() + kLegend_px, find_height()}; }

  void draw(Canvas& canvas) const {
    draw_heading(canvas);
    faces_.draw(canvas);
    for (const study::ReachRaster& raster : study::make_reach_rasters(report_.map)) draw_bands(canvas, raster);
    draw_glyphs(canvas);
    draw_border(canvas);
    draw_holds(canvas);
    draw_legend(canvas);
  }

 private:
  [[nodiscard]] const wall::Strip& strip(int s) const {
    return report_.scene->wall.strips[static_cast<std::size_t>(s)];
  }

  [[nodiscard]] double find_height() const { return faces_.end().y() + 68.0; }
  [[nodiscard]] Vec2 at(int s, double across_m, double up_m) const { return faces_.at(s, across_m, up_m); }

  void draw_heading(Canvas& canvas) const {
    const std::string climber = report_.scene->climber.measures.name;
    canvas.text({kMargin_px, 28.0}, "Where the " + describe_asked(report_) + " can be put",
                {.size_px = 17.0, .bold = true});
    canvas.text({kMargin_px, 48.0}, fmt::format("{}; {}", report_.scene->name, climber.empty() ? "climber" : climber),
                {.fill = kFaint});
  }

  void draw_bands(Canvas& canvas, const study::ReachRaster& raster) const {
    const wall::Strip& face = strip(raster.strip);
    // Cells reach half a step beyond the first and last places.
    canvas.open_clip(at(raster.strip, 0.0, face.length_m), kPerMetre * Vec2(face.width_m, face.length_m));
    paint_bands(canvas, raster);
    canvas.close_group();
    faces_.draw_tnuts(canvas, raster.strip);
  }

  /// A run goes under the rows and runs that follow by the overlap, or seams would shine through.
  void paint_bands(Canvas& canvas, const study::ReachRaster& raster) const {
    const double size_px = kPerMetre * raster.fine_m;
    for (const study::ReachRun& run : study::find_runs(raster)) {
      const Vec2 corner = at(raster.strip, (run.i - 0.5) * raster.fine_m, (run.j + 0.5) * raster.fine_m);
      const Vec2 overlap_px(run.has_neighbour ? kOverlap_px : 0.0, run.j > 0 ? kOverlap_px : 0.0);
      canvas.rectangle(corner, Vec2((run.end - run.i) * size_px, size_px) + overlap_px, 0.0,
                       {.fill = band_colour(static_cast<std::size_t>(run.band))});
    }
  }

  void draw_border(Canvas& canvas) const {
    std::vector<std::array<Vec2, 2>> segments;
    for (const study::BorderSegment& segment : report_.map.border) {
      segments.push_back({at(segment.strip, segment.across_m[0], segment.up_m[0]),
                          at(segment.strip, segment.across_m[1], segment.up_m[1])});
    }
    for (const std::vector<Vec2>& line : join_segments(segments))
      canvas.polyline(line, {.stroke = kInk, .width_px = 1.6});
  }

  void draw_glyphs(Canvas& canvas) const {
    const int every = std::max(1, static_cast<int>(std::lround(kGlyphPitch_m / report_.map.fine_m)));
    for (const study::ReachPlace& place : report_.map.places) {
      const wall::Strip& face = strip(place.strip);
      const bool is_on_edge = place.i == 0 || place.j == 0 || place.across_m > face.width_m - kEdge_m ||
                              place.up_m > face.length_m - kEdge_m;
      const bool is_shown =
          place.is_coarse && !is_on_edge && place.i % every == 0 && place.j % every == 0 && !place.is_held;
      if (!is_shown || *glyph_of(place.cause) == '\0') continue;
      // T-nuts often stand in the same places.
      canvas.circle(at(place.strip, place.across_m, place.up_m), 4.0, {.fill = kFaceColour});
      canvas.text(at(place.strip, place.across_m, place.up_m) + Vec2(0.0, 3.5), glyph_of(place.cause),
                  {.size_px = 11.0, .fill = kFaint, .anchor = "middle"});
    }
  }

  /// The limbs that stay, where they are.
  void draw_holds(Canvas& canvas) const {
    for (const Limb limb : kLimbs) {
      const auto& held = report_.question.stance.limbs[index_of(limb)];
      if (!held || limb == report_.question.moving) continue;
      const move::Scene& scene = *report_.scene;
      const bool is_hold = held->hold >= 0;
      const move::PlacedHold* hold = is_hold ? &scene.holds[static_cast<std::size_t>(held->hold)] : nullptr;
      const int s = hold != nullptr ? hold->strip : held->strip;
      const Vec2 place = hold != nullptr ? at(s, hold->across_m, hold->up_m) : at(s, held->across_m, held->up_m);
      canvas.rectangle(place - Vec2(5.0, 5.0), {10.0, 10.0}, 2.0, {.stroke = kInk, .width_px = 1.4, .fill = "#ffffff"});
      const double side = is_left(limb) ? -1.0 : 1.0;
      canvas.text(place + Vec2(9.0 * side, 4.0), std::string(long_name(limb)),
                  {.size_px = 11.0, .anchor = is_left(limb) ? "end" : "start", .halo = true});
    }
  }

  void draw_legend(Canvas& canvas) const {
    Vec2 place(faces_.end().x() + 10.0, kTop_px + 20.0);
    canvas.text(place, "Effort with the limb just placed", {.bold = true});
    place.y() += 10.0;
    for (std::size_t band = 0; band < study::kReachBands.size(); ++band) {
      canvas.rectangle(place, {26.0, 16.0}, 0.0, {.fill = band_colour(band)});
      const std::string text =
          band == 0 ? fmt::format("up to {:.0f} %", 100.0 * band_upper(band))
                    : fmt::format("{:.0f} to {:.0f} %", 100.0 * band_upper(band - 1), 100.0 * band_upper(band));
      canvas.text(place + Vec2(34.0, 13.0), text, {.size_px = 12.0});
      place.y() += 18.0;
    }
    place.y() += 22.0;
    canvas.text(place, "Not held there:", {.bold = true});
    for (const auto& [glyph, text] :
         {std::pair{"g", "a grip or foothold gives out"}, std::pair{"m", "a joint's strength gives out"},
          std::pair{"s", "a limb slips, no balance"}, std::pair{"w", "wall or room in the way"},
          std::pair{"", "nothing: out of reach"}}) {
      place.y() += 18.0;
      canvas.text(place + Vec2(8.0, 0.0), glyph, {.size_px = 12.0, .fill = kFaint, .anchor = "middle"});
      canvas.text(place + Vec2(20.0, 0.0), text, {.size_px = 12.0});
    }
    place.y() += 24.0;
    canvas.text(place, "Across and up in mm of the strip", {.size_px = 11.0, .fill = kFaint});
    place.y() += 15.0;
    canvas.text(place, "Small dots: T-nuts", {.size_px = 11.0, .fill = kFaint});
    draw_cautions(canvas, {kMargin_px, find_height() - 44.0});
  }

  const ReachReport& report_;
  WallFaces faces_;
};

}  // namespace

Drawing make_reach_picture(const ReachReport& report) {
  const auto picture = std::make_shared<const ReachPicture>(report);
  return {"Reach map: " + report.scene->name, picture->size_px(), [picture](Canvas& canvas) { picture->draw(canvas); }};
}

}  // namespace steepwright::io
