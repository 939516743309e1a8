#include "engine/move/stretch.h"

#include "engine/core/constants.h"

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

constexpr int kShapingHalvings = 2;  ///< where it does not hold anyway, only the coarse frames are improved
constexpr int kWorstPasses = 8;
/// Frames that do not hold are solved again from their neighbours' postures, up and down the stretch, so many times.
constexpr int kSweeps = 3;
constexpr double kEasier = 5e-3;                ///< a neighbour with this much less effort may know a better posture
constexpr double kHopeful = 1.2;                ///< one with more tells nothing of postures that hold
constexpr double kLargestGap = 1.6 * kMaxTurn;  ///< that one more frame bridges
constexpr double kNever = std::numeric_limits<double>::infinity();

/// Share of the weight from which a contact's slip margin counts here.
constexpr double kCarriesShare = 0.007;

double find_least_margin(const Frame& frame, double weight_N) {
  double margin = 1e3;
  for (const ContactResult& contact : frame.contacts) {
    if (contact.f_C_W.norm() >= kCarriesShare * weight_N) margin = std::min(margin, contact.slip_margin);
  }
  return margin;
}

bool changes_fast(const Frame& a, const Frame& b, double weight_N) {
  if (!a.has_posture || !b.has_posture) return false;
  if (std::isfinite(a.effort) && std::isfinite(b.effort) && std::abs(a.effort - b.effort) > kEffortStep) return true;
  return std::abs(find_least_margin(a, weight_N) - find_least_margin(b, weight_N)) > kSlipStep;
}

/// A frame with where it is.
struct Placed {
  Frame frame;
  double u = 0.0;
};

class StretchTracer {
 public:
  StretchTracer(const InstantSolver& solver, const Stretch& stretch, const Frame& from, const Frame& to)
      : solver_(solver), stretch_(stretch), from_(from), to_(to), weight_N_(solver.body().tree.mass_kg * kGravity) {}

  std::vector<Frame> trace() {
    fill({from_, stretch_.u_from}, {to_, stretch_.u_to}, 0);
    improve_worst();
    sweep();
    drop_strays();
    std::vector<Frame> frames;
    for (Placed& placed : placed_) frames.push_back(std::move(placed.frame));
    return frames;
  }

 private:
  void fill(const Placed& from, const Placed& to, int depth) {
    const int halvings = stretch_.halvings + solver_.options().finer;
    const int beyond = depth - halvings;
    const bool is_far = beyond < kTurnHalvings && find_largest_turn(from.frame.posture, to.frame.posture) > kAskedTurn;
    const bool is_fast = beyond < kChangeHalvings && changes_fast(from.frame, to.frame, weight_N_);
    if (depth >= halvings && !is_far && !is_fast) return;
    const bool is_between_held = from.frame.is_held && to.frame.is_held;
    // No frame of the usual ones shall ask more than both that it lies between.
    const bool shapes = depth < (is_between_held ? halvings : kShapingHalvings);
    const double wanted = shapes            ? std::max({kSpareEffort, from.frame.effort, to.frame.effort})
                          : is_between_held ? 1.0
                                            : kNever;
    const double u = 0.5 * (from.u + to.u);
    const Placed middle{solve(u, from.frame, to.frame, 0.5, wanted), u};
    // A gap in the way is told once; halving around it tells no more.
    const bool goes_on = middle.frame.has_posture;
    if (goes_on) fill(from, middle, depth + 1);
    placed_.push_back(middle);
    if (goes_on) fill(middle, to, depth + 1);
  }

  Frame solve(double u, const Frame& from, const Frame& to, double share, double wanted) {
    Instant instant = stretch_.at(u);
    const body::Posture start = interpolate(from.posture, to.posture, share);
    SolvedInstant solved =
        solver_.solve_near(instant, start, wanted, 0.5 * (from.mu_needed_factor + to.mu_needed_factor));
    if (!solved.answer.has_posture || (!solved.answer.is_held() && wanted != kNever)) {
      try_free(start, wanted, instant, solved);
    }
    for (const body::Posture* other : {&from.posture, &to.posture}) {
      if (solved.answer.has_posture) break;
      solved = solver_.solve_near(instant, *other, wanted);
    }
    const bool is_explained =
        !solved.answer.has_posture &&
        std::any_of(placed_.begin(), placed_.end(), [](const Placed& p) { return !p.frame.has_posture; });
    Frame frame = solver_.make_frame(instant, solved, is_explained ? std::nullopt : stretch_.asked, &start);
    const double along = (u - stretch_.u_from) / (stretch_.u_to - stretch_.u_from);
    frame.t = stretch_.t_from + along * (stretch_.t_to - stretch_.t_from);
    return frame;
  }

