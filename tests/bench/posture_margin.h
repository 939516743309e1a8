#pragma once

/// The objective of P4: minus the slip margin of the contact forces, plus a pull towards a posture,
/// -s*(q) + weight |a - a0|^2.

#include "engine/posture/loads.h"
#include "engine/posture/objective.h"
#include "engine/statics/margin.h"

namespace steepwright::bench {

class MarginObjective final : public posture::Objective {
 public:
  double calc_value(const posture::StanceProblem& problem, const body::Posture& posture,
                    const body::Kinematics& kinematics, body::DofVector& gradient) override;

  double weight = 0.005;
  body::DofVector rest;  ///< a0, n_hinges
  int n_solves = 0;

 private:
  statics::StaticsProblem statics_;
  statics::MarginWorkspace workspace_;
};

/// Weight, centre of mass, contacts and points of the force problem, without torque rows.
void make_force_problem(const posture::StanceProblem& problem, const body::Kinematics& kinematics,
                        statics::StaticsProblem& statics);

}  // namespace steepwright::bench
