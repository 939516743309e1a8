#include "engine/hold/mesh_clean.h"

#include "engine/hold/corner_welder.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <limits>
#include <utility>

namespace steepwright::hold {

namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

/// A triangle's side, its smaller vertex first.
struct Edge {
  std::uint32_t low = 0, high = 0, triangle = 0;
  bool is_forward = true;

  [[nodiscard]] bool is_same(const Edge& other) const { return low == other.low && high == other.high; }
};

std::vector<Edge> sort_edges(const Mesh& mesh) {
  std::vector<Edge> edges;
  edges.reserve(3 * mesh.triangles.size());
  for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
    const auto& corners = mesh.triangles[t];
    for (std::size_t i = 0; i < 3; ++i) {
      const std::uint32_t from = corners[i];
      const std::uint32_t to = corners[(i + 1) % 3];
      edges.push_back({std::min(from, to), std::max(from, to), static_cast<std::uint32_t>(t), from < to});
    }
  }
  std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) {
    if (a.low != b.low) return a.low < b.low;
    return a.high != b.high ? a.high < b.high : a.triangle < b.triangle;
  });
  return edges;
}

template <typename Visit>
void visit_edges(const std::vector<Edge>& edges, Visit visit) {
  for (std::size_t first = 0; first < edges.size();) {
    std::size_t last = first + 1;
    while (last < edges.size() && edges[last].is_same(edges[first])) ++last;
    visit(first, last);
    first = last;
  }
}

void weld(Mesh& mesh, CleanReport& report) {
  const Bounds bounds = calc_bounds(mesh);
  CornerWelder welder(kWeldShare * (bounds.upper - bounds.lower).norm(), mesh.vertices.size());
  // Only corners that a triangle uses.
  std::vector<std::uint32_t> joined(mesh.vertices.size(), kNone);
  for (auto& corners : mesh.triangles) {
    for (std::uint32_t& corner : corners) {
      if (joined[corner] == kNone) joined[corner] = welder.add(mesh.vertices[corner]);
      corner = joined[corner];
    }
  }
  report.welded = mesh.vertices.size() - welder.points().size();
  mesh.vertices = std::move(welder.points());
  const auto is_empty = [](const std::array<std::uint32_t, 3>& t) {
    return t[0] == t[1] || t[1] == t[2] || t[2] == t[0];
  };
  const auto end = std::remove_if(mesh.triangles.begin(), mesh.triangles.end(), is_empty);
  report.degenerate = static_cast<std::size_t>(mesh.triangles.end() - end);
  mesh.triangles.erase(end, mesh.triangles.end());
}

/// Turns triangles over until neighbours agree, part by part from the first triangle of each on.
class Turner {
 public:
  Turner(Mesh& mesh, const std::vector<Edge>& edges) : mesh_(mesh), neighbours_(mesh.triangles.size()) {
    for (auto& three : neighbours_) three.fill({kNone, false});
    visit_edges(edges, [&](std::size_t first, std::size_t last) {
      if (last - first != 2) return;
      const bool disagrees = edges[first].is_forward == edges[first + 1].is_forward;
      connect(edges[first].triangle, edges[first + 1].triangle, disagrees);
      connect(edges[first + 1].triangle, edges[first].triangle, disagrees);
    });
  }

  std::size_t run() {
    std::vector<char> state(mesh_.triangles.size(), 0);  // 0 not reached, 1 kept, 2 turned
    std::size_t turned = 0;
    for (std::uint32_t seed = 0; seed < state.size(); ++seed) {
      if (state[seed] != 0) continue;
      state[seed] = 1;
      turned += spread(seed, state);
    }
    for (std::size_t t = 0; t < state.size(); ++t) {
      if (state[t] == 2) std::swap(mesh_.triangles[t][1], mesh_.triangles[t][2]);
    }
    return turned;
  }

 private:
  struct Neighbour {
    std::uint32_t triangle = kNone;
    bool disagrees = false;
  };

  void connect(std::uint32_t triangle, std::uint32_t other, bool disagrees) {
    for (Neighbour& neighbour : neighbours_[triangle]) {
      if (neighbour.triangle != kNone) continue;
      neighbour = {other, disagrees};
      return;
    }
  }

  /// Reaches one part; the fewer of its triangles are turned.
  std::size_t spread(std::uint32_t seed, std::vector<char>& state) const {
    std::vector<std::uint32_t> part = {seed};
    std::size_t turned = 0;
    for (std::size_t i = 0; i < part.size(); ++i) {
      for (const Neighbour& neighbour : neighbours_[part[i]]) {
        if (neighbour.triangle == kNone || state[neighbour.triangle] != 0) continue;
        const bool is_turned = (state[part[i]] == 2) != neighbour.disagrees;
        state[neighbour.triangle] = is_turned ? 2 : 1;
        turned += is_turned ? 1 : 0;
        part.push_back(neighbour.triangle);
      }
    }
    if (2 * turned <= part.size()) return turned;
    for (const std::uint32_t t : part) state[t] = state[t] == 2 ? 1 : 2;
    return part.size() - turned;
  }

  Mesh& mesh_;
  std::vector<std::array<Neighbour, 3>> neighbours_;
};

std::vector<BoundaryLoop> find_loops(const std::vector<Edge>& edges) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> open;
  visit_edges(edges, [&](std::size_t first, std::size_t last) {
    if (last - first != 1) return;
    const Edge& edge = edges[first];
    open.emplace_back(edge.is_forward ? edge.low : edge.high, edge.is_forward ? edge.high : edge.low);
  });
  std::sort(open.begin(), open.end());
  std::vector<char> used(open.size(), 0);
  std::vector<BoundaryLoop> loops;
  for (std::size_t seed = 0; seed < open.size(); ++seed) {
    if (used[seed] != 0) continue;
    BoundaryLoop loop;
    for (std::size_t i = seed; i < open.size() && used[i] == 0;) {
      used[i] = 1;
      loop.vertices.push_back(open[i].first);
      auto next = std::lower_bound(open.begin(), open.end(), std::pair{open[i].second, std::uint32_t{0}});
      while (next != open.end() && next->first == open[i].second &&
             used[static_cast<std::size_t>(next - open.begin())] != 0)
        ++next;
      const bool is_found = next != open.end() && next->first == open[i].second;
      i = is_found ? static_cast<std::size_t>(next - open.begin()) : open.size();
    }
    loops.push_back(std::move(loop));
  }
  return loops;
}

bool has_disagreement(const std::vector<Edge>& edges) {
  bool is_found = false;
  visit_edges(edges, [&](std::size_t first, std::size_t last) {
    is_found = is_found || (last - first == 2 && edges[first].is_forward == edges[first + 1].is_forward);
  });
  return is_found;
}

}  // namespace

CleanReport clean_mesh(Mesh& mesh) {
  CleanReport report;
  weld(mesh, report);
  std::vector<Edge> edges = sort_edges(mesh);
  if (has_disagreement(edges)) {
    report.turned_triangles = Turner(mesh, edges).run();
    edges = sort_edges(mesh);
  }
  if (calc_volume(mesh) < 0.0) {
    report.is_turned_inside_out = true;
    for (auto& corners : mesh.triangles) std::swap(corners[1], corners[2]);
    for (Edge& edge : edges) edge.is_forward = !edge.is_forward;
  }
  visit_edges(edges, [&report](std::size_t first, std::size_t last) {
    if (last - first > 2) ++report.non_manifold_edges;
  });
  report.loops = find_loops(edges);
  return report;
}

}  // namespace steepwright::hold