  /// The limb off its way, wherever the body is best.
  void try_free(const body::Posture& start, double wanted, Instant& instant, SolvedInstant& solved) const {
    if (!instant.in_air) return;
    Instant free = instant;
    free.in_air.reset();
    SolvedInstant other = solver_.solve_near(free, start, wanted);
    if (!other.answer.has_posture || (solved.answer.has_posture && !other.answer.is_held())) return;
    instant.in_air->p_WC = solver_.find_contact_point(other.answer.posture, instant.in_air->limb, instant.in_air->p_BC);
    other.problem = solver_.make_problem(instant, other.swings);
    solved = other;
  }

  [[nodiscard]] const Frame& before(std::size_t i) const { return i == 0 ? from_ : placed_[i - 1].frame; }
  [[nodiscard]] const Frame& after(std::size_t i) const { return i + 1 == placed_.size() ? to_ : placed_[i + 1].frame; }
  [[nodiscard]] double u_before(std::size_t i) const { return i == 0 ? stretch_.u_from : placed_[i - 1].u; }
  [[nodiscard]] double u_after(std::size_t i) const {
    return i + 1 == placed_.size() ? stretch_.u_to : placed_[i + 1].u;
  }

  /// The worst frame is what is told of a stretch: it must not be worse than it has to be.
  void improve_worst() {
    for (int pass = 0; pass < kWorstPasses && !placed_.empty(); ++pass) {
      const auto worst = std::max_element(placed_.begin(), placed_.end(), [](const Placed& a, const Placed& b) {
        return a.frame.effort < b.frame.effort;
      });
      const auto i = static_cast<std::size_t>(worst - placed_.begin());
      const double wanted = std::max({kSpareEffort, before(i).effort, after(i).effort});
      if (!std::isfinite(worst->frame.effort) || worst->frame.effort <= wanted) return;
      const double share = (worst->u - u_before(i)) / (u_after(i) - u_before(i));
      Frame better = solve(worst->u, before(i), after(i), share, wanted);
      if (!better.has_posture || better.effort >= worst->frame.effort || !lies_within(kLargestGap, i, better)) return;
      worst->frame = std::move(better);
      bridge(i + 1);
      bridge(i);
    }
  }

  /// Whether a posture for the i-th frame is within a turn of its neighbours.
  [[nodiscard]] bool lies_within(double turn, std::size_t i, const Frame& frame) const {
    return find_largest_turn(before(i).posture, frame.posture) <= turn &&
           find_largest_turn(frame.posture, after(i).posture) <= turn;
  }

  /// A frame shall not fail, or by so much, because the middle between its neighbours led to a poor posture.
  void sweep() {
    for (int pass = 0; pass < kSweeps; ++pass) {
      bool is_better = false;
      for (std::size_t i = 0; i < placed_.size(); ++i) is_better = follow(i, before(i)) || is_better;
      for (std::size_t i = placed_.size(); i-- > 0;) is_better = follow(i, after(i)) || is_better;
      if (!is_better) return;
    }
  }

  /// The i-th frame from the posture of its neighbour, where that has it easier; false where it stays as it is.
  bool follow(std::size_t i, const Frame& neighbour) {
    const Frame& frame = placed_[i].frame;
    if (!frame.has_posture || frame.is_held || !neighbour.has_posture) return false;
    // What an end of the stretch asks for anyway is told of it, whatever the frames between ask.
    if (frame.effort <= std::max(from_.effort, to_.effort)) return false;
    if (!(neighbour.effort < std::min(kHopeful, frame.effort - kEasier))) return false;
    Instant instant = stretch_.at(placed_[i].u);
    SolvedInstant solved = solver_.solve_near(instant, neighbour.posture, std::max(1.0, neighbour.effort));
    if (!solved.answer.has_posture || solved.answer.effort.status != statics::Status::kSolved ||
        !(solved.answer.effort.rho < frame.effort - kEasier))
      return false;
    Frame better = solver_.make_frame(instant, solved, std::nullopt, &neighbour.posture);
    better.t = frame.t;
    if (!lies_within(kMaxTurn, i, better)) return false;
    placed_[i].frame = std::move(better);
    return true;
  }

