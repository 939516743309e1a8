#pragma once

/// Where the centre of mass must be for the contacts to balance the weight. Contacts in fixed places leave a convex
/// region of the ground plan to it, whatever the posture (Bretl & Lall 2008, from memory). It is learnt from postures
/// out of balance: the proof that no forces balance one of them is a half-plane that holds for all.

#include "engine/core/bounded_vector.h"
#include "engine/posture/stance_problem.h"
#include "engine/statics/effort.h"

namespace steepwright::posture {

struct ContactParams;
struct StanceWorkspace;

/// The centre of mass must lie where normal . p_Wcm >= least_m; the normal is horizontal, of length 1.
struct BalanceCut {
  Vec3 normal_W = Vec3::UnitX();
  double least_m = 0.0;
};

/// An outer approximation of the region of one set of contacts and capacities.
struct BalanceRegion {
  static constexpr std::size_t kMostCuts = 12;
  BoundedVector<BalanceCut, kMostCuts> cuts;
};

/// Loaded limbs from which on the region has an inside: fewer resist no moment about the line between them.
inline constexpr int kLoadedForRegion = 3;
[[nodiscard]] int count_loaded(const StanceProblem& problem);

/// Adds what an effort that is kInfeasible tells; the oldest cut gives way when there are too many. False when it tells
/// nothing of the centre of mass alone.
bool add_balance_cut(const statics::StaticsProblem& statics, const statics::Effort& effort, BalanceRegion& region);

/// Moves `posture`, which meets the contacts, to the nearest one in balance. `region` grows by what postures out of
/// balance tell on the way, for this one and for those to come at the same contacts. False when contacts or balance are
/// lost. For three loaded limbs and more: over fewer, balance is a matter of RowOptions::plumb.
bool enter_balance(const StanceProblem& problem, const ContactParams& contacts, BalanceRegion& region,
                   body::Posture& posture, StanceWorkspace& workspace);

}  // namespace steepwright::posture
