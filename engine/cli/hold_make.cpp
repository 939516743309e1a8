#include "engine/cli/hold_inventory.h"
#include "engine/cli/hold_options.h"
#include "engine/core/contract.h"
#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "engine/hold/mesh_format.h"
#include "engine/hold/profile.h"
#include "engine/io/atomic_file.h"
#include "engine/io/file_units.h"
#include "engine/io/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace steepwright::cli {

namespace {

/// Softwood and plywood, kg/m^3 (common practice, no source; spruce is lighter, beech heavier).
constexpr double kWoodDensity = 600.0;

constexpr const char* kFormats = "allowed are .stl, .obj, .ply and .glb";

std::optional<hold::MeshFormat> find_format(std::string_view suffix, bool is_text) {
  const auto format = hold::format_from_suffix(suffix);
  if (format != hold::MeshFormat::kBinaryStl || !is_text) return format;
  return hold::MeshFormat::kTextStl;
}

/// The dimensions of the command line with the keys that check_shape calls them by.
struct Dimension {
  std::string_view option, key;
  const std::optional<double>* given = nullptr;
  bool is_needed = false;
};

std::array<Dimension, 7> dimensions_of(const HoldMakeOptions& options) {
  return {{{"--width", "width_mm", &options.width, true},
           {"--height", "height_mm", &options.height, true},
           {"--protrusion", "protrusion_mm", &options.protrusion, true},
           {"--depth", "depth_mm", &options.depth, true},
           {"--incut", "incut_deg", &options.incut, false},
           {"--lip-radius", "lip_radius_mm", &options.lip_radius, false},
           {"--mouth", "mouth_mm", &options.mouth, options.family == hold::name_of(hold::Family::kPocket)}}};
}

bool has_dimensions(const HoldMakeOptions& options) {
  const auto dimensions = dimensions_of(options);
  return !options.family.empty() || !options.surface.empty() || options.fingers.has_value() ||
         std::any_of(dimensions.begin(), dimensions.end(), [](const Dimension& d) { return d.given->has_value(); });
}

void complain_of_shape(const HoldMakeOptions& options, const Findings& findings) {
  for (const Finding& finding : findings) {
    std::string option = "--" + finding.key;
    for (const Dimension& dimension : dimensions_of(options)) {
      if (finding.key == dimension.key) option = dimension.option;
    }
    complain(fmt::format("{}: {}{}", option, finding.message, finding.remedy.empty() ? "" : "; " + finding.remedy));
  }
}

bool complain_of_missing(const HoldMakeOptions& options) {
  bool is_whole = true;
  for (const Dimension& dimension : dimensions_of(options)) {
    if (!dimension.is_needed || dimension.given->has_value()) continue;
    complain(fmt::format("{} is missing; give it in mm", dimension.option));
    is_whole = false;
  }
  return is_whole;
}

/// The shape that the dimensions describe; nothing, with the reasons printed, when they describe none.
std::optional<hold::Shape> read_shape(const HoldMakeOptions& options) {
  const auto family = hold::family_from_name(options.family);
  if (!family) {
    const auto known = list_families();
    complain(options.family.empty() ? "--family is missing; families are " + io::list_of(known)
                                    : fmt::format("--family: there is no family '{}'; {}", options.family,
                                                  suggest_name(options.family, known, "families")));
    return std::nullopt;
  }
  hold::Shape shape;
  if (!options.surface.empty()) {
    const auto surface = read_surface(options.surface);
    if (!surface) return std::nullopt;
    shape.surface = *surface;
  }
  if (!complain_of_missing(options)) return std::nullopt;
  shape.family = *family;
  shape.name = hold::name_of(*family);
  const auto length = [](const std::optional<double>& given) { return io::length_from_mm(given.value_or(0.0)); };
  shape.width_m = length(options.width);
  shape.height_m = length(options.height);
  shape.protrusion_m = length(options.protrusion);
  shape.depth_m = length(options.depth);
  shape.incut = rad_from_deg(options.incut.value_or(0.0));
  shape.lip_radius_m = length(options.lip_radius);
  shape.mouth_m = length(options.mouth);
  shape.fingers = options.fingers.value_or(shape.fingers);
  const Findings findings = hold::check_shape(shape);
  if (findings.empty()) return shape;
  complain_of_shape(options, findings);
  return std::nullopt;
}

std::optional<hold::Shape> find_shape(const HoldMakeOptions& options) {
  if (options.name.empty()) return read_shape(options);
  const auto inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return std::nullopt;
  if (const hold::Shape* shape = inventory->find(options.name)) {
    if (shape->family != hold::Family::kImported) return *shape;
    complain(fmt::format("the hold '{}' is an imported mesh already; copy its file", options.name));
    return std::nullopt;
  }
  complain(fmt::format("the inventory has no hold '{}'; {}", options.name,
                       suggest_name(options.name, inventory->names(), "its holds")));
  return std::nullopt;
}

std::string describe_site(const hold::Site& site, const Terminal& terminal) {
  const std::string mouth = site.mouth_m > 0.0 ? ", mouth " + show_mm(site.mouth_m) + " mm" : "";
  std::string text =
      fmt::format("\n{}: {} mm deep at {} deg, lip radius {} mm, {} mm wide{}\n", site.name, show_mm(site.depth_m),
                  show_deg(site.incut), show_mm(site.lip_radius_m), show_mm(site.width_m), mouth);
  if (!hold::has_straight_floor(site)) text += "  the rounding leaves no straight floor\n";
  for (const std::string& line : wrap("grips: " + show_grips(site), terminal.columns - 2)) text += "  " + line + "\n";
  return text;
}

std::string describe(const hold::Shape& shape, const hold::Mesh& mesh, const Terminal& terminal) {
  const hold::Bounds bounds = hold::calc_bounds(mesh);
  const Vec3 size = bounds.upper - bounds.lower;
  const double volume = hold::calc_volume(mesh);
  const bool has_bolt_hole = mesh.vertices.size() > hold::make_mesh(shape, {.has_bolt_hole = false}).vertices.size();
  std::string text = bold(make_printable(shape.name), terminal) + "\n";
  text += fmt::format("size       {} x {} x {} mm (across, up-slope, out)\n", show_mm(size.x()), show_mm(size.y()),
                      show_mm(size.z()));
  text += fmt::format("mesh       {} triangles, {} corners, watertight\n", mesh.triangles.size(), mesh.vertices.size());
  text += fmt::format("bolt hole  {}\n", has_bolt_hole ? "11 mm through the origin, for M10"
                                                       : "none, there is no room for 11 mm around the origin");
  text += fmt::format("volume     {:.4g} cm^3\n", 1e6 * volume);
  text += fmt::format("mass       about {:.2g} kg in wood of {:.0f} kg/m^3 (common practice, no source)\n",
                      kWoodDensity * volume, kWoodDensity);
  for (const hold::Site& site : hold::make_hold(shape).sites) text += describe_site(site, terminal);
  return text;
}

hold::Mesh make_checked_mesh(const hold::Shape& shape) {
  hold::Mesh mesh = hold::make_mesh(shape);
  STEEPWRIGHT_ASSERT(hold::count_faults(mesh).none());
  return mesh;
}

bool save(const std::filesystem::path& path, const std::string& bytes) {
  const Result<void> saved = io::save_atomically(path, bytes);
  if (!saved) print_findings(saved.error());
  return saved.has_value();
}

bool is_same_file(const std::filesystem::path& a, const std::filesystem::path& b) {
  std::error_code error;
  return std::filesystem::equivalent(a, b, error);
}

Exit make_one(const HoldMakeOptions& options) {
  if (options.out_file.empty()) {
    complain("--out is missing; name the file to write, or a folder with --all");
    return Exit::kBadInput;
  }
  const std::string suffix = std::filesystem::path(options.out_file).extension().string();
  const auto format = find_format(suffix, options.is_text);
  if (!format) {
    complain(fmt::format("--out: '{}' {}; {}", options.out_file,
                         suffix.empty() ? "has no suffix" : "has the unknown suffix " + suffix, kFormats));
    return Exit::kBadInput;
  }
  if (options.is_text && *format != hold::MeshFormat::kTextStl) {
    complain(fmt::format("--ascii is for .stl files only, '{}' is none", options.out_file));
    return Exit::kBadInput;
  }
  if (!options.inventory_file.empty() && is_same_file(options.out_file, options.inventory_file)) {
    complain(fmt::format("'{}' would be overwritten by the mesh; give it another name", options.out_file));
    return Exit::kBadInput;
  }
  const auto shape = find_shape(options);
  if (!shape) return Exit::kBadInput;
  const hold::Mesh mesh = make_checked_mesh(*shape);
  if (!save(options.out_file, hold::format_mesh(mesh, shape->name, *format))) return Exit::kBadInput;
  const std::string text = describe(*shape, mesh, find_terminal(stdout));
  const bool is_printed = print(text + fmt::format("\nmesh written to {}\n", make_printable(options.out_file)));
  return is_printed ? Exit::kAllHold : Exit::kBadInput;
}

/// Letters and digits stay, all else becomes one '-': "three-finger slot" is written to three-finger-slot.glb.
std::string make_file_stem(std::string_view name) {
  std::string stem;
  for (const char letter : name) {
    const bool is_plain = (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
                          (letter >= '0' && letter <= '9') || static_cast<unsigned char>(letter) >= 0x80U;
    if (is_plain) {
      stem += letter;
    } else if (!stem.empty() && stem.back() != '-') {
      stem += '-';
    }
  }
  while (!stem.empty() && stem.back() == '-') stem.pop_back();
  return stem.empty() ? "hold" : stem;
}

/// Names of files for all holds; nothing, with the reason printed, when two holds would share one.
std::optional<std::vector<std::string>> make_file_names(const io::Inventory& inventory, const std::string& suffix) {
  std::map<std::string, std::string> owners;
  std::vector<std::string> files;
  for (const hold::Shape& shape : inventory.shapes) {
    files.push_back(make_file_stem(shape.name) + suffix);
    const auto [owner, is_new] = owners.emplace(files.back(), shape.name);
    if (is_new) continue;
    complain(fmt::format("holds '{}' and '{}' would both be written to {}; rename one", owner->second, shape.name,
                         files.back()));
    return std::nullopt;
  }
  return files;
}

Exit make_all(const HoldMakeOptions& options) {
  if (!options.out_file.empty() || !options.name.empty() || has_dimensions(options)) {
    complain("--all takes no NAME, no --out and no dimensions: it writes every hold of the inventory");
    return Exit::kBadInput;
  }
  const std::string suffix = "." + (options.format.empty() ? "glb" : options.format);
  const auto format = find_format(suffix, options.is_text);
  if (!format || (options.is_text && *format != hold::MeshFormat::kTextStl)) {
    complain(format
                 ? "--ascii is for --format stl only"
                 : fmt::format("--format: there is no format '{}'; allowed are stl, obj, ply and glb", options.format));
    return Exit::kBadInput;
  }
  auto inventory = load_inventory_or_complain(options.inventory_file);
  if (!inventory) return Exit::kBadInput;
  // Imported holds are meshes already.
  std::erase_if(inventory->shapes, [](const hold::Shape& shape) { return shape.family == hold::Family::kImported; });
  const auto files = make_file_names(*inventory, suffix);
  if (!files) return Exit::kBadInput;
  const std::filesystem::path folder(options.all_folder);
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  if (!std::filesystem::is_directory(folder)) {
    complain(fmt::format("the folder '{}' cannot be made{}", options.all_folder, error ? ": " + error.message() : ""));
    return Exit::kBadInput;
  }
  std::string report;
  for (std::size_t i = 0; i < files->size(); ++i) {
    const hold::Shape& shape = inventory->shapes[i];
    const hold::Mesh mesh = make_checked_mesh(shape);
    const std::string bytes = hold::format_mesh(mesh, shape.name, *format);
    if (!save(folder / (*files)[i], bytes)) return Exit::kBadInput;
    report += fmt::format("written  {}  {} triangles, {:.1f} kB\n", make_printable((folder / (*files)[i]).string()),
                          mesh.triangles.size(), 1e-3 * static_cast<double>(bytes.size()));
  }
  return print(report) ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace

Exit run_hold_make(const HoldMakeOptions& options) {
  if (!options.all_folder.empty()) return make_all(options);
  if (!options.format.empty()) {
    complain("--format is for --all; the suffix of --out tells the format of one hold");
    return Exit::kBadInput;
  }
  if (!options.name.empty() && has_dimensions(options)) {
    complain("a hold is made by its NAME or from dimensions, not from both");
    return Exit::kBadInput;
  }
  if (options.name.empty() && !options.inventory_file.empty()) {
    complain("--inventory needs the NAME of a hold, or --all");
    return Exit::kBadInput;
  }
  return make_one(options);
}

}  // namespace steepwright::cli
