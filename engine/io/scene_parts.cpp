#include "engine/io/scene_parts.h"

#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/io/file_units.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

#include <map>

namespace steepwright::io {

namespace {

/// Reports names that are used twice.
class UniqueNames {
 public:
  void add(const Entry& entry, const std::string& name, Findings& findings) {
    const auto [first, is_new] = lines_.emplace(name, entry.place_of("name").line);
    if (is_new) return;
    findings.push_back(
        entry.error("name", fmt::format("{} is already used in line {}", in_quotes(name), first->second)));
  }

 private:
  std::map<std::string, int> lines_;
};

Finding unknown_name(const Entry& entry, std::string_view key, std::string_view what, const std::string& name,
                     const std::vector<std::string>& known) {
  const auto nearest = find_nearest_name(name, known);
  std::string remedy = nearest ? fmt::format("did you mean '{}'?", *nearest) : "there are " + list_of(known);
  if (known.empty()) remedy = "there is none";
  return entry.error(key, fmt::format("there is no {} {}", what, in_quotes(name)), std::move(remedy));
}

wall::Strip read_strip(const Entry& entry, double width_m) {
  const auto length = [](const Entry& table, std::string_view key) { return length_from_mm(*table.number(key)); };
  wall::Strip strip;
  strip.name = *entry.text("name");
  strip.angle = rad_from_deg(*entry.number("angle_deg"));
  strip.width_m = width_m;
  strip.length_m = length(entry, "length_mm");
  strip.thickness_m = length(entry, "thickness_mm");
  if (const auto table = entry.entry("lattice")) {
    strip.lattice =
        wall::Lattice{length(*table, "pitch_across_mm"), length(*table, "pitch_up_mm"),
                      length(*table, "first_across_mm"), length(*table, "first_up_mm"), length(*table, "stagger_mm")};
  }
  if (const auto table = entry.entry("joists")) {
    strip.joists = wall::Joists{length(*table, "spacing_mm"), length(*table, "first_mm"), length(*table, "width_mm")};
  }
  return strip;
}

std::optional<wall::Room> read_room(const Entry& wall, Findings& findings) {
  const auto entry = wall.entry("room");
  if (!entry) return std::nullopt;
  const auto length = [&](std::string_view key) { return length_from_mm(*entry->number(key)); };
  const double left_m = length("wall_from_left_mm");
  const double back_m = length("wall_from_back_mm");
  const double width_m = length("width_mm");
  const double depth_m = length("depth_mm");
  if (left_m >= width_m) findings.push_back(entry->error("wall_from_left_mm", "the wall stands outside the room"));
  if (back_m >= depth_m) findings.push_back(entry->error("wall_from_back_mm", "the wall stands outside the room"));
  return wall::Room{Vec3(-left_m, back_m - depth_m, 0.0), Vec3(width_m - left_m, back_m, length("height_mm"))};
}

/// What check_wall lists, at the lines of the file. Its keys are "<strip name>.<field>".
void add_wall_findings(const Entry& entry, const wall::Wall& wall, Findings& findings) {
  std::map<std::string, Entry, std::less<>> strips;
  for (const Entry& section : entry.entries("section")) {
    for (const Entry& strip : section.entries("strip")) strips.emplace(*strip.text("name"), strip);
  }
  for (Finding finding : wall::check_wall(wall)) {
    const std::size_t dot = finding.key.rfind('.');
    const std::string owner = finding.key.substr(0, dot);
    const std::string field = dot == std::string::npos ? "" : finding.key.substr(dot + 1);
    if (const auto strip = strips.find(owner); strip != strips.end()) {
      finding.place = strip->second.place_of(field);
      finding.message = fmt::format("strip {}: {}", in_quotes(owner), finding.message);
      finding.key = field.empty() ? "wall.section.strip" : "wall.section.strip." + field;
    } else {
      const auto room = entry.entry("room");
      const bool is_about_room = room && owner.find("room") != std::string::npos;
      finding.place = is_about_room ? room->place_of(field) : entry.place_of("");
      finding.key = finding.key.empty() ? "wall" : "wall." + finding.key;
    }
    findings.push_back(std::move(finding));
  }
}

/// Reads where limbs are.
class PlaceReader {
 public:
  PlaceReader(const move::Scene& scene, Findings& findings) : scene_(scene), findings_(findings) {
    for (const move::PlacedHold& hold : scene.holds) hold_names_.push_back(hold.name);
    for (const wall::Strip& strip : scene.wall.strips) strip_names_.push_back(strip.name);
  }

