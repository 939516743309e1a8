#include "engine/hold/mesh_pose.h"

#include "engine/core/units.h"
#include "engine/hold/bolt_hole.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

/// Largest extent of a hold, m (own choice: from a screw-on chip to a long volume).
constexpr double kSmallestHold_m = 0.005;
constexpr double kLargestHold_m = 2.5;
/// Size below which a guess of mm is worth a question.
constexpr double kUsualHold_m = 0.04;
constexpr std::array kUnits = {LengthUnit::kMillimetre, LengthUnit::kMetre, LengthUnit::kCentimetre, LengthUnit::kInch};

/// Normals of a face differ by this much at most (noise of 0.05 mm on sides of 1 mm).
constexpr double kFlat = rad_from_deg(6.0);
/// Points of a face lie this near to its plane, as a share of the mesh's size.
constexpr double kFlatShare = 0.004;
/// A face this near to an axis looks along it.
constexpr double kSnap = rad_from_deg(1.0);
/// A face on a plane of the file's origin is the panel's side more likely by this factor (own choice: makers of meshes
/// put the panel side there).
constexpr double kOriginFactor = 4.0;
/// A file's origin within the panel side by this share of its size may be the bolt.
constexpr double kInside = 0.1;
constexpr std::size_t kNormalBins = 21;  ///< per axis
constexpr std::size_t kCandidates = 12;

struct FlatFace {
  Vec3 normal = -Vec3::UnitZ();  ///< out of the body
  double offset = 0.0;           ///< normal . p of its points
  double area = 0.0;
};

struct FacetSum {
  Vec3 sum = Vec3::Zero();  ///< area times normal
};

Vec3 calc_area_vector(const Mesh& mesh, std::size_t t) {
  const auto& c = mesh.triangles[t];
  return 0.5 * (mesh.vertices[c[1]] - mesh.vertices[c[0]]).cross(mesh.vertices[c[2]] - mesh.vertices[c[0]]);
}

/// Directions that much area faces, largest first.
std::vector<Vec3> find_directions(const Mesh& mesh) {
  std::vector<FacetSum> bins(kNormalBins * kNormalBins * kNormalBins);
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const Vec3 area = calc_area_vector(mesh, t);
    if (area.norm() < 1e-18) continue;
    const Vec3 at = (area.normalized() + Vec3::Ones()) * (0.5 * (kNormalBins - 1));
    const auto cell = [&at](Eigen::Index i) { return static_cast<std::size_t>(std::lround(at[i])); };
    bins[(cell(0) * kNormalBins + cell(1)) * kNormalBins + cell(2)].sum += area;
  }
  std::stable_sort(bins.begin(), bins.end(),
                   [](const FacetSum& a, const FacetSum& b) { return a.sum.norm() > b.sum.norm(); });
  std::vector<Vec3> directions;
  for (std::size_t i = 0; i < std::min(kCandidates, bins.size()); ++i) {
    if (bins[i].sum.norm() > 0.0) directions.push_back(bins[i].sum.normalized());
  }
  return directions;
}

/// The flat face at the very end of the mesh in a direction.
FlatFace find_end_face(const Mesh& mesh, const Vec3& direction, double size) {
  double end = -1e300;
  for (const Vec3& p : mesh.vertices) end = std::max(end, direction.dot(p));
  FlatFace face;
  Vec3 sum = Vec3::Zero();
  double weighted = 0.0;
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const Vec3 area = calc_area_vector(mesh, t);
    const auto& c = mesh.triangles[t];
    const double offset = direction.dot(mesh.vertices[c[0]] + mesh.vertices[c[1]] + mesh.vertices[c[2]]) / 3.0;
    if (direction.dot(area) < std::cos(kFlat) * area.norm() || end - offset > kFlatShare * size) continue;
    sum += area;
    weighted += area.norm() * offset;
    face.area += area.norm();
  }
  face.normal = face.area > 0.0 ? sum.normalized() : direction;
  face.offset = face.area > 0.0 ? weighted / face.area : end;
  return face;
}

Vec3 snap_to_axis(const Vec3& normal) {
  Eigen::Index axis = 0;
  normal.cwiseAbs().maxCoeff(&axis);
  Vec3 snapped = Vec3::Zero();
  snapped[axis] = normal[axis] < 0.0 ? -1.0 : 1.0;
  return normal.dot(snapped) > std::cos(kSnap) ? snapped : normal;
}

