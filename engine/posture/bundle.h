#pragma once

/// Descent for a value with kinks, such as the effort: a level bundle method (Lemarechal, Nemirovskii & Nesterov 1995,
/// from memory) on the manifold of the constraints. The gradients of the last postures, each with how far its plane
/// lies below the value here, model the value as the highest of their planes. A step is the shortest one that brings
/// all planes down to a level and meets the linearised constraints: planes are rows like the constraints. Where a kink
/// ends a quasi-Newton search, the gradients from both sides of it lead along it.

#include "engine/posture/contact_solver.h"
#include "engine/posture/objective.h"
#include "engine/posture/planes.h"

namespace steepwright::posture {

struct BundleParams {
  int max_evaluations = 60;
  double relative_tolerance = 3e-4;  ///< stop when the value falls by less than this share ...
  int patience = 5;                  ///< ... in so many steps in a row
  double good_enough = -1e30;        ///< stop when the value is down to this
  double first_turn = 0.05;          ///< rad, largest change of a hinge in the first step
  double max_turn = 0.3;             ///< rad, in later steps
  ContactParams contacts;            ///< of the retraction
};

struct BundleWorkspace {
  Planes planes;
  body::Posture trial;
};

/// Improves `posture`, which must already meet the constraints, and leaves it meeting them. Returns the number of
/// evaluations. Allocation-free.
int search_bundle(const StanceProblem& problem, const BundleParams& params, Objective& objective,
                  body::Posture& posture, PostureWorkspace& constraints, BundleWorkspace& workspace);

}  // namespace steepwright::posture
