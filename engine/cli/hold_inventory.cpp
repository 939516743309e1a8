#include "engine/cli/hold_inventory.h"

#include "engine/cli/terminal.h"
#include "engine/core/contract.h"
#include "engine/core/units.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <cmath>

namespace steepwright::cli {

namespace {

constexpr const char* kShippedInventory = "models/holds/workshop.toml";

Result<io::LoadedInventory> load(const std::string& file) {
  if (!file.empty()) return io::load_inventory(file);
  const auto text = io::embedded_file(kShippedInventory);
  STEEPWRIGHT_ASSERT(text.has_value());
  return io::parse_inventory(*text, kShippedInventory);
}

/// Hundredths, without the zeros that say nothing.
std::string show(double value) {
  const double rounded = std::round(100.0 * value) / 100.0;
  return fmt::format("{:.7g}", rounded == 0.0 ? 0.0 : rounded);
}

template <typename Enum, std::size_t N>
std::vector<std::string> list_names() {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < N; ++i) names.emplace_back(hold::name_of(static_cast<Enum>(i)));
  return names;
}

}  // namespace

std::optional<io::Inventory> load_inventory_or_complain(const std::string& file) {
  Result<io::LoadedInventory> loaded = load(file);
  if (!loaded) {
    print_findings(loaded.error());
    return std::nullopt;
  }
  print_findings(loaded->warnings);
  return std::move(loaded->inventory);
}

std::string suggest_name(std::string_view name, const std::vector<std::string>& known, std::string_view what) {
  const auto nearest = io::find_nearest_name(name, known);
  return nearest ? fmt::format("did you mean '{}'?", *nearest) : fmt::format("{} are {}", what, io::list_of(known));
}

std::vector<std::string> list_families() { return list_names<hold::Family, 7>(); }
std::vector<std::string> list_surfaces() { return list_names<hold::Surface, 6>(); }

std::string show_mm(double length_m) { return show(mm_from_m(length_m)); }
std::string show_deg(double angle) { return show(deg_from_rad(angle)); }

std::string show_grips(const hold::Site& site) {
  if (site.use == hold::Site::Use::kFoot) return "for feet only";
  std::string text;
  for (const Grip grip : site.grips) text.append(text.empty() ? "" : ", ").append(name_of(grip));
  return text.empty() ? "none" : text;
}

std::optional<hold::Surface> read_surface(const std::string& name) {
  const auto surface = hold::surface_from_name(name);
  if (!surface) {
    complain(
        fmt::format("--surface: there is no surface '{}'; {}", name, suggest_name(name, list_surfaces(), "surfaces")));
  }
  return surface;
}

}  // namespace steepwright::cli
