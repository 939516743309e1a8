#pragma once

/// Meshes from files that anybody may have made: read safely, cleaned, and put into the hold's frame.

#include "engine/core/error.h"
#include "engine/hold/mesh.h"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::hold {

enum class LengthUnit { kMillimetre, kCentimetre, kMetre, kInch };

/// "mm", "cm", "m", "inch".
[[nodiscard]] std::string_view name_of(LengthUnit unit);
[[nodiscard]] std::optional<LengthUnit> unit_from_name(std::string_view name);
[[nodiscard]] double metres_of(LengthUnit unit);

/// An axis of the file as a unit vector: "+x", "-z", "y".
[[nodiscard]] std::optional<Vec3> axis_from_name(std::string_view name);

/// What the user knows of the file; what is left out is guessed.
struct ImportOptions {
  std::optional<LengthUnit> unit;
  std::optional<Vec3> out_axis;  ///< out of the panel, in the file's axes
  std::optional<Vec3> up_axis;   ///< up-slope, in the file's axes; its part along out_axis is taken off
  double turn = 0.0;             ///< rad, of the hold about out_axis after that, counter-clockwise seen by the climber
  std::optional<Vec3> p_bolt_m;  ///< where the bolt goes through the panel side, in the file's axes, m
};

/// Limits of what is read: a hold scanned to a tenth of a millimetre has less.
inline constexpr std::size_t kMostTriangles = 4'000'000;
inline constexpr std::size_t kLargestMeshFile = 512U << 20U;

/// A hole in the surface: a closed walk along open edges.
struct OpenLoop {
  std::size_t edges = 0;
  double length_m = 0.0;
};

/// What was found and done; one sentence a guess, with how sure it is.
struct ImportReport {
  std::string format;  ///< "binary STL"
  LengthUnit unit = LengthUnit::kMillimetre;
  bool is_unit_sure = true;
  std::string unit_note, orientation_note, bolt_note;
  std::size_t triangles_read = 0, corners_read = 0;
  std::size_t welded = 0;      ///< corners that fell together with another
  std::size_t degenerate = 0;  ///< triangles left out: two corners equal
  std::size_t non_manifold_edges = 0;
  std::size_t turned_triangles = 0;  ///< turned over so that neighbours agree
  bool is_turned_inside_out = false;
  std::vector<OpenLoop> open_loops;  ///< longest first
  Mat3 R_HM = Mat3::Identity();      ///< file axes to H
  Vec3 p_MH_m = Vec3::Zero();        ///< the bolt, in the file's axes, m
};

struct ImportedMesh {
  Mesh mesh;  ///< in H
  ImportReport report;
};

/// Reads STL (binary, text), OBJ, PLY, glTF or GLB. Only positions and triangles are taken; polygons are cut into
/// triangles. Errors: what is wrong with the file, at its name; nothing else is read but buffers that a glTF file names
/// in or below its own folder.
[[nodiscard]] Result<ImportedMesh> load_mesh(const std::filesystem::path& path, const ImportOptions& options = {});

/// The same from bytes. `name` is what messages call the file and where its suffix comes from; `folder` is where a glTF
/// file may have its buffers ("" for nowhere).
[[nodiscard]] Result<ImportedMesh> import_mesh(std::string_view bytes, const std::string& name,
                                               const std::filesystem::path& folder, const ImportOptions& options = {});

}  // namespace steepwright::hold
