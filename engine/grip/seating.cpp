#include "engine/grip/seating.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Skin bears about 1.2 MPa before it hurts or rolls off (assumed; short ledges of 6 mm then carry about half of what
/// deep ones do).
constexpr double kPressure_Pa = 1.2e6;
/// Skin over the tendon sheath of the middle and proximal phalanx and the palm has no such pad: it bears this share
/// (assumed).
constexpr double kSheathShare = 0.6;
constexpr double kGiveDistal_m = 0.003;  ///< of 4 mm pulp (Buryanov & Kotiuk 2010, read in secondary sources)
constexpr double kGiveOther_m = 0.002;   ///< assumed
constexpr double kGiveTip_m = 0.0015;    ///< of the tip against the back face (assumed)
/// Half length of the crease at a joint that does not bear, m (assumed).
constexpr double kCrease_m = 0.006;
/// The pulp of the finger's end begins this far beyond its joint, share of the distal bone with its pulp (assumed).
constexpr double kPulpStart = 0.28;
/// The proximal phalanx bears from the crease at the middle joint to the web, half its length (assumed).
constexpr double kWeb_of_proximal = 0.5;
/// Length of the pad at the base of the fingers that a palmed hand rests on (assumed).
constexpr double kPalmPad_m = 0.035;
/// What the palm bears, share of the pulp's pressure: the wrist, not the skin, ends it (assumed; about the fingers'
/// force).
constexpr double kPalmShare = 0.15;

/// Back of the finger from the bone's axis, share of the pad's thickness (assumed).
constexpr double kBack_of_pad = 0.8;
/// Squeeze by a roof that takes all room, m.
constexpr double kSqueeze_m = 0.002;
constexpr double kLeastCos = 0.1;

constexpr int kTipCells = 4;
constexpr int kDistalCells = 4;
constexpr int kMiddleCells = 4;
constexpr int kProximalCells = 3;
constexpr int kPalmCells = 2;
static_assert(kTipCells + kDistalCells + kMiddleCells + kProximalCells + kPalmCells + 2 <= kMaxSkinCells);
static_assert(kMaxSkinCells + 1 <= kMaxPadContacts);
constexpr double kTipArc = rad_from_deg(95.0);  ///< from the pad's side to just past the foremost point

using Cell = SkinCell;
using Cells = BoundedVector<SkinCell, kMaxSkinCells>;

double find_pressure_share(Bone bone) {
  if (bone == Bone::kDistal) return 1.0;
  return bone == Bone::kPalm ? kPalmShare : kSheathShare;
}

class Layer {
 public:
  Layer(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture, const GripForm& form,
        Cells& cells, Seating& seating)
      : finger_(finger), outline_(outline), posture_(posture), form_(form), cells_(cells), seating_(seating) {
    cells_.clear();
    seating_.contacts.clear();
    seating_.room = 1.0;
    const std::array<double, 3> pitch = {posture.pitch, posture.pitch + posture.dip,
                                         posture.pitch + posture.dip + posture.pip};
    for (std::size_t bone = 0; bone < 3; ++bone) {
      along_[bone] = {std::cos(pitch[bone]), std::sin(pitch[bone])};
      palmward_[bone] = {along_[bone].y(), -along_[bone].x()};
    }
    back_normal_ = outline.front_normal;  // the back face is parallel to the front
  }

  void lay() {
    // In a frame with the DIP joint at its origin.
    seating_.dip = Vec2::Zero();
    seating_.pip = -finger_.middle_m * along_[1];
    seating_.mcp = seating_.pip - finger_.proximal_m * along_[2];
    tip_centre_ = (finger_.distal_m - finger_.pad_m) * along_[0];
    seating_.nail = 0.6 * finger_.distal_m * along_[0] - finger_.pad_m * palmward_[0];
    add_cells();
    // The back face may lean over the floor: how near the tip comes depends on its height, which the press decides.
    const int passes = outline_.incut == 0.0 ? 1 : 2;
    for (int pass = 0; pass < passes; ++pass) {
      shift_to_face();
      press();
    }
    for (Vec2* p : {&seating_.dip, &seating_.pip, &seating_.mcp, &seating_.nail, &tip_centre_}) *p += offset_;
    store_contacts();
    store_room();
  }

 private:
  void add_strip(const Vec2& from, const Vec2& to, int count, double give, Bone bone, bool bears = true) {
    const Vec2 step = (to - from) / count;
    for (int i = 0; i < count; ++i) {
      cells_.push_back({from + (i + 0.5) * step, step.norm(), std::abs(step.x()), give, bone, bears});
    }
  }

  void add_crease(const Vec2& p) { cells_.push_back({p, 0.0, 0.0, kGiveDistal_m, Bone::kDistal, false}); }

