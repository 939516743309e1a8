#include "engine/move/stretch.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace steepwright::move {

namespace {

/// A step between frames is halved again where it turns a joint, or changes effort or slip margin, by more than this,
/// at most so many times beyond the stretch's own halvings.
constexpr double kAskedTurn = 0.9 * kMaxTurn;
constexpr double kEffortStep = 0.08;
constexpr double kSlipStep = 5.0 * 3.14159265358979323846 / 180.0;
constexpr int kTurnHalvings = 5;
constexpr int kChangeHalvings = 1;

/// Effort above which a frame is improved, of those that shape the stretch; and never.
constexpr double kSpareEffort = 0.9;
constexpr int kShapingHalvings = 2;  ///< where it does not hold anyway, only the coarse frames are improved
constexpr double kNever = std::numeric_limits<double>::infinity();

double find_least_margin(const Frame& frame) {
  double margin = 1e3;
  for (const ContactResult& contact : frame.contacts) {
    if (contact.f_C_W.norm() >= kCarries_N) margin = std::min(margin, contact.slip_margin);
  }
  return margin;
}

bool changes_fast(const Frame& a, const Frame& b) {
  if (!a.has_posture || !b.has_posture) return false;
  if (std::isfinite(a.effort) && std::isfinite(b.effort) && std::abs(a.effort - b.effort) > kEffortStep) return true;
  return std::abs(find_least_margin(a) - find_least_margin(b)) > kSlipStep;
}

class StretchTracer {
 public:
  StretchTracer(const InstantSolver& solver, const Stretch& stretch) : solver_(solver), stretch_(stretch) {}

  void fill(const Frame& from, double u_from, const Frame& to, double u_to, int depth) {
    const bool is_asked = depth < stretch_.halvings + solver_.options().finer;
    const int beyond = depth - stretch_.halvings - solver_.options().finer;
    const bool is_far = beyond < kTurnHalvings && find_largest_turn(from.posture, to.posture) > kAskedTurn;
    const bool is_fast = beyond < kChangeHalvings && changes_fast(from, to);
    if (!is_asked && !is_far && !is_fast) return;
    const double u = 0.5 * (u_from + u_to);
    Frame middle = solve(u, from, to, depth);
    // A gap in the way is told once; halving around it tells no more.
    const bool goes_on = middle.has_posture;
    if (goes_on) fill(from, u_from, middle, u, depth + 1);
    frames_.push_back(middle);
    if (goes_on) fill(middle, u, to, u_to, depth + 1);
  }

  std::vector<Frame> take() { return std::move(frames_); }

 private:
  Frame solve(double u, const Frame& from, const Frame& to, int depth) {
    Instant instant = stretch_.at(u);
    const body::Posture start = interpolate(from.posture, to.posture, 0.5);
    const bool is_between_held = from.is_held && to.is_held;
    // No frame of the usual ones shall ask more than both that it lies between.
    const bool shapes = depth < (is_between_held ? stretch_.halvings : kShapingHalvings);
    const double wanted = shapes            ? std::max({kSpareEffort, from.effort, to.effort})
                          : is_between_held ? 1.0
                                            : kNever;
    SolvedInstant solved = solver_.solve_near(instant, start, wanted);
    for (const body::Posture* other : {&from.posture, &to.posture}) {
      if (solved.answer.has_posture) break;
      solved = solver_.solve_near(instant, *other, wanted);
    }
    if (!solved.answer.is_held() && instant.in_air && wanted != kNever) try_free(start, instant, solved);
    const bool is_explained = std::any_of(frames_.begin(), frames_.end(), [](const Frame& f) { return !f.has_posture; });
    Frame frame = solver_.make_frame(instant, solved, is_explained ? std::nullopt : stretch_.asked, &start);
    const double share = (u - stretch_.u_from) / (stretch_.u_to - stretch_.u_from);
    frame.t = stretch_.t_from + share * (stretch_.t_to - stretch_.t_from);
    return frame;
  }

  /// The limb off its way, wherever the body is best.
  void try_free(const body::Posture& start, Instant& instant, SolvedInstant& solved) const {
    Instant free = instant;
    free.in_air.reset();
    SolvedInstant other = solver_.solve_near(free, start, 1.0);
    if (!other.answer.has_posture || (solved.answer.has_posture && !other.answer.is_held())) return;
    instant.in_air->p_WC = solver_.find_contact_point(other.answer.posture, instant.in_air->limb, instant.in_air->p_BC);
    other.problem = solver_.make_problem(instant, other.swings);
    solved = other;
  }

  const InstantSolver& solver_;
  const Stretch& stretch_;
  std::vector<Frame> frames_;
};

}  // namespace

body::Posture interpolate(const body::Posture& a, const body::Posture& b, double s) {
  body::Posture posture;
  posture.angles = (1.0 - s) * a.angles + s * b.angles;
  posture.p_WB = (1.0 - s) * a.p_WB + s * b.p_WB;
  const Eigen::AngleAxisd turn(Mat3(a.R_WB.transpose() * b.R_WB));
  posture.R_WB = a.R_WB * rotation_by(s * turn.angle() * turn.axis());
  return posture;
}

double find_largest_turn(const body::Posture& a, const body::Posture& b) {
  if (a.angles.size() != b.angles.size() || a.angles.size() == 0) return 0.0;
  const double root = Eigen::AngleAxisd(Mat3(a.R_WB.transpose() * b.R_WB)).angle();
  return std::max(std::abs(root), (a.angles - b.angles).cwiseAbs().maxCoeff());
}

std::vector<Frame> trace_stretch(const InstantSolver& solver, const Stretch& stretch, const Frame& from,
                                 const Frame& to) {
  StretchTracer tracer(solver, stretch);
  tracer.fill(from, stretch.u_from, to, stretch.u_to, 0);
  return tracer.take();
}

}  // namespace steepwright::move
