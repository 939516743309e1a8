#include "engine/hold/triangulate.h"

#include "engine/core/contract.h"

#include <algorithm>
#include <cstddef>
#include <limits>
#include <utility>

namespace steepwright::hold {

namespace {

using Point = Eigen::Vector2d;
using Loop = std::vector<std::uint32_t>;
using Triangle = std::array<std::uint32_t, 3>;

/// Heights below this are no triangle, and points as near to an edge lie on it, m.
constexpr double kFlat_m = 1e-9;
/// An ear must be better than the best so far by this ratio: ties of symmetric faces fall to the first ear, on every
/// platform.
constexpr double kClearlyBetter = 1.0 + 1e-6;

/// Twice the signed area of a, b, c; positive when counter-clockwise.
double find_turn(const Point& a, const Point& b, const Point& c) {
  return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// Distance of p to the left of the line from a to b.
double find_left(const Point& a, const Point& b, const Point& p) { return find_turn(a, b, p) / (b - a).norm(); }

bool lies_within(const Point& a, const Point& b, const Point& c, const Point& p) {
  return find_left(a, b, p) > -kFlat_m && find_left(b, c, p) > -kFlat_m && find_left(c, a, p) > -kFlat_m;
}

/// 1 left of the line from a to b, -1 right of it, 0 on it.
int find_side(const Point& a, const Point& b, const Point& p) {
  const double left = find_left(a, b, p);
  return left > kFlat_m ? 1 : left < -kFlat_m ? -1 : 0;
}

/// The segments a-b and c-d cross or touch.
bool do_cross(const Point& a, const Point& b, const Point& c, const Point& d) {
  if (find_side(a, b, c) * find_side(a, b, d) > 0 || find_side(c, d, a) * find_side(c, d, b) > 0) return false;
  // Segments of one line cross only when their boxes do.
  return std::max(a.x(), b.x()) > std::min(c.x(), d.x()) - kFlat_m &&
         std::max(c.x(), d.x()) > std::min(a.x(), b.x()) - kFlat_m &&
         std::max(a.y(), b.y()) > std::min(c.y(), d.y()) - kFlat_m &&
         std::max(c.y(), d.y()) > std::min(a.y(), b.y()) - kFlat_m;
}

/// Height over the longest side; negative when clockwise.
double find_height(const Point& a, const Point& b, const Point& c) {
  const double longest = std::max({(b - a).norm(), (c - b).norm(), (a - c).norm()});
  return longest > 0.0 ? find_turn(a, b, c) / longest : 0.0;
}

class Clipper {
 public:
  Clipper(const std::vector<Point>& points, const std::vector<Loop>& loops)
      : points_(points), outline_(loops.front()), holes_(loops.begin() + 1, loops.end()) {}

  std::vector<Triangle> run() {
    while (!holes_.empty()) join_nearest_hole();
    std::vector<Triangle> triangles;
    while (outline_.size() > 3) {
      const std::size_t ear = find_best_ear();
      STEEPWRIGHT_ASSERT(ear < outline_.size());
      triangles.push_back(corners_at(ear));
      outline_.erase(outline_.begin() + static_cast<std::ptrdiff_t>(ear));
    }
    triangles.push_back({outline_[0], outline_[1], outline_[2]});
    return triangles;
  }

 private:
  [[nodiscard]] Triangle corners_at(std::size_t i) const {
    const std::size_t n = outline_.size();
    return {outline_[(i + n - 1) % n], outline_[i], outline_[(i + 1) % n]};
  }

  /// Height of the ear at i over its longest side; 0 when it is none.
  [[nodiscard]] double find_ear_height(std::size_t i) const {
    const Triangle t = corners_at(i);
    const Point& a = points_[t[0]];
    const Point& b = points_[t[1]];
    const Point& c = points_[t[2]];
    const double height = find_height(a, b, c);
    if (height < kFlat_m) return 0.0;
    const bool is_free = std::none_of(outline_.begin(), outline_.end(), [&](std::uint32_t other) {
      return other != t[0] && other != t[1] && other != t[2] && lies_within(a, b, c, points_[other]);
    });
    return is_free ? height : 0.0;
  }

  [[nodiscard]] std::size_t find_best_ear() const {
    std::size_t best = outline_.size();
    double best_height = 0.0;
    for (std::size_t i = 0; i < outline_.size(); ++i) {
      const double height = find_ear_height(i);
      if (height > best_height * kClearlyBetter) {
        best = i;
        best_height = height;
      }
    }
    return best;
  }

  /// The way from the outline's corner i to p starts inside the outline.
  [[nodiscard]] bool starts_inside(std::size_t i, const Point& p) const {
    const Triangle t = corners_at(i);
    const Point& a = points_[t[0]];
    const Point& b = points_[t[1]];
    const Point& c = points_[t[2]];
    const bool is_left_of_both = find_turn(a, b, p) > 0.0 && find_turn(b, c, p) > 0.0;
    const bool is_left_of_one = find_turn(a, b, p) > 0.0 || find_turn(b, c, p) > 0.0;
    return find_turn(a, b, c) > 0.0 ? is_left_of_both : is_left_of_one;
  }

  [[nodiscard]] bool is_blocked_by(const Loop& loop, std::uint32_t from, std::uint32_t to) const {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const std::uint32_t a = loop[i];
      const std::uint32_t b = loop[(i + 1) % loop.size()];
      if (a == from || a == to || b == from || b == to) continue;
      if (do_cross(points_[a], points_[b], points_[from], points_[to])) return true;
    }
    return false;
  }

  [[nodiscard]] bool is_clear(std::uint32_t from, std::uint32_t to) const {
    return !is_blocked_by(outline_, from, to) &&
           std::none_of(holes_.begin(), holes_.end(), [&](const Loop& hole) { return is_blocked_by(hole, from, to); });
  }

  /// The shortest free bridge from the outline to any hole; the hole becomes part of the outline.
  void join_nearest_hole() {
    struct Bridge {
      double length = std::numeric_limits<double>::infinity();
      std::size_t hole = 0, at = 0, in_hole = 0;
    } best;
    for (std::size_t h = 0; h < holes_.size(); ++h) {
      for (std::size_t i = 0; i < outline_.size(); ++i) {
        for (std::size_t j = 0; j < holes_[h].size(); ++j) {
          const Point& p = points_[holes_[h][j]];
          const double length = (p - points_[outline_[i]]).norm();
          if (length * kClearlyBetter >= best.length || !starts_inside(i, p)) continue;
          if (is_clear(outline_[i], holes_[h][j])) best = {length, h, i, j};
        }
      }
    }
    STEEPWRIGHT_ASSERT(best.length < std::numeric_limits<double>::infinity());
    const Loop& hole = holes_[best.hole];
    // Outline up to the bridge, once around the hole, and back over the bridge.
    Loop joined(outline_.begin(), outline_.begin() + static_cast<std::ptrdiff_t>(best.at) + 1);
    for (std::size_t k = 0; k <= hole.size(); ++k) joined.push_back(hole[(best.in_hole + k) % hole.size()]);
    joined.insert(joined.end(), outline_.begin() + static_cast<std::ptrdiff_t>(best.at), outline_.end());
    outline_ = std::move(joined);
    holes_.erase(holes_.begin() + static_cast<std::ptrdiff_t>(best.hole));
  }

  const std::vector<Point>& points_;
  Loop outline_;
  std::vector<Loop> holes_;
};

/// Turns the diagonal between two triangles where that makes the flatter of the two higher. True when it did.
bool turn_diagonal(const std::vector<Point>& points, Triangle& first, Triangle& second) {
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint32_t a = first[i];
      const std::uint32_t b = first[(i + 1) % 3];
      if (second[k] != b || second[(k + 1) % 3] != a) continue;
      const std::uint32_t c = first[(i + 2) % 3];
      const std::uint32_t d = second[(k + 2) % 3];
      const auto height = [&points](std::uint32_t p, std::uint32_t q, std::uint32_t r) {
        return find_height(points[p], points[q], points[r]);
      };
      const double before = std::min(height(a, b, c), height(b, a, d));
      const double after = std::min(height(a, d, c), height(d, b, c));
      if (after <= std::max(before, kFlat_m) * kClearlyBetter) return false;
      first = {a, d, c};
      second = {d, b, c};
      return true;
    }
  }
  return false;
}

/// Ears cut one by one may leave three corners on a line to the end. Ends, because every turn raises the least heights.
void ease_slivers(const std::vector<Point>& points, std::vector<Triangle>& triangles) {
  for (bool has_turned = true; has_turned;) {
    has_turned = false;
    for (std::size_t i = 0; i < triangles.size(); ++i) {
      for (std::size_t k = i + 1; k < triangles.size(); ++k) {
        if (turn_diagonal(points, triangles[i], triangles[k])) has_turned = true;
      }
    }
  }
}

}  // namespace

std::vector<Triangle> triangulate(const std::vector<Point>& points, const std::vector<Loop>& loops) {
  STEEPWRIGHT_ASSERT(!loops.empty() && loops.front().size() >= 3);
  std::vector<Triangle> triangles = Clipper(points, loops).run();
  ease_slivers(points, triangles);
  return triangles;
}

}  // namespace steepwright::hold
