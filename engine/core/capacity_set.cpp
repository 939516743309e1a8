#include "engine/core/capacity_set.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright {

namespace {

using ConeRing = BoundedVector<Vec3, kConeGeneratorCount + kMaxConeFaces * 2>;

/// Cuts an ordered ring of generators by the half-space c . g <= 0 (Sutherland & Hodgman's polygon clipping, on rays).
ConeRing clip(const ConeRing& ring, const Vec3& c) {
  ConeRing kept;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Vec3& a = ring[i];
    const Vec3& b = ring[(i + 1) % ring.size()];
    const double da = c.dot(a);
    const double db = c.dot(b);
    if (da <= 0.0) kept.push_back(a);
    if ((da < 0.0 && db > 0.0) || (da > 0.0 && db < 0.0))
      kept.push_back((a * std::abs(db) + b * std::abs(da)).normalized());
  }
  return kept;
}

}  // namespace

CapacitySet CapacitySet::rotated(const Mat3& R) const {
  CapacitySet turned = *this;
  turned.normal = R * normal;
  for (Vec3& c : turned.cone_faces) c = R * c;
  for (HalfSpace& bound : turned.bounds) bound.a = R * bound.a;
  return turned;
}

double find_capacity_use(const CapacitySet& set, const Vec3& f_C_W) {
  double use = 0.0;
  for (const HalfSpace& bound : set.bounds) use = std::max(use, bound.a.dot(f_C_W) / bound.b_N);
  return use;
}

double find_slip_margin(const CapacitySet& set, const Vec3& f_C_W) {
  const double size = f_C_W.norm();
  if (size == 0.0) return 0.0;
  const double f_n = f_C_W.dot(set.normal);
  const double f_t = (f_C_W - f_n * set.normal).norm();
  double margin = std::atan(set.mu) - std::atan2(f_t, f_n);
  for (const Vec3& c : set.cone_faces)
    margin = std::min(margin, std::asin(std::clamp(-c.dot(f_C_W) / size, -1.0, 1.0)));
  return margin;
}

double find_mu_used(const CapacitySet& set, const Vec3& f_C_W) {
  const double f_n = f_C_W.dot(set.normal);
  const double f_t = (f_C_W - f_n * set.normal).norm();
  if (f_n > 0.0) return f_t / f_n;
  return f_C_W.isZero() ? 0.0 : std::numeric_limits<double>::infinity();
}

ConeRing make_cone_generators(const CapacitySet& set) {
  const Vec3& n = set.normal;
  const auto [t1, t2] = find_tangents(n);
  const double mu_edge = set.mu / std::cos(kPi / static_cast<double>(kConeGeneratorCount));
  ConeRing ring;
  for (std::size_t i = 0; i < kConeGeneratorCount; ++i) {
    const double angle = 2.0 * kPi * static_cast<double>(i) / static_cast<double>(kConeGeneratorCount);
    ring.push_back((n + mu_edge * (std::cos(angle) * t1 + std::sin(angle) * t2)).normalized());
  }
  for (const Vec3& c : set.cone_faces) ring = clip(ring, c);
  return ring;
}

}  // namespace steepwright
