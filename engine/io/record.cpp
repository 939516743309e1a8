#include "engine/io/record.h"

#include "engine/body/kinematics.h"
#include "engine/core/constants.h"
#include "engine/core/units.h"
#include "engine/figure/cautions.h"
#include "engine/figure/skeleton.h"
#include "engine/io/atomic_file.h"
#include "engine/io/json_text.h"
#include "engine/io/trace_record.h"

namespace steepwright::io {

namespace {

constexpr double kPerMetre = 1e6;
constexpr double kPerNewton = 1e4;
constexpr double kPerNewtonMetre = 1e5;
constexpr double kPerUnit = 1e9;

Json number(double value, double steps_per_unit) { return to_json_number(value, steps_per_unit); }

Json vector(const Vec3& v, double steps_per_unit) {
  return Json::array({number(v.x(), steps_per_unit), number(v.y(), steps_per_unit), number(v.z(), steps_per_unit)});
}

Json millimetres(double length_m) { return number(mm_from_m(length_m), 1e3); }

Json make_climber(const move::Climber& climber, const body::Body& body, const figure::Skeleton& skeleton) {
  Json segments = Json::array();
  for (std::size_t i = 0; i < body.tree.segments.size(); ++i) {
    const int main = skeleton.main_bone[i];
    const double length_m = main < 0 ? 0.0 : skeleton.bones[static_cast<std::size_t>(main)].length_m;
    segments.push_back({{"name", body.tree.segments[i].name},
                        {"mass_kg", number(body.tree.segments[i].mass_kg, 1e9)},
                        {"length_mm", millimetres(length_m)}});
  }
  Json bones = Json::array();
  for (const figure::Bone& bone : skeleton.bones) {
    bones.push_back({{"segment", body.tree.segments[static_cast<std::size_t>(bone.segment)].name},
                     {"from", skeleton.joints[static_cast<std::size_t>(bone.from)].name},
                     {"to", skeleton.joints[static_cast<std::size_t>(bone.to)].name},
                     {"length_mm", millimetres(bone.length_m)}});
  }
  return {{"name", climber.measures.name},
          {"mass_kg", number(body.tree.mass_kg, 1e9)},
          {"stature_mm", millimetres(climber.measures.stature_m)},
          {"span_mm", millimetres(body.span_m)},
          {"edge_force_N", number(climber.fingers.edge_force_N, kPerNewton)},
          {"edge_force_measured", climber.fingers.is_measured},
          {"segments", std::move(segments)},
          {"bones", std::move(bones)}};
}

Json make_wall(const wall::Wall& wall) {
  Json strips = Json::array();
  for (const wall::Strip& strip : wall.strips) {
    strips.push_back({{"name", strip.name},
                      {"section", strip.section},
                      {"angle_deg", number(deg_from_rad(strip.angle), 1e6)},
                      {"origin_m", vector(strip.X_WP.p, 1e9)},
                      {"across", vector(strip.X_WP.R.col(0), kPerUnit)},
                      {"up", vector(strip.X_WP.R.col(1), kPerUnit)},
                      {"normal", vector(strip.X_WP.R.col(2), kPerUnit)},
                      {"width_m", number(strip.width_m, 1e9)},
                      {"length_m", number(strip.length_m, 1e9)}});
  }
  return {{"name", wall.name}, {"strips", std::move(strips)}};
}

Json make_holds(const move::Scene& scene) {
  Json holds = Json::array();
  for (const move::PlacedHold& hold : scene.holds) {
    const std::size_t strip = static_cast<std::size_t>(hold.strip);
    holds.push_back({{"name", hold.name},
                     {"model", hold.model},
                     {"strip", strip < scene.wall.strips.size() ? scene.wall.strips[strip].name : std::string()},
                     {"across_mm", millimetres(hold.across_m)},
                     {"up_mm", millimetres(hold.up_m)},
                     {"rotation_deg", number(deg_from_rad(hold.rotation), 1e6)},
                     {"bolt_m", vector(hold.X_WH.p, kPerMetre)}});
  }
  return holds;
}

Json make_contact(const move::ContactResult& contact) {
  Json points = Json::array();
  for (const move::ContactResult::Point& point : contact.points) {
    points.push_back({{"point_m", vector(point.p_WC, kPerMetre)},
                      {"normal", vector(contact.capacity.normal, kPerUnit)},
                      {"force_N", vector(point.f_C_W, kPerNewton)}});
  }
  Json cone = Json::array();
  for (const Vec3& generator : make_cone_generators(contact.capacity)) cone.push_back(vector(generator, kPerUnit));
  Json capacity = Json::array();
  for (const HalfSpace& bound : contact.capacity.bounds)
    capacity.push_back({{"a", vector(bound.a, kPerUnit)}, {"b_N", number(bound.b_N, kPerNewton)}});
  return {{"limb", short_name(contact.limb)},
          {"hold", contact.hold},
          {"site", contact.site},
          {"grip", contact.grip ? Json(name_of(*contact.grip)) : Json(nullptr)},
          {"loaded", contact.is_loaded},
          {"point_m", vector(contact.p_WC, kPerMetre)},
          {"normal", vector(contact.capacity.normal, kPerUnit)},
          {"mu", number(contact.capacity.mu, kPerUnit)},
          {"force_N", vector(contact.f_C_W, kPerNewton)},
          {"points", std::move(points)},
          {"cone", std::move(cone)},
          {"capacity", std::move(capacity)},
          {"capacity_use", number(contact.capacity_use, 1e6)},
          {"slip_margin_deg", number(deg_from_rad(contact.slip_margin), 1e4)},
          {"slip_off_margin_deg", number(deg_from_rad(contact.slip_off.margin), 1e4)},
          {"slips_off_by", name_of_end(contact.slip_off)},
          {"lip", vector(contact.lip_W, kPerUnit)},
          {"mu_used", number(contact.mu_used, 1e6)}};
}

void add_posture(const body::Body& body, const figure::Skeleton& skeleton, const move::Frame& frame, Json& json) {
  Json joints = Json::object();
  Json segment_coms = Json::object();
  if (frame.posture.angles.size() == body.tree.n_hinges()) {
    body::Kinematics kinematics;
    body::update_kinematics(body.tree, frame.posture, kinematics);
    const std::vector<Vec3> positions = figure::calc_joint_positions(skeleton, kinematics);
    for (std::size_t i = 0; i < positions.size(); ++i)
      joints[skeleton.joints[i].name] = vector(positions[i], kPerMetre);
    for (int i = 0; i < body.tree.n_segments(); ++i) {
      const body::Segment& segment = body.tree.segments[static_cast<std::size_t>(i)];
      segment_coms[segment.name] = vector(body::find_position(kinematics, i, segment.p_Bcm), kPerMetre);
    }
  }
  json["joints"] = std::move(joints);
  json["segment_coms"] = std::move(segment_coms);
}

Json make_frame(const body::Body& body, const figure::Skeleton& skeleton, const move::Frame& frame) {
  Json json = {{"phase", move::name_of(frame.phase)},    {"t", number(frame.t, 1e6)},           {"held", frame.is_held},
               {"contacts_met", frame.has_posture},      {"cause", move::name_of(frame.cause)}, {"limit", frame.limit},
               {"com_m", vector(frame.p_Wcm, kPerMetre)}};
  add_posture(body, skeleton, frame, json);
  Json contacts = Json::array();
  for (const move::ContactResult& contact : frame.contacts) contacts.push_back(make_contact(contact));
  json["contacts"] = std::move(contacts);
  Json torques = Json::object();
  for (const move::JointTorque& joint : frame.joint_torques) {
    torques[joint.name] = {{"Nm", number(joint.torque_Nm, kPerNewtonMetre)},
                           {"limit_Nm", number(joint.limit_Nm, kPerNewtonMetre)}};
  }
  json["joint_torques"] = std::move(torques);
  json["effort"] = number(frame.effort, 1e6);
  json["mu_needed_factor"] = number(frame.mu_needed_factor, 1e6);
  json["residual_N"] = number(frame.residual_N, kPerNewton);
  json["residual_Nm"] = number(frame.residual_Nm, kPerNewtonMetre);
  json["contact_error_mm"] = millimetres(frame.contact_error_m);
  json["clearance_mm"] = millimetres(frame.clearance_m);
  return json;
}

Json make_shortfall(const move::Shortfall& shortfall) {
  Json json = Json::object();
  const auto add = [&json](const char* key, const std::optional<double>& value) {
    if (value) json[key] = number(*value, 1e6);
  };
  add("reach_mm", shortfall.reach_mm);
  add("clearance_mm", shortfall.clearance_mm);
  add("mu_needed", shortfall.mu_needed);
  add("mu_given", shortfall.mu_given);
  add("effort", shortfall.effort);
  add("force_N", shortfall.force_N);
  add("torque_Nm", shortfall.torque_Nm);
  return json;
}

Json limb_or_null(const std::optional<Limb>& limb) { return limb ? Json(short_name(*limb)) : Json(nullptr); }

Json make_move(const body::Body& body, const figure::Skeleton& skeleton, const move::MoveResult& result) {
  Json frames = Json::array();
  for (const move::Frame& frame : result.frames) frames.push_back(make_frame(body, skeleton, frame));
  return {{"name", result.name},
          {"verdict", move::name_of(result.verdict)},
          {"cause", move::name_of(result.cause)},
          {"cause_text", result.cause_text},
          {"deciding_phase", move::name_of(result.deciding_phase)},
          {"deciding_limb", limb_or_null(result.deciding_limb)},
          {"shortfall", make_shortfall(result.shortfall)},
          {"effort_peak", number(result.effort_peak, 1e6)},
          {"lower_hand", limb_or_null(result.lower_hand)},
          {"slip_risk", nullptr},  // share of draws that fail, where it was asked for (add_extras)
          {"frames", std::move(frames)}};
}

}  // namespace

nlohmann::ordered_json make_record(const move::Scene& scene, const body::Body& body,
                                   const std::vector<move::MoveResult>& results,
                                   const std::vector<MoveExtras>& extras) {
  const figure::Skeleton skeleton = figure::make_skeleton(body);
  Json moves = Json::array();
  for (std::size_t i = 0; i < results.size(); ++i) {
    moves.push_back(make_move(body, skeleton, results[i]));
    add_trace(results[i], moves.back());
    if (i < extras.size()) add_extras(extras[i], moves.back());
  }
  Json cautions = Json::array();
  for (const std::string_view caution : figure::kCautions) cautions.push_back(caution);
  return {{"record", kRecordVersion},
          {"scene", scene.name},
          {"gravity", kGravity},
          {"cautions", std::move(cautions)},
          {"climber", make_climber(scene.climber, body, skeleton)},
          {"wall", make_wall(scene.wall)},
          {"holds", make_holds(scene)},
          {"moves", std::move(moves)}};
}

nlohmann::ordered_json make_record(const move::Scene& scene, const body::Body& body,
                                   const std::vector<move::MoveResult>& results) {
  return make_record(scene, body, results, {});
}

std::string format_record(const move::Scene& scene, const body::Body& body,
                          const std::vector<move::MoveResult>& results, const std::vector<MoveExtras>& extras) {
  return format_json(make_record(scene, body, results, extras));
}

std::string format_record(const move::Scene& scene, const body::Body& body,
                          const std::vector<move::MoveResult>& results) {
  return format_record(scene, body, results, {});
}

Result<void> save_record(const std::string& path, const move::Scene& scene, const body::Body& body,
                         const std::vector<move::MoveResult>& results, const std::vector<MoveExtras>& extras) {
  return save_atomically(path, format_record(scene, body, results, extras));
}

Result<void> save_record(const std::string& path, const move::Scene& scene, const body::Body& body,
                         const std::vector<move::MoveResult>& results) {
  return save_record(path, scene, body, results, {});
}

}  // namespace steepwright::io