  /// Nothing when the place has an error, which is then reported.
  std::optional<move::LimbPlace> read(const Entry& entry, Limb limb) {
    const bool is_smear = entry.has("smear_on");
    if (is_smear == entry.has("hold")) {
      return fail(
          entry.error("", is_smear ? "names both a hold and smear_on" : "names neither a hold nor smear_on",
                      "write { hold = \"...\" } or, for a foot, { smear_on = \"...\", across_mm = ..., up_mm = ... }"));
    }
    return is_smear ? read_smear(entry, limb) : read_hold_place(entry, limb);
  }

 private:
  std::nullopt_t fail(Finding finding) {
    findings_.push_back(std::move(finding));
    return std::nullopt;
  }

  std::optional<move::LimbPlace> read_smear(const Entry& entry, Limb limb) {
    if (is_hand(limb))
      return fail(entry.error("smear_on", "only feet smear", fmt::format("give the {} a hold", long_name(limb))));
    for (const char* key : {"site", "grip"}) {
      if (entry.has(key)) return fail(entry.error(key, "does not go with smear_on"));
    }
    move::LimbPlace place;
    const std::string name = *entry.text("smear_on");
    place.strip = scene_.wall.find_strip(name);
    if (place.strip < 0) return fail(unknown_name(entry, "smear_on", "strip", name, strip_names_));
    const wall::Strip& strip = scene_.wall.strips[static_cast<std::size_t>(place.strip)];
    const auto read_within = [&](const char* key, double upper_m, double& value_m) {
      if (!entry.has(key)) {
        findings_.push_back(entry.error(key, "missing; a smear needs across_mm and up_mm"));
        return false;
      }
      value_m = length_from_mm(*entry.number(key));
      if (value_m <= upper_m) return true;
      findings_.push_back(entry.error(key, fmt::format("is {:.0f} mm, but strip {} ends at {:.0f} mm",
                                                       mm_from_m(value_m), in_quotes(name), mm_from_m(upper_m))));
      return false;
    };
    const bool is_across = read_within("across_mm", strip.width_m, place.across_m);
    const bool is_up = read_within("up_mm", strip.length_m, place.up_m);
    return is_across && is_up ? std::optional(place) : std::nullopt;
  }

  std::optional<move::LimbPlace> read_hold_place(const Entry& entry, Limb limb) {
    for (const char* key : {"across_mm", "up_mm"}) {
      if (entry.has(key)) return fail(entry.error(key, "goes only with smear_on: a hold has its place"));
    }
    const std::string name = *entry.text("hold");
    move::LimbPlace place;
    for (std::size_t i = 0; i < scene_.holds.size() && place.hold < 0; ++i) {
      if (scene_.holds[i].name == name) place.hold = static_cast<int>(i);
    }
    if (place.hold < 0) return fail(unknown_name(entry, "hold", "hold", name, hold_names_));
    const hold::Hold& hold = scene_.holds[static_cast<std::size_t>(place.hold)].hold;
    if (hold.sites.empty()) return std::nullopt;  // its shape is unknown, which has been reported
    if (!read_site(entry, limb, name, hold, place)) return std::nullopt;
    if (!read_grip(entry, limb, hold.sites[static_cast<std::size_t>(place.site)], place)) return std::nullopt;
    return place;
  }

  bool read_site(const Entry& entry, Limb limb, const std::string& hold_name, const hold::Hold& hold,
                 move::LimbPlace& place) {
    std::vector<std::string> suited;
    std::vector<std::string> all;
    int first_suited = -1;
    for (std::size_t i = 0; i < hold.sites.size(); ++i) {
      all.push_back(hold.sites[i].name);
      if (!hold::suits(hold.sites[i], limb)) continue;
      suited.push_back(hold.sites[i].name);
      if (first_suited < 0) first_suited = static_cast<int>(i);
    }
    const auto wanted = entry.text("site");
    if (suited.empty()) {
      fail(entry.error("hold",
                       fmt::format("{} has no site for a {}", in_quotes(hold_name), is_hand(limb) ? "hand" : "foot")));
      return false;
    }
    if (!wanted) {
      place.site = first_suited;
      if (suited.size() == 1) return true;
      fail(entry.error(
          "hold", fmt::format("{} has several sites for a {}", in_quotes(hold_name), is_hand(limb) ? "hand" : "foot"),
          fmt::format("add site = one of {}", list_of(suited))));
      return false;
    }
    for (std::size_t i = 0; i < hold.sites.size(); ++i) {
      if (hold.sites[i].name != *wanted) continue;
      place.site = static_cast<int>(i);
      if (hold::suits(hold.sites[i], limb)) return true;
      fail(entry.error("site",
                       fmt::format("{} of {} is no site for a {}", in_quotes(*wanted), in_quotes(hold_name),
                                   is_hand(limb) ? "hand" : "foot"),
                       fmt::format("use {}", list_of(suited))));
      return false;
    }
    fail(unknown_name(entry, "site", fmt::format("site of {}", in_quotes(hold_name)), *wanted, all));
    return false;
  }

