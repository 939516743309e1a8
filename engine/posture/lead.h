#pragma once

/// Leads one limb's contact in a straight line, as far as the effort stays within a bound. Every step is the shortest
/// that brings the contact on and keeps the planes of the efforts seen so far (as in bundle.h) below the bound: the
/// posture yields on the way, instead of being mended once it has gone wrong. Where the planes leave no step, no
/// posture near by gets further, to first order: that ends a lead without trying.

#include "engine/posture/bundle.h"

namespace steepwright::posture {

struct LeadParams {
  double bound = 1.0;        ///< of the effort
  double level = 0.98;       ///< kept where that can be: room for the steps to come
  double shortest_m = 5e-4;  ///< a shorter step is none
  int max_evaluations = 24;
  double max_turn = 0.3;   ///< rad, largest change of a hinge in a step
  ContactParams contacts;  ///< of the retraction
};

struct LeadResult {
  double share = 0.0;   ///< of the way, that the contact got to
  double effort = 0.0;  ///< there
  int evaluations = 0;
};

/// `problem` has the limb where it starts and is left with it where it got to; `posture` must meet the contacts there,
/// within the bound, and does so where it is left. The objective is one without comfort. Allocation-free.
LeadResult lead_limb(StanceProblem& problem, int limb, const Vec3& to_W, const LeadParams& params,
                     EffortObjective& objective, body::Posture& posture, PostureWorkspace& constraints,
                     BundleWorkspace& workspace);

}  // namespace steepwright::posture
