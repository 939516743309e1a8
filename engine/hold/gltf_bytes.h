#pragma once

/// The bytes of a glTF file: its fault, the two parts of a GLB, buffers written into it or named by it. Part of
/// gltf_source.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>

namespace steepwright::hold {

/// Thrown within the reading of glTF only, and turned into a finding at its border: the checks are many and deep.
struct GltfFault {
  std::string message, remedy;
};

inline constexpr std::uint32_t kGlbJson = 0x4E4F534A;
inline constexpr std::uint32_t kGlbBytes = 0x004E4942;

/// The parts of a GLB.
struct GlbChunks {
  std::string_view json, bin;
};
[[nodiscard]] GlbChunks split_glb(std::string_view bytes);
/// A GLB of these parts.
[[nodiscard]] std::string write_glb(std::string json, std::string_view bin);

/// True when a reference to a file may leave the folder that it counts from.
[[nodiscard]] bool leaves_folder(const std::string& uri);
/// The bytes of a buffer that is written into its reference ("data:") or lies in or below the folder, links followed.
[[nodiscard]] std::string load_buffer(const std::string& uri, const std::filesystem::path& folder);

}  // namespace steepwright::hold
