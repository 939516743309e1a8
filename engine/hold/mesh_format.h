#pragma once

/// Meshes as the bytes of the usual files.
///
/// | format | unit | notes |
/// | --- | --- | --- |
/// | STL, binary or text | mm | corners repeated in each triangle, float |
/// | OBJ | mm | 1-based indices |
/// | PLY, binary little-endian | mm | float corners, uint indices |
/// | GLB | m | glTF 2.0; one node named after the hold |
///
/// All keep the axes of H: x right, y up-slope, z out of the panel, origin at the bolt on the panel's face. glTF's up
/// is y, so a viewer shows the hold as on an upright panel; its node says so in `extras`. Coordinates are rounded to
/// float.

#include "engine/hold/mesh.h"

#include <optional>
#include <string>
#include <string_view>

namespace steepwright::hold {

enum class MeshFormat { kBinaryStl, kTextStl, kObj, kPly, kGlb };

/// By the end of a file's name, in any case: ".stl" (binary), ".obj", ".ply", ".glb".
[[nodiscard]] std::optional<MeshFormat> format_from_suffix(std::string_view suffix);

/// The file's bytes. `name` goes where the format has room for one; control characters in it become spaces.
[[nodiscard]] std::string format_mesh(const Mesh& mesh, std::string_view name, MeshFormat format);

}  // namespace steepwright::hold
