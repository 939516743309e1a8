#include "engine/grip/finger_slope.h"

#include "engine/grip/skin.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::grip {

namespace {

/// A vector's change with the four coordinates: a column each.
using VectorSlope = Eigen::Matrix<double, 2, 4>;

/// Change of a vector that turns.
Vec2 turn(const Vec2& a) { return {-a.y(), a.x()}; }

enum Coordinate { kPitch0, kPitch1, kPitch2, kWithdrawal };

/// The outline at a place, and how it changes along y.
struct SurfaceSlope {
  hold::OutlinePoint point;
  double z = 0.0, cosine = 0.0, turn = 0.0;  ///< of height, normal's z and normal's angle, per m
  bool is_clamped = false;                   ///< outside the outermost place: nothing changes
};

SurfaceSlope find_surface(const hold::Outline& outline, double y) {
  SurfaceSlope surface;
  surface.is_clamped = y <= outline.outermost;
  surface.point = outline.find_point(std::max(y, outline.outermost));
  if (surface.is_clamped || y >= outline.floor_start) return surface;
  const Vec2& normal = surface.point.normal;
  surface.z = -normal.x() / std::max(normal.y(), 1e-3);
  if (y < outline.front_end) return surface;
  surface.turn = -1.0 / (outline.lip_radius * std::max(normal.y(), 1e-3));
  surface.cosine = normal.x() * surface.turn;
  return surface;
}

class Slope {
 public:
  explicit Slope(const SlopeTask& task)
      : task_(task),
        finger_(*task.finger),
        outline_(*task.outline),
        program_(*task.program),
        seating_(task.seat->seating()),
        cells_(task.seat->cells()),
        laying_(task.seat->laying()),
        along_(laying_.along),
        prices_(program_.program().prices()) {
    pip_ = -finger_.middle_m * along_[1];
    mcp_ = pip_ - finger_.proximal_m * along_[2];
    d_pip_.setZero();
    d_pip_.col(kPitch1) = turn(pip_);
    d_mcp_ = d_pip_;
    d_mcp_.col(kPitch2) = turn(mcp_ - pip_);
    d_tip_.setZero();
    d_tip_.col(kPitch0) = turn(laying_.tip_centre);
    slope_.setZero();
    find_offset_slope();
  }

  BoneSlope find() {
    for (std::size_t i = 0; i < seating_.contacts.size(); ++i) add_contact(i);
    add_tendons();
    add_thumb();
    add_room();
    return slope_;
  }

 private:
  /// Change of a piece of skin before the finger is shifted.
  VectorSlope find_cell_slope(const SkinCell& cell) const {
    VectorSlope d = VectorSlope::Zero();
    const bool is_crease = cell.length == 0.0;
    switch (cell.bone) {
      case Bone::kDistal:
        if (is_crease) {
          d.col(kPitch0) = 0.5 * finger_.pad_m * turn(find_palmward(along_[0]));
          d.col(kPitch1) = 0.5 * finger_.pad_m * turn(find_palmward(along_[1]));
        } else {
          d.col(kPitch0) = turn(cell.p);
        }
        break;
      case Bone::kMiddle:
        d.col(kPitch1) = turn(cell.p);
        if (is_crease) {
          d.col(kPitch1) = turn(pip_ + 0.5 * finger_.pad_m * find_palmward(along_[1]));
          d.col(kPitch2) = 0.5 * finger_.pad_m * turn(find_palmward(along_[2]));
        }
        break;
      case Bone::kProximal:
      case Bone::kPalm:
        d.col(kPitch1) = turn(pip_);
        d.col(kPitch2) = turn(cell.p - pip_);
        break;
    }
    return d;
  }

  BoneSlope find_lift_slope(const Laying::Press& press, const BoneSlope& d_y) const {
    if (press.cell == Laying::kNone) return BoneSlope::Zero();
    const SkinCell& cell = cells_[press.cell];
    const VectorSlope d_p = find_cell_slope(cell);
    const SurfaceSlope surface = find_surface(outline_, cell.p.x() + press.y);
    BoneSlope d = -d_p.row(1).transpose();
    if (surface.is_clamped) return d;
    const double cosine = surface.point.normal.y();
    const double per_y = surface.z + (cosine > kLeastCos ? cell.give * surface.cosine / (cosine * cosine) : 0.0);
    d += per_y * (d_p.row(0).transpose() + d_y);
    return d;
  }

