#include "engine/io/scene_writer.h"

#include "engine/io/atomic_file.h"
#include "engine/io/climber_file.h"
#include "engine/io/file_units.h"
#include "engine/io/scene_parts.h"
#include "engine/io/text_file.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

namespace steepwright::io {

namespace {

std::string room_text(const wall::Room& room) {
  // Widths are differences: found such that reading them back gives the same corners to the last bit.
  const double left_m = -room.lower.x();
  const double back_m = room.upper.y();
  const std::string width = to_decimal_where(mm_from_m(room.upper.x() + left_m), [&](double value) {
    return length_from_mm(value) - left_m == room.upper.x();
  });
  const std::string depth = to_decimal_where(mm_from_m(back_m - room.lower.y()), [&](double value) {
    return back_m - length_from_mm(value) == room.lower.y();
  });
  return fmt::format(
      "\n[wall.room]\nwidth_mm = {}\ndepth_mm = {}\nheight_mm = {}\nwall_from_left_mm = {}\nwall_from_back_mm = {}\n",
      width, depth, to_mm_text(room.upper.z()), to_mm_text(left_m), to_mm_text(back_m));
}

std::string strip_text(const wall::Strip& strip) {
  std::string text = fmt::format(
      "\n[[wall.section.strip]]\nname = {}\nangle_deg = {}\nlength_mm = {}\nthickness_mm = {}\n",
      to_toml_string(strip.name), to_deg_text(strip.angle), to_mm_text(strip.length_m), to_mm_text(strip.thickness_m));
  if (strip.lattice) {
    const wall::Lattice& lattice = *strip.lattice;
    text += fmt::format(
        "lattice = {{ pitch_across_mm = {}, pitch_up_mm = {}, first_across_mm = {}, first_up_mm = {}, stagger_mm = {} "
        "}}\n",
        to_mm_text(lattice.pitch_across_m), to_mm_text(lattice.pitch_up_m), to_mm_text(lattice.first_across_m),
        to_mm_text(lattice.first_up_m), to_mm_text(lattice.stagger_m));
  }
  if (strip.joists) {
    text += fmt::format("joists = {{ spacing_mm = {}, first_mm = {}, width_mm = {} }}\n",
                        to_mm_text(strip.joists->spacing_m), to_mm_text(strip.joists->first_m),
                        to_mm_text(strip.joists->width_m));
  }
  return text;
}

std::string wall_text(const wall::Wall& wall) {
  std::string text = fmt::format("\n[wall]\nname = {}\n", to_toml_string(wall.name));
  if (wall.room) text += room_text(*wall.room);
  for (const wall::Section& section : wall.sections) {
    text += fmt::format("\n[[wall.section]]\nwidth_mm = {}\n", to_mm_text(section.width_m));
    for (const int strip : section.strips) text += strip_text(wall.strips[static_cast<std::size_t>(strip)]);
  }
  return text;
}

std::string hold_text(const move::PlacedHold& hold, const wall::Wall& wall) {
  return fmt::format(
      "\n[[hold]]\nname = {}\nmodel = {}\nstrip = {}\nacross_mm = {}\nup_mm = {}\nrotation_deg = {}\non_tnut = {}\n",
      to_toml_string(hold.name), to_toml_string(hold.model),
      to_toml_string(wall.strips[static_cast<std::size_t>(hold.strip)].name), to_mm_text(hold.across_m),
      to_mm_text(hold.up_m), to_deg_text(hold.rotation), hold.on_lattice);
}

std::string place_text(const move::LimbPlace& place, const move::Scene& scene) {
  if (place.hold < 0) {
    return fmt::format("{{ smear_on = {}, across_mm = {}, up_mm = {} }}",
                       to_toml_string(scene.wall.strips[static_cast<std::size_t>(place.strip)].name),
                       to_mm_text(place.across_m), to_mm_text(place.up_m));
  }
  const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(place.hold)];
  std::string text = fmt::format("{{ hold = {}, site = {}", to_toml_string(hold.name),
                                 to_toml_string(hold.hold.sites[static_cast<std::size_t>(place.site)].name));
  if (place.grip) text += fmt::format(", grip = \"{}\"", name_of(*place.grip));
  return text + " }";
}

/// The latest earlier move that ends in this stance, -1 when there is none.
int find_origin(const move::Scene& scene, std::size_t index) {
  for (std::size_t i = index; i-- > 0;) {
    if (move::find_settled(scene.moves[i]) == scene.moves[index].before) return static_cast<int>(i);
  }
  return -1;
}

std::string move_text(const move::Scene& scene, std::size_t index) {
  const move::Move& move = scene.moves[index];
  std::string text = fmt::format("\n[[move]]\nname = {}\n", to_toml_string(move.name));
  const int origin = find_origin(scene, index);
  if (origin >= 0)
    text += fmt::format("from = {}\n", to_toml_string(scene.moves[static_cast<std::size_t>(origin)].name));
  text += fmt::format("moving = \"{}\"\ntarget = {}\n", short_name(move.moving), place_text(move.target, scene));
  if (origin >= 0) return text;
  text += "[move.before]\n";
  for (const Limb limb : kLimbs) {
    const auto& place = move.before.limbs[index_of(limb)];
    text += fmt::format("{} = {}\n", short_name(limb), place ? place_text(*place, scene) : "\"free\"");
  }
  return text;
}

}  // namespace

std::string write_scene(const move::Scene& scene, const SceneSource& source) {
  std::string text = fmt::format("steepwright_scene = 1\nname = {}\n", to_toml_string(scene.name));
  if (!source.inventory_file.empty())
    text += fmt::format("inventory_file = {}\n", to_toml_string(source.inventory_file));
  if (source.climber_file.empty()) {
    text += "\n[climber]\n" + write_climber_keys(scene.climber, "climber");
  } else {
    text += fmt::format("climber_file = {}\n", to_toml_string(source.climber_file));
  }
  text += wall_text(scene.wall);
  for (const move::PlacedHold& hold : scene.holds) text += hold_text(hold, scene.wall);
  for (std::size_t i = 0; i < scene.moves.size(); ++i) text += move_text(scene, i);
  return text;
}

Result<SaveReport> save_scene(const std::filesystem::path& path, const move::Scene& scene, const SceneSource& source) {
  const std::string text = write_scene(scene, source);
  const std::filesystem::path folder = find_folder(path);
  const auto readable = parse_scene(text, path.string(), folder);
  if (!readable) return tl::unexpected<Findings>(readable.error());
  SaveReport report;
  std::error_code error;
  if (std::filesystem::is_regular_file(path, error)) {
    const Result<std::string> old = load_text(path);
    report.comments_lost = old && scan_text(*old).has_comments;
  }
  const Result<void> saved = save_atomically(path, text);
  if (!saved) return tl::unexpected<Findings>(saved.error());
  return report;
}

}  // namespace steepwright::io
