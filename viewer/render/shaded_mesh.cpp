/// Normals that keep bevels.

#include "viewer/render/convert.h"
#include "viewer/render/hold_mesh.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <utility>
#include <vector>

namespace steepwright::viewer::render {

namespace {

using Index = std::uint32_t;

/// A triangle at one of its corners.
struct Corner {
  Index triangle = 0;
  unsigned at = 0;  ///< 0, 1, 2
};

class ShadedMeshMaker {
 public:
  ShadedMeshMaker(const hold::Mesh& mesh, double crease_angle) : mesh_(mesh), crease_cos_(std::cos(crease_angle)) {}

  MeshData make() {
    measure_triangles();
    sort_corners();
    data_.indices.resize(3 * mesh_.triangles.size());
    data_.positions.reserve(mesh_.vertices.size() * 2);
    data_.normals.reserve(mesh_.vertices.size() * 2);
    for (std::size_t vertex = 0; vertex < mesh_.vertices.size(); ++vertex) add_vertex(static_cast<Index>(vertex));
    return std::move(data_);
  }

 private:
  void measure_triangles() {
    normals_.reserve(mesh_.triangles.size());
    areas_.reserve(mesh_.triangles.size());
    for (const auto& t : mesh_.triangles) {
      const Vec3 cross = (point(t[1]) - point(t[0])).cross(point(t[2]) - point(t[0]));
      const double length = cross.norm();
      areas_.push_back(0.5 * length);
      normals_.push_back(length > 0.0 ? Vec3(cross / length) : Vec3::Zero());
    }
  }

  /// Corners listed vertex by vertex.
  void sort_corners() {
    first_.assign(mesh_.vertices.size() + 1, 0);
    for (const auto& t : mesh_.triangles) {
      for (const Index vertex : t) ++first_[vertex + 1];
    }
    std::partial_sum(first_.begin(), first_.end(), first_.begin());
    corners_.resize(3 * mesh_.triangles.size());
    std::vector<Index> next(first_.begin(), first_.end() - 1);
    for (std::size_t i = 0; i < mesh_.triangles.size(); ++i) {
      for (unsigned at = 0; at < 3U; ++at) corners_[next[mesh_.triangles[i][at]]++] = {static_cast<Index>(i), at};
    }
  }

  /// Corners around a vertex fall into groups that are joined over flat enough edges; each group is a vertex of the
  /// shaded mesh.
  void add_vertex(Index vertex) {
    const std::size_t begin = first_[vertex];
    const std::size_t n = first_[vertex + 1] - begin;
    group_.resize(n);
    std::iota(group_.begin(), group_.end(), Index{0});
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = i + 1; j < n; ++j) {
        if (are_smooth(corners_[begin + i], corners_[begin + j], vertex)) join(i, j);
      }
    }
    for (std::size_t i = 0; i < n; ++i) {
      if (find_group(i) == i) add_group(vertex, begin, n, i);
    }
  }

  void add_group(Index vertex, std::size_t begin, std::size_t n, std::size_t group) {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 0; i < n; ++i) {
      if (find_group(i) != group) continue;
      const Corner& corner = corners_[begin + i];
      sum += areas_[corner.triangle] * find_angle(corner) * normals_[corner.triangle];
      data_.indices[3 * corner.triangle + corner.at] = static_cast<Index>(data_.positions.size());
    }
    const double length = sum.norm();
    data_.positions.push_back(to_glm(point(vertex)));
    data_.normals.push_back(length > 0.0 ? to_glm(Vec3(sum / length)) : glm::vec3(0.0F, 0.0F, 1.0F));
  }

  /// They share an edge at the vertex, and it is flat enough.
  [[nodiscard]] bool are_smooth(const Corner& a, const Corner& b, Index vertex) const {
    if (normals_[a.triangle].dot(normals_[b.triangle]) < crease_cos_) return false;
    for (const Index p : mesh_.triangles[a.triangle]) {
      if (p == vertex) continue;
      const auto& t = mesh_.triangles[b.triangle];
      if (std::find(t.begin(), t.end(), p) != t.end()) return true;
    }
    return false;
  }

  [[nodiscard]] double find_angle(const Corner& corner) const {
    const auto& t = mesh_.triangles[corner.triangle];
    const Vec3 u = point(t[(corner.at + 1) % 3]) - point(t[corner.at]);
    const Vec3 v = point(t[(corner.at + 2) % 3]) - point(t[corner.at]);
    return std::atan2(u.cross(v).norm(), u.dot(v));
  }

  [[nodiscard]] std::size_t find_group(std::size_t i) const {
    while (group_[i] != i) i = group_[i];
    return i;
  }
  void join(std::size_t i, std::size_t j) {
    const std::size_t a = find_group(i);
    const std::size_t b = find_group(j);
    group_[std::max(a, b)] = static_cast<Index>(std::min(a, b));
  }

  [[nodiscard]] const Vec3& point(Index index) const { return mesh_.vertices[index]; }

  const hold::Mesh& mesh_;
  double crease_cos_;
  std::vector<Vec3> normals_;
  std::vector<double> areas_;
  std::vector<Index> first_;
  std::vector<Corner> corners_;
  std::vector<Index> group_;
  MeshData data_;
};

}  // namespace

MeshHandle make_shaded_mesh(const hold::Mesh& mesh, double crease_angle) {
  return std::make_shared<const MeshData>(ShadedMeshMaker(mesh, crease_angle).make());
}

}  // namespace steepwright::viewer::render
