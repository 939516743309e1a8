#include "engine/hold/corner_welder.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace steepwright::hold {

namespace {

constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();
/// Cells this much larger than the tolerance: few points have to look into a second one.
constexpr double kCellPerTolerance = 16.0;

std::uint64_t mix(std::uint64_t z) {
  z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31U);
}

}  // namespace

CornerWelder::CornerWelder(double tolerance, std::size_t expected)
    : tolerance_(tolerance),
      cell_(kCellPerTolerance * tolerance),
      heads_(std::bit_ceil(std::max<std::size_t>(64, expected)), kNone) {}

CornerWelder::Cell CornerWelder::cell_of(const Vec3& p) const {
  // Without a tolerance the bits of the coordinates are the cell.
  if (tolerance_ == 0.0) {
    const auto bits = [](double value) { return std::bit_cast<std::int64_t>(value == 0.0 ? 0.0 : value); };
    return {bits(p.x()), bits(p.y()), bits(p.z())};
  }
  const auto whole = [this](double value) { return static_cast<std::int64_t>(std::floor(value / cell_)); };
  return {whole(p.x()), whole(p.y()), whole(p.z())};
}

std::size_t CornerWelder::slot_of(const Cell& cell) const {
  std::uint64_t hash = mix(static_cast<std::uint64_t>(cell.x) + 0x9E3779B97F4A7C15ULL);
  hash = mix(hash ^ static_cast<std::uint64_t>(cell.y));
  hash = mix(hash ^ (static_cast<std::uint64_t>(cell.z) + 0x632BE59BD9B4E019ULL));
  return hash & (heads_.size() - 1);
}

std::uint32_t CornerWelder::find_in(const Cell& cell, const Vec3& p) const {
  for (std::uint32_t i = heads_[slot_of(cell)]; i != kNone; i = next_[i]) {
    if ((points_[i] - p).cwiseAbs().maxCoeff() <= tolerance_) return i;
  }
  return kNone;
}

std::uint32_t CornerWelder::find_near(const Vec3& p) const {
  if (tolerance_ == 0.0) return find_in(cell_of(p), p);
  const Vec3 reach = Vec3::Constant(tolerance_);
  const Cell low = cell_of(p - reach);
  const Cell high = cell_of(p + reach);
  for (std::int64_t x = low.x; x <= high.x; ++x) {
    for (std::int64_t y = low.y; y <= high.y; ++y) {
      for (std::int64_t z = low.z; z <= high.z; ++z) {
        const std::uint32_t found = find_in({x, y, z}, p);
        if (found != kNone) return found;
      }
    }
  }
  return kNone;
}

void CornerWelder::grow() {
  heads_.assign(2 * heads_.size(), kNone);
  for (std::uint32_t i = 0; i < points_.size(); ++i) {
    std::uint32_t& head = heads_[slot_of(cell_of(points_[i]))];
    next_[i] = head;
    head = i;
  }
}

std::uint32_t CornerWelder::add(const Vec3& p) {
  const std::uint32_t found = find_near(p);
  if (found != kNone) return found;
  if (points_.size() >= heads_.size()) grow();
  const auto index = static_cast<std::uint32_t>(points_.size());
  points_.push_back(p);
  std::uint32_t& head = heads_[slot_of(cell_of(p))];
  next_.push_back(head);
  head = index;
  return index;
}

}  // namespace steepwright::hold
