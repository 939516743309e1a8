#include "engine/hold/mesh_builder.h"

#include "engine/hold/triangulate.h"

namespace steepwright::hold {

namespace {

/// Newell's sum: normal of a plane polygon, twice its area long.
Vec3 find_normal(const Mesh& mesh, const MeshBuilder::Loop& loop) {
  Vec3 normal = Vec3::Zero();
  const Vec3& start = mesh.vertices[loop.front()];
  for (std::size_t i = 1; i + 1 < loop.size(); ++i) {
    normal += (mesh.vertices[loop[i]] - start).cross(mesh.vertices[loop[i + 1]] - start);
  }
  return normal;
}

}  // namespace

MeshBuilder::Index MeshBuilder::add_vertex(const Vec3& p_H) {
  mesh_.vertices.push_back(p_H);
  return static_cast<Index>(mesh_.vertices.size() - 1);
}

void MeshBuilder::add_quad(Index a, Index b, Index c, Index d) {
  // Equal diagonals fall to the first, whatever the rounding.
  constexpr double kClearlyShorter = 1.0 - 1e-6;
  if ((vertex(d) - vertex(b)).norm() < kClearlyShorter * (vertex(c) - vertex(a)).norm()) {
    mesh_.triangles.push_back({a, b, d});
    mesh_.triangles.push_back({b, c, d});
  } else {
    mesh_.triangles.push_back({a, b, c});
    mesh_.triangles.push_back({a, c, d});
  }
}

void MeshBuilder::add_face(const Loop& outline, const std::vector<Loop>& holes) {
  const Tangents axes = find_tangents(find_normal(mesh_, outline).normalized());
  std::vector<Eigen::Vector2d> points;
  Loop indices;
  std::vector<Loop> loops;
  const auto add_loop = [&](const Loop& loop) {
    Loop local;
    for (Index index : loop) {
      local.push_back(static_cast<Index>(points.size()));
      points.emplace_back(axes.t1.dot(vertex(index)), axes.t2.dot(vertex(index)));
      indices.push_back(index);
    }
    loops.push_back(std::move(local));
  };
  add_loop(outline);
  for (const Loop& hole : holes) add_loop(hole);
  for (const auto& t : triangulate(points, loops)) {
    mesh_.triangles.push_back({indices[t[0]], indices[t[1]], indices[t[2]]});
  }
}

}  // namespace steepwright::hold
