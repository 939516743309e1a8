#pragma once

/// Recomputes what a result record claims from its JSON alone; no engine code takes part. Rules: equilibrium within 0.5
/// N and 0.5 Nm about the centre of mass, forces inside their cones and capacities, bones of constant length within 1
/// mm, centre of mass from segment masses, no joint inside the wall.

#include <Eigen/Geometry>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace steepwright::tests {

struct RecordTolerances {
  double force_N = 0.5;
  double moment_Nm = 0.5;
  double length_m = 1e-3;
  double com_m = 1e-4;
  double penetration_m = 1e-3;
  double cone_N = 0.05;    ///< rounding and the solver's own precision
  double relative = 2e-3;  ///< on capacities, torques and effort
  double angle_deg = 0.02;
};

class RecordCheck {
 public:
  using Json = nlohmann::json;
  using Vector = Eigen::Vector3d;

  explicit RecordCheck(const Json& record, const RecordTolerances& tolerances = {})
      : record_(record), tol_(tolerances) {}

  std::vector<std::string> run() {
    try {
      where_ = "record";
      expect(record_.at("record") == 1, "is not version 1");
      check_climber();
      for (const Json& move : record_.at("moves")) check_move(move);
    } catch (const Json::exception& error) {
      add(std::string("cannot be read: ") + error.what());
    }
    return std::move(violations_);
  }

 private:
  static constexpr double kG = 9.80665;

  void add(const std::string& what) { violations_.push_back(where_ + ": " + what); }
  void expect(bool holds, const std::string& otherwise) {
    if (!holds) add(otherwise);
  }
  static std::string num(double value) { return std::to_string(value); }
  static Vector vec(const Json& list) {
    return {list.at(0).get<double>(), list.at(1).get<double>(), list.at(2).get<double>()};
  }

  void check_climber() {
    const Json& climber = record_.at("climber");
    mass_kg_ = climber.at("mass_kg").get<double>();
    double sum = 0.0;
    for (const Json& segment : climber.at("segments")) sum += segment.at("mass_kg").get<double>();
    expect(std::abs(sum - mass_kg_) < 1e-6 * mass_kg_,
           "segment masses sum to " + num(sum) + " kg, not " + num(mass_kg_));
  }

  void check_move(const Json& move) {
    const std::string name = move.at("name").get<std::string>();
    bool all_held = !move.at("frames").empty();
    std::size_t index = 0;
    for (const Json& frame : move.at("frames")) {
      where_ =
          "move '" + name + "', frame " + std::to_string(index++) + " (" + frame.at("phase").get<std::string>() + ")";
      check_frame(frame);
      all_held = all_held && frame.at("held").get<bool>();
      const Json& peak = move.at("effort_peak");  // null: some frame has no finite effort
      if (frame.at("held").get<bool>() && frame.at("effort").is_number() && peak.is_number())
        expect(peak.get<double>() >= frame.at("effort").get<double>() - 1e-6, "effort is above the move's effort_peak");
    }
    where_ = "move '" + name + "'";
    const bool is_static = move.at("verdict") == "static";
    expect(is_static == all_held,
           is_static ? "is static although a frame does not hold" : "is not static although all frames hold");
    if (is_static) expect(move.at("effort_peak").is_number(), "is static without an effort_peak");
    expect(is_static == (move.at("cause") == "none"), "verdict and cause contradict each other");
  }