  void find_offset_slope() {
    const Vec2& face = outline_.front_normal;
    BoneSlope d_y = -(face.transpose() * d_tip_).transpose() / face.x();
    d_y[kWithdrawal] += 1.0 / face.x();
    BoneSlope d_z = find_lift_slope(laying_.presses[0], d_y);
    if (laying_.presses.size() > 1) {
      d_y -= face.y() / face.x() * d_z;
      d_z = find_lift_slope(laying_.presses[1], d_y);
    }
    d_offset_.row(0) = d_y.transpose();
    d_offset_.row(1) = d_z.transpose();
  }

  /// A force on a bone at p (before the shift): its part of the Lagrangian changes as it moves by d_p and turns by
  /// d_turn.
  void add_force(Bone bone, const Vec2& p, const Vec2& force, const VectorSlope& d_p, const BoneSlope& d_turn,
                 bool is_felt) {
    const std::array<double, 3> worth = {bone == Bone::kDistal ? prices_[0] : 0.0,
                                         bone <= Bone::kMiddle ? prices_[1] : 0.0,
                                         bone <= Bone::kProximal ? prices_[2] : 0.0};
    const Vec2 lever = worth[0] * p + worth[1] * (p - pip_) + worth[2] * (p - mcp_);
    const Vec2 turned = turn(force);
    double per_turn = -kMomentScale * cross(lever, turned);
    if (is_felt) per_turn += task_.direction.dot(turned) - prices_[3] * cross(task_.direction, turned);
    slope_ += per_turn * d_turn;
    const VectorSlope d_lever = (worth[0] + worth[1] + worth[2]) * d_p - worth[1] * d_pip_ - worth[2] * d_mcp_;
    slope_ -= kMomentScale * (force.y() * d_lever.row(0) - force.x() * d_lever.row(1)).transpose();
  }

  void add_contact(std::size_t i) {
    const Vec2 force = program_.contact_force(i);
    const double price = program_.contact_price(i);
    if (price == 0.0 && force.isZero()) return;
    const PadContact& contact = seating_.contacts[i];
    if (contact.part == kMaxSkinCells) {
      add_tip_contact(i, force, price);
      return;
    }
    const SkinCell& cell = cells_[contact.part];
    const VectorSlope d_own = find_cell_slope(cell);
    const VectorSlope d_p = d_own + d_offset_;
    const SurfaceSlope surface = find_surface(outline_, contact.p.x());
    BoneSlope d_y = d_p.row(0).transpose();
    if (surface.is_clamped) d_y.setZero();
    // The shift moves skin and joints alike.
    add_force(contact.bone, cell.p, force, d_own, surface.turn * d_y, true);
    if (price == 0.0) return;
    BoneSlope d_log = BoneSlope::Zero();
    const double gap = surface.point.z - contact.p.y();
    const double pressed_m = gap * surface.point.normal.y();
    if (pressed_m < cell.give) {
      const BoneSlope d_pressed =
          surface.point.normal.y() * (surface.z * d_y - d_p.row(1).transpose()) + gap * surface.cosine * d_y;
      d_log += d_pressed / std::max(pressed_m, 1e-9);
    }
    d_log += find_cover_slope(cell, contact.p, d_p);
    slope_ += price * program_.contact_limit(i) * d_log;
  }

  /// Of the logarithm of the share that lies over the solid.
  BoneSlope find_cover_slope(const SkinCell& cell, const Vec2& p, const VectorSlope& d_p) const {
    if (cell.across <= 0.0) return BoneSlope::Zero();
    const double out = p.x() - outline_.outermost;
    const double covered = out / cell.across + 0.5;
    if (covered >= 1.0) return BoneSlope::Zero();
    BoneSlope d = d_p.row(0).transpose() / cell.across;
    const Vec2 from_tip = cell.p - laying_.tip_centre;
    const bool is_tip = cell.bone == Bone::kDistal && from_tip.dot(along_[0]) > 1e-9;
    const std::size_t bone = std::min<std::size_t>(2, static_cast<std::size_t>(cell.bone));
    const Vec2 strip = is_tip ? Vec2(turn(from_tip).normalized()) : along_[bone];
    const double d_across = std::copysign(cell.length, strip.x()) * -strip.y();
    d[static_cast<Eigen::Index>(bone)] -= out / (cell.across * cell.across) * d_across;
    return d / std::max(covered, 1e-9);
  }

