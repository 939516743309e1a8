#include "engine/grip/seating.h"

#include "engine/grip/skin.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// Skin bears about 1.2 MPa before it hurts or rolls off (assumed; short ledges of 6 mm then carry about half of what
/// deep ones do).
constexpr double kPressure_Pa = 1.2e6;
/// Skin over the tendon sheath of the proximal phalanx and the palm has no such pad: it bears this share (assumed).
constexpr double kSheathShare = 0.6;
/// That of the middle phalanx less, as it lies on the lip between two creases (assumed).
constexpr double kMiddleShare = 0.47;
/// Length of the pad at the base of the fingers that a palmed hand rests on (assumed).
constexpr double kPalmPad_m = 0.035;
/// What the palm bears, share of the pulp's pressure: the wrist, not the skin, ends it (assumed; about the fingers'
/// force).
constexpr double kPalmShare = 0.15;

constexpr int kPalmCells = 2;
static_assert(kMaxSkinCells + 1 <= kMaxPadContacts);

double find_pressure_share(Bone bone) {
  if (bone == Bone::kDistal) return 1.0;
  if (bone == Bone::kMiddle) return kMiddleShare;
  return bone == Bone::kPalm ? kPalmShare : kSheathShare;
}

class Layer {
 public:
  Layer(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture, const GripForm& form,
        SkinCells& cells, Laying& laying, Seating& seating)
      : finger_(finger),
        outline_(outline),
        posture_(posture),
        form_(form),
        cells_(cells),
        laying_(laying),
        seating_(seating) {
    cells_.clear();
    laying_.presses.clear();
    seating_.contacts.clear();
    seating_.room = 1.0;
    const std::array<double, 3> pitch = {posture.pitch, posture.pitch + posture.dip,
                                         posture.pitch + posture.dip + posture.pip};
    for (std::size_t bone = 0; bone < 3; ++bone) {
      along_[bone] = {std::cos(pitch[bone]), std::sin(pitch[bone])};
      palmward_[bone] = find_palmward(along_[bone]);
    }
  }

  void lay() {
    // In a frame with the DIP joint at its origin.
    seating_.dip = Vec2::Zero();
    seating_.pip = -finger_.middle_m * along_[1];
    seating_.mcp = seating_.pip - finger_.proximal_m * along_[2];
    tip_centre_ = find_tip_centre(finger_, along_[0]);
    seating_.nail = 0.6 * finger_.distal_m * along_[0] - finger_.pad_m * palmward_[0];
    add_cells();
    // The back face may lean over the floor: how near the tip comes depends on its height, which the press decides.
    const int passes = outline_.incut == 0.0 ? 1 : 2;
    for (int pass = 0; pass < passes; ++pass) {
      shift_to_face();
      press();
    }
    laying_.along = along_;
    laying_.tip_centre = tip_centre_;
    laying_.offset = offset_;
    for (Vec2* p : {&seating_.dip, &seating_.pip, &seating_.mcp, &seating_.nail, &tip_centre_}) *p += offset_;
    store_contacts();
    store_room();
  }

 private:
  /// At the end of a bone that is nearer to the knuckle.
  void add_crease(const Vec2& p, Bone bone) { cells_.push_back({p, 0.0, 0.0, kGiveDistal_m, bone, false}); }

  void add_cells() {
    const double pad = finger_.pad_m;
    add_distal_skin(finger_, along_[0], cells_);
    const Vec2 palm2 = pad * palmward_[1];
    add_crease(0.5 * (pad * palmward_[0] + palm2), Bone::kDistal);
    add_middle_skin(finger_, along_[1], form_.bears_on_middle, cells_);
    const Vec2 palm1 = pad * palmward_[2];
    add_crease(seating_.pip + 0.5 * (palm2 + palm1), Bone::kMiddle);
    if (!form_.wraps_proximal && !form_.lays_palm) return;
    const Vec2& u1 = along_[2];
    add_proximal_skin(finger_, seating_.pip, u1, cells_);
    if (!form_.lays_palm) return;
    add_strip(seating_.mcp + palm1, seating_.mcp - kPalmPad_m * u1 + palm1, kPalmCells, kGiveOther_m, Bone::kPalm, true,
              cells_);
  }

  void shift_to_face() {
    offset_.x() += find_face_shift(finger_, outline_, tip_centre_ + offset_, posture_.withdrawal);
  }

  void press() {
    const Lift lift = find_lift(cells_, outline_, offset_.x());
    const bool is_lifted = lift.z != kNoLift;
    laying_.presses.push_back({offset_.x(), is_lifted ? lift.cell : Laying::kNone});
    if (is_lifted) offset_.y() = lift.z;
  }

  void store_contacts() {
    const double pressure_N_per_m = kPressure_Pa * finger_.breadth_m;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      const SkinCell& cell = cells_[i];
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
      seating_.contacts.push_back({p, point.normal, pressure_N_per_m * cell.length * share, cell.bone, i});
    }
    const double tip_pressed_m = -find_face_gap(finger_, outline_, tip_centre_);
    if (tip_pressed_m > 0.0) {
      seating_.contacts.push_back({tip_centre_ - finger_.pad_m * outline_.front_normal, outline_.front_normal,
                                   pressure_N_per_m * kGiveTip_m * std::min(tip_pressed_m / kGiveTip_m, 1.0),
                                   Bone::kDistal, kMaxSkinCells});
    }
  }

  /// How much of the room under a roof is left: the back of the finger is looked at in steps along its bones.
  void store_room() {
    if (outline_.mouth <= 0.0) return;
    const double back = kBackOfPad * finger_.pad_m;
    const std::array<Vec2, 4> joints = {tip_centre_, seating_.dip, seating_.pip, seating_.mcp};
    double worst = 0.0;
    for (std::size_t bone = 0; bone < 3; ++bone) {
      const Vec2 out = -back * palmward_[bone];
      for (int i = 0; i <= 4; ++i) {
        const Vec2 p = joints[bone] + 0.25 * i * (joints[bone + 1] - joints[bone]) + out;
        // Fades out over the roof's own lip, so that nothing jumps as a joint leaves the pocket.
        const double inside = std::clamp(p.x() / kRoofLip_m, 0.0, 1.0);
        const double squeeze = inside * (p.y() - outline_.mouth);
        if (squeeze <= worst) continue;
        worst = squeeze;
        laying_.under_roof = p - offset_;
        laying_.under_roof_bone = static_cast<Bone>(bone);
      }
    }
    seating_.room = std::clamp(1.0 - worst / kRoofSqueeze_m, 0.0, 1.0);
  }

  const Finger& finger_;
  const hold::Outline& outline_;
  const FingerPosture& posture_;
  const GripForm& form_;
  std::array<Vec2, 3> along_;     ///< direction of distal, middle, proximal phalanx
  std::array<Vec2, 3> palmward_;  ///< out of their palm sides
  SkinCells& cells_;
  Laying& laying_;
  Seating& seating_;
  Vec2 tip_centre_ = Vec2::Zero();
  Vec2 offset_ = Vec2::Zero();  ///< from the frame with the DIP joint at its origin
};

}  // namespace

const Seating& FingerSeat::seat(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                                const GripForm& form) {
  Layer(finger, outline, posture, form, cells_, laying_, seating_).lay();
  return seating_;
}

Seating seat_finger(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                    const GripForm& form) {
  FingerSeat seat;
  return seat.seat(finger, outline, posture, form);
}

}  // namespace steepwright::grip