  void add_cells() {
    const double pad = finger_.pad_m;
    constexpr double step = kTipArc / kTipCells;
    static const std::array<Vec2, kTipCells> kTurns = [] {
      std::array<Vec2, kTipCells> turns;
      for (int i = 0; i < kTipCells; ++i)
        turns[static_cast<std::size_t>(i)] = {std::cos((i + 0.5) * step), std::sin((i + 0.5) * step)};
      return turns;
    }();
    for (const Vec2& turn : kTurns) {
      const Vec2 out = turn.x() * palmward_[0] + turn.y() * along_[0];
      const double length = pad * step;
      cells_.push_back(
          {tip_centre_ + pad * out, length, length * std::abs(out.y()), kGiveDistal_m, Bone::kDistal, true});
    }
    const Vec2 palm3 = pad * palmward_[0];
    add_strip(tip_centre_ + palm3, kPulpStart * finger_.distal_m * along_[0] + palm3, kDistalCells, kGiveDistal_m,
              Bone::kDistal);
    add_crease(0.5 * (palm3 + pad * palmward_[1]));
    const Vec2 palm2 = pad * palmward_[1];
    const Vec2 u2 = along_[1];
    add_strip(-kCrease_m * u2 + palm2, seating_.pip + kCrease_m * u2 + palm2, kMiddleCells, kGiveOther_m, Bone::kMiddle,
              form_.bears_on_middle);
    const Vec2 palm1 = pad * palmward_[2];
    add_crease(seating_.pip + 0.5 * (palm2 + palm1));
    if (form_.wraps_proximal || form_.lays_palm) {
      const Vec2 u1 = along_[2];
      add_strip(seating_.pip - kCrease_m * u1 + palm1,
                seating_.pip - kWeb_of_proximal * finger_.proximal_m * u1 + palm1, kProximalCells, kGiveOther_m,
                Bone::kProximal);
      if (form_.lays_palm) {
        add_strip(seating_.mcp + palm1, seating_.mcp - kPalmPad_m * u1 + palm1, kPalmCells, kGiveOther_m, Bone::kPalm);
      }
    }
  }

  /// Distance of the tip's skin from the back face; negative inside.
  [[nodiscard]] double find_face_gap(const Vec2& tip_centre) const {
    return back_normal_.dot(tip_centre - Vec2(outline_.depth, 0.0)) - finger_.pad_m;
  }

  void shift_to_face() {
    const double wanted = posture_.withdrawal - kGiveTip_m;
    offset_.x() += (wanted - find_face_gap(tip_centre_ + offset_)) / back_normal_.x();
  }

  /// Lowers or lifts the finger until the cell that is deepest against its give is just pressed in fully.
  void press() {
    double lift = -1e9;
    for (const Cell& cell : cells_) {
      const double y = cell.p.x() + offset_.x();
      if (y + 0.5 * cell.across < outline_.outermost) continue;
      const hold::OutlinePoint point = outline_.find_point(std::max(y, outline_.outermost));
      lift = std::max(lift, point.z - cell.give / std::max(point.normal.y(), kLeastCos) - cell.p.y());
    }
    if (lift > -1e8) offset_.y() = lift;
  }

  void store_contacts() {
    const double pressure_N_per_m = kPressure_Pa * finger_.breadth_m;
    for (const Cell& cell : cells_) {
      if (!cell.bears) continue;
      const Vec2 p = cell.p + offset_;
      // The share of the strip that is over the solid: a sharp lip cuts it.
      const double covered =
          cell.across > 0.0 ? std::clamp((p.x() - outline_.outermost) / cell.across + 0.5, 0.0, 1.0) : 1.0;
      if (covered == 0.0 || p.x() < outline_.outermost - cell.across) continue;
      const hold::OutlinePoint point = outline_.find_point(std::max(p.x(), outline_.outermost));
      const double pressed_m = (point.z - p.y()) * point.normal.y();
      if (pressed_m <= 0.0) continue;
      const double share = std::min(pressed_m / cell.give, 1.0) * covered * find_pressure_share(cell.bone);
      seating_.contacts.push_back({p, point.normal, pressure_N_per_m * cell.length * share, cell.bone});
    }
    const double tip_pressed_m = -find_face_gap(tip_centre_);
    if (tip_pressed_m > 0.0) {
      seating_.contacts.push_back({tip_centre_ - finger_.pad_m * back_normal_, back_normal_,
                                   pressure_N_per_m * kGiveTip_m * std::min(tip_pressed_m / kGiveTip_m, 1.0),
                                   Bone::kDistal});
    }
  }

  /// How much of the room under a roof is left: the back of the finger is looked at in steps along its bones.
  void store_room() {
    if (outline_.mouth <= 0.0) return;
    const double back = kBack_of_pad * finger_.pad_m;
    const std::array<Vec2, 4> joints = {tip_centre_, seating_.dip, seating_.pip, seating_.mcp};
    double worst = 0.0;
    for (std::size_t bone = 0; bone < 3; ++bone) {
      const Vec2 out = -back * palmward_[bone];
      for (int i = 0; i <= 4; ++i) {
        const Vec2 p = joints[bone] + 0.25 * i * (joints[bone + 1] - joints[bone]) + out;
        // Fades out over the roof's own lip, so that nothing jumps as a joint leaves the pocket.
        const double inside = std::clamp(p.x() / kCrease_m, 0.0, 1.0);
        worst = std::max(worst, inside * (p.y() - outline_.mouth));
      }
    }
    seating_.room = std::clamp(1.0 - worst / kSqueeze_m, 0.0, 1.0);
  }

  const Finger& finger_;
  const hold::Outline& outline_;
  const FingerPosture& posture_;
  const GripForm& form_;
  std::array<Vec2, 3> along_;     ///< direction of distal, middle, proximal phalanx
  std::array<Vec2, 3> palmward_;  ///< out of their palm sides
  Vec2 back_normal_ = Vec2::UnitX();
  Cells& cells_;
  Seating& seating_;
  Vec2 tip_centre_ = Vec2::Zero();
  Vec2 offset_ = Vec2::Zero();  ///< from the frame with the DIP joint at its origin
};

}  // namespace

const Seating& FingerSeat::seat(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                                const GripForm& form) {
  Layer(finger, outline, posture, form, cells_, seating_).lay();
  return seating_;
}

Seating seat_finger(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                    const GripForm& form) {
  FingerSeat seat;
  return seat.seat(finger, outline, posture, form);
}

}  // namespace steepwright::grip