/// A scan often lacks the panel's side: the plane of its largest open loop.
std::optional<FlatFace> find_open_face(const Mesh& mesh, const std::vector<BoundaryLoop>& loops) {
  std::optional<FlatFace> largest;
  for (const BoundaryLoop& loop : loops) {
    Vec3 twice_area = Vec3::Zero();
    Vec3 middle = Vec3::Zero();
    const Vec3& first = mesh.vertices[loop.vertices.front()];
    for (std::size_t i = 0; i < loop.vertices.size(); ++i) {
      const Vec3 a = mesh.vertices[loop.vertices[i]] - first;
      const Vec3 b = mesh.vertices[loop.vertices[(i + 1) % loop.vertices.size()]] - first;
      twice_area += a.cross(b);
      middle += a / static_cast<double>(loop.vertices.size());
    }
    // The walk along the triangles is clockwise seen from where the missing face looks to.
    const double area = 0.5 * twice_area.norm();
    if (area < 1e-12 || (largest && area <= largest->area)) continue;
    const Vec3 normal = -twice_area.normalized();
    largest = FlatFace{normal, normal.dot(first + middle), area};
  }
  return largest;
}

struct PanelSide {
  FlatFace face;
  double rival = 0.0;  ///< area of the next best, weighted alike
  bool is_open = false;
};

PanelSide find_panel_side(const Mesh& mesh, const std::vector<BoundaryLoop>& loops, double size) {
  PanelSide best;
  double best_weight = 0.0;
  const auto offer = [&](const FlatFace& face, bool is_open) {
    const double weight = face.area * (std::abs(face.offset) < 0.002 * size ? kOriginFactor : 1.0);
    const bool is_same = best_weight > 0.0 && face.normal.dot(best.face.normal) > 0.99;
    if (weight > best_weight) {
      if (!is_same) best.rival = best_weight;
      best.face = face;
      best.is_open = is_open;
      best_weight = weight;
    } else if (!is_same) {
      best.rival = std::max(best.rival, weight);
    }
  };
  for (const Vec3& direction : find_directions(mesh)) {
    FlatFace face = find_end_face(mesh, direction, size);
    face = find_end_face(mesh, face.normal, size);
    offer(face, false);
  }
  if (const auto open = find_open_face(mesh, loops)) offer(*open, true);
  best.rival /= std::max(best_weight, 1e-300);
  return best;
}

std::string name_axis(const Vec3& axis) {
  constexpr std::array<const char*, 3> kNames = {"x", "y", "z"};
  for (Eigen::Index i = 0; i < 3; ++i) {
    if (std::abs(axis[i]) > 1.0 - 1e-9)
      return fmt::format("{}{}", axis[i] < 0.0 ? "-" : "+", kNames[static_cast<std::size_t>(i)]);
  }
  return fmt::format("({:.3f}, {:.3f}, {:.3f})", axis.x(), axis.y(), axis.z());
}

/// The file's own up, or what is left when that is square to the panel.
Vec3 guess_up(const Vec3& out, SourceFormat format) {
  const bool is_y_up = format == SourceFormat::kGltf || format == SourceFormat::kGlb || std::abs(out.z()) > 0.7;
  const Vec3 up = is_y_up ? Vec3::UnitY() : Vec3::UnitZ();
  return std::abs(out.dot(up)) > 0.7 ? Vec3(is_y_up ? Vec3::UnitZ() : Vec3::UnitY()) : up;
}

/// Out of the panel and the panel's offset along it.
std::pair<Vec3, double> find_out(const Mesh& mesh, const std::vector<BoundaryLoop>& loops, double size,
                                 const ImportOptions& options, ImportReport& report) {
  if (options.out_axis) {
    report.orientation_note = fmt::format("out of the panel is {}, as told", name_axis(*options.out_axis));
    return {*options.out_axis, -find_end_face(mesh, -*options.out_axis, size).offset};
  }
  const PanelSide side = find_panel_side(mesh, loops, size);
  const Vec3 out = snap_to_axis(-side.face.normal);
  report.orientation_note =
      fmt::format("out of the panel is taken as {}, against the largest {} ({:.3g} cm^2); {}", name_axis(out),
                  side.is_open ? "open side" : "flat face at an end", 1e4 * side.face.area,
                  side.rival < 0.6 ? "sure" : "not sure, another is nearly as large: check it or give --out-axis");
  return {out, -side.face.offset};
}

Vec3 find_up(const Vec3& out, SourceFormat format, const ImportOptions& options, ImportReport& report) {
  const Vec3 wanted = options.up_axis.value_or(guess_up(out, format));
  Vec3 up = (wanted - out * out.dot(wanted)).normalized();
  report.orientation_note += fmt::format("; up is {}{}", name_axis(up), options.up_axis ? ", as told" : "");
  return up;
}

