#include "engine/hold/mesh_import.h"

#include "engine/core/units.h"
#include "engine/hold/mesh_clean.h"
#include "engine/hold/mesh_pose.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <exception>
#include <fstream>
#include <utility>

namespace steepwright::hold {

namespace {

constexpr std::array<std::string_view, 4> kUnitNames = {"mm", "cm", "m", "inch"};
constexpr std::array<double, 4> kUnitMetres = {1e-3, 1e-2, 1.0, 0.0254};
/// Meshes larger than this in any unit are no holds, and their squares leave the range of doubles.
constexpr double kLargestCoordinate = 1e9;

Result<RawMesh> read_source(std::string_view bytes, SourceFormat format, const std::string& name,
                            const std::filesystem::path& folder) {
  switch (format) {
    case SourceFormat::kBinaryStl:
      return read_binary_stl(bytes, name);
    case SourceFormat::kTextStl:
      return read_text_stl(bytes, name);
    case SourceFormat::kObj: {
      const Result<std::string> stripped = strip_obj(bytes, name);
      if (!stripped) return tl::unexpected<Findings>(stripped.error());
      return read_by_assimp(*stripped, "obj", name);
    }
    case SourceFormat::kPly:
      return read_ply(bytes, name);
    case SourceFormat::kGltf:
    case SourceFormat::kGlb:
      break;
  }
  const Result<std::string> stripped = strip_gltf(bytes, format, name, folder);
  if (!stripped) return tl::unexpected<Findings>(stripped.error());
  return read_by_assimp(*stripped, "glb", name);
}

Result<void> check_raw(const RawMesh& raw, const std::string& name) {
  if (raw.mesh.triangles.empty()) return mesh_failure(name, "has no triangles", "export the mesh with its faces");
  if (raw.mesh.triangles.size() > kMostTriangles) {
    return mesh_failure(name,
                        fmt::format("has {} triangles; up to {} are read", raw.mesh.triangles.size(), kMostTriangles),
                        "reduce the mesh: 100000 triangles show all that a finger feels");
  }
  const Bounds bounds = calc_bounds(raw.mesh);
  const double largest = std::max(bounds.upper.cwiseAbs().maxCoeff(), bounds.lower.cwiseAbs().maxCoeff());
  if (!(largest < kLargestCoordinate)) {
    return mesh_failure(name, fmt::format("has a coordinate of {:.3g}; no hold is that large", largest),
                        "export the mesh anew");
  }
  const Vec3 size = bounds.upper - bounds.lower;
  // Flat in one direction is allowed here: area is what counts.
  if (!(calc_area(raw.mesh) > 1e-12 * size.squaredNorm()) || size.norm() <= 0.0) {
    return mesh_failure(name, "all triangles together have no area", "export the mesh anew");
  }
  return {};
}

double calc_length(const Mesh& mesh, const BoundaryLoop& loop) {
  double length = 0.0;
  for (std::size_t i = 0; i < loop.vertices.size(); ++i) {
    const std::uint32_t next = loop.vertices[(i + 1) % loop.vertices.size()];
    length += (mesh.vertices[next] - mesh.vertices[loop.vertices[i]]).norm();
  }
  return length;
}

void take_over(const CleanReport& cleaned, const Mesh& mesh, ImportReport& report) {
  report.degenerate = cleaned.degenerate;
  report.non_manifold_edges = cleaned.non_manifold_edges;
  report.turned_triangles = cleaned.turned_triangles;
  report.is_turned_inside_out = cleaned.is_turned_inside_out;
  for (const BoundaryLoop& loop : cleaned.loops)
    report.open_loops.push_back({loop.vertices.size(), calc_length(mesh, loop)});
  std::stable_sort(report.open_loops.begin(), report.open_loops.end(),
                   [](const OpenLoop& a, const OpenLoop& b) { return a.length_m > b.length_m; });
}

Result<std::string> load_bytes(const std::filesystem::path& path) {
  const std::string name = path.string();
  std::error_code error;
  if (std::filesystem::is_directory(path, error)) return mesh_failure(name, "is a folder", "name a mesh file in it");
  const auto size = std::filesystem::file_size(path, error);
  if (error) return mesh_failure(name, "cannot be opened: " + error.message());
  if (size > kLargestMeshFile) {
    return mesh_failure(name, fmt::format("has {} bytes; up to {} are read", size, kLargestMeshFile),
                        "reduce the mesh");
  }
  std::ifstream file(path, std::ios::binary);
  std::string bytes(size, '\0');
  if (!file.read(bytes.data(), static_cast<std::streamsize>(size))) return mesh_failure(name, "cannot be read");
  return bytes;
}

}  // namespace

std::string_view name_of(LengthUnit unit) { return kUnitNames[static_cast<std::size_t>(unit)]; }
double metres_of(LengthUnit unit) { return kUnitMetres[static_cast<std::size_t>(unit)]; }

std::optional<LengthUnit> unit_from_name(std::string_view name) {
  const auto found = std::find(kUnitNames.begin(), kUnitNames.end(), name);
  if (found == kUnitNames.end()) return std::nullopt;
  return static_cast<LengthUnit>(found - kUnitNames.begin());
}

std::optional<Vec3> axis_from_name(std::string_view name) {
  const bool is_negative = name.starts_with('-');
  if (is_negative || name.starts_with('+')) name.remove_prefix(1);
  if (name.size() != 1 || name[0] < 'x' || name[0] > 'z') return std::nullopt;
  Vec3 axis = Vec3::Zero();
  axis[name[0] - 'x'] = is_negative ? -1.0 : 1.0;
  return axis;
}

Result<ImportedMesh> import_mesh(std::string_view bytes, const std::string& name, const std::filesystem::path& folder,
                                 const ImportOptions& options) {
  const Result<SourceFormat> format = find_source_format(bytes, name);
  if (!format) return tl::unexpected<Findings>(format.error());
  if (options.out_axis && options.up_axis && std::abs(options.out_axis->dot(*options.up_axis)) > 0.99)
    return mesh_failure(name, "the axes out of the panel and up are the same", "name two different ones");
  Result<RawMesh> raw = read_source(bytes, *format, name, folder);
  if (!raw) return tl::unexpected<Findings>(raw.error());
  const Result<void> checked = check_raw(*raw, name);
  if (!checked) return tl::unexpected<Findings>(checked.error());

  ImportedMesh imported;
  imported.mesh = std::move(raw->mesh);
  ImportReport& report = imported.report;
  report.format = name_of(*format);
  report.triangles_read = imported.mesh.triangles.size();
  report.corners_read = raw->corners_read;
  const CleanReport cleaned = clean_mesh(imported.mesh);
  if (imported.mesh.triangles.empty())
    return mesh_failure(name, "all triangles together have no area", "export the mesh anew");
  report.welded = report.corners_read - imported.mesh.vertices.size();
  const Bounds bounds = calc_bounds(imported.mesh);
  guess_unit((bounds.upper - bounds.lower).maxCoeff(), *format, options, report);
  for (Vec3& p : imported.mesh.vertices) p *= metres_of(report.unit);
  take_over(cleaned, imported.mesh, report);
  place_on_panel(imported.mesh, cleaned.loops, *format, options, report);
  return imported;
}

Result<ImportedMesh> load_mesh(const std::filesystem::path& path, const ImportOptions& options) {
  const Result<std::string> bytes = load_bytes(path);
  if (!bytes) return tl::unexpected<Findings>(bytes.error());
  const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  return import_mesh(*bytes, path.string(), folder, options);
}

}  // namespace steepwright::hold
