#include "engine/move/travel.h"

#include <algorithm>
#include <utility>

namespace steepwright::move {

namespace {

/// Nearer than this to its holds a hand or foot may brush the wall: it is about to touch, m times Body::scale.
constexpr double kBrush = 0.12;

/// Places at which it is tried whether the feet can still stay on.
constexpr int kCutTries = 8;

}  // namespace

std::vector<Frame> Travel::trace(const Frame& unloaded, const Frame& touch) {
  set_path(unloaded, touch);
  return trace_stretch(solver_, make_stretch(0.0, 1.0, kUnloaded_t, kTouch_t), unloaded, touch);
}

std::vector<Frame> Travel::trace_cut(const Key& unloaded, const CutTouch& cut) {
  set_path(unloaded.frame, cut.touch.frame);
  std::vector<Frame> frames = make_cut_frames(unloaded, cut.touch, cut.feet);
  off_.clear();
  const bool holds = std::all_of(frames.begin(), frames.end(), [](const Frame& frame) { return frame.is_held; });
  if (!holds) frames.clear();
  return frames;
}

void Travel::set_path(const Frame& unloaded, const Frame& touch) {
  const Limb limb = move_.moving;
  const std::optional<LimbPlace>& from = move_.before.limbs[index_of(limb)];
  const body::Body& body = solver_.body();
  p_BC_to_ = body.station(limb, move_.target.grip.value_or(Grip::kOpenHand)).p_BC;
  p_BC_from_ = from ? body.station(limb, from->grip.value_or(Grip::kOpenHand)).p_BC : p_BC_to_;
  PathEnds ends;
  ends.p_Wfrom = solver_.find_contact_point(unloaded.posture, limb, p_BC_from_);
  ends.p_Wto = solver_.find_contact_point(touch.posture, limb, p_BC_to_);
  ends.normal_Wfrom = from ? find_outward(*from) : wall::find_nearest(solver_.scene().wall, ends.p_Wfrom).gradient;
  ends.normal_Wto = find_outward(move_.target);
  ends.body_scale = body.scale;
  ends.hold_from = from ? from->hold : -1;
  ends.hold_to = move_.target.hold;
  ends_ = ends;
  path_ = make_limb_path(solver_.scene(), ends);
}

Vec3 Travel::find_outward(const LimbPlace& place) const { return find_strip(solver_.scene(), place).X_WP.R.col(2); }

Instant Travel::make_instant(double u) const {
  Instant instant;
  instant.phase = Phase::kTravel;
  instant.stance = move_.before;
  instant.stance.limbs[index_of(move_.moving)].reset();
  for (const Limb foot : off_) instant.stance.limbs[index_of(foot)].reset();
  InAir in_air;
  in_air.limb = move_.moving;
  in_air.p_BC = (1.0 - u) * p_BC_from_ + u * p_BC_to_;
  in_air.p_WC = path_.at(u);
  const double from_holds_m = std::min((in_air.p_WC - ends_.p_Wfrom).norm(), (in_air.p_WC - ends_.p_Wto).norm());
  in_air.keeps_clear = from_holds_m > kBrush * solver_.body().scale;
  instant.in_air = in_air;
  return instant;
}

Stretch Travel::make_stretch(double u_from, double u_to, double t_from, double t_to) const {
  Stretch stretch;
  stretch.at = [this](double u) { return make_instant(u); };
  stretch.u_from = u_from;
  stretch.u_to = u_to;
  stretch.t_from = t_from;
  stretch.t_to = t_to;
  stretch.halvings = 4;
  stretch.asked = move_.moving;
  return stretch;
}

std::optional<Travel::CutTouch> Travel::find_cut_touch(const Key& unloaded, const Key& touch) const {
  std::vector<Limb> feet;
  for (const Limb foot : {Limb::kLeftFoot, Limb::kRightFoot}) {
    if (foot != move_.moving && move_.before.limbs[index_of(foot)]) feet.push_back(foot);
  }
  std::vector<std::vector<Limb>> choices;
  choices.reserve(feet.size() + 1);
  for (const Limb foot : feet) choices.push_back({foot});
  if (feet.size() == 2) choices.push_back(feet);
  std::optional<CutTouch> best;
  for (const std::vector<Limb>& choice : choices) {
    if (best && choice.size() > best->feet.size()) break;
    Key key;
    key.instant = touch.instant;
    for (const Limb foot : choice) key.instant.stance.limbs[index_of(foot)].reset();
    key.solved = solver_.solve_key(key.instant, &unloaded.frame.posture, unloaded.solved.swings,
                                   InstantSolver::Starts::kWarmOnly);
    if (!key.solved.answer.is_held()) continue;
    if (best && key.solved.answer.effort.rho >= best->touch.solved.answer.effort.rho) continue;
    best = CutTouch{choice, std::move(key)};
  }
  if (!best) return best;
  keys_.finish(best->touch, &unloaded.frame.posture, kTouch_t);
  best->touch.frame.hanging = best->feet;
  return best;
}

/// A place of the way where the feet can still stay on, and where they can come off: the same place with no load on
/// them, when the other limbs carry the body there.
struct Travel::Leaving {
  double u = 0.0;
  Frame on, eased;
};

Instant Travel::make_easing_instant(double u, double share, const std::vector<Limb>& cut) const {
  Instant instant = make_instant(u);
  for (const Limb foot : cut) instant.load_share[index_of(foot)] = share;
  return instant;
}

/// The last such place; none where only a swing would take them off.
std::optional<Travel::Leaving> Travel::find_leaving(const Frame& unloaded, const std::vector<Limb>& cut) const {
  std::optional<Leaving> last;
  Frame on = unloaded;
  for (int i = 0; i < kCutTries; ++i) {
    const double u = static_cast<double>(i) / kCutTries;
    if (i > 0) on = solve_at(u, on.posture);
    if (!on.is_held) break;
    const Instant easing = make_easing_instant(u, 0.0, cut);
    SolvedInstant solved = solver_.solve_near(easing, on.posture, kSpareEffort);
    if (solved.answer.is_held()) {
      last = Leaving{u, on, solver_.make_frame(easing, solved, move_.moving, &on.posture)};
    }
  }
  return last;
}

/// The feet stay on as long as that holds, give up their load, come off, and hang free for the rest of the way. Empty
/// where they cannot come off without a swing.
std::vector<Frame> Travel::make_cut_frames(const Key& unloaded, const Key& touch, const std::vector<Limb>& cut) {
  constexpr double kCutTime = 0.1;
  std::vector<Frame> frames;
  const std::optional<Leaving> found = find_leaving(unloaded.frame, cut);
  if (!found) return frames;
  const Leaving& leaving = *found;
  const auto append = [&frames](std::vector<Frame> more) {
    for (Frame& frame : more) frames.push_back(std::move(frame));
  };
  double t = kUnloaded_t + leaving.u * (kTouch_t - kUnloaded_t - kCutTime);
  Frame on = leaving.on;
  on.t = t;
  if (leaving.u > 0.0) {
    append(trace_stretch(solver_, make_stretch(0.0, leaving.u, kUnloaded_t, t), unloaded.frame, on));
    frames.push_back(on);
  }
  Stretch easing = make_stretch(0.0, 1.0, t, t + 0.5 * kCutTime);
  easing.at = [this, &leaving, &cut](double u) { return make_easing_instant(leaving.u, 1.0 - u, cut); };
  easing.halvings = 2;
  append(trace_stretch(solver_, easing, on, leaving.eased));
  t += 0.5 * kCutTime;
  on = leaving.eased;
  on.t = t;
  frames.push_back(on);
  off_ = cut;
  const double u_off = std::max(leaving.u, 1.0 / 64.0);
  Frame off = solve_at(u_off, on.posture);
  off.t = kUnloaded_t + leaving.u * (kTouch_t - kUnloaded_t - kCutTime) + kCutTime;
  Stretch letting_go = make_stretch(0.0, 1.0, t, off.t);
  letting_go.at = [this, u_off](double) { return make_instant(u_off); };
  letting_go.halvings = 1;
  const std::size_t n_on = frames.size();
  append(trace_stretch(solver_, letting_go, on, off));
  frames.push_back(off);
  append(trace_stretch(solver_, make_stretch(u_off, 1.0, off.t, kTouch_t), off, touch.frame));
  frames[n_on].cut_loose = cut;
  for (std::size_t i = n_on; i < frames.size(); ++i) frames[i].hanging = cut;
  return frames;
}

Frame Travel::solve_at(double u, const body::Posture& start) const {
  const Instant instant = make_instant(u);
  SolvedInstant solved = solver_.solve_near(instant, start, 1.0);
  return solver_.make_frame(instant, solved, move_.moving, &start);
}

}  // namespace steepwright::move
