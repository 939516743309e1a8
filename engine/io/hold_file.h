#pragma once

/// The hold inventory: shapes by name, with their dimensions.

#include "engine/core/error.h"
#include "engine/hold/hold.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

struct Inventory {
  std::string name;
  std::vector<hold::Shape> shapes;

  [[nodiscard]] const hold::Shape* find(std::string_view name) const;  ///< nullptr when there is none
  [[nodiscard]] std::vector<std::string> names() const;
};

struct LoadedInventory {
  Inventory inventory;
  Findings warnings;
};

/// Inventory from text; `file` is what findings call it. All findings of the first stage that fails: syntax; form;
/// names and dimensions (check_shape).
[[nodiscard]] Result<LoadedInventory> parse_inventory(std::string_view text, const std::string& file);

[[nodiscard]] Result<LoadedInventory> load_inventory(const std::filesystem::path& path);

/// The inventory as TOML text; parse_inventory gives the same values.
[[nodiscard]] std::string write_inventory(const Inventory& inventory);

}  // namespace steepwright::io
