#include "engine/grip/seating.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Skin bears about 0.9 MPa before it hurts or rolls off (assumed; short ledges of 6 mm then carry about half of what
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
constexpr double kTipArc = rad_from_deg(95.0);  ///< from the pad's side to just past the foremost point

Vec2 along(double pitch) { return {std::cos(pitch), std::sin(pitch)}; }
Vec2 palmward(double pitch) { return {std::sin(pitch), -std::cos(pitch)}; }

/// A piece of skin: its middle, its length, how far it gives; limit share 0: touches without bearing.
struct Cell {
  Vec2 p;
  double length = 0.0, across = 0.0;  ///< m; across: extent in y
  double give = 0.0;
  Bone bone = Bone::kDistal;
  bool bears = true;
};
constexpr std::size_t kMaxCells = kTipCells + kDistalCells + kMiddleCells + kProximalCells + kPalmCells + 8;
using Cells = BoundedVector<Cell, kMaxCells>;

class Layer {
 public:
  Layer(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture, const GripForm& form)
      : finger_(finger), outline_(outline), posture_(posture), form_(form) {
    pitch_[0] = posture.pitch;
    pitch_[1] = posture.pitch + posture.dip;
    pitch_[2] = pitch_[1] + posture.pip;
  }

  Seating lay() {
    // In a frame with the DIP joint at its origin.
    seating_.dip = Vec2::Zero();
    seating_.pip = -finger_.middle_m * along(pitch_[1]);
    seating_.mcp = seating_.pip - finger_.proximal_m * along(pitch_[2]);
    tip_centre_ = (finger_.distal_m - finger_.pad_m) * along(pitch_[0]);
    seating_.nail = 0.6 * finger_.distal_m * along(pitch_[0]) - finger_.pad_m * palmward(pitch_[0]);
    add_cells();
    // The back face may lean over the floor: how near the tip comes depends on its height, which the press decides.
    for (int pass = 0; pass < 2; ++pass) {
      shift_to_face();
      press();
    }
    store_contacts();
    store_room();
    return seating_;
  }

 private:
  void shift(const Vec2& by) {
    seating_.dip += by;
    seating_.pip += by;
    seating_.mcp += by;
    seating_.nail += by;
    tip_centre_ += by;
    for (Cell& cell : cells_) cell.p += by;
  }

  void add_strip(const Vec2& from, const Vec2& to, int count, double give, Bone bone, bool bears = true) {
    const Vec2 step = (to - from) / count;
    for (int i = 0; i < count; ++i) {
      cells_.push_back({from + (i + 0.5) * step, step.norm(), std::abs(step.x()), give, bone, bears});
    }
  }

  void add_crease(const Vec2& p) { cells_.push_back({p, 0.0, 0.0, kGiveDistal_m, Bone::kDistal, false}); }

  void add_cells() {
    const double pad = finger_.pad_m;
    const double step = kTipArc / kTipCells;
    for (int i = 0; i < kTipCells; ++i) {
      const double turn = (i + 0.5) * step;
      const Vec2 out = std::cos(turn) * palmward(pitch_[0]) + std::sin(turn) * along(pitch_[0]);
      const double length = pad * step;
      cells_.push_back(
          {tip_centre_ + pad * out, length, length * std::abs(out.y()), kGiveDistal_m, Bone::kDistal, true});
    }
    const Vec2 palm3 = pad * palmward(pitch_[0]);
    add_strip(tip_centre_ + palm3, kPulpStart * finger_.distal_m * along(pitch_[0]) + palm3, kDistalCells,
              kGiveDistal_m, Bone::kDistal);
    add_crease(0.5 * (palm3 + pad * palmward(pitch_[1])));
    const Vec2 palm2 = pad * palmward(pitch_[1]);
    const Vec2 u2 = along(pitch_[1]);
    add_strip(-kCrease_m * u2 + palm2, seating_.pip + kCrease_m * u2 + palm2, kMiddleCells, kGiveOther_m, Bone::kMiddle,
              form_.bears_on_middle);
    const Vec2 palm1 = pad * palmward(pitch_[2]);
    add_crease(seating_.pip + 0.5 * (palm2 + palm1));
    if (form_.wraps_proximal || form_.lays_palm) {
      const Vec2 u1 = along(pitch_[2]);
      add_strip(seating_.pip - kCrease_m * u1 + palm1,
                seating_.pip - kWeb_of_proximal * finger_.proximal_m * u1 + palm1, kProximalCells, kGiveOther_m,
                Bone::kProximal);
      if (form_.lays_palm) {
        add_strip(seating_.mcp + palm1, seating_.mcp - kPalmPad_m * u1 + palm1, kPalmCells, kGiveOther_m, Bone::kPalm);
      }
    }
  }

