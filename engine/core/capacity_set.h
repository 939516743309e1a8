#pragma once

/// The set of forces that one limb can hold at one site: the single interface between whatever computes a
/// capacity (Coulomb wedge, finger contact model, shoe on an edge) and whatever uses it (statics, record, figure).
///
///   f_C_W in K,  K = { |f - (f.n) n| <= mu (f.n) }  and  { c_k . f <= 0 for every face k }
///   a_i . f <= rho b_i   for every bound i
///
/// f is the force of the hold ON the body, summed over the limb's contact points. K has no scale: it says in which
/// directions the contact can carry at all. The bounds carry the strength: `rho` is the effort scale of the statics
/// part (rho = 1: the limb's full capacity). Every b_i > 0, so that f = 0 is always inside.

#include "engine/core/bounded_vector.h"
#include "engine/core/frames.h"

namespace steepwright {

/// a . f <= b_N with |a| = 1.
struct HalfSpace {
  Vec3 a = Vec3::UnitZ();
  double b_N = 0.0;
};

inline constexpr std::size_t kMaxConeFaces = 24;
inline constexpr std::size_t kMaxBounds = 24;

struct CapacitySet {
  Vec3 normal = Vec3::UnitZ();                    ///< axis of the Coulomb cone, unit, from the hold into the body
  double mu = 0.0;                                ///< Coulomb coefficient at the contact
  BoundedVector<Vec3, kMaxConeFaces> cone_faces;  ///< outward unit normals c: c . f <= 0
  BoundedVector<HalfSpace, kMaxBounds> bounds;    ///< strength, scaled by the effort

  /// The same set with every vector turned by R (e.g. R_WS: from site to world axes).
  [[nodiscard]] CapacitySet rotated(const Mat3& R) const;
};

/// Largest bound use of f: max_i a_i . f / b_i (0 when there is no bound).
[[nodiscard]] double find_capacity_use(const CapacitySet& set, const Vec3& f_C_W);

/// Angle from f to the nearest face of K, rad; negative outside; 0 for f = 0.
[[nodiscard]] double find_slip_margin(const CapacitySet& set, const Vec3& f_C_W);

/// |tangential| / normal of f at the Coulomb cone; infinity when the normal part is not positive and f is not 0.
[[nodiscard]] double find_mu_used(const CapacitySet& set, const Vec3& f_C_W);

inline constexpr std::size_t kConeGeneratorCount = 32;

/// Unit generators of K (W): the Coulomb cone by kConeGeneratorCount edges that CIRCUMSCRIBE it (so that every force
/// of K lies in their conic hull; they overstate mu by 1/cos(pi/32) - 1 = 0.5 %), cut by the faces.
[[nodiscard]] BoundedVector<Vec3, kConeGeneratorCount + kMaxConeFaces * 2> make_cone_generators(const CapacitySet& set);

}  // namespace steepwright
