#include "engine/hold/make_mesh.h"

#include "engine/core/contract.h"
#include "engine/core/units.h"
#include "engine/hold/mesh_builder.h"
#include "engine/hold/profile.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace steepwright::hold {

namespace {

using Index = MeshBuilder::Index;
using Loop = MeshBuilder::Loop;
using Section = std::vector<SectionPoint>;

constexpr int kBoltSides = 24;  ///< chords of the bolt's hole: 0.05 mm off the circle at most

double find_least_q(const Section& section) {
  return std::min_element(section.begin(), section.end(),
                          [](const SectionPoint& a, const SectionPoint& b) { return a.q < b.q; })
      ->q;
}

bool has_bolt_room(const MeshDetail& detail, double least_distance_m) {
  return detail.has_bolt_hole && least_distance_m >= kBoltRadius_m + kBoltMargin_m;
}

/// The bolt's tube from the panel to the front, and the holes it leaves in both faces, clockwise seen from outside.
struct BoltHole {
  std::vector<Loop> in_base, in_front;
};

BoltHole add_bolt_hole(MeshBuilder& builder, double protrusion_m, bool is_wanted) {
  if (!is_wanted) return {};
  Loop base;
  Loop front;
  for (int k = 0; k < kBoltSides; ++k) {
    const double angle = 2.0 * kPi * k / kBoltSides;
    const Vec3 p(kBoltRadius_m * std::cos(angle), kBoltRadius_m * std::sin(angle), 0.0);
    base.push_back(builder.add_vertex(p));
    front.push_back(builder.add_vertex(p + Vec3(0.0, 0.0, protrusion_m)));
  }
  for (std::size_t k = 0; k < base.size(); ++k) {
    const std::size_t next = (k + 1) % base.size();
    builder.add_quad(base[next], base[k], front[k], front[next]);
  }
  std::reverse(front.begin(), front.end());
  return {{base}, {front}};
}

/// A section drawn out: its outline in (q, z), counter-clockwise, with the edges (by their first corner) that lie on
/// the panel and on the front face.
struct Outline {
  Section corners;
  std::size_t base_edge = 0, front_edge = 0;
};

/// A floor above, square below.
Outline make_top_outline(const Section& floor, double low_q_m, double protrusion_m) {
  Outline outline;
  outline.corners.push_back({low_q_m, 0.0});
  outline.corners.insert(outline.corners.end(), floor.rbegin(), floor.rend());
  outline.corners.push_back({low_q_m, protrusion_m});
  outline.front_edge = outline.corners.size() - 2;
  return outline;
}

/// The same floor on both sides.
Outline make_twin_outline(const Section& floor) {
  Outline outline;
  outline.corners.push_back({-floor.back().q, floor.back().z});
  outline.corners.insert(outline.corners.end(), floor.rbegin(), floor.rend());
  outline.front_edge = floor.size();
  for (std::size_t i = 0; i + 1 < floor.size(); ++i) outline.corners.push_back({-floor[i].q, floor[i].z});
  return outline;
}

/// Draws an outline out over +-half_length along an axis; R_HE turns E (x along the axis, y = q) to H.
Mesh draw_out(const Outline& outline, double half_length_m, const Mat3& R_HE, double protrusion_m, bool has_bolt) {
  MeshBuilder builder;
  Loop low;
  Loop high;
  for (const SectionPoint& corner : outline.corners) {
    low.push_back(builder.add_vertex(R_HE * Vec3(-half_length_m, corner.q, corner.z)));
    high.push_back(builder.add_vertex(R_HE * Vec3(half_length_m, corner.q, corner.z)));
  }
  const BoltHole bolt = add_bolt_hole(builder, protrusion_m, has_bolt);
  for (std::size_t i = 0; i < low.size(); ++i) {
    const std::size_t next = (i + 1) % low.size();
    if (i == outline.base_edge) {
      builder.add_face({low[i], low[next], high[next], high[i]}, bolt.in_base);
    } else if (i == outline.front_edge) {
      builder.add_face({low[i], low[next], high[next], high[i]}, bolt.in_front);
    } else {
      builder.add_quad(low[i], low[next], high[next], high[i]);
    }
  }
  builder.add_face(high);
  std::reverse(low.begin(), low.end());
  builder.add_face(low);
  return builder.take();
}

Mesh make_bar(const Shape& shape, const MeshDetail& detail) {
  const double half_height_m = 0.5 * shape.height_m;
  const Section floor = make_side_section(shape, half_height_m, detail.chord_m);
  const double room_m = std::min({find_least_q(floor), half_height_m, 0.5 * shape.width_m});
  return draw_out(make_top_outline(floor, -half_height_m, shape.protrusion_m), 0.5 * shape.width_m, Mat3::Identity(),
                  shape.protrusion_m, has_bolt_room(detail, room_m));
}

Mesh make_pinch(const Shape& shape, const MeshDetail& detail) {
  const Section floor = make_side_section(shape, 0.5 * shape.width_m, detail.chord_m);
  const double room_m = std::min(find_least_q(floor), 0.5 * shape.height_m);
  const Mat3 R_HE = Eigen::AngleAxisd(-0.5 * kPi, Vec3::UnitZ()).toRotationMatrix();
  return draw_out(make_twin_outline(floor), 0.5 * shape.height_m, R_HE, shape.protrusion_m,
                  has_bolt_room(detail, room_m));
}

Mesh make_dome(const Shape& shape, const MeshDetail& detail) {
  const Section section = make_side_section(shape, 0.5 * shape.height_m, detail.chord_m);
  const double stretch = shape.width_m / shape.height_m;
  // A multiple of four: the sections through the bolt along x and y are exact.
  const double radius_m = 0.5 * std::max(shape.width_m, shape.height_m);
  const double turn = 2.0 * std::acos(1.0 - detail.plan_chord_m / radius_m);
  const auto sides = static_cast<std::size_t>(4 * std::max(6, static_cast<int>(std::ceil(0.5 * kPi / turn))));
  MeshBuilder builder;
  std::vector<Loop> rings;
  for (const SectionPoint& point : section) {
    Loop& ring = rings.emplace_back();
    for (std::size_t k = 0; k < sides; ++k) {
      const double angle = 2.0 * kPi * static_cast<double>(k) / static_cast<double>(sides);
      ring.push_back(builder.add_vertex(Vec3(stretch * point.q * std::cos(angle), point.q * std::sin(angle), point.z)));
    }
  }
  // Only a flat front takes the bolt: its edge is the first ring.
  const double room_m = std::min(1.0, stretch) * section.front().q * std::cos(kPi / static_cast<double>(sides));
  const BoltHole bolt = add_bolt_hole(builder, shape.protrusion_m, has_bolt_room(detail, room_m));
  builder.add_face(rings.front(), bolt.in_front);
  for (std::size_t i = 0; i + 1 < rings.size(); ++i) {
    for (std::size_t k = 0; k < sides; ++k) {
      const std::size_t next = (k + 1) % sides;
      builder.add_quad(rings[i + 1][k], rings[i + 1][next], rings[i][next], rings[i][k]);
    }
  }
  builder.add_face(Loop(rings.back().rbegin(), rings.back().rend()), bolt.in_base);
  return builder.take();
}

Mesh make_volume(const Shape& shape, const MeshDetail& detail) {
  const double half_width_m = 0.5 * shape.width_m;
  const double half_height_m = 0.5 * shape.height_m;
  // q counts from the outside here: 0 at the full extent, negative within.
  const Section section = make_side_section(shape, 0.0, detail.chord_m);
  MeshBuilder builder;
  std::vector<std::array<Index, 4>> rings;  // lower left, lower right, upper right, upper left
  for (const SectionPoint& point : section) {
    const double x = half_width_m + point.q;
    const double y = half_height_m + point.q;
    rings.push_back({builder.add_vertex(Vec3(-x, -half_height_m, point.z)),
                     builder.add_vertex(Vec3(x, -half_height_m, point.z)), builder.add_vertex(Vec3(x, y, point.z)),
                     builder.add_vertex(Vec3(-x, y, point.z))});
  }
  const double room_m = find_least_q(section) + std::min(half_width_m, half_height_m);
  const BoltHole bolt = add_bolt_hole(builder, shape.protrusion_m, has_bolt_room(detail, room_m));
  builder.add_face(Loop(rings.front().begin(), rings.front().end()), bolt.in_front);
  builder.add_face(Loop(rings.back().rbegin(), rings.back().rend()), bolt.in_base);
  Loop below = {rings.back()[0]};
  for (std::size_t i = rings.size(); i-- > 0;) below.push_back(rings[i][1]);
  for (std::size_t i = 0; i + 1 < rings.size(); ++i) {
    below.push_back(rings[i][0]);
    for (std::size_t side = 1; side < 4; ++side) {  // right, top, left
      const std::size_t next = (side + 1) % 4;
      builder.add_quad(rings[i + 1][side], rings[i + 1][next], rings[i][next], rings[i][side]);
    }
  }
  builder.add_face(below);
  return builder.take();
}

/// The mouth's section: the floor from the front to its end, then the roof from its end to the front.
Section make_mouth_section(const Shape& shape, const MeshDetail& detail) {
  const double lip_m = find_pocket_lip(shape);
  Section section = make_floor_section(shape, lip_m, detail.chord_m);
  const double c = std::cos(shape.incut);
  // The roof is parallel to the floor: as far above its line everywhere.
  const double roof_lip_m = lip_m + shape.mouth_m / c;
  const double back_z = section.back().z;
  section.push_back({roof_lip_m - (shape.protrusion_m - back_z) / c * std::sin(shape.incut), back_z});
  section.push_back({roof_lip_m, shape.protrusion_m});
  return section;
}

Mesh make_pocket(const Shape& shape, const MeshDetail& detail) {
  const Section mouth = make_mouth_section(shape, detail);
  const std::size_t n = mouth.size();
  MeshBuilder builder;
  const double x = 0.5 * find_body_width(shape);
  const double y = 0.5 * shape.height_m;
  const auto add_rectangle = [&](double z) -> Loop {
    return {builder.add_vertex(Vec3(-x, -y, z)), builder.add_vertex(Vec3(x, -y, z)), builder.add_vertex(Vec3(x, y, z)),
            builder.add_vertex(Vec3(-x, y, z))};
  };
  const Loop base = add_rectangle(0.0);
  const Loop front = add_rectangle(shape.protrusion_m);
  Loop left;
  Loop right;
  for (const SectionPoint& point : mouth) {
    left.push_back(builder.add_vertex(Vec3(-0.5 * shape.width_m, point.q, point.z)));
    right.push_back(builder.add_vertex(Vec3(0.5 * shape.width_m, point.q, point.z)));
  }
  BoltHole bolt = add_bolt_hole(builder, shape.protrusion_m, has_bolt_room(detail, std::min(find_least_q(mouth), y)));
  const bool is_through = !has_back_face(shape);
  std::vector<Loop>& in_front = bolt.in_front;
  std::vector<Loop>& in_base = bolt.in_base;
  in_front.push_back({left[0], left[n - 1], right[n - 1], right[0]});
  if (is_through) in_base.push_back({left[n - 3], right[n - 3], right[n - 2], left[n - 2]});
  builder.add_face(front, in_front);
  builder.add_face(Loop(base.rbegin(), base.rend()), in_base);
  for (std::size_t k = 0; k < 4; ++k) {
    builder.add_quad(base[k], base[(k + 1) % 4], front[(k + 1) % 4], front[k]);
  }
  for (std::size_t i = 0; i + 1 < n; ++i) {
    if (is_through && i == n - 3) continue;  // the panel closes the mouth there
    builder.add_quad(right[i], right[i + 1], left[i + 1], left[i]);
  }
  builder.add_face(left);
  std::reverse(right.begin(), right.end());
  builder.add_face(right);
  return builder.take();
}

}  // namespace

Mesh make_mesh(const Shape& shape, const MeshDetail& detail) {
  STEEPWRIGHT_ASSERT(!has_errors(check_shape(shape)));
  switch (shape.family) {
    case Family::kPinch:
      return make_pinch(shape, detail);
    case Family::kPocket:
      return make_pocket(shape, detail);
    case Family::kVolume:
      return make_volume(shape, detail);
    case Family::kEdge:
    case Family::kJug:
    case Family::kFootChip:
      return make_bar(shape, detail);
    case Family::kSloper:
      return is_round(shape) ? make_dome(shape, detail) : make_bar(shape, detail);
    case Family::kImported:
      break;  // check_shape has an error
  }
  return {};
}

}  // namespace steepwright::hold