  /// Distance of the tip's skin from the back face; negative inside.
  [[nodiscard]] double find_face_gap() const {
    const double c = std::cos(outline_.incut);
    const double s = std::sin(outline_.incut);
    return (outline_.depth - tip_centre_.x()) * c - tip_centre_.y() * s - finger_.pad_m;
  }

  void shift_to_face() {
    const double wanted = posture_.withdrawal - kGiveTip_m;
    shift({(find_face_gap() - wanted) / std::cos(outline_.incut), 0.0});
  }

  /// Lowers or lifts the finger until the cell that is deepest against its give is just pressed in fully.
  void press() {
    double lift = -1e9;
    for (const Cell& cell : cells_) {
      if (cell.p.x() + 0.5 * cell.across < outline_.outermost) continue;
      const hold::OutlinePoint point = outline_.find_point(std::max(cell.p.x(), outline_.outermost));
      lift = std::max(lift, point.z - cell.give / std::max(std::cos(point.lean), kLeastCos) - cell.p.y());
    }
    if (lift > -1e8) shift({0.0, lift});
  }

  void store_contacts() {
    const double pressure_N_per_m = find_skin(finger_).pressure_N_per_m;
    for (const Cell& cell : cells_) {
      if (!cell.bears) continue;
      // The share of the strip that is over the solid: a sharp lip cuts it.
      const double covered =
          cell.across > 0.0 ? std::clamp((cell.p.x() - outline_.outermost) / cell.across + 0.5, 0.0, 1.0) : 1.0;
      if (covered == 0.0 || cell.p.x() < outline_.outermost - cell.across) continue;
      const hold::OutlinePoint point = outline_.find_point(std::max(cell.p.x(), outline_.outermost));
      const double pressed_m = (point.z - cell.p.y()) * std::cos(point.lean);
      if (pressed_m <= 0.0) continue;
      const double share =
          std::min(pressed_m / cell.give, 1.0) * covered * (cell.bone == Bone::kDistal ? 1.0 : kSheathShare);
      seating_.contacts.push_back({cell.p, point.lean, pressure_N_per_m * cell.length * share, cell.bone});
    }
    const double tip_pressed_m = -find_face_gap();
    if (tip_pressed_m > 0.0) {
      const double lean = outline_.front_lean;  // the back face is parallel to the front
      const Vec2 normal(-std::sin(lean), std::cos(lean));
      seating_.contacts.push_back({tip_centre_ - finger_.pad_m * normal, lean,
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
      const Vec2 out = -back * palmward(pitch_[bone]);
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
  std::array<double, 3> pitch_{};  ///< of distal, middle, proximal phalanx
  Cells cells_;
  Vec2 tip_centre_ = Vec2::Zero();
  Seating seating_;
};

}  // namespace

Skin find_skin(const Finger& finger) { return {kPressure_Pa * finger.breadth_m, kGiveDistal_m, kGiveOther_m}; }

Seating seat_finger(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                    const GripForm& form) {
  return Layer(finger, outline, posture, form).lay();
}

}  // namespace steepwright::grip