  bool read_grip(const Entry& entry, Limb limb, const hold::Site& site, move::LimbPlace& place) {
    const auto wanted = entry.text("grip");
    if (!is_hand(limb)) {
      if (!wanted) return true;
      fail(entry.error("grip", "is for hands only"));
      return false;
    }
    place.grip = wanted ? grip_from_name(*wanted) : std::optional(site.grips.front());
    for (const Grip grip : site.grips) {
      if (place.grip == grip) return true;
    }
    std::vector<std::string> possible;
    for (const Grip grip : site.grips) possible.emplace_back(name_of(grip));
    fail(entry.error("grip", fmt::format("{} is not possible on site {}", in_quotes(*wanted), in_quotes(site.name)),
                     fmt::format("possible there: {}", list_of(possible))));
    return false;
  }

  const move::Scene& scene_;
  Findings& findings_;
  std::vector<std::string> hold_names_;
  std::vector<std::string> strip_names_;
};

/// Reads one move after the other; a move whose stance has an error takes its followers along without new findings.
class MoveReader {
 public:
  MoveReader(const move::Scene& scene, Findings& findings)
      : scene_(scene), places_(scene, findings), findings_(findings) {}

  void read(const Entry& entry) {
    move::Move move;
    move.name = *entry.text("name");
    names_.add(entry, move.name, findings_);
    move.moving = *limb_from_short_name(*entry.text("moving"));
    bool is_whole = read_stance(entry, move);
    const auto target = places_.read(*entry.entry("target"), move.moving);
    if (target) move.target = *target;
    is_whole = is_whole && target;
    if (is_whole) check_stance(entry, move);
    if (is_whole) whole_.emplace(move.name, moves_.size());
    seen_.push_back(move.name);
    moves_.push_back(std::move(move));
  }

  std::vector<move::Move> take() { return std::move(moves_); }

 private:
  bool read_stance(const Entry& entry, move::Move& move) {
    const auto from = entry.text("from");
    bool is_whole = true;
    if (from) {
      const auto earlier = whole_.find(*from);
      if (earlier != whole_.end()) {
        move.before = move::find_settled(moves_[earlier->second]);
      } else {
        is_whole = false;
        const bool is_broken = std::find(seen_.begin(), seen_.end(), *from) != seen_.end();
        if (!is_broken) findings_.push_back(unknown_name(entry, "from", "earlier move", *from, seen_));
      }
    }
    const auto before = entry.entry("before");
    if (!before && !from) {
      findings_.push_back(entry.error("before", "missing; a move needs `from`, or `before` with every limb"));
      return false;
    }
    for (const Limb limb : kLimbs) {
      const std::string_view key = short_name(limb);
      if (!before || !before->has(key)) {
        if (from) continue;
        findings_.push_back(before->error(key, fmt::format("missing; where is the {}?", long_name(limb)),
                                          fmt::format("write {} = {{ hold = \"...\" }} or {} = \"free\"", key, key)));
        is_whole = false;
        continue;
      }
      auto& place = move.before.limbs[index_of(limb)];
      place.reset();
      if (const auto table = before->entry(key)) {
        place = places_.read(*table, limb);
        is_whole = is_whole && place;
      }
    }
    return is_whole;
  }

  void check_stance(const Entry& entry, const move::Move& move) {
    bool is_held = false;
    for (const Limb limb : kLimbs) {
      const auto& place = move.before.limbs[index_of(limb)];
      if (limb != move.moving) is_held = is_held || place;
      if (!place || !is_same_spot(*place, move.target)) continue;
      if (limb == move.moving) {
        findings_.push_back(entry.error("target", fmt::format("the {} is there already", long_name(limb))));
      } else {
        warn_of_crowding(entry, "target", limb, move.moving, move.target);
      }
    }
    if (entry.has("before")) check_pairs(entry, move.before);
    if (!is_held) {
      findings_.push_back(
          entry.error("before", fmt::format("nothing holds the body while the {} moves", long_name(move.moving))));
    }
  }

