#pragma once

/// The reach of the moving limb on the panels: contour bands of effort, their border, and what it says of a place.

#include "engine/move/scene.h"
#include "viewer/render/render_scene.h"
#include "viewer/render/use_scale.h"
#include "viewer/solve/results.h"

#include <string>
#include <vector>

namespace steepwright::viewer {

class ReachView {
 public:
  /// Makes bands and border of an answer; does nothing when it has them for this wall and look.
  void update(const wall::Wall& wall, std::uint64_t wall_revision, const ReachAnswer& answer, render::Theme theme,
              bool is_stale);
  void append(render::RenderScene& drawn) const { render::append(drawn, bands_); }

 private:
  void add_bands(const wall::Wall& wall, const study::ReachRaster& raster);
  void add_border(const wall::Wall& wall, const study::ReachMap& map, render::Theme theme);

  std::shared_ptr<const study::ReachMap> map_;
  std::uint64_t wall_revision_ = 0;
  render::Theme theme_ = render::Theme::kDark;
  bool is_stale_ = false;
  float opacity_ = 1.0F;
  render::RenderScene bands_;
};

/// "left hand here: effort 83 %, 120 mm inside its reach", or why it does not hold there; "" off the map.
[[nodiscard]] std::string describe_reach(const ReachAnswer& answer, int strip, double across_m, double up_m);
/// "reach of the left hand with 'thin rim'".
[[nodiscard]] std::string describe_reach_subject(const ReachAnswer& answer);

}  // namespace steepwright::viewer
