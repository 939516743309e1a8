#pragma once

/// The hold inventory: shapes by name, with their dimensions or their mesh.

#include "engine/core/error.h"
#include "engine/hold/hold.h"
#include "engine/io/imported_shape.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

struct Inventory {
  std::string name;
  std::vector<hold::Shape> shapes;      ///< all, imported ones with their outer dimensions
  std::vector<ImportedShape> imported;  ///< the entries of those that are meshes

  [[nodiscard]] const hold::Shape* find(std::string_view name) const;  ///< nullptr when there is none
  [[nodiscard]] std::vector<std::string> names() const;
  /// The hold of one of its shapes: made from dimensions, or as it was measured.
  [[nodiscard]] hold::Hold make_hold(const hold::Shape& shape) const;
};

struct LoadedInventory {
  Inventory inventory;
  Findings warnings;
};

/// Inventory from text; `file` is what findings call it. All findings of the first stage that fails: syntax; form;
/// names and dimensions (check_shape), meshes. Meshes lie in or below `folder`; with "" there can be none.
[[nodiscard]] Result<LoadedInventory> parse_inventory(std::string_view text, const std::string& file,
                                                      const std::filesystem::path& folder = {});

[[nodiscard]] Result<LoadedInventory> load_inventory(const std::filesystem::path& path);

/// The inventory as TOML text; parse_inventory gives the same values.
[[nodiscard]] std::string write_inventory(const Inventory& inventory);

}  // namespace steepwright::io
