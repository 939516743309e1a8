#include "engine/hold/section_cut.h"

#include "engine/core/units.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

constexpr std::size_t kBins = 256;  ///< slabs along the cut axis
constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();

/// A triangle's share of the section. Its ends lie on edges of the mesh, which name the joints.
struct Piece {
  std::uint64_t start_edge = 0, end_edge = 0;
  Vec2 start = Vec2::Zero(), end = Vec2::Zero();
};

struct Chain {
  std::vector<Vec2> points;
  bool is_closed = false, is_bridged = false;
};

std::uint64_t key_of(std::uint32_t a, std::uint32_t b) {
  return (static_cast<std::uint64_t>(std::min(a, b)) << 32U) | std::max(a, b);
}

/// Where edge a-b crosses x; computed from the lower index on so that both neighbours get the same point.
Vec2 cross_edge(const std::vector<Vec3>& p, std::uint32_t a, std::uint32_t b, double x) {
  const Vec3& from = p[std::min(a, b)];
  const Vec3& to = p[std::max(a, b)];
  const double share = (x - from.x()) / (to.x() - from.x());
  const Vec3 at = from + share * (to - from);
  return {at.y(), at.z()};
}

std::optional<Piece> cut_triangle(const std::vector<Vec3>& p, const std::array<std::uint32_t, 3>& corners, double x) {
  std::array<std::size_t, 2> crossed = {};
  std::size_t count = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const bool is_from_right = p[corners[i]].x() >= x;
    if (is_from_right == (p[corners[(i + 1) % 3]].x() >= x)) continue;
    if (count < 2) crossed[count] = i;
    ++count;
  }
  if (count != 2) return std::nullopt;
  const auto edge = [&](std::size_t i) {
    return std::pair<std::uint32_t, std::uint32_t>{corners[i], corners[(i + 1) % 3]};
  };
  Piece piece;
  const auto first = edge(crossed[0]);
  const auto second = edge(crossed[1]);
  piece.start_edge = key_of(first.first, first.second);
  piece.end_edge = key_of(second.first, second.second);
  piece.start = cross_edge(p, first.first, first.second, x);
  piece.end = cross_edge(p, second.first, second.second, x);
  // The corners run counter-clockwise seen from outside: the walk begins where the triangle's outline enters x > 0.
  if (p[first.first].x() < x) return piece;
  std::swap(piece.start_edge, piece.end_edge);
  std::swap(piece.start, piece.end);
  return piece;
}

class Chainer {
 public:
  explicit Chainer(std::vector<Piece> pieces) : pieces_(std::move(pieces)), used_(pieces_.size(), false) {
    by_start_.reserve(pieces_.size());
    for (std::size_t i = 0; i < pieces_.size(); ++i) by_start_.emplace_back(pieces_[i].start_edge, i);
    std::sort(by_start_.begin(), by_start_.end());
  }

  std::vector<Chain> run() {
    std::vector<std::uint64_t> ends;
    for (const Piece& piece : pieces_) ends.push_back(piece.end_edge);
    std::sort(ends.begin(), ends.end());
    std::vector<Chain> chains;
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
      if (!used_[i] && !std::binary_search(ends.begin(), ends.end(), pieces_[i].start_edge)) chains.push_back(walk(i));
    }
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
      if (!used_[i]) chains.push_back(walk(i));
    }
    return chains;
  }

 private:
  Chain walk(std::size_t first) {
    Chain chain;
    chain.points.push_back(pieces_[first].start);
    for (std::size_t i = first; i != kNone; i = find_next(pieces_[i].end_edge)) {
      used_[i] = true;
      chain.points.push_back(pieces_[i].end);
      chain.is_closed = pieces_[i].end_edge == pieces_[first].start_edge;
    }
    return chain;
  }

  [[nodiscard]] std::size_t find_next(std::uint64_t edge) const {
    auto found = std::lower_bound(by_start_.begin(), by_start_.end(), std::pair<std::uint64_t, std::size_t>(edge, 0));
    for (; found != by_start_.end() && found->first == edge; ++found) {
      if (!used_[found->second]) return found->second;
    }
    return kNone;
  }

  std::vector<Piece> pieces_;
  std::vector<bool> used_;
  std::vector<std::pair<std::uint64_t, std::size_t>> by_start_;
};

/// The panel closes a gap whose ends lie on it.
bool is_at_panel(const Chain& from, const Chain& to) {
  return from.points.back().y() < kOnPanel_m && to.points.front().y() < kOnPanel_m;
}

