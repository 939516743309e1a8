#include "engine/io/imported_shape.h"

#include "engine/hold/measure.h"
#include "engine/io/file_units.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace steepwright::io {

namespace {

constexpr std::array kAxisNames = {"+x", "-x", "+y", "-y", "+z", "-z"};
constexpr std::array kDimensions = {"width_mm",  "height_mm",     "protrusion_mm", "depth_mm",
                                    "incut_deg", "lip_radius_mm", "mouth_mm",      "fingers"};
constexpr std::array kBoltKeys = {"mesh_bolt_x_mm", "mesh_bolt_y_mm", "mesh_bolt_z_mm"};

/// The bolt is given whole or not at all.
std::optional<Vec3> read_bolt(const Entry& entry, Findings& findings) {
  const auto given = std::count_if(kBoltKeys.begin(), kBoltKeys.end(), [&](const char* key) { return entry.has(key); });
  if (given == 0) return std::nullopt;
  if (given != 3) {
    const char* present =
        *std::find_if(kBoltKeys.begin(), kBoltKeys.end(), [&](const char* key) { return entry.has(key); });
    findings.push_back(entry.error(present,
                                   "the bolt needs all three of mesh_bolt_x_mm, mesh_bolt_y_mm and mesh_bolt_z_mm",
                                   "add the others, or leave all three out to have it guessed"));
    return std::nullopt;
  }
  return Vec3(length_from_mm(*entry.number(kBoltKeys[0])), length_from_mm(*entry.number(kBoltKeys[1])),
              length_from_mm(*entry.number(kBoltKeys[2])));
}

/// Outer dimensions around the bolt, for what asks how much room the hold takes.
void take_size(const hold::Mesh& mesh, hold::Shape& shape) {
  const hold::Bounds bounds = hold::calc_bounds(mesh);
  const Vec3 reach = bounds.upper.cwiseMax(-bounds.lower);
  shape.width_m = 2.0 * reach.x();
  shape.height_m = 2.0 * reach.y();
  shape.protrusion_m = bounds.upper.z();
}

void load(const Entry& entry, const std::filesystem::path& folder, ImportedShape& shape, Findings& findings) {
  const auto report = [&](const Finding& fault) {
    findings.push_back(entry.error(
        "mesh", fmt::format("shape {}: mesh {}: {}", in_quotes(shape.name), in_quotes(shape.mesh), fault.message),
        fault.remedy));
  };
  const std::string fault = find_reference_fault(shape.mesh);
  if (!fault.empty() || folder.empty()) {
    Finding finding;
    finding.message = fault.empty() ? "an inventory that comes with the program has no meshes" : fault;
    finding.remedy = fault.empty() ? "copy the inventory into a file" : "put the mesh beside or below the inventory";
    return report(finding);
  }
  const Result<hold::ImportedMesh> imported = hold::load_mesh(folder / shape.mesh, make_import_options(shape));
  if (!imported) {
    for (const Finding& finding : imported.error()) report(finding);
    return;
  }
  take_size(imported->mesh, shape.hold.shape);
  for (hold::MeasuredSite& measured : hold::measure_sites(imported->mesh, {.surface = shape.hold.shape.surface}))
    shape.hold.sites.push_back(std::move(measured.site));
  if (shape.hold.sites.empty()) {
    Finding finding;
    finding.message = "has no site for fingers or shoe";
    finding.remedy = "look at it with: steepwright hold measure";
    report(finding);
  }
}

}  // namespace

hold::ImportOptions make_import_options(const ImportedShape& shape) {
  hold::ImportOptions options;
  options.unit = shape.unit;
  options.out_axis = hold::axis_from_name(shape.out_axis);
  options.up_axis = hold::axis_from_name(shape.up_axis);
  options.turn = shape.turn;
  options.p_bolt_m = shape.p_bolt_m;
  return options;
}

std::string find_axis_name(const Vec3& axis) {
  constexpr double kAlong = 1.0 - 1e-9;
  for (const char* name : kAxisNames) {
    if (hold::axis_from_name(name)->dot(axis) > kAlong) return name;
  }
  return "";
}

ImportedShape read_imported_shape(const Entry& entry, const std::filesystem::path& folder, Findings& findings) {
  ImportedShape shape;
  shape.name = *entry.text("name");
  shape.mesh = entry.text("mesh").value_or("");
  shape.out_axis = entry.text("mesh_out_axis").value_or("");
  shape.up_axis = entry.text("mesh_up_axis").value_or("");
  shape.turn = rad_from_deg(*entry.number("mesh_turn_deg"));
  if (const auto unit = entry.text("mesh_unit")) shape.unit = hold::unit_from_name(*unit);
  shape.hold.shape.name = shape.name;
  shape.hold.shape.family = hold::Family::kImported;
  shape.hold.shape.surface = *hold::surface_from_name(*entry.text("surface"));
  const std::size_t before = findings.size();
  for (const char* key : kDimensions) {
    if (entry.has(key))
      findings.push_back(entry.error(key, "is measured on the mesh of an imported hold", "leave it out"));
  }
  shape.p_bolt_m = read_bolt(entry, findings);
  if (shape.mesh.empty()) {
    findings.push_back(entry.error("", fmt::format("shape {}: an imported hold needs its mesh", in_quotes(shape.name)),
                                   "add mesh = \"...\""));
  }
  if (findings.size() == before) load(entry, folder, shape, findings);
  return shape;
}

std::string write_imported_shape(const ImportedShape& shape, hold::Surface surface) {
  std::string text =
      fmt::format("\n[[shape]]\nname = {}\nfamily = \"imported\"\nsurface = {}\nmesh = {}\n",
                  to_toml_string(shape.name), to_toml_string(hold::name_of(surface)), to_toml_string(shape.mesh));
  if (shape.unit) text += fmt::format("mesh_unit = \"{}\"\n", hold::name_of(*shape.unit));
  if (!shape.out_axis.empty()) text += fmt::format("mesh_out_axis = \"{}\"\n", shape.out_axis);
  if (!shape.up_axis.empty()) text += fmt::format("mesh_up_axis = \"{}\"\n", shape.up_axis);
  if (shape.turn != 0.0) text += fmt::format("mesh_turn_deg = {}\n", to_deg_text(shape.turn));
  if (shape.p_bolt_m) {
    for (std::size_t i = 0; i < kBoltKeys.size(); ++i)
      text += fmt::format("{} = {}\n", kBoltKeys[i], to_mm_text((*shape.p_bolt_m)[static_cast<Eigen::Index>(i)]));
  }
  return text;
}

}  // namespace steepwright::io
