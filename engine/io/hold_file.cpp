#include "engine/io/hold_file.h"

#include "engine/io/file_units.h"
#include "engine/io/text_file.h"
#include "engine/io/toml_reader.h"

#include <fmt/format.h>

#include <map>

namespace steepwright::io {

namespace {

hold::Shape read_shape(const Entry& entry) {
  const auto length = [&](std::string_view key) { return length_from_mm(*entry.number(key)); };
  hold::Shape shape;
  shape.name = *entry.text("name");
  shape.family = *hold::family_from_name(*entry.text("family"));
  shape.surface = *hold::surface_from_name(*entry.text("surface"));
  shape.width_m = length("width_mm");
  shape.height_m = length("height_mm");
  shape.protrusion_m = length("protrusion_mm");
  shape.depth_m = length("depth_mm");
  shape.incut = rad_from_deg(*entry.number("incut_deg"));
  shape.lip_radius_m = length("lip_radius_mm");
  shape.mouth_m = length("mouth_mm");
  shape.fingers = static_cast<int>(*entry.number("fingers"));
  return shape;
}

/// What check_shape lists, at the keys of the file: its findings name a dimension of the shape by `key`, if anything.
void check_dimensions(const Entry& entry, const hold::Shape& shape, Findings& findings) {
  for (Finding finding : hold::check_shape(shape)) {
    const std::string key = finding.key;
    finding.place = entry.place_of(key);
    finding.key = key.empty() ? "shape" : "shape." + key;
    finding.message = fmt::format("shape {}: {}", in_quotes(shape.name), finding.message);
    findings.push_back(std::move(finding));
  }
}

/// Keys of a mesh at a shape that has none.
void check_mesh_keys(const Entry& entry, Findings& findings) {
  for (const char* key : {"mesh", "mesh_unit", "mesh_out_axis", "mesh_up_axis", "mesh_turn_deg", "mesh_bolt_x_mm",
                          "mesh_bolt_y_mm", "mesh_bolt_z_mm"}) {
    if (!entry.has(key)) continue;
    findings.push_back(entry.error(key, "is for imported holds only", "leave it out, or write family = \"imported\""));
  }
}

const ImportedShape* find_imported(const Inventory& inventory, std::string_view name) {
  for (const ImportedShape& shape : inventory.imported) {
    if (shape.name == name) return &shape;
  }
  return nullptr;
}

}  // namespace

hold::Hold Inventory::make_hold(const hold::Shape& shape) const {
  const ImportedShape* entry = find_imported(*this, shape.name);
  return entry != nullptr ? entry->hold : hold::make_hold(shape);
}

const hold::Shape* Inventory::find(std::string_view wanted) const {
  for (const hold::Shape& shape : shapes) {
    if (shape.name == wanted) return &shape;
  }
  return nullptr;
}

std::vector<std::string> Inventory::names() const {
  std::vector<std::string> all;
  for (const hold::Shape& shape : shapes) all.push_back(shape.name);
  return all;
}

Result<LoadedInventory> parse_inventory(std::string_view text, const std::string& file,
                                        const std::filesystem::path& folder) {
  const Result<Document> document = parse_document(text, file, FileKind::kInventory);
  if (!document) return tl::unexpected<Findings>(document.error());
  Findings findings = check_form(*document);
  if (has_errors(findings)) return tl::unexpected<Findings>(std::move(findings));

  const Entry root(*document);
  LoadedInventory loaded;
  loaded.inventory.name = *root.text("name");
  std::map<std::string, int> first_lines;
  for (const Entry& entry : root.entries("shape")) {
    const bool is_imported = *entry.text("family") == hold::name_of(hold::Family::kImported);
    hold::Shape shape;
    if (is_imported) {
      loaded.inventory.imported.push_back(read_imported_shape(entry, folder, findings));
      shape = loaded.inventory.imported.back().hold.shape;
    } else {
      shape = read_shape(entry);
    }
    const auto [first, is_new] = first_lines.emplace(shape.name, entry.place_of("name").line);
    if (!is_new) {
      findings.push_back(
          entry.error("name", fmt::format("{} is already used in line {}", in_quotes(shape.name), first->second)));
    }
    if (!is_imported) {
      check_dimensions(entry, shape, findings);
      check_mesh_keys(entry, findings);
    }
    loaded.inventory.shapes.push_back(std::move(shape));
  }
  tidy(findings);
  if (has_errors(findings)) return tl::unexpected<Findings>(std::move(findings));
  loaded.warnings = std::move(findings);
  return loaded;
}

Result<LoadedInventory> load_inventory(const std::filesystem::path& path) {
  const Result<std::string> text = load_text(path);
  if (!text) return tl::unexpected<Findings>(text.error());
  return parse_inventory(*text, path.string(), find_folder(path));
}

std::string write_inventory(const Inventory& inventory) {
  std::string text = fmt::format("steepwright_inventory = 1\nname = {}\n", to_toml_string(inventory.name));
  for (const hold::Shape& shape : inventory.shapes) {
    if (const ImportedShape* imported = find_imported(inventory, shape.name)) {
      text += write_imported_shape(*imported, shape.surface);
      continue;
    }
    text += fmt::format("\n[[shape]]\nname = {}\nfamily = {}\nsurface = {}\n", to_toml_string(shape.name),
                        to_toml_string(hold::name_of(shape.family)), to_toml_string(hold::name_of(shape.surface)));
    const auto line = [&](std::string_view key, const std::string& value) {
      text += fmt::format("{} = {}\n", key, value);
    };
    line("width_mm", to_mm_text(shape.width_m));
    line("height_mm", to_mm_text(shape.height_m));
    line("protrusion_mm", to_mm_text(shape.protrusion_m));
    line("depth_mm", to_mm_text(shape.depth_m));
    line("incut_deg", to_deg_text(shape.incut));
    line("lip_radius_mm", to_mm_text(shape.lip_radius_m));
    line("mouth_mm", to_mm_text(shape.mouth_m));
    text += fmt::format("fingers = {}\n", shape.fingers);
  }
  return text;
}

}  // namespace steepwright::io