/// Where the bolt goes; the mesh has H's axes and the panel at z = 0, p_origin is the file's origin there.
Vec3 find_bolt(const Mesh& mesh, const Vec3& p_origin, ImportReport& report) {
  const Bounds bounds = calc_bounds(mesh);
  if (const auto hole = find_bolt_hole(mesh)) {
    report.bolt_note =
        fmt::format("bolt in the round hole of {:.3g} mm through the hold; sure", mm_from_m(hole->diameter_m));
    return {hole->x, hole->y, 0.0};
  }
  // The panel side's own middle.
  Bounds side = {Vec3::Constant(1e9), Vec3::Constant(-1e9)};
  for (const Vec3& p : mesh.vertices) {
    if (p.z() > 0.02 * bounds.upper.z()) continue;
    side.lower = side.lower.cwiseMin(p);
    side.upper = side.upper.cwiseMax(p);
  }
  if (side.lower.x() > side.upper.x()) side = bounds;
  const Vec3 size = side.upper - side.lower;
  const Vec3 inset = p_origin - side.lower;
  const bool is_inside = std::abs(p_origin.z()) < kFlatShare * size.norm() && inset.x() > kInside * size.x() &&
                         inset.x() < (1.0 - kInside) * size.x() && inset.y() > kInside * size.y() &&
                         inset.y() < (1.0 - kInside) * size.y();
  if (is_inside) {
    report.bolt_note =
        "no round hole of 8 to 14 mm was found: bolt at the file's origin, which lies within the panel side; not sure, "
        "give --bolt";
    return {p_origin.x(), p_origin.y(), 0.0};
  }
  report.bolt_note =
      "no round hole of 8 to 14 mm was found: bolt in the middle of the panel side; not sure, give --bolt";
  const Vec3 middle = 0.5 * (side.lower + side.upper);
  return {middle.x(), middle.y(), 0.0};
}

}  // namespace

void guess_unit(double size, SourceFormat format, const ImportOptions& options, ImportReport& report) {
  const auto is_hold = [size](LengthUnit unit) {
    const double size_m = size * metres_of(unit);
    return size_m >= kSmallestHold_m && size_m <= kLargestHold_m;
  };
  const auto note = [&](std::string_view how) {
    report.unit_note = fmt::format("unit {}: the hold is {:.4g} mm at its largest; {}", name_of(report.unit),
                                   mm_from_m(size * metres_of(report.unit)), how);
  };
  if (options.unit) {
    report.unit = *options.unit;
    return note("as told");
  }
  if (format == SourceFormat::kGltf || format == SourceFormat::kGlb) {
    report.unit = LengthUnit::kMetre;
    report.is_unit_sure = is_hold(report.unit);
    return note(report.is_unit_sure ? "sure, glTF is in metres"
                                    : "glTF is in metres, but no hold has this size: give --unit");
  }
  const auto found = std::find_if(kUnits.begin(), kUnits.end(), is_hold);
  report.unit = found == kUnits.end() ? LengthUnit::kMillimetre : *found;
  const bool is_usual = size * metres_of(report.unit) >= kUsualHold_m;
  const bool is_mm = report.unit == LengthUnit::kMillimetre;
  report.is_unit_sure = found != kUnits.end() && is_usual && (is_mm || report.unit == LengthUnit::kMetre);
  if (found == kUnits.end()) return note("no unit makes this a hold of 5 mm to 2.5 m: give --unit");
  note(report.is_unit_sure ? "fairly sure, other units would make it unusual"
                           : "a guess, another unit is as likely: check it or give --unit");
}

void place_on_panel(Mesh& mesh, const std::vector<BoundaryLoop>& loops, SourceFormat format,
                    const ImportOptions& options, ImportReport& report) {
  const Bounds bounds = calc_bounds(mesh);
  const double size = (bounds.upper - bounds.lower).norm();
  const auto [out, panel_offset] = find_out(mesh, loops, size, options, report);
  const Vec3 up = find_up(out, format, options, report);
  Mat3 R;
  R.row(0) = up.cross(out);
  R.row(1) = up;
  R.row(2) = out;
  R = Eigen::AngleAxisd(options.turn, Vec3::UnitZ()).toRotationMatrix() * R;
  if (options.turn != 0.0) report.orientation_note += fmt::format("; turned by {:.4g} deg", deg_from_rad(options.turn));
  for (Vec3& p : mesh.vertices) {
    p = R * p;
    p.z() -= panel_offset;
  }
  Vec3 bolt = Vec3::Zero();
  if (options.p_bolt_m) {
    bolt = R * *options.p_bolt_m;
    report.bolt_note = "bolt as told";
  } else {
    bolt = find_bolt(mesh, Vec3(0.0, 0.0, -panel_offset), report);
  }
  bolt.z() = 0.0;
  for (Vec3& p : mesh.vertices) p -= bolt;
  report.R_HM = R;
  report.p_MH_m = R.transpose() * (bolt + Vec3(0.0, 0.0, panel_offset));
}

}  // namespace steepwright::hold
