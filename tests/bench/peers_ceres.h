#pragma once

/// The contact problem as a bounded least-squares problem in Ceres: residuals are the contact errors, derivatives are
/// the engine's Jacobians. It stops as soon as every contact is within the tolerance.

#include "engine/posture/stance_problem.h"

#include <memory>

namespace steepwright::bench {

enum class CeresSolver { kQr, kNormalCholesky };

/// Built once for a body and a set of contact points; the targets change from solve to solve.
class CeresContactPeer {
 public:
  CeresContactPeer(const posture::StanceProblem& problem, double tolerance_m, CeresSolver solver);
  ~CeresContactPeer();
  CeresContactPeer(const CeresContactPeer&) = delete;
  CeresContactPeer& operator=(const CeresContactPeer&) = delete;

  void set_targets(const posture::StanceProblem& problem);
  void set_start(const body::Posture& posture);
  /// The part that is timed.
  void solve();
  [[nodiscard]] body::Posture posture() const;
  [[nodiscard]] int iterations() const;

 private:
  struct Model;
  std::unique_ptr<Model> model_;
};

}  // namespace steepwright::bench
