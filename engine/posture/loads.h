#pragma once

/// From a posture to its contact force problem, and from the force optimum's multipliers back to a gradient by the
/// posture.

#include "engine/body/body.h"
#include "engine/posture/stance_problem.h"
#include "engine/statics/problem.h"

namespace steepwright::posture {

/// Wrist flexion is helped by the finger flexors that cross the wrist: moment arm times tendon tension, with the
/// tension in proportion to the force on the fingers. 13.5 mm (from memory, 12-15 mm) x 2.5 (deep flexor tension over
/// fingertip force at failure, 2.2 crimp, 3.5 slope: Schoeffl et al. 2009, read), m; the arm grows with the body
/// (assumed).
inline constexpr double kWristTendonArm = 0.0135 * 2.5;
[[nodiscard]] inline double find_wrist_tendon_arm(const body::Body& body) { return kWristTendonArm * body.scale; }

/// The torque rows of a statics problem: one a hinge, then one a loaded hand for the flexion side of its wrist.
struct TorqueRow {
  int hinge = 0;
  bool is_wrist_flexion = false;
};
/// Limit of the side of a wrist row that another row carries: far above all torques of this body.
[[nodiscard]] double find_no_limit_torque(const body::Body& body);

/// Where a limb's force may act. kMiddle halves the unknowns, and is what the search runs on: it leaves out only the
/// little twist that a hand or foot resists.
enum class PointModel { kAll, kMiddle };

/// Fills `statics` (points, contacts, weight, torque rows at the posture's limits). Limbs that carry nothing are left
/// out.
void make_statics_problem(const StanceProblem& problem, const body::Posture& posture,
                          const body::Kinematics& kinematics, PointModel point_model, body::TorqueLimits& limits,
                          statics::StaticsProblem& statics);

/// Which hinge a torque row belongs to.
[[nodiscard]] TorqueRow find_torque_row(const StanceProblem& problem, int row);

/// Gradient by the posture of a force optimum, by the envelope theorem: from the multipliers of its torque rows and of
/// the moment equation, at fixed forces. Does not contain the change of the torque limits with the angles.
void calc_envelope_gradient(const StanceProblem& problem, const body::Kinematics& kinematics,
                            const statics::StaticsProblem& statics, const statics::ForceVector& forces,
                            const statics::TorqueVector& torque_dual, const Vec3& moment_dual,
                            body::DofVector& gradient);

}  // namespace steepwright::posture
