#pragma once

/// One instant of a move: which limb is where, how much of its strength it gives, and the stance that meets it.

#include "engine/move/chirality.h"
#include "engine/move/goals.h"
#include "engine/move/result.h"
#include "engine/move/solve.h"
#include "engine/posture/stance.h"

#include <array>
#include <optional>

namespace steepwright::move {

/// A limb on its way: the contact point of the hand or foot, fixed to its segment, and where it is.
struct InAir {
  Limb limb = Limb::kLeftHand;
  Vec3 p_BC = Vec3::Zero();
  Vec3 p_WC = Vec3::Zero();
  bool keeps_clear = true;  ///< the hand or forefoot itself too; near its hold it may brush
};

struct Instant {
  Phase phase = Phase::kBefore;
  Stance stance;                                        ///< limbs on holds
  std::array<double, 4> load_share = {1., 1., 1., 1.};  ///< by index_of(Limb), of their strength; 0: placed only
  std::optional<InAir> in_air;
};

/// The instant solved: its problem, with the capacity sets of these forearms.
struct SolvedInstant {
  posture::StanceProblem problem;
  posture::StanceAnswer answer;
  ForearmSwings swings;  ///< bins of the sets in use
  /// Where no posture meets the instant: the one that comes nearest with the body clear of the wall.
  std::optional<body::Posture> reached;
};

/// Solves instants of one move, scene and body. Keeps references to what it is given.
class InstantSolver {
 public:
  /// Thrown where options.is_cancelled says so, caught by solve_move: what is half done hands nothing back.
  struct Cancelled {};

  InstantSolver(const Scene& scene, const body::Body& body, const Move& move, const SolveOptions& options,
                posture::StanceWorkspace& workspace, grip::CapacityCache& hands)
      : scene_(scene),
        body_(body),
        options_(options),
        ws_(workspace),
        hands_(hands),
        chirality_(body, scene.wall, !is_left(move.moving), find_site_pose(scene, move.target).p.x()) {}

  [[nodiscard]] posture::StanceProblem make_problem(const Instant& instant, const ForearmSwings& swings) const;

  /// From several starts, `warm` first (may be nullptr). A hand's set depends on where its forearm comes from, which
  /// the posture decides: solved again with the sets of the forearms found, at most kForearmPasses times.
  enum class Starts { kSeveral, kWarmOnly };
  [[nodiscard]] SolvedInstant solve_key(const Instant& instant, const body::Posture* warm, const ForearmSwings& swings,
                                        Starts starts = Starts::kSeveral) const;

  /// From one start, near to it, improved where its effort is above `wanted_effort` (posture::solve_stance_near); the
  /// sets are those of the forearms at the start, or of the answer where it has left their bins.
  [[nodiscard]] SolvedInstant solve_near(const Instant& instant, const body::Posture& start, double wanted_effort,
                                         double friction_guess = 0.0) const;

  /// The instant as a frame of the result, with the cause where it does not hold; where no posture meets it, why
  /// (re-solved), and the telling posture. `asked`: the limb whose reach is in question, or whichever is nearest.
  [[nodiscard]] Frame make_frame(const Instant& instant, SolvedInstant& solved, std::optional<Limb> asked,
                                 const body::Posture* warm) const;

  [[nodiscard]] const Scene& scene() const { return scene_; }
  [[nodiscard]] const body::Body& body() const { return body_; }
  [[nodiscard]] const SolveOptions& options() const { return options_; }
  /// Swings of the forearms in a posture, of the hands on holds.
  [[nodiscard]] ForearmSwings find_swings(const Instant& instant, const body::Posture& posture) const;
  /// Where a point fixed to the limb's segment is in a posture.
  [[nodiscard]] Vec3 find_contact_point(const body::Posture& posture, Limb limb, const Vec3& p_BC) const;

 private:
  struct Explanation;
  void check_cancelled() const {
    if (options_.is_cancelled && options_.is_cancelled()) throw Cancelled{};
  }
  /// posture::solve_stance and solve_stance_near, as if a left limb moved.
  [[nodiscard]] posture::StanceAnswer solve_stance(const posture::StanceProblem& problem,
                                                   const posture::StanceParams& params,
                                                   const body::Posture* warm) const;
  [[nodiscard]] posture::StanceAnswer solve_stance_near(const posture::StanceProblem& problem,
                                                        posture::StanceParams params, const body::Posture& start,
                                                        double wanted_effort) const;
  [[nodiscard]] posture::NearestReach solve_nearest_reach(const posture::StanceProblem& problem, Limb limb,
                                                          const body::Posture* warm) const;
  /// The three answers at the answer's posture.
  [[nodiscard]] posture::StanceAnswer solve_answers(const posture::StanceProblem& problem,
                                                    posture::StanceAnswer answer) const;
  [[nodiscard]] posture::Obstruction solve_least_obstruction(const posture::StanceProblem& problem,
                                                             const posture::StanceParams& params,
                                                             const body::Posture& start) const;
  [[nodiscard]] Explanation explain_reach(const posture::StanceProblem& problem, std::optional<Limb> asked,
                                          const body::Posture* warm, posture::StanceAnswer& answer) const;
  [[nodiscard]] Explanation explain_missing_posture(const posture::StanceProblem& problem, std::optional<Limb> asked,
                                                    const body::Posture* warm, posture::StanceAnswer& answer) const;
  void describe_hands(const Instant& instant, const SolvedInstant& solved, Frame& frame) const;

  const Scene& scene_;
  const body::Body& body_;
  const SolveOptions& options_;
  posture::StanceWorkspace& ws_;
  grip::CapacityCache& hands_;
  Chirality chirality_;
};

}  // namespace steepwright::move
