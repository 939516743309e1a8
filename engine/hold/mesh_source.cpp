#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdint>
#include <cstring>
#include <optional>
#include <utility>
#include <vector>

namespace steepwright::hold {

namespace {

constexpr std::size_t kStlHeader = 84;
constexpr std::size_t kStlFacet = 50;
/// Enough of a text to tell what it is.
constexpr std::size_t kLookAhead = 64U << 10U;

std::string lower_suffix(const std::string& name) {
  std::string suffix = std::filesystem::path(name).extension().string();
  std::transform(suffix.begin(), suffix.end(), suffix.begin(),
                 [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
  return suffix;
}

bool is_text(std::string_view bytes) {
  const std::string_view start = bytes.substr(0, kLookAhead);
  return std::none_of(start.begin(), start.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 9 || (byte > 13 && byte < 32 && byte != 27);
  });
}

std::string_view trim_left(std::string_view text) {
  const std::size_t start = text.find_first_not_of(" \t\r\n");
  return start == std::string_view::npos ? std::string_view{} : text.substr(start);
}

bool has_obj_lines(std::string_view bytes) {
  const std::string_view start = bytes.substr(0, kLookAhead);
  for (const std::string_view mark : {"\nv ", "\nv\t"}) {
    if (start.starts_with(mark.substr(1)) || start.find(mark) != std::string_view::npos) return true;
  }
  return false;
}

std::uint64_t find_claimed_facets(std::string_view bytes) {
  std::uint32_t count = 0;
  std::memcpy(&count, bytes.data() + 80, sizeof count);
  return count;
}

std::optional<SourceFormat> guess_format(std::string_view bytes) {
  if (bytes.starts_with("glTF")) return SourceFormat::kGlb;
  if (bytes.starts_with("ply\n") || bytes.starts_with("ply\r")) return SourceFormat::kPly;
  if (bytes.size() >= kStlHeader && kStlHeader + kStlFacet * find_claimed_facets(bytes) == bytes.size())
    return SourceFormat::kBinaryStl;
  if (!is_text(bytes)) return std::nullopt;
  const std::string_view text = trim_left(bytes);
  if (text.starts_with("{")) return SourceFormat::kGltf;
  if (text.starts_with("solid") &&
      (text.substr(0, kLookAhead).find("facet") != std::string_view::npos || text.find("endsolid") < kLookAhead))
    return SourceFormat::kTextStl;
  if (has_obj_lines(bytes)) return SourceFormat::kObj;
  return std::nullopt;
}

std::string_view suffix_of(SourceFormat format) {
  constexpr std::array<std::string_view, 6> kSuffixes = {".stl", ".stl", ".obj", ".ply", ".gltf", ".glb"};
  return kSuffixes[static_cast<std::size_t>(format)];
}

bool is_known_suffix(std::string_view suffix) {
  return suffix == ".stl" || suffix == ".obj" || suffix == ".ply" || suffix == ".gltf" || suffix == ".glb";
}

}  // namespace

std::string_view name_of(SourceFormat format) {
  constexpr std::array<std::string_view, 6> kNames = {"binary STL", "text STL", "OBJ", "PLY", "glTF", "GLB"};
  return kNames[static_cast<std::size_t>(format)];
}

tl::unexpected<Findings> mesh_failure(const std::string& name, std::string message, std::string remedy) {
  Finding finding;
  finding.place.file = name;
  finding.message = std::move(message);
  finding.remedy = std::move(remedy);
  return tl::unexpected<Findings>({std::move(finding)});
}

void append_polygon(const std::vector<std::uint32_t>& corners, Mesh& mesh) {
  const std::size_t n = corners.size();
  const auto at = [&](std::size_t i) -> const Vec3& { return mesh.vertices[corners[i % n]]; };
  const bool is_known =
      std::all_of(corners.begin(), corners.end(), [&](std::uint32_t corner) { return corner < mesh.vertices.size(); });
  std::size_t apex = 0;
  if (n > 3 && is_known) {
    Vec3 area = Vec3::Zero();
    for (std::size_t i = 1; i + 1 < n; ++i) area += (at(i) - at(0)).cross(at(i + 1) - at(0));
    const auto turns_over = [&](std::size_t from) {
      for (std::size_t i = 1; i + 1 < n; ++i) {
        if (area.dot((at(from + i) - at(from)).cross(at(from + i + 1) - at(from))) < 0.0) return true;
      }
      return false;
    };
    // Quadratic: only small polygons are searched.
    constexpr std::size_t kMostSearched = 64;
    while (n <= kMostSearched && apex < n && turns_over(apex)) ++apex;
    apex %= n;
  }
  for (std::size_t i = 1; i + 1 < n; ++i)
    mesh.triangles.push_back({corners[apex], corners[(apex + i) % n], corners[(apex + i + 1) % n]});
}

Result<SourceFormat> find_source_format(std::string_view bytes, const std::string& name) {
  if (bytes.empty()) return mesh_failure(name, "the file is empty", "name a mesh: .stl, .obj, .ply, .gltf or .glb");
  const std::string suffix = lower_suffix(name);
  const auto format = guess_format(bytes);
  if (format && is_known_suffix(suffix) && suffix != suffix_of(*format)) {
    return mesh_failure(name, fmt::format("is named {} but holds {}", suffix, name_of(*format)),
                        fmt::format("name it {} if that is what it shall be", suffix_of(*format)));
  }
  if (format) return *format;
  if (suffix == ".stl" && !is_text(bytes)) {
    if (bytes.size() < kStlHeader) {
      return mesh_failure(name, fmt::format("has {} bytes, a binary STL has {} or more", bytes.size(), kStlHeader),
                          "the file was cut short; get it anew");
    }
    const std::uint64_t count = find_claimed_facets(bytes);
    return mesh_failure(name,
                        fmt::format("claims {} triangles, which take {} bytes, and has {} bytes", count,
                                    kStlHeader + kStlFacet * count, bytes.size()),
                        "the file was cut short or is no STL; get it anew");
  }
  return mesh_failure(name, is_text(bytes) ? "is text, but no mesh" : "is no mesh that is known here",
                      "name a mesh: .stl, .obj, .ply, .gltf or .glb");
}

}  // namespace steepwright::hold