  void check_pairs(const Entry& entry, const move::Stance& stance) {
    for (std::size_t i = 0; i < kLimbs.size(); ++i) {
      for (std::size_t j = i + 1; j < kLimbs.size(); ++j) {
        if (!stance.limbs[i] || !stance.limbs[j] || !is_same_spot(*stance.limbs[i], *stance.limbs[j])) continue;
        warn_of_crowding(entry, "before", kLimbs[i], kLimbs[j], *stance.limbs[i]);
      }
    }
  }

  /// Two hands, or two feet, stand side by side on a site that is wide enough.
  void warn_of_crowding(const Entry& entry, const char* key, Limb a, Limb b, const move::LimbPlace& place) {
    constexpr double kRoomForTwo_m = 0.18;  // two hands' breadths, as the stance lays them
    const std::string who = fmt::format("{} and {} are on the same site", long_name(a), long_name(b));
    if (place.hold < 0 || is_hand(a) != is_hand(b)) {
      findings_.push_back(entry.warning(key, who + ": both are put at its middle"));
      return;
    }
    const move::PlacedHold& hold = scene_.holds[static_cast<std::size_t>(place.hold)];
    const double width_m = hold.hold.sites[static_cast<std::size_t>(place.site)].width_m;
    if (width_m >= kRoomForTwo_m) return;
    findings_.push_back(entry.warning(key, fmt::format("{}: it is {:.0f} mm wide, side by side they want {:.0f} mm",
                                                       who, mm_from_m(width_m), mm_from_m(kRoomForTwo_m))));
  }

  const move::Scene& scene_;
  PlaceReader places_;
  Findings& findings_;
  UniqueNames names_;
  std::vector<move::Move> moves_;
  std::vector<std::string> seen_;
  std::map<std::string, std::size_t> whole_;  ///< moves without an error
};

}  // namespace

wall::Wall read_wall(const Entry& entry, Findings& findings) {
  std::vector<std::vector<wall::Strip>> sections;
  UniqueNames names;
  const std::size_t count_before = findings.size();
  for (const Entry& section : entry.entries("section")) {
    std::vector<wall::Strip>& strips = sections.emplace_back();
    const double width_m = length_from_mm(*section.number("width_mm"));
    for (const Entry& strip : section.entries("strip")) {
      strips.push_back(read_strip(strip, width_m));
      names.add(strip, strips.back().name, findings);
    }
  }
  const auto room = read_room(entry, findings);
  wall::Wall wall = wall::make_wall(*entry.text("name"), std::move(sections), room);
  if (findings.size() == count_before) add_wall_findings(entry, wall, findings);
  return wall;
}

std::vector<move::PlacedHold> read_holds(const std::vector<Entry>& entries, const wall::Wall& wall,
                                         const Inventory& inventory, Findings& findings) {
  std::vector<std::string> strip_names;
  for (const wall::Strip& strip : wall.strips) strip_names.push_back(strip.name);
  UniqueNames names;
  std::vector<move::PlacedHold> holds;
  for (const Entry& entry : entries) {
    move::PlacedHold& hold = holds.emplace_back();
    hold.name = *entry.text("name");
    names.add(entry, hold.name, findings);
    hold.model = *entry.text("model");
    if (const hold::Shape* shape = inventory.find(hold.model)) {
      hold.hold = inventory.make_hold(*shape);
    } else if (!inventory.shapes.empty()) {
      findings.push_back(unknown_name(entry, "model", "shape", hold.model, inventory.names()));
    }
    const std::string strip = *entry.text("strip");
    hold.strip = wall.find_strip(strip);
    if (hold.strip < 0) findings.push_back(unknown_name(entry, "strip", "strip", strip, strip_names));
    hold.across_m = length_from_mm(*entry.number("across_mm"));
    hold.up_m = length_from_mm(*entry.number("up_mm"));
    hold.rotation = rad_from_deg(*entry.number("rotation_deg"));
    hold.on_lattice = *entry.boolean("on_tnut");
  }
  return holds;
}

std::vector<move::Move> read_moves(const std::vector<Entry>& entries, const move::Scene& scene, Findings& findings) {
  MoveReader reader(scene, findings);
  for (const Entry& entry : entries) reader.read(entry);
  return reader.take();
}

bool is_same_spot(const move::LimbPlace& a, const move::LimbPlace& b) {
  if (a.hold != b.hold) return false;
  if (a.hold >= 0) return a.site == b.site;
  return a.strip == b.strip && a.across_m == b.across_m && a.up_m == b.up_m;
}

}  // namespace steepwright::io
