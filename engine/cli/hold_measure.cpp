#include "engine/cli/hold_inventory.h"
#include "engine/cli/hold_options.h"
#include "engine/cli/scene_input.h"
#include "engine/core/units.h"
#include "engine/hold/measure.h"
#include "engine/hold/mesh_import.h"
#include "engine/io/hold_file.h"
#include "engine/io/profile_picture.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace steepwright::cli {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kShownLoops = 3;

/// The import's options; nothing, with the reason printed, when one makes no sense.
std::optional<hold::ImportOptions> read_options(const HoldMeasureOptions& given) {
  hold::ImportOptions options;
  if (!given.unit.empty()) {
    options.unit = hold::unit_from_name(given.unit);
    if (!options.unit) {
      complain(fmt::format("--unit: there is no unit '{}'; allowed are mm, cm, m and inch", given.unit));
      return std::nullopt;
    }
  }
  const auto read_axis = [](const char* option, const std::string& name, std::optional<Vec3>& axis) {
    if (name.empty()) return true;
    axis = hold::axis_from_name(name);
    if (!axis) complain(fmt::format("{}: there is no axis '{}'; allowed are +x, -x, +y, -y, +z and -z", option, name));
    return axis.has_value();
  };
  if (!read_axis("--out-axis", given.out_axis, options.out_axis)) return std::nullopt;
  if (!read_axis("--up-axis", given.up_axis, options.up_axis)) return std::nullopt;
  if (!std::isfinite(given.turn_deg) || std::abs(given.turn_deg) > 360.0) {
    complain(fmt::format("--turn: {} deg is out of range; allowed is -360 to 360 deg", given.turn_deg));
    return std::nullopt;
  }
  options.turn = rad_from_deg(given.turn_deg);
  if (!given.bolt_mm.empty()) {
    const bool is_whole = given.bolt_mm.size() == 3 && std::all_of(given.bolt_mm.begin(), given.bolt_mm.end(),
                                                                   [](double v) { return std::abs(v) < 1e5; });
    if (!is_whole) {
      complain("--bolt needs three numbers in mm, in the file's axes: --bolt 0,12.5,0");
      return std::nullopt;
    }
    options.p_bolt_m = 1e-3 * Vec3(given.bolt_mm[0], given.bolt_mm[1], given.bolt_mm[2]);
  }
  return options;
}

std::string describe_loops(const hold::ImportReport& report) {
  if (report.open_loops.empty()) return "none";
  std::string text = fmt::format("{}, around them", report.open_loops.size());
  for (std::size_t i = 0; i < std::min(kShownLoops, report.open_loops.size()); ++i)
    text += fmt::format("{} {} mm", i == 0 ? "" : ",", show_mm(report.open_loops[i].length_m));
  return text + (report.open_loops.size() > kShownLoops ? " and less" : "");
}

std::string format_report(const hold::ImportedMesh& imported) {
  const hold::ImportReport& report = imported.report;
  const hold::Bounds bounds = hold::calc_bounds(imported.mesh);
  const Vec3 size = bounds.upper - bounds.lower;
  std::string text = fmt::format("{}, {} triangles; {} corners joined, {} empty triangles left out\n", report.format,
                                 report.triangles_read, report.welded, report.degenerate);
  text += report.unit_note + "\n" + report.orientation_note + "\n" + report.bolt_note + "\n";
  text += fmt::format("size {} x {} x {} mm (across, up-slope, out)\n", show_mm(size.x()), show_mm(size.y()),
                      show_mm(size.z()));
  text += fmt::format("holes: {}; edges of more than two triangles: {}\n", describe_loops(report),
                      report.non_manifold_edges);
  if (report.turned_triangles > 0) {
    text += fmt::format("{} triangles were turned over to agree with their neighbours\n", report.turned_triangles);
  }
  if (report.is_turned_inside_out) text += "the mesh was inside out and has been turned\n";
  return text;
}

std::string format_site(const hold::MeasuredSite& measured, const Terminal& terminal) {
  const hold::Site& site = measured.site;
  const std::string name = make_printable(site.name);
  std::string text = fmt::format("{:<15} {:>7} {:>7} {:>7} {:>7} {:>7} {:>6.2f}\n", name, show_mm(site.width_m),
                                 show_mm(site.depth_m), show_deg(site.incut), show_mm(site.lip_radius_m),
                                 site.mouth_m > 0.0 ? show_mm(site.mouth_m) : "-", mm_from_m(measured.residual_m));
  const std::string spread = fmt::format(
      "along the lip: depth +-{}, incut +-{}, radius +-{} in {} sections{}{}", show_mm(measured.spread.depth_m),
      show_deg(measured.spread.incut), show_mm(measured.spread.lip_radius_m), measured.sections,
      measured.bridged > 0 ? fmt::format(", {} over a gap", measured.bridged) : "",
      measured.profile.has_straight_floor ? "" : "; the rounding leaves no straight floor");
  for (const std::string& line : wrap(spread, terminal.columns - 4)) text += "    " + line + "\n";
  for (const std::string& line : wrap("grips: " + show_grips(site), terminal.columns - 4)) text += "    " + line + "\n";
  return text;
}

