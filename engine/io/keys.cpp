#include "engine/io/keys.h"

#include "engine/io/text.h"

#include <fmt/format.h>

#include <array>

namespace steepwright::io {

namespace {

using enum KeyType;

constexpr bool kRequired = true;
constexpr bool kOptional = false;
constexpr std::string_view kClimberFile = "climber file";
constexpr std::string_view kGripChoices =
    "open hand|three-finger open|two-finger open|half crimp|three-finger half crimp|full crimp|pinch|sloper palm|jug";
constexpr std::string_view kAxisChoices = "+x|-x|+y|-y|+z|-z";
constexpr std::string_view kSurfaceChoices = "raw wood|varnished wood|resin texture|worn resin|grit|panel";

// clang-format off: one key a block reads as a table.
constexpr auto kSceneKeys = std::to_array<Key>({
    {"steepwright_scene", kInteger, kRequired, "", 1, 1, "", "",
     "Kind and version of the file; this program reads version 1.",
     "write 1, or use the program version that wrote the file"},
    {"name", kText, kRequired, "", 0, 0, "", "", "What the scene is called in reports.", ""},
    {"inventory_file", kText, kOptional, "\"workshop.toml\"", 0, 0, "", "",
     "The hold inventory: a file beside or below the scene file, or one that comes with the program.", ""},
    {"climber_file", kText, kOptional, "", 0, 0, "", "",
     "The climber: a file beside or below the scene file, or one that comes with the program. Either this or "
     "[climber].",
     ""},
    {"climber", kTable, kOptional, "", 0, 0, "", kClimberFile,
     "The climber written into the scene, with the keys of a climber file. Either this or climber_file.", ""},

    {"wall", kTable, kRequired, "", 0, 0, "", "", "The structure that holds are bolted to.", ""},
    {"wall.name", kText, kOptional, "\"wall\"", 0, 0, "", "", "What the wall is called in reports.", ""},
    {"wall.room", kTable, kOptional, "", 0, 0, "", "",
     "The room around the wall, a box; left out, the wall stands free.", ""},
    {"wall.room.width_mm", kNumber, kRequired, "", 500, 100000, "", "", "Inner width of the room.", ""},
    {"wall.room.depth_mm", kNumber, kRequired, "", 500, 100000, "", "",
     "Inner depth, from the wall behind the climber to the one behind the panels.", ""},
    {"wall.room.height_mm", kNumber, kRequired, "", 500, 50000, "", "", "Inner height, floor to ceiling.", ""},
    {"wall.room.wall_from_left_mm", kNumber, kOptional, "0", 0, 100000, "", "",
     "From the room's left wall to the left edge of the climbing wall.", ""},
    {"wall.room.wall_from_back_mm", kNumber, kOptional, "0", 0, 100000, "", "",
     "From the foot of the climbing wall to the room's wall behind it.", ""},
    {"wall.section", kTables, kRequired, "", 1, 8, "", "",
     "Sections side by side, left to right; each a stack of strips.", ""},
    {"wall.section.width_mm", kNumber, kRequired, "", 300, 20000, "", "", "Width of the section and of all its strips.",
     ""},
    {"wall.section.strip", kTables, kRequired, "", 1, 8, "", "",
     "Plane strips from the floor up: kicker, panels, roof.", ""},
    {"wall.section.strip.name", kText, kRequired, "", 0, 0, "", "", "Name of the strip, unique in the wall.", ""},
    {"wall.section.strip.angle_deg", kNumber, kRequired, "", -20, 90, "", "",
     "Overhang from vertical: 0 upright, 90 a roof, negative a slab.",
     "write the overhang from vertical, not the slope of the panel"},
    {"wall.section.strip.length_mm", kNumber, kRequired, "", 50, 10000, "", "", "Length up the slope.", ""},
    {"wall.section.strip.thickness_mm", kNumber, kOptional, "18", 5, 100, "", "", "Thickness of the panel.", ""},
    {"wall.section.strip.lattice", kTable, kOptional, "", 0, 0, "", "",
     "T-nut holes of the strip; left out, it has none.", ""},
    {"wall.section.strip.lattice.pitch_across_mm", kNumber, kOptional, "200", 25, 2000, "", "",
     "Between neighbours in a row.", ""},
    {"wall.section.strip.lattice.pitch_up_mm", kNumber, kOptional, "200", 25, 2000, "", "", "Between rows.", ""},
    {"wall.section.strip.lattice.first_across_mm", kNumber, kOptional, "100", 0, 2000, "", "",
     "From the left edge to the first hole of the lowest row.", ""},
    {"wall.section.strip.lattice.first_up_mm", kNumber, kOptional, "100", 0, 2000, "", "",
     "From the lower edge to the lowest row.", ""},
    {"wall.section.strip.lattice.stagger_mm", kNumber, kOptional, "0", -1000, 1000, "", "",
     "Shift across of every second row.", ""},
    {"wall.section.strip.joists", kTable, kOptional, "", 0, 0, "", "", "Joists behind the strip, running up the slope.",
     ""},
    {"wall.section.strip.joists.spacing_mm", kNumber, kOptional, "400", 100, 3000, "", "", "Between centres.", ""},
    {"wall.section.strip.joists.first_mm", kNumber, kOptional, "0", 0, 3000, "", "",
     "From the left edge to the centre of the first joist.", ""},
    {"wall.section.strip.joists.width_mm", kNumber, kOptional, "45", 10, 300, "", "", "Width of a joist.", ""},

    {"hold", kTables, kOptional, "", 0, 500, "", "", "Holds on the wall.", ""},
    {"hold.name", kText, kRequired, "", 0, 0, "", "", "Name of this hold, unique in the scene; moves refer to it.", ""},
    {"hold.model", kText, kRequired, "", 0, 0, "", "", "Name of its shape in the inventory.", ""},
    {"hold.strip", kText, kRequired, "", 0, 0, "", "", "Name of the strip it is on.", ""},
    {"hold.across_mm", kNumber, kRequired, "", 0, 20000, "", "", "Bolt, from the strip's left edge.", ""},
    {"hold.up_mm", kNumber, kRequired, "", 0, 10000, "", "", "Bolt, from the strip's lower edge, up the slope.", ""},
    {"hold.rotation_deg", kNumber, kOptional, "0", -360, 360, "", "",
     "Turn about the bolt, counter-clockwise seen by the climber.", ""},
    {"hold.on_tnut", kBoolean, kOptional, "false", 0, 0, "", "",
     "true: bolted to a T-nut of the strip's lattice (within 2 mm); false: screwed on anywhere.", ""},

    {"move", kTables, kOptional, "", 0, 200, "", "", "Moves to judge, in order.", ""},
    {"move.name", kText, kRequired, "", 0, 0, "", "", "Name of the move, unique in the scene.", ""},
    {"move.from", kText, kOptional, "", 0, 0, "", "",
     "Name of an earlier move: start from the stance it ends in; `before` then lists only the limbs that differ.", ""},
    {"move.before", kTable, kOptional, "", 0, 0, "", "", "Where each limb is before the move.", ""},
    {"move.before.LH", kPlace, kOptional, "", 0, 0, "free", "place", "Left hand.", ""},
    {"move.before.RH", kPlace, kOptional, "", 0, 0, "free", "place", "Right hand.", ""},
    {"move.before.LF", kPlace, kOptional, "", 0, 0, "free", "place", "Left foot.", ""},
    {"move.before.RF", kPlace, kOptional, "", 0, 0, "free", "place", "Right foot.", ""},
    {"move.moving", kChoice, kRequired, "", 0, 0, "LH|RH|LF|RF", "", "The limb that moves.", ""},
    {"move.target", kPlace, kRequired, "", 0, 0, "", "place", "Where the moving limb goes.", ""},
    {"place.hold", kText, kOptional, "", 0, 0, "", "", "Name of the hold that the limb is on.", ""},
    {"place.site", kText, kOptional, "", 0, 0, "", "",
     "Which site of the hold; may be left out when only one suits the limb.", ""},
    {"place.grip", kChoice, kOptional, "", 0, 0, kGripChoices, "",
     "How a hand holds it; left out, the grip that suits the site best.", ""},
    {"place.smear_on", kText, kOptional, "", 0, 0, "", "", "Instead of hold: the strip that a foot smears on.", ""},
    {"place.across_mm", kNumber, kOptional, "", 0, 20000, "", "", "Smear: from the strip's left edge.", ""},
    {"place.up_mm", kNumber, kOptional, "", 0, 10000, "", "", "Smear: from the strip's lower edge, up the slope.", ""},
});

constexpr auto kInventoryKeys = std::to_array<Key>({
    {"steepwright_inventory", kInteger, kRequired, "", 1, 1, "", "",
     "Kind and version of the file; this program reads version 1.",
     "write 1, or use the program version that wrote the file"},
    {"name", kText, kOptional, "\"inventory\"", 0, 0, "", "", "What the inventory is called.", ""},
    {"shape", kTables, kRequired, "", 1, 500, "", "", "The shapes, each once.", ""},
    {"shape.name", kText, kRequired, "", 0, 0, "", "", "Name of the shape, unique in the inventory.", ""},
    {"shape.family", kChoice, kRequired, "", 0, 0, "edge|sloper|pinch|jug|pocket|foot chip|volume|imported", "",
     "What kind of hold it is; imported: a mesh, whose dimensions are measured and left out here.", ""},
    {"shape.surface", kChoice, kOptional, "\"raw wood\"", 0, 0, kSurfaceChoices, "", "What hand and shoe rub on.", ""},
    {"shape.width_mm", kNumber, kRequired, "", 5, 2000, "", "", "Along the lip.", ""},
    {"shape.height_mm", kNumber, kRequired, "", 5, 2000, "", "", "Extent up the slope.", ""},
    {"shape.protrusion_mm", kNumber, kRequired, "", 1, 800, "", "", "Out of the panel.", ""},
    {"shape.depth_mm", kNumber, kOptional, "0", 0, 300, "", "",
     "Depth of the floor from lip to face, where the family has a floor.", ""},
    {"shape.incut_deg", kNumber, kOptional, "0", -90, 60, "", "",
     "Tilt of the floor into the wall; negative: sloping out.", ""},
    {"shape.lip_radius_mm", kNumber, kOptional, "0", 0, 200, "", "", "Rounding of the lip.", ""},
    {"shape.mouth_mm", kNumber, kOptional, "0", 0, 300, "", "", "Clear height over the floor; 0: open above.", ""},
    {"shape.fingers", kInteger, kOptional, "4", 1, 4, "", "", "Pocket: how many fingers fit.", ""},
    {"shape.mesh", kText, kOptional, "", 0, 0, "", "",
     "Imported: mesh file (STL, OBJ, PLY, GLB, glTF) beside or below the inventory.", ""},
    {"shape.mesh_unit", kChoice, kOptional, "", 0, 0, "mm|cm|m|inch", "", "Unit of the mesh file; left out, guessed.",
     ""},
    {"shape.mesh_out_axis", kChoice, kOptional, "", 0, 0, kAxisChoices, "",
     "The file's axis out of the panel; left out, guessed.", ""},
    {"shape.mesh_up_axis", kChoice, kOptional, "", 0, 0, kAxisChoices, "",
     "The file's axis up-slope; left out, guessed.", ""},
    {"shape.mesh_turn_deg", kNumber, kOptional, "0", -360, 360, "", "",
     "Turn of the mesh on the panel after that, counter-clockwise seen by the climber.", ""},
    {"shape.mesh_bolt_x_mm", kNumber, kOptional, "", -10000, 10000, "", "",
     "Where the bolt meets the panel, in the file's axes; all three left out, guessed.", ""},
    {"shape.mesh_bolt_y_mm", kNumber, kOptional, "", -10000, 10000, "", "", "The same along y.", ""},
    {"shape.mesh_bolt_z_mm", kNumber, kOptional, "", -10000, 10000, "", "", "The same along z.", ""},
});

constexpr auto kClimberKeys = std::to_array<Key>({
    {"steepwright_climber", kInteger, kRequired, "", 1, 1, "", "",
     "Kind and version of the file; this program reads version 1.",
     "write 1, or use the program version that wrote the file"},
    {"name", kText, kOptional, "\"climber\"", 0, 0, "", "", "What the climber is called in reports.", ""},
    {"sex", kChoice, kRequired, "", 0, 0, "female|male", "",
     "Which regressions the unmeasured lengths, masses and joint strengths follow.", ""},
    {"stature_mm", kNumber, kRequired, "", 1300, 2250, "", "", "Height without shoes.",
     "write millimetres: 1.75 m is 1750"},
    {"mass_kg", kNumber, kRequired, "", 30, 180, "", "", "Body mass with clothes and shoes.", ""},
    {"span_mm", kNumber, kOptional, "", 1200, 2500, "", "",
     "Fingertip to fingertip, arms spread; left out, from stature.", "write millimetres: 1.75 m is 1750"},
    {"sitting_height_mm", kNumber, kOptional, "", 650, 1200, "", "", "Seat to top of the head; left out, from stature.",
     ""},
    {"inseam_mm", kNumber, kOptional, "", 550, 1150, "", "", "Floor to crotch; left out, from stature.", ""},
    {"hand_length_mm", kNumber, kOptional, "", 130, 250, "", "",
     "Wrist crease to tip of the middle finger; left out, from stature.", ""},
    {"foot_length_mm", kNumber, kOptional, "", 180, 350, "", "", "Heel to longest toe; left out, from stature.", ""},
    {"flexibility", kChoice, kOptional, "\"average\"", 0, 0, "average|flexible|very flexible", "",
     "Range of the joints.", ""},
    {"arm_strength", kNumber, kOptional, "1", 0.2, 4, "", "",
     "Shoulder, elbow, wrist: factor on the median person of this sex and size.", ""},
    {"core_strength", kNumber, kOptional, "1", 0.2, 4, "", "", "Trunk and neck: the same.", ""},
    {"leg_strength", kNumber, kOptional, "1", 0.2, 4, "", "", "Hip, knee, ankle: the same.", ""},
    {"chalk", kBoolean, kOptional, "true", 0, 0, "", "", "Chalked hands.", ""},
    {"fingers", kTable, kRequired, "", 0, 0, "", "",
     "Finger strength of one hand: exactly one of edge_force_N, edge_load_kg, added_load_kg, ability.", ""},
    {"fingers.edge_force_N", kNumber, kOptional, "", 5, 2500, "", "",
     "Force held for some seconds on a flat edge of chalked wood, four fingers of a hand, elbow below the edge.", ""},
    {"fingers.edge_load_kg", kNumber, kOptional, "", 2, 250, "", "",
     "The same, as the load in kg that a scale or a weight shows.", ""},
    {"fingers.added_load_kg", kNumber, kOptional, "", -170, 200, "", "",
     "The same hang with the whole body: load added to mass_kg; negative: taken off by a pulley.", ""},
    {"fingers.ability", kChoice, kOptional, "", 0, 0, "non-climber|intermediate|advanced|elite", "",
     "Not measured: the force of one hand on a 20 mm edge in half crimp by level, as a share of body weight.", ""},
    {"fingers.is_measured", kBoolean, kOptional, "true", 0, 0, "", "",
     "false: the given force is a guess, and reports say so.", ""},
    {"fingers.hang_hands", kInteger, kOptional, "1", 1, 2, "", "",
     "Hands that held the given force or load; of two, each is taken to hold half.", ""},
    {"fingers.edge_depth_mm", kNumber, kOptional, "20", 6, 45, "", "", "Depth of the edge that it was held on.", ""},
    {"fingers.edge_grip", kChoice, kOptional, "\"half crimp\"", 0, 0, "open hand|half crimp|full crimp", "",
     "Grip that it was held with.", ""},
    {"fingers.middle_finger_mm", kNumber, kOptional, "", 40, 110, "", "",
     "Middle finger on the palm side, crease at the knuckle to tip; left out, from the hand's length.", ""},
    {"fingers.finger_breadth_mm", kNumber, kOptional, "", 10, 28, "", "",
     "Breadth of the middle finger at its end joint; left out, from the hand's length.", ""},
});
// clang-format on

std::string_view type_text(KeyType type) {
  switch (type) {
    case kNumber:
      return "number";
    case kInteger:
      return "whole number";
    case kBoolean:
      return "true or false";
    case kText:
      return "text";
    case kChoice:
      return "one of";
    case kTable:
      return "table";
    case kTables:
      return "tables";
    case kPlace:
      return "place";
  }
  return "";
}

std::string describe_key(const Key& key) {
  std::string text = fmt::format("- `{}` ({}", key.path, type_text(key.type));
  if (key.type == kChoice) text += fmt::format(" {}", list_of(choices_of(key)));
  if (key.type == kNumber || key.type == kInteger) {
    const std::string_view unit = unit_of(key.path);
    text += key.lower == key.upper ? fmt::format(" {}", to_decimal(key.lower))
                                   : fmt::format(", {} to {}", to_decimal(key.lower), to_decimal(key.upper));
    if (!unit.empty()) text += fmt::format(" {}", unit);
  }
  if (key.type == kTables) text += fmt::format(", {} to {}", to_decimal(key.lower), to_decimal(key.upper));
  if (key.type == kPlace) text += key.choices.empty() ? " keys" : " keys, or \"free\"";
  if (key.is_required) text += ", required";
  if (!key.fallback.empty()) text += fmt::format(", default {}", key.fallback);
  return text + fmt::format("): {}\n", key.help);
}

}  // namespace

std::span<const Key> keys_of(FileKind kind) {
  switch (kind) {
    case FileKind::kScene:
      return kSceneKeys;
    case FileKind::kInventory:
      return kInventoryKeys;
    case FileKind::kClimber:
      return kClimberKeys;
  }
  return {};
}

std::string_view name_of(FileKind kind) {
  switch (kind) {
    case FileKind::kScene:
      return "scene";
    case FileKind::kInventory:
      return "inventory";
    case FileKind::kClimber:
      return "climber";
  }
  return "";
}

std::string_view version_key_of(FileKind kind) { return keys_of(kind).front().path; }

std::string_view leaf_of(std::string_view path) {
  const std::size_t dot = path.rfind('.');
  return dot == std::string_view::npos ? path : path.substr(dot + 1);
}

std::string_view unit_of(std::string_view path) {
  for (std::string_view unit : {"mm", "deg", "kg", "N"}) {
    if (path.size() > unit.size() && path.ends_with(unit) && path[path.size() - unit.size() - 1] == '_') return unit;
  }
  return "";
}

std::vector<std::string> choices_of(const Key& key) {
  std::vector<std::string> choices;
  std::string_view rest = key.choices;
  while (!rest.empty()) {
    const std::size_t bar = std::min(rest.find('|'), rest.size());
    choices.emplace_back(rest.substr(0, bar));
    rest.remove_prefix(std::min(bar + 1, rest.size()));
  }
  return choices;
}

std::vector<const Key*> KeyLevel::keys() const {
  std::vector<const Key*> found;
  for (const Key& key : keys_of(kind)) {
    const std::size_t length = prefix.empty() ? 0 : prefix.size() + 1;
    if (length > 0 && !(key.path.starts_with(prefix) && key.path.size() > length && key.path[length - 1] == '.')) {
      continue;
    }
    const std::string_view rest = key.path.substr(length);
    const bool is_listed_elsewhere = prefix.empty() && kind == FileKind::kScene && rest.starts_with("place.");
    if (rest.find('.') == std::string_view::npos && !is_listed_elsewhere) found.push_back(&key);
  }
  return found;
}

const Key* KeyLevel::find(std::string_view name) const {
  for (const Key* key : keys()) {
    if (leaf_of(key->path) == name) return key;
  }
  return nullptr;
}

KeyLevel KeyLevel::below(const Key& key) const {
  if (key.children == kClimberFile) return {FileKind::kClimber, ""};
  return {kind, key.children.empty() ? key.path : key.children};
}

std::string header_of(FileKind kind, std::string_view path) {
  for (const Key& key : keys_of(kind)) {
    if (key.path == path) return fmt::format(fmt::runtime(key.type == kTables ? "[[{}]]" : "[{}]"), path);
  }
  return path.empty() ? "the top of the file" : fmt::format("[{}]", path);
}

std::string describe_keys() {
  std::string text =
      "# Keys of the files\n\nThe unit of a number is the end of its key. Tables in [[double brackets]] may be "
      "repeated.\n";
  for (const FileKind kind : {FileKind::kScene, FileKind::kInventory, FileKind::kClimber}) {
    text += fmt::format("\n## The {} file\n\n", name_of(kind));
    for (const Key& key : keys_of(kind)) text += describe_key(key);
  }
  return text;
}

}  // namespace steepwright::io
