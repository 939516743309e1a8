#pragma once

/// The readers behind mesh_import: bytes to triangles in the file's own axes and unit.

#include "engine/core/error.h"
#include "engine/hold/mesh.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::hold {

enum class SourceFormat { kBinaryStl, kTextStl, kObj, kPly, kGltf, kGlb };

/// "binary STL", "OBJ".
[[nodiscard]] std::string_view name_of(SourceFormat format);

/// What the bytes are; an error when they are nothing known, not what the name's suffix says, or less than they claim.
[[nodiscard]] Result<SourceFormat> find_source_format(std::string_view bytes, const std::string& name);

/// Triangles as read. Vertices are not numbers of H yet.
struct RawMesh {
  Mesh mesh;
  std::size_t corners_read = 0;  ///< before equal ones were joined
};

/// A failure about the file as a whole.
[[nodiscard]] tl::unexpected<Findings> mesh_failure(const std::string& name, std::string message,
                                                    std::string remedy = "");

/// STL is read here and not by Assimp so that faults name their facet and equal corners are joined while reading: a
/// binary STL of 2.3 million triangles takes 280 MB and 6 s with cleaning and measuring (Assimp alone: 390 MB, 1.1 s).
[[nodiscard]] Result<RawMesh> read_binary_stl(std::string_view bytes, const std::string& name);
[[nodiscard]] Result<RawMesh> read_text_stl(std::string_view bytes, const std::string& name);

/// OBJ with nothing left but corners and faces, so that no other file is named in it.
[[nodiscard]] Result<std::string> strip_obj(std::string_view bytes, const std::string& name);

/// PLY is read here too, so that every count and index is checked before it is used: Assimp stopped the program at an
/// assertion when damaged text meshes were cut into triangles.
[[nodiscard]] Result<RawMesh> read_ply(std::string_view bytes, const std::string& name);

/// Appends a polygon's triangles: a fan from the first corner from which no triangle of it turns over.
void append_polygon(const std::vector<std::uint32_t>& corners, Mesh& mesh);

/// glTF or GLB as a GLB with nothing left but nodes, triangles and positions, all indices checked, all buffers inside.
[[nodiscard]] Result<std::string> strip_gltf(std::string_view bytes, SourceFormat format, const std::string& name,
                                             const std::filesystem::path& folder);

/// Stripped OBJ and GLB by Assimp, from memory; it gets no access to files. `suffix` is "obj" or "glb".
[[nodiscard]] Result<RawMesh> read_by_assimp(std::string_view bytes, std::string_view suffix, const std::string& name);

}  // namespace steepwright::hold