  /// Frames between the i-th and the one before it, half way and half way again, until no joint turns too far. Near to
  /// their neighbours matters more here than ease.
  void bridge(std::size_t i, int depth = 0) {
    const auto posture_at = [this](std::size_t k) -> const body::Posture& {
      return k < placed_.size() ? placed_[k].frame.posture : to_.posture;
    };
    if (depth == kTurnHalvings || find_largest_turn(before(i).posture, posture_at(i)) <= kMaxTurn) return;
    const Frame& to = i < placed_.size() ? placed_[i].frame : to_;
    const double u = 0.5 * (u_before(i) + (i < placed_.size() ? placed_[i].u : stretch_.u_to));
    Placed between{solve(u, before(i), to, 0.5, before(i).is_held && to.is_held ? 1.0 : kNever), u};
    placed_.insert(placed_.begin() + static_cast<std::ptrdiff_t>(i), std::move(between));
    bridge(i + 1, depth + 1);
    bridge(i, depth + 1);
  }

  static bool is_stray(const Frame& before, const Frame& frame, const Frame& after) {
    return find_largest_turn(before.posture, frame.posture) > kMaxTurn ||
           find_largest_turn(frame.posture, after.posture) > kMaxTurn;
  }

  /// A frame whose neighbours are nearer to each other than to it is off the way that the body takes.
  void drop_strays() {
    for (std::size_t i = 0; i < placed_.size();) {
      const bool can_go =
          placed_[i].frame.has_posture && find_largest_turn(before(i).posture, after(i).posture) <= kMaxTurn;
      if (can_go && is_stray(before(i), placed_[i].frame, after(i))) {
        placed_.erase(placed_.begin() + static_cast<std::ptrdiff_t>(i));
        i = i == 0 ? 0 : i - 1;
      } else {
        ++i;
      }
    }
  }

  const InstantSolver& solver_;
  const Stretch& stretch_;
  const Frame& from_;
  const Frame& to_;
  const double weight_N_;
  std::vector<Placed> placed_;
};

}  // namespace

namespace {

/// Rotation vector of R. By its skew part: the mirror image of R gives the mirror image of the vector to the last bit.
Vec3 find_turn(const Mat3& R) {
  const Vec3 sine_W = 0.5 * Vec3(R(2, 1) - R(1, 2), R(0, 2) - R(2, 0), R(1, 0) - R(0, 1));
  const double sine = sine_W.norm();
  const double cosine = 0.5 * (R.trace() - 1.0);
  if (sine < 1e-12) return Vec3::Zero();
  return std::atan2(sine, cosine) / sine * sine_W;
}

}  // namespace

body::Posture interpolate(const body::Posture& a, const body::Posture& b, double s) {
  body::Posture posture;
  posture.angles = (1.0 - s) * a.angles + s * b.angles;
  posture.p_WB = (1.0 - s) * a.p_WB + s * b.p_WB;
  posture.R_WB = a.R_WB * rotation_by(s * find_turn(a.R_WB.transpose() * b.R_WB));
  return posture;
}

double find_largest_turn(const body::Posture& a, const body::Posture& b) {
  if (a.angles.size() != b.angles.size() || a.angles.size() == 0) return 0.0;
  const double root = find_turn(a.R_WB.transpose() * b.R_WB).norm();
  return std::max(std::abs(root), (a.angles - b.angles).cwiseAbs().maxCoeff());
}

std::vector<Frame> trace_stretch(const InstantSolver& solver, const Stretch& stretch, const Frame& from,
                                 const Frame& to) {
  return StretchTracer(solver, stretch, from, to).trace();
}

}  // namespace steepwright::move
