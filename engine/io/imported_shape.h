#pragma once

/// Inventory entries that are meshes: read from beside the inventory and measured.

#include "engine/core/error.h"
#include "engine/hold/hold.h"
#include "engine/hold/mesh_import.h"
#include "engine/io/toml_reader.h"

#include <filesystem>
#include <optional>
#include <string>

namespace steepwright::io {

/// The keys of the entry, and the hold that they gave.
struct ImportedShape {
  std::string name;
  std::string mesh;  ///< path from the inventory's folder
  std::optional<hold::LengthUnit> unit;
  std::string out_axis, up_axis;  ///< "+z"; "": guessed
  double turn = 0.0;              ///< rad
  std::optional<Vec3> p_bolt_m;   ///< in the file's axes
  hold::Hold hold;
};

/// The entry with its mesh read and measured. Faults go to the findings, at the keys that have them; the hold is then
/// without sites. `folder` is the inventory's own; "" for inventories that come with the program.
[[nodiscard]] ImportedShape read_imported_shape(const Entry& entry, const std::filesystem::path& folder,
                                                Findings& findings);

/// How its mesh file is read, e.g. to draw it.
[[nodiscard]] hold::ImportOptions make_import_options(const ImportedShape& shape);

/// [[shape]] with its keys.
[[nodiscard]] std::string write_imported_shape(const ImportedShape& shape, hold::Surface surface);

/// "+x" to "-z"; "" for a direction along no axis.
[[nodiscard]] std::string find_axis_name(const Vec3& axis);

}  // namespace steepwright::io
