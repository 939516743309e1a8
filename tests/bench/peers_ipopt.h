#pragma once

/// The posture of largest slip margin as one program in Ipopt: posture, forces and margin together.
///
///   maximise  s - weight |a - a0|^2   over posture x, forces f_i (body weights), s
///   subject to  contacts at their places; sum f_i = z; sum p_i x f_i = c(x) x z;
///               t_k . f_i + s <= mu_i' n_i . f_i for kFaces directions t_k; n_i . f_i <= cap_i; hinge limits
///
/// Inner pyramids, mu' = mu cos(pi / kFaces): Ipopt fails on the smooth form of the cones, because the optimum lies
/// where |tangential force| = 0 at some contact. First derivatives are exact, second ones by limited-memory updates.

#include "engine/posture/stance_problem.h"

#include <memory>

namespace steepwright::bench {

class IpoptMarginPeer {
 public:
  static constexpr int kFaces = 16;

  /// `rest`: a0, hinge angles. Capacities: cone and one bound along the normal.
  IpoptMarginPeer(const posture::StanceProblem& problem, const body::DofVector& rest, double weight);
  ~IpoptMarginPeer();
  IpoptMarginPeer(const IpoptMarginPeer&) = delete;
  IpoptMarginPeer& operator=(const IpoptMarginPeer&) = delete;

  /// The same kind of problem at other places, from `start`.
  void set_problem(const posture::StanceProblem& problem, const body::Posture& start);
  /// The part that is timed. True when Ipopt reports an optimum (to the acceptable level at least).
  bool solve();
  [[nodiscard]] body::Posture posture() const;
  [[nodiscard]] int iterations() const;

 private:
  struct Model;
  std::unique_ptr<Model> model_;
};

}  // namespace steepwright::bench