  void check_frame(const Json& frame) {
    const bool is_held = frame.at("held").get<bool>();
    const Vector com = vec(frame.at("com_m"));
    if (!frame.at("joints").empty()) check_body(frame, com, is_held);
    if (is_held) expect(!frame.at("joints").empty(), "holds without a posture");
    Vector force(0.0, 0.0, -mass_kg_ * kG);
    Vector moment = Vector::Zero();
    double use = 0.0;
    for (const Json& contact : frame.at("contacts")) {
      check_contact(contact, is_held);
      for (const Json& point : contact.at("points")) {
        force += vec(point.at("force_N"));
        moment += (vec(point.at("point_m")) - com).cross(vec(point.at("force_N")));
      }
      use = std::max(use, find_capacity_use(contact));
    }
    for (const auto& [name, torque] : frame.at("joint_torques").items()) {
      const double size = std::abs(torque.at("Nm").get<double>());
      const double limit = torque.at("limit_Nm").get<double>();
      use = std::max(use, limit > 0.0 ? size / limit : (size > 0.05 ? 1e9 : 0.0));
      if (is_held)
        expect(size <= limit * (1.0 + tol_.relative) + 0.05,
               name + " carries " + num(size) + " of " + num(limit) + " Nm");
    }
    if (is_held) {
      expect(force.norm() <= tol_.force_N, "forces and weight leave " + num(force.norm()) + " N");
      expect(moment.norm() <= tol_.moment_Nm, "moments about the centre of mass leave " + num(moment.norm()) + " Nm");
      check_held_numbers(frame, use);
    } else if (!frame.at("joints").empty()) {
      check_residuals(frame, force.norm(), moment.norm());
    }
  }

  void check_held_numbers(const Json& frame, double use) {
    expect(frame.at("contacts_met").get<bool>(), "holds although the contacts are not met");
    expect(frame.at("contact_error_mm").get<double>() <= 1.0 + 1e-6, "contacts are off by more than 1 mm");
    const Json& effort = frame.at("effort");
    expect(effort.is_number() && effort.get<double>() <= 1.0 + tol_.relative, "holds with an effort above 1");
    // Effort is the least over all force distributions, so this one cannot use less of its limits.
    if (effort.is_number())
      expect(effort.get<double>() <= use + tol_.relative,
             "effort " + num(effort.get<double>()) + " is above the largest use " + num(use));
    const Json& factor = frame.at("mu_needed_factor");
    expect(factor.is_number() && factor.get<double>() <= 1.0 + tol_.relative, "holds although more friction is needed");
  }

  void check_residuals(const Json& frame, double force, double moment) {
    expect(std::abs(frame.at("residual_N").get<double>() - force) <= tol_.force_N, "residual_N is not " + num(force));
    expect(std::abs(frame.at("residual_Nm").get<double>() - moment) <= tol_.moment_Nm,
           "residual_Nm is not " + num(moment));
  }

  static double find_capacity_use(const Json& contact) {
    double use = 0.0;
    const Vector force = vec(contact.at("force_N"));
    for (const Json& bound : contact.at("capacity"))
      use = std::max(use, vec(bound.at("a")).dot(force) / bound.at("b_N").get<double>());
    return use;
  }

  void check_contact(const Json& contact, bool is_held) {
    const std::string limb = contact.at("limb").get<std::string>();
    const Vector force = vec(contact.at("force_N"));
    const Vector normal = vec(contact.at("normal"));
    expect(std::abs(normal.norm() - 1.0) < 1e-6, limb + ": normal is no unit vector");
    Vector sum = Vector::Zero();
    Vector middle = Vector::Zero();
    for (const Json& point : contact.at("points")) {
      sum += vec(point.at("force_N"));
      middle += vec(point.at("point_m")) / static_cast<double>(contact.at("points").size());
    }
    if (!contact.at("points").empty()) {
      expect((sum - force).norm() < 1e-3, limb + ": force_N is not the sum over its points");
      expect((middle - vec(contact.at("point_m"))).norm() < tol_.length_m,
             limb + ": point_m is not the middle of its points");
    }
    if (!contact.at("loaded").get<bool>()) {
      expect(force.norm() < 1e-3, limb + ": carries load although it is only placed");
      return;
    }
    for (const Json& bound : contact.at("capacity"))
      expect(bound.at("b_N").get<double>() > 0.0, limb + ": a capacity bound is not positive");
    expect(std::abs(find_capacity_use(contact) - contact.at("capacity_use").get<double>()) <=
               tol_.relative * std::max(1.0, find_capacity_use(contact)),
           limb + ": capacity_use is not " + num(find_capacity_use(contact)));
    check_friction_numbers(contact, limb, force, normal);
    if (!is_held) return;
    for (const Json& point : contact.at("points"))
      check_cone(contact, limb, vec(point.at("force_N")), vec(point.at("normal")));
    expect(find_capacity_use(contact) <= 1.0 + tol_.relative, limb + ": capacity is exceeded");
  }

