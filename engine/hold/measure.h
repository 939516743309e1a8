#pragma once

/// Sites of a mesh: where fingers or shoes can bear, measured by plane sections square to the lip.

#include "engine/hold/hold.h"
#include "engine/hold/lip_fit.h"
#include "engine/hold/mesh.h"

#include <cstddef>
#include <string>
#include <vector>

namespace steepwright::hold {

struct MeasureOptions {
  Surface surface = Surface::kRawWood;  ///< of all sites: a mesh does not tell
  int cuts = 48;                        ///< sections along each of the four directions
};

/// Half of what lies between the 10th and the 90th percentile of the sections.
struct Spread {
  double depth_m = 0.0, incut = 0.0, lip_radius_m = 0.0;
};

/// A site with how it was found. All values of `site` are medians over its sections.
struct MeasuredSite {
  Site site;
  Family family = Family::kEdge;  ///< whose order of grips suits it best
  double turn = 0.0;              ///< rad, from up-slope to the side that the floor looks to, counter-clockwise
  LipFit profile;                 ///< the section that is nearest to the medians, (q, z) in the turned frame
  Section section;                ///< its whole outline
  Spread spread;
  double residual_m = 0.0;   ///< median of the sections' fits
  std::size_t sections = 0;  ///< that agree
  std::size_t bridged = 0;   ///< of them over a gap of the mesh
};

/// The sites of a mesh in H, the same for the same mesh: floors that look up-slope, to either side, and down-slope, in
/// this order, those that stand out most first. The panel (z = 0) counts as solid. The lip line may bend and lean, but
/// is measured square to the panel's axes. Bolt holes and what is too small for shoe and finger are left out.
///
/// Names: "lip" (up-slope), "top" (up-slope, sloping or well rounded), "mouth" (under a roof), "left flank", "right
/// flank", "underside"; further ones numbered ("lip 2").
[[nodiscard]] std::vector<MeasuredSite> measure_sites(const Mesh& mesh, const MeasureOptions& options = {});

}  // namespace steepwright::hold
