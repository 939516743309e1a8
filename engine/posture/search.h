#pragma once

/// Posture search: a limited-memory quasi-Newton descent (Liu & Nocedal 1989, from memory) on the manifold of the
/// constraints. Direction: projected on the active constraints by solve_step; retraction: solve_contacts.

#include "engine/posture/contact_solver.h"
#include "engine/posture/objective.h"

namespace steepwright::posture {

struct SearchParams {
  int max_iterations = 40;
  double relative_tolerance = 2e-3;  ///< stop when the value falls by less than this share ...
  int patience = 2;                  ///< ... in so many iterations in a row
  double good_enough = -1e30;        ///< stop when the value is down to this
  double first_turn = 0.12;          ///< rad, largest change of a hinge in the first step
  double max_turn = 0.35;            ///< rad, in later steps
  ContactParams contacts;            ///< of the retraction
};

struct SearchResult {
  bool is_met = false;  ///< constraints met at the returned posture
  double value = 0.0;
  int iterations = 0;
  int evaluations = 0;
};

struct SearchWorkspace {
  static constexpr int kMemory = 8;
  PostureWorkspace posture;
  std::array<body::DofVector, kMemory> s, y;
  std::array<double, kMemory> rho{};
  body::Posture trial;
};

/// Improves `posture`, which must already meet the constraints (as solve_contacts leaves it), and leaves it meeting
/// them.
SearchResult search_posture(const StanceProblem& problem, const SearchParams& params, Objective& objective,
                            body::Posture& posture, SearchWorkspace& workspace);

}  // namespace steepwright::posture