std::string format_table(const std::vector<hold::MeasuredSite>& sites, const Terminal& terminal) {
  if (sites.empty()) return "\nno site for fingers or shoe was found\n";
  std::string text = fmt::format("\n{:<15} {:>7} {:>7} {:>7} {:>7} {:>7} {:>6}   mm and degrees\n", "site", "width",
                                 "depth", "incut", "lip", "mouth", "fit");
  for (const hold::MeasuredSite& measured : sites) text += format_site(measured, terminal);
  return text;
}

double rounded(double value) { return std::round(1000.0 * value) / 1000.0; }

Json to_json(const hold::MeasuredSite& measured) {
  const hold::Site& site = measured.site;
  const Vec3 p_mm = 1e3 * site.X_HS.p;
  Json json = {{"name", site.name},
               {"turn_deg", rounded(deg_from_rad(measured.turn))},
               {"p_HS_mm", {rounded(p_mm.x()), rounded(p_mm.y()), rounded(p_mm.z())}},
               {"width_mm", rounded(mm_from_m(site.width_m))},
               {"depth_mm", rounded(mm_from_m(site.depth_m))},
               {"incut_deg", rounded(deg_from_rad(site.incut))},
               {"lip_radius_mm", rounded(mm_from_m(site.lip_radius_m))},
               {"mouth_mm", rounded(mm_from_m(site.mouth_m))},
               {"residual_mm", rounded(mm_from_m(measured.residual_m))},
               {"depth_spread_mm", rounded(mm_from_m(measured.spread.depth_m))},
               {"incut_spread_deg", rounded(deg_from_rad(measured.spread.incut))},
               {"lip_radius_spread_mm", rounded(mm_from_m(measured.spread.lip_radius_m))},
               {"sections", measured.sections},
               {"sections_over_gaps", measured.bridged},
               {"has_straight_floor", measured.profile.has_straight_floor},
               {"fingers", site.fingers},
               {"for_feet_only", site.use == hold::Site::Use::kFoot}};
  json["grips"] = Json::array();
  for (const Grip grip : site.grips) json["grips"].push_back(name_of(grip));
  return json;
}

std::string format_json(const hold::ImportedMesh& imported, const std::vector<hold::MeasuredSite>& sites) {
  const hold::ImportReport& report = imported.report;
  Json json = {{"format", report.format},
               {"unit", hold::name_of(report.unit)},
               {"unit_note", report.unit_note},
               {"orientation_note", report.orientation_note},
               {"bolt_note", report.bolt_note},
               {"triangles", report.triangles_read},
               {"corners_joined", report.welded},
               {"empty_triangles", report.degenerate},
               {"non_manifold_edges", report.non_manifold_edges},
               {"turned_triangles", report.turned_triangles},
               {"was_inside_out", report.is_turned_inside_out}};
  json["holes_mm"] = Json::array();
  for (const hold::OpenLoop& loop : report.open_loops) json["holes_mm"].push_back(rounded(mm_from_m(loop.length_m)));
  json["sites"] = Json::array();
  for (const hold::MeasuredSite& measured : sites) json["sites"].push_back(to_json(measured));
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

/// An entry that reads the mesh as it was read here, guesses written down.
std::string format_entry(const HoldMeasureOptions& given, const hold::ImportReport& report, hold::Surface surface) {
  io::ImportedShape entry;
  const std::filesystem::path path(given.file);
  entry.name = path.stem().string();
  entry.mesh = path.filename().string();
  entry.unit = report.unit;
  const Mat3 R_HM = Eigen::AngleAxisd(-rad_from_deg(given.turn_deg), Vec3::UnitZ()).toRotationMatrix() * report.R_HM;
  entry.out_axis = io::find_axis_name(R_HM.row(2).transpose());
  entry.up_axis = io::find_axis_name(R_HM.row(1).transpose());
  entry.turn = rad_from_deg(given.turn_deg);
  entry.p_bolt_m = 1e-6 * (1e6 * report.p_MH_m).array().round().matrix();
  return io::write_imported_shape(entry, surface);
}

}  // namespace

Exit run_hold_measure(const HoldMeasureOptions& given) {
  const auto options = read_options(given);
  if (!options || !check_written_files({{"--picture", given.picture_file}}, {given.file}) ||
      !check_picture_name("--picture", given.picture_file))
    return Exit::kBadInput;
  const auto surface = hold::surface_from_name(given.surface.empty() ? "raw wood" : given.surface);
  if (!surface) {
    complain(fmt::format("--surface: there is no surface '{}'; see steepwright keys", given.surface));
    return Exit::kBadInput;
  }
  if (given.is_json && given.is_toml) {
    complain("--json goes not with --as-toml: keep one of them");
    return Exit::kBadInput;
  }
  const Result<hold::ImportedMesh> imported = hold::load_mesh(given.file, *options);
  if (!imported) {
    print_findings(imported.error());
    return Exit::kBadInput;
  }
  const std::vector<hold::MeasuredSite> sites = hold::measure_sites(imported->mesh, {.surface = *surface});
  if (!given.picture_file.empty()) {
    const std::string title = std::filesystem::path(given.file).filename().string();
    const Result<void> saved = io::save_drawing(given.picture_file, io::make_profile_picture(sites, title));
    if (!tell_saved(saved, "picture", given.picture_file, given.is_json || given.is_toml)) return Exit::kBadInput;
  }
  const Terminal terminal = find_terminal(stdout);
  const std::string text = given.is_json   ? format_json(*imported, sites)
                           : given.is_toml ? format_entry(given, imported->report, *surface)
                                           : format_report(*imported) + format_table(sites, terminal);
  return print(text) ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
