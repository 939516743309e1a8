#include "engine/hold/mesh.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

namespace steepwright::hold {

namespace {

using Triangle = std::array<std::uint32_t, 3>;

bool is_degenerate(const Mesh& mesh, const Triangle& corners) {
  const Vec3& a = mesh.vertices[corners[0]];
  const Vec3& b = mesh.vertices[corners[1]];
  const Vec3& c = mesh.vertices[corners[2]];
  const double longest = std::max({(b - a).norm(), (c - b).norm(), (a - c).norm()});
  // Written so that coordinates that are no numbers count as degenerate.
  return !((b - a).cross(c - a).norm() >= kLeastTriangleHeight_m * longest) || longest == 0.0;
}

/// An edge with its smaller index first, and the direction it is walked in.
struct DirectedEdge {
  std::uint32_t low = 0, high = 0;
  int direction = 1;

  [[nodiscard]] bool is_same_edge(const DirectedEdge& other) const { return low == other.low && high == other.high; }
};

std::vector<DirectedEdge> sort_edges(const std::vector<Triangle>& triangles) {
  std::vector<DirectedEdge> edges;
  edges.reserve(3 * triangles.size());
  for (const Triangle& corners : triangles) {
    for (std::size_t i = 0; i < 3; ++i) {
      const std::uint32_t from = corners[i];
      const std::uint32_t to = corners[(i + 1) % 3];
      if (from != to) edges.push_back({std::min(from, to), std::max(from, to), from < to ? 1 : -1});
    }
  }
  std::sort(edges.begin(), edges.end(), [](const DirectedEdge& a, const DirectedEdge& b) {
    return a.low != b.low ? a.low < b.low : a.high < b.high;
  });
  return edges;
}

void add_finding(Findings& findings, std::size_t count, const std::string& message) {
  if (count == 0) return;
  Finding finding;
  finding.key = "mesh";
  finding.message = fmt::format("{} {}", count, message);
  findings.push_back(std::move(finding));
}

}  // namespace

Bounds calc_bounds(const Mesh& mesh) {
  if (mesh.vertices.empty()) return {};
  Bounds bounds = {mesh.vertices.front(), mesh.vertices.front()};
  for (const Vec3& p : mesh.vertices) {
    bounds.lower = bounds.lower.cwiseMin(p);
    bounds.upper = bounds.upper.cwiseMax(p);
  }
  return bounds;
}

double calc_volume(const Mesh& mesh) {
  // Tetrahedra from the first vertex: nearer to the body than the origin may be.
  if (mesh.vertices.empty()) return 0.0;
  const Vec3 apex = mesh.vertices.front();
  double six_volumes = 0.0;
  for (const Triangle& t : mesh.triangles) {
    six_volumes += (mesh.vertices[t[0]] - apex).dot((mesh.vertices[t[1]] - apex).cross(mesh.vertices[t[2]] - apex));
  }
  return six_volumes / 6.0;
}

double calc_area(const Mesh& mesh) {
  double two_areas = 0.0;
  for (const Triangle& t : mesh.triangles) {
    two_areas += (mesh.vertices[t[1]] - mesh.vertices[t[0]]).cross(mesh.vertices[t[2]] - mesh.vertices[t[0]]).norm();
  }
  return 0.5 * two_areas;
}

MeshFaults count_faults(const Mesh& mesh) {
  MeshFaults faults;
  std::vector<Triangle> whole;
  whole.reserve(mesh.triangles.size());
  for (const Triangle& corners : mesh.triangles) {
    const bool is_whole = std::all_of(corners.begin(), corners.end(),
                                      [&mesh](std::uint32_t index) { return index < mesh.vertices.size(); });
    if (!is_whole) {
      ++faults.missing_vertices;
      continue;
    }
    whole.push_back(corners);
    if (is_degenerate(mesh, corners)) ++faults.degenerate_triangles;
  }
  const std::vector<DirectedEdge> edges = sort_edges(whole);
  for (std::size_t first = 0; first < edges.size();) {
    std::size_t last = first;
    int balance = 0;
    for (; last < edges.size() && edges[last].is_same_edge(edges[first]); ++last) balance += edges[last].direction;
    if (last - first == 1) {
      ++faults.open_edges;
    } else if (last - first > 2 || balance != 0) {
      ++faults.non_manifold_edges;
    }
    first = last;
  }
  return faults;
}

Findings check_watertight(const Mesh& mesh) {
  Findings findings;
  if (mesh.triangles.empty()) {
    Finding finding;
    finding.key = "mesh";
    finding.message = "has no triangles";
    findings.push_back(std::move(finding));
  }
  const MeshFaults faults = count_faults(mesh);
  add_finding(findings, faults.open_edges, "open edges, used by one triangle only; a closed body has none");
  add_finding(findings, faults.non_manifold_edges,
              "edges that more than two triangles use, or two in the same direction; a closed body has none");
  add_finding(findings, faults.degenerate_triangles, "triangles without an area");
  add_finding(findings, faults.missing_vertices, "triangles that name a vertex that does not exist");
  return findings;
}

}  // namespace steepwright::hold
