#pragma once

/// How an imported mesh lies on the panel: its unit, its sides, its bolt; guessed where not told.

#include "engine/hold/mesh_clean.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

namespace steepwright::hold {

/// Fills unit and unit_note of the report. `size` is the largest extent in the file's unit.
void guess_unit(double size, SourceFormat format, const ImportOptions& options, ImportReport& report);

/// Turns and shifts the mesh (in m, file axes) into H, and tells in the report how.
void place_on_panel(Mesh& mesh, const std::vector<BoundaryLoop>& loops, SourceFormat format,
                    const ImportOptions& options, ImportReport& report);

}  // namespace steepwright::hold
