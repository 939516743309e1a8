#include "engine/figure/move_figure.h"

#include "engine/body/kinematics.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace steepwright::figure {

namespace {

constexpr double kComRadius = 0.02;
constexpr double kContactRadius = 0.012;
constexpr double kSmallestForce_N = 1.0;  // below, an arrow would be a dot

// The point of the hand that touches depends on the grip; the skeleton's hand end is the open hand's.
Vec3 find_hand_end(const body::Body& body, const move::Frame& frame, Limb limb, const Vec3& open_hand_B) {
  const move::ContactResult* contact = frame.find_contact(limb);
  if (contact == nullptr || !contact->grip) return open_hand_B;
  return body.station(limb, *contact->grip).p_BC;
}

void add_body(const body::Body& body, const Skeleton& skeleton, const move::Frame& frame, int index,
              const body::Kinematics& kinematics, Figure& figure) {
  std::vector<Vec3> joints = calc_joint_positions(skeleton, kinematics);
  for (const Limb limb : {Limb::kLeftHand, Limb::kRightHand}) {
    const int segment = body.hand_stations[is_left(limb) ? 0 : 1][0].segment;
    for (std::size_t i = 0; i < joints.size(); ++i) {
      const Joint& joint = skeleton.joints[i];
      if (joint.segment != segment || joint.p_BQ.isZero()) continue;
      joints[i] = body::find_position(kinematics, segment, find_hand_end(body, frame, limb, joint.p_BQ));
    }
  }
  for (const Bone& bone : skeleton.bones) {
    if (bone.segment == skeleton.head_segment) continue;
    figure.lines.push_back({Role::kBone,
                            index,
                            {joints[static_cast<std::size_t>(bone.from)], joints[static_cast<std::size_t>(bone.to)]},
                            body.tree.segments[static_cast<std::size_t>(bone.segment)].name});
  }
  if (skeleton.head_segment >= 0) {
    figure.balls.push_back({Role::kHead, index, body::find_position(kinematics, skeleton.head_segment, skeleton.head_B),
                            skeleton.head_radius_m, "head"});
  }
  for (const body::Capsule& capsule : body.capsules) {
    if (capsule.segment == skeleton.head_segment) continue;
    figure.tubes.push_back({Role::kFlesh, index, body::find_position(kinematics, capsule.segment, capsule.pA_B),
                            body::find_position(kinematics, capsule.segment, capsule.pB_B), capsule.radius_A,
                            capsule.radius_B});
  }
}

void add_contacts(const move::Frame& frame, int index, const MoveFigureOptions& options, Figure& figure) {
  for (const move::ContactResult& contact : frame.contacts) {
    figure.balls.push_back(
        {Role::kContact, index, contact.p_WC, kContactRadius, std::string(short_name(contact.limb))});
    const double force_N = contact.f_C_W.norm();
    if (!contact.is_loaded || !(force_N > kSmallestForce_N) || !std::isfinite(force_N)) continue;
    figure.arrows.push_back(
        {Role::kForce, index, contact.p_WC, contact.f_C_W * options.m_per_N, contact.capacity_use,
         std::string(short_name(contact.limb)) + " " + std::to_string(std::lround(force_N)) + " N"});
  }
}

Vec3 find_target(const move::Scene& scene, const move::LimbPlace& place) {
  if (place.hold >= 0) {
    const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(place.hold)];
    if (place.site >= 0 && place.site < static_cast<int>(hold.hold.sites.size()))
      return hold.X_WH * hold.hold.sites[static_cast<std::size_t>(place.site)].X_HS.p;
    return hold.X_WH.p;
  }
  if (place.strip < 0) return Vec3::Zero();
  return scene.wall.strips[static_cast<std::size_t>(place.strip)].X_WP * Vec3(place.across_m, place.up_m, 0.0);
}

// Where the limb ends in the last frame that has one, against where it should be.
void add_shortfall(const move::Scene& scene, const body::Body& body, const move::Move& move,
                   const move::MoveResult& result, Figure& figure) {
  if (!result.shortfall.reach_mm) return;
  const Vec3 target_W = find_target(scene, move.target);
  body::Kinematics kinematics;
  double nearest = 1e300;
  Line gap{Role::kShortfall, kNoFrame, {}, std::to_string(std::lround(*result.shortfall.reach_mm)) + " mm short"};
  for (std::size_t i = 0; i < result.frames.size(); ++i) {
    const move::Frame& frame = result.frames[i];
    if (frame.phase != move::Phase::kTouch && frame.phase != move::Phase::kSettled) continue;
    body::update_kinematics(body.tree, frame.posture, kinematics);
    const body::Station& station = body.station(move.moving, move.target.grip.value_or(Grip::kOpenHand));
    const Vec3 end_W = body::find_position(kinematics, station.segment, station.p_BC);
    if ((end_W - target_W).norm() >= nearest) continue;
    nearest = (end_W - target_W).norm();
    gap.frame = static_cast<int>(i);
    gap.points_W = {end_W, target_W};
  }
  if (!gap.points_W.empty()) figure.lines.push_back(std::move(gap));
}

}  // namespace

Figure make_frame_figure(const body::Body& body, const Skeleton& skeleton, const move::Frame& frame, int frame_index,
                         const MoveFigureOptions& options) {
  Figure figure;
  figure.lines.reserve(skeleton.bones.size() + 1);
  figure.tubes.reserve(body.capsules.size());
  figure.balls.reserve(frame.contacts.size() + 2);
  figure.arrows.reserve(frame.contacts.size());
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  add_body(body, skeleton, frame, frame_index, kinematics, figure);
  add_contacts(frame, frame_index, options, figure);
  figure.balls.push_back({Role::kCom, frame_index, frame.p_Wcm, kComRadius, {}});
  figure.lines.push_back({Role::kPlumb, frame_index, {frame.p_Wcm, Vec3(frame.p_Wcm.x(), frame.p_Wcm.y(), 0.0)}, {}});
  return figure;
}

Figure make_move_figure(const move::Scene& scene, const body::Body& body, const move::MoveResult& result,
                        const MoveFigureOptions& options) {
  Figure figure;
  const Skeleton skeleton = make_skeleton(body);
  Line path{Role::kComPath, kNoFrame, {}, "centre of mass"};
  for (std::size_t i = 0; i < result.frames.size(); ++i) {
    const move::Frame& frame = result.frames[i];
    if (frame.posture.angles.size() != body.tree.n_hinges()) continue;  // nothing was found for this instant
    append(figure, make_frame_figure(body, skeleton, frame, static_cast<int>(i), options));
    path.points_W.push_back(frame.p_Wcm);
  }
  if (path.points_W.size() > 1) figure.lines.push_back(std::move(path));
  const auto move = std::find_if(scene.moves.begin(), scene.moves.end(),
                                 [&result](const move::Move& candidate) { return candidate.name == result.name; });
  if (move != scene.moves.end()) {
    figure.balls.push_back({Role::kTarget, kNoFrame, find_target(scene, move->target), 0.035, {}});
    add_shortfall(scene, body, *move, result, figure);
  }
  return figure;
}

}  // namespace steepwright::figure
