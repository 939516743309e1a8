#pragma once

/// Inverse kinematics of a stance: from a start, the nearby posture that meets contacts, ranges, coupled limits and
/// clearance. Gauss-Newton in the space of the active constraints; each step is the shortest that meets their
/// linearisation (step.h).

#include "engine/posture/step.h"

namespace steepwright::posture {

struct ContactParams {
  int max_iterations = 60;
  double contact_tolerance = 1e-5;    ///< m times Body::scale, per coordinate row
  double one_sided_tolerance = 2e-3;  ///< cosine, coupled gauge, clearance in Body::scale (kClearanceAim + 1 mm)
  double max_turn = 0.5;              ///< rad, largest change of a hinge or of the root's direction a step
  double max_shift = 0.30;            ///< m times Body::scale, largest shift of the root a step
  int stall_iterations = 12;          ///< give up when the worst violation has not fallen by a fifth in so many
  double damping = 1e-5;              ///< of the steps far from the solution
  RowOptions rows;
};

enum class ContactStatus { kMet, kStalled, kLimitReached };

struct ContactResult {
  ContactStatus status = ContactStatus::kLimitReached;
  int iterations = 0;
  double contact_error = 0.0;    ///< largest coordinate error, m over Body::scale
  double one_sided_error = 0.0;  ///< largest violation
};

/// Storage shared by the solvers of this part. One per thread; big: keep it off the stack of deep recursions.
struct PostureWorkspace {
  body::Kinematics kinematics;
  Rows rows;
  StepWorkspace step;
};

/// Moves `posture` onto the constraints. On success workspace.kinematics and workspace.rows belong to it.
ContactResult solve_contacts(const StanceProblem& problem, const ContactParams& params, body::Posture& posture,
                             PostureWorkspace& workspace);

/// Shrinks a step so that neither turn nor shift passes the caps.
void cap_step(const ContactParams& params, body::DofVector& step);

}  // namespace steepwright::posture