  void check_friction_numbers(const Json& contact, const std::string& limb, const Vector& force, const Vector& normal) {
    if (force.norm() < 1.0) return;  // rounding dominates
    const double along = force.dot(normal);
    const double across = (force - along * normal).norm();
    const double cone_deg = (std::atan(contact.at("mu").get<double>()) - std::atan2(across, along)) * 180.0 / M_PI;
    expect(contact.at("slip_margin_deg").get<double>() <= cone_deg + tol_.angle_deg,
           limb + ": slip_margin_deg is larger than the Coulomb cone allows, " + num(cone_deg));
    check_slip_off(contact, limb, force);
    const Json& mu_used = contact.at("mu_used");
    if (mu_used.is_number())
      expect(std::abs(mu_used.get<double>() - across / along) <= tol_.relative * std::max(1.0, across / along),
             limb + ": mu_used is not " + num(across / along));
    else
      expect(along <= 1e-3, limb + ": mu_used is null although the contact is pressed");
  }

  // Turned about the lip by a little less than the margin the force is still within what can be held, by a little more
  // it is not, where strength is what ends it.
  void check_slip_off(const Json& contact, const std::string& limb, const Vector& force) {
    const double margin_deg = contact.at("slip_off_margin_deg").get<double>();
    const double friction_deg = contact.at("slip_margin_deg").get<double>();
    const bool is_by_strength = contact.at("slips_off_by") == "strength";
    expect(margin_deg <= friction_deg + 1e-3, limb + ": slip_off_margin_deg is above slip_margin_deg");
    expect(is_by_strength || margin_deg >= friction_deg - 1e-3, limb + ": friction does not end slip_off_margin_deg");
    const Vector lip = vec(contact.at("lip"));
    expect(std::abs(lip.norm() - 1.0) < 1e-6, limb + ": lip is no unit vector");
    const auto find_use = [&](double turn_deg) {
      Json turned = contact;
      const Vector swung = Eigen::AngleAxisd(-turn_deg * M_PI / 180.0, lip) * force;
      turned["force_N"] = {swung.x(), swung.y(), swung.z()};
      return find_capacity_use(turned);
    };
    if (find_use(0.0) > 1.0) return;
    expect(find_use(margin_deg - 0.5) <= 1.0 || margin_deg < 0.5, limb + ": the capacity ends before the margin does");
    expect(!is_by_strength || find_use(margin_deg + 0.5) > 1.0, limb + ": the capacity does not end the margin");
  }

  void check_cone(const Json& contact, const std::string& limb, const Vector& force, const Vector& normal) {
    const double along = force.dot(normal);
    const double across = (force - along * normal).norm();
    expect(across <= contact.at("mu").get<double>() * along + tol_.cone_N, limb + ": a force leaves the Coulomb cone");
    // The generators are an ordered ring: each neighbouring pair spans a face.
    std::vector<Vector> ring;
    Vector inside = Vector::Zero();
    for (const Json& generator : contact.at("cone")) {
      ring.push_back(vec(generator));
      inside += ring.back();
    }
    if (ring.size() < 3) {
      expect(force.norm() <= tol_.cone_N, limb + ": carries load although its cone is empty");
      return;
    }
    for (std::size_t i = 0; i < ring.size(); ++i) {
      Vector face = ring[i].cross(ring[(i + 1) % ring.size()]);
      if (face.norm() < 1e-6) continue;
      face.normalize();
      if (face.dot(inside) < 0.0) face = -face;
      if (face.dot(force) < -tol_.cone_N) {
        add(limb + ": a force leaves the cone of generators by " + num(-face.dot(force)) + " N");
        return;
      }
    }
  }