/// Joins ends of open chains to starts of open chains, nearest first.
void bridge_gaps(std::vector<Chain>& chains) {
  for (;;) {
    double nearest = kWidestBridge_m;
    std::size_t from = kNone;
    std::size_t to = kNone;
    for (std::size_t i = 0; i < chains.size(); ++i) {
      if (chains[i].is_closed) continue;
      for (std::size_t j = 0; j < chains.size(); ++j) {
        if (chains[j].is_closed || is_at_panel(chains[i], chains[j])) continue;
        const double gap = (chains[j].points.front() - chains[i].points.back()).norm();
        if (gap < nearest) {
          nearest = gap;
          from = i;
          to = j;
        }
      }
    }
    if (from == kNone) return;
    chains[from].is_bridged = true;
    if (from == to) {
      chains[from].points.push_back(chains[from].points.front());
      chains[from].is_closed = true;
      continue;
    }
    chains[from].points.insert(chains[from].points.end(), chains[to].points.begin(), chains[to].points.end());
    chains.erase(chains.begin() + static_cast<std::ptrdiff_t>(to));
  }
}

bool is_on_panel(const Vec2& a, const Vec2& b) { return a.y() < kOnPanel_m && b.y() < kOnPanel_m; }

/// The chain without what lies on the panel.
void split_at_panel(const Chain& chain, std::vector<CutLine>& lines) {
  std::vector<Vec2> points = chain.points;
  if (chain.is_closed && points.size() > 2) {
    // A closed outline starts where it is nearest to the panel.
    points.pop_back();
    const auto lowest =
        std::min_element(points.begin(), points.end(), [](const Vec2& a, const Vec2& b) { return a.y() < b.y(); });
    std::rotate(points.begin(), lowest, points.end());
    points.push_back(points.front());
  }
  CutLine line;
  line.is_bridged = chain.is_bridged;
  const auto finish = [&] {
    if (line.points.size() > 1) lines.push_back(line);
    line.points.clear();
  };
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    if (is_on_panel(points[i], points[i + 1])) {
      finish();
      continue;
    }
    if (line.points.empty()) line.points.push_back(points[i]);
    line.points.push_back(points[i + 1]);
  }
  finish();
}

}  // namespace

double wrap_angle(double angle) {
  const double wrapped = std::remainder(angle, 2.0 * kPi);
  return wrapped <= -kPi ? wrapped + 2.0 * kPi : wrapped;
}

double find_facing(const Vec2& from, const Vec2& to) {
  const Vec2 d = to - from;
  return std::atan2(-d.y(), d.x());
}

MeshCutter::MeshCutter(const Mesh& mesh, double turn) : mesh_(&mesh) {
  const Mat3 R = Eigen::AngleAxisd(-turn, Vec3::UnitZ()).toRotationMatrix();
  p_.reserve(mesh.vertices.size());
  for (const Vec3& p : mesh.vertices) p_.push_back(R * p);
  if (p_.empty()) return;
  const auto [lower, upper] =
      std::minmax_element(p_.begin(), p_.end(), [](const Vec3& a, const Vec3& b) { return a.x() < b.x(); });
  lower_x_ = lower->x();
  upper_x_ = upper->x();
  fill_bins();
}

std::size_t MeshCutter::bin_of(double x) const {
  const double share = (x - lower_x_) / std::max(upper_x_ - lower_x_, 1e-12);
  return static_cast<std::size_t>(std::clamp(share * static_cast<double>(kBins), 0.0, static_cast<double>(kBins - 1)));
}

void MeshCutter::fill_bins() {
  const auto bins_of = [this](const std::array<std::uint32_t, 3>& t) {
    const double a = p_[t[0]].x();
    const double b = p_[t[1]].x();
    const double c = p_[t[2]].x();
    return std::pair{bin_of(std::min({a, b, c})), bin_of(std::max({a, b, c}))};
  };
  bin_starts_.assign(kBins + 1, 0);
  for (const auto& t : mesh_->triangles) {
    const auto [first, last] = bins_of(t);
    for (std::size_t bin = first; bin <= last; ++bin) ++bin_starts_[bin + 1];
  }
  for (std::size_t bin = 0; bin < kBins; ++bin) bin_starts_[bin + 1] += bin_starts_[bin];
  bin_triangles_.resize(bin_starts_.back());
  std::vector<std::size_t> next(bin_starts_.begin(), bin_starts_.end() - 1);
  for (std::size_t i = 0; i < mesh_->triangles.size(); ++i) {
    const auto [first, last] = bins_of(mesh_->triangles[i]);
    for (std::size_t bin = first; bin <= last; ++bin) bin_triangles_[next[bin]++] = static_cast<std::uint32_t>(i);
  }
}

Section MeshCutter::cut(double x) const {
  Section section;
  if (p_.empty()) return section;
  const std::size_t bin = bin_of(x);
  std::vector<Piece> pieces;
  for (std::size_t i = bin_starts_[bin]; i < bin_starts_[bin + 1]; ++i) {
    if (const auto piece = cut_triangle(p_, mesh_->triangles[bin_triangles_[i]], x)) pieces.push_back(*piece);
  }
  std::vector<Chain> chains = Chainer(std::move(pieces)).run();
  bridge_gaps(chains);
  for (const Chain& chain : chains) split_at_panel(chain, section.lines);
  return section;
}

}  // namespace steepwright::hold
