#pragma once

/// The strips of a wall face on: sections side by side, the strips of a section stacked as they stand, each with its
/// scale in mm.

#include "engine/io/canvas.h"
#include "engine/wall/wall.h"

#include <vector>

namespace steepwright::io {

class WallFaces {
 public:
  static constexpr double kPerMetre = 260.0;  ///< px

  /// `corner`: upper left of the page that they may take, px. The wall outlives them.
  WallFaces(const wall::Wall& wall, const Vec2& corner);

  /// A place of a strip, px.
  [[nodiscard]] Vec2 at(int strip, double across_m, double up_m) const;
  /// Lower right of what they take, px.
  [[nodiscard]] Vec2 end() const { return end_; }

  void draw(Canvas& canvas) const;
  /// Over whatever was painted on a strip.
  void draw_tnuts(Canvas& canvas, int strip) const;

 private:
  void draw_face(Canvas& canvas, int strip) const;
  void draw_scale(Canvas& canvas, int strip) const;

  const wall::Wall& wall_;
  std::vector<Vec2> corners_;  ///< lower left of each strip, px
  Vec2 end_ = Vec2::Zero();
};

inline constexpr const char* kFaceColour = "#f3f5f7";

}  // namespace steepwright::io
