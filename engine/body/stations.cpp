#include "engine/body/joints.h"
#include "engine/body/tables/fingers.h"
#include "engine/core/units.h"

#include <cmath>

namespace steepwright::body {

namespace {

// In the plane of a finger: distal from the wrist joint, palmar from the knuckle's axis, m.
struct FingerPoint {
  double distal = 0.0, palmar = 0.0;
};

FingerPoint step_along(const FingerPoint& from, double length, double flexion) {
  return {from.distal + length * std::cos(flexion), from.palmar + length * std::sin(flexion)};
}

// The skin on the palmar side of a phalanx that points along `flexion`.
FingerPoint step_to_skin(const FingerPoint& from, double thickness, double flexion) {
  return {from.distal - thickness * std::sin(flexion), from.palmar + thickness * std::cos(flexion)};
}

// Middle of the contact: the distal pad; for a jug the crease between proximal and middle phalanx, which hooks the
// hold; for a palmed sloper the base of the fingers.
FingerPoint find_contact(Grip grip, const Lengths& lengths) {
  const tables::FingerAngles angles = tables::find_finger_angles(grip);
  const double hand = lengths.hand_length;
  const double proximal = rad_from_deg(angles.mcp_deg);
  const double middle = proximal + rad_from_deg(angles.pip_deg);
  const double distal = middle + rad_from_deg(angles.dip_deg);
  const FingerPoint knuckle = {lengths.wrist_to_tip - tables::kKnuckleToTip * hand, 0.0};
  if (grip == Grip::kSloperPalm) return step_to_skin(knuckle, tables::kPalmThickness_m, proximal);
  const FingerPoint pip = step_along(knuckle, tables::kProximalPhalanx * hand, proximal);
  if (grip == Grip::kJug) return step_to_skin(pip, tables::kPadThickness_m, 0.5 * (proximal + middle));
  const FingerPoint dip = step_along(pip, tables::kMiddlePhalanx * hand, middle);
  const FingerPoint pad = step_along(dip, 0.5 * tables::kDistalPhalanx * hand, distal);
  return step_to_skin(pad, tables::kPadThickness_m, distal);
}

// Quarter of the width of the fingers in use: four fingers span the hand's breadth; two hold like one point.
double find_half_spread(Grip grip, double hand_breadth) {
  const int fingers = finger_count(grip);
  return fingers <= 2 ? 0.0 : 0.25 * hand_breadth * fingers / 4.0;
}

Station make_hand_station(const Body& body, Side side, Grip grip, const Lengths& lengths) {
  Station station;
  station.segment = body.tree.find_segment(name_of(side, "hand"));
  // Arms hanging, palms to the thighs, thumbs forward. Raised with the palm to the wall, the climber's right is the
  // little finger's side of the right hand and the thumb's side of the left.
  station.distal_B = -Vec3::UnitZ();
  station.palmar_B = -sign_of(side) * Vec3::UnitX();
  station.lateral_B = -sign_of(side) * Vec3::UnitY();
  const FingerPoint contact = find_contact(grip, lengths);
  station.p_BC = contact.distal * station.distal_B + contact.palmar * station.palmar_B;
  station.half_spread_m = find_half_spread(grip, lengths.hand_breadth);
  return station;
}

Station make_foot_station(const Body& body, Side side, const Lengths& lengths) {
  // Behind the tip of a climbing shoe, and inside of the foot's middle (assumed: under the big toe).
  constexpr double kContactBehindTip_m = 0.010;
  constexpr double kBigToeInside_of_breadth = 0.30;
  constexpr double kFootHalfSpread_m = 0.015;
  Station station;
  station.segment = body.tree.find_segment(name_of(side, "foot"));
  station.distal_B = Vec3::UnitY();
  station.lateral_B = Vec3::UnitX();
  station.palmar_B = -Vec3::UnitZ();
  station.p_BC =
      Vec3(-sign_of(side) * kBigToeInside_of_breadth * lengths.foot_breadth,
           (1.0 - kHeelBehindAnkle_of_foot) * lengths.foot_length - kContactBehindTip_m, -lengths.ankle_height);
  station.half_spread_m = kFootHalfSpread_m;
  return station;
}

}  // namespace

void set_stations(Body& body, const Lengths& lengths) {
  for (const Side side : {Side::kLeft, Side::kRight}) {
    for (const Grip grip : kGrips) {
      body.hand_stations[index_of(side)][static_cast<std::size_t>(grip)] = make_hand_station(body, side, grip, lengths);
    }
    body.foot_stations[index_of(side)] = make_foot_station(body, side, lengths);
  }
}

}  // namespace steepwright::body