  void check_body(const Json& frame, const Vector& com, bool is_held) {
    const Json& joints = frame.at("joints");
    for (const Json& bone : record_.at("climber").at("bones")) {
      const std::string from = bone.at("from").get<std::string>();
      const std::string to = bone.at("to").get<std::string>();
      const double length = (vec(joints.at(from)) - vec(joints.at(to))).norm();
      expect(std::abs(length - 1e-3 * bone.at("length_mm").get<double>()) <= tol_.length_m,
             std::string("bone ").append(from).append(" to ").append(to).append(" is ").append(num(1e3 * length)));
    }
    Vector sum = Vector::Zero();
    for (const Json& segment : record_.at("climber").at("segments"))
      sum +=
          segment.at("mass_kg").get<double>() * vec(frame.at("segment_coms").at(segment.at("name").get<std::string>()));
    expect((sum / mass_kg_ - com).norm() <= tol_.com_m,
           "com_m is off the segments' by " + num(1e3 * (sum / mass_kg_ - com).norm()) + " mm");
    if (!is_held) return;
    for (const auto& [name, point] : joints.items()) {
      const double depth = find_depth(vec(point));
      expect(depth <= tol_.penetration_m, name + " is " + num(1e3 * depth) + " mm inside the wall");
    }
  }

  // How deep a point is behind the strips of the section it stands before; 0 outside.
  [[nodiscard]] double find_depth(const Vector& point) const {
    std::map<int, std::vector<const Json*>> sections;
    for (const Json& strip : record_.at("wall").at("strips")) sections[strip.value("section", 0)].push_back(&strip);
    double depth = std::max(0.0, -point.z());  // the floor
    for (const auto& [section, strips] : sections) {
      const Vector first = vec(strips.front()->at("origin_m"));
      if (point.x() < first.x() || point.x() > first.x() + strips.front()->at("width_m").get<double>()) continue;
      depth = std::max(depth, find_section_depth(strips, point));
    }
    return depth;
  }

  static double find_section_depth(const std::vector<const Json*>& strips, const Vector& point) {
    using Planar = Eigen::Vector2d;
    const Planar at(point.y(), point.z());
    std::vector<Planar> outline;
    double nearest = 1e300;
    for (const Json* strip : strips) {
      const Vector origin = vec(strip->at("origin_m"));
      const Vector end = origin + strip->at("length_m").get<double>() * vec(strip->at("up"));
      const Planar a(origin.y(), origin.z());
      const Planar b(end.y(), end.z());
      if (outline.empty()) outline.push_back(a);
      outline.push_back(b);
      const double share = std::clamp((at - a).dot(b - a) / (b - a).squaredNorm(), 0.0, 1.0);
      nearest = std::min(nearest, (at - a - share * (b - a)).norm());
    }
    // Closed far behind: straight back from the top edge, and along the floor.
    const Vector normal = vec(strips.back()->at("normal"));
    outline.push_back(outline.back() - 20.0 * Planar(normal.y(), normal.z()));
    outline.emplace_back(40.0, outline.back().y());
    outline.emplace_back(40.0, outline.front().y());
    bool is_inside = false;
    for (std::size_t i = 0, j = outline.size() - 1; i < outline.size(); j = i++) {
      if ((outline[i].y() > at.y()) == (outline[j].y() > at.y())) continue;
      const double crossing = outline[i].x() + (at.y() - outline[i].y()) * (outline[j].x() - outline[i].x()) /
                                                   (outline[j].y() - outline[i].y());
      if (at.x() < crossing) is_inside = !is_inside;
    }
    return is_inside ? nearest : 0.0;
  }

  const Json& record_;
  RecordTolerances tol_;
  std::string where_;
  std::vector<std::string> violations_;
  double mass_kg_ = 0.0;
};

/// What in the record contradicts itself or mechanics; empty when all holds.
[[nodiscard]] inline std::vector<std::string> check_record(const nlohmann::json& record,
                                                           const RecordTolerances& tolerances = {}) {
  return RecordCheck(record, tolerances).run();
}

}  // namespace steepwright::tests