  void add_tip_contact(std::size_t i, const Vec2& force, double price) {
    const Vec2& face = outline_.front_normal;
    add_force(Bone::kDistal, laying_.tip_centre - finger_.pad_m * face, force, d_tip_, BoneSlope::Zero(), true);
    const double pressed_m = -find_face_gap(finger_, outline_, laying_.tip_centre + laying_.offset);
    if (price == 0.0 || pressed_m >= kGiveTip_m) return;
    const BoneSlope d_pressed = -(face.transpose() * (d_tip_ + d_offset_)).transpose();
    slope_ += price * program_.contact_limit(i) / std::max(pressed_m, 1e-9) * d_pressed;
  }

  void add_tendons() {
    const Flexion flexion{task_.posture.dip, task_.posture.pip, task_.mcp};
    const MomentArms growth = find_moment_arm_growth(finger_, flexion);
    const double deep_N = kMomentScale * program_.deep_N();
    const double superficial_N = kMomentScale * program_.superficial_N();
    double per_dip = prices_[0] * growth.deep_dip * deep_N;
    const double per_pip = prices_[1] * (growth.deep_pip * deep_N + growth.superficial_pip * superficial_N);
    const double per_mcp = prices_[2] * (growth.deep_mcp * deep_N + growth.superficial_mcp * superficial_N);
    const double price = program_.passive_dip_price();
    if (price > 0.0) {
      const MomentArms arms = find_moment_arms(finger_, flexion);
      const double share = find_passive_dip_share(flexion.dip);
      per_dip += price * program_.room() * task_.deep_N *
                 (share * growth.deep_dip + find_passive_dip_share_growth(flexion.dip) * arms.deep_dip);
    }
    slope_[kPitch0] -= per_dip;
    slope_[kPitch1] += per_dip - per_pip;
    slope_[kPitch2] += per_pip + task_.mcp_slope * per_mcp;
  }

  void add_thumb() {
    const double thumb_N = program_.thumb_N();
    if (thumb_N == 0.0) return;
    VectorSlope d_nail = VectorSlope::Zero();
    const Vec2 nail = seating_.nail - laying_.offset;
    d_nail.col(kPitch0) = turn(nail);
    add_force(Bone::kDistal, nail, thumb_N * find_palmward(along_[0]), d_nail, BoneSlope::Unit(kPitch0), false);
  }

  /// Every limit shrinks with the room, and the load with them.
  void add_room() {
    slope_[kPitch2] += program_.value() * task_.log_fit_slope;
    if (seating_.room >= 1.0) return;
    const SkinCell back{laying_.under_roof, 1.0, 0.0, 0.0, laying_.under_roof_bone, false};
    const VectorSlope d_p = find_cell_slope(back) + d_offset_;
    const Vec2 p = back.p + laying_.offset;
    const double inside = std::clamp(p.x() / kRoofLip_m, 0.0, 1.0);
    BoneSlope d_squeeze = inside * d_p.row(1).transpose();
    if (inside < 1.0) d_squeeze += (p.y() - outline_.mouth) / kRoofLip_m * d_p.row(0).transpose();
    slope_ -= program_.value() / (seating_.room * kRoofSqueeze_m) * d_squeeze;
  }

  const SlopeTask& task_;
  const Finger& finger_;
  const hold::Outline& outline_;
  const FingerProgram& program_;
  const Seating& seating_;
  const SkinCells& cells_;
  const Laying& laying_;
  const std::array<Vec2, 3>& along_;
  const LoadProgram::Row& prices_;
  Vec2 pip_, mcp_;
  VectorSlope d_pip_, d_mcp_, d_tip_, d_offset_;
  BoneSlope slope_;
};

}  // namespace

BoneSlope find_slope(const SlopeTask& task) { return Slope(task).find(); }

}  // namespace steepwright::grip
