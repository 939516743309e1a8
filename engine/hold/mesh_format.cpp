#include "engine/hold/mesh_format.h"

#include "engine/core/contract.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cctype>
#include <cstddef>
#include <limits>
#include <utility>

namespace steepwright::hold {

namespace {

/// Little-endian bytes on any machine.
class Bytes {
 public:
  void add(std::string_view text) { bytes_ += text; }
  void add_byte(unsigned value) { bytes_ += static_cast<char>(value & 0xFFU); }
  void add_u16(std::uint32_t value) {
    add_byte(value);
    add_byte(value >> 8U);
  }
  void add_u32(std::uint32_t value) {
    add_u16(value);
    add_u16(value >> 16U);
  }
  void add_float(double value) { add_u32(std::bit_cast<std::uint32_t>(static_cast<float>(value) + 0.0F)); }
  void add_point(const Vec3& p) {
    for (int i = 0; i < 3; ++i) add_float(p[i]);
  }
  void pad_to(std::size_t multiple, char filler) {
    while (bytes_.size() % multiple != 0) bytes_ += filler;
  }
  [[nodiscard]] std::size_t size() const { return bytes_.size(); }
  [[nodiscard]] std::string take() { return std::move(bytes_); }

 private:
  std::string bytes_;
};

Vec3 in_mm(const Vec3& p) { return 1e3 * p; }

std::uint32_t count_of(std::size_t size) {
  STEEPWRIGHT_ASSERT(size <= std::numeric_limits<std::uint32_t>::max());
  return static_cast<std::uint32_t>(size);
}

/// On one line, of any length; quotes and backslashes stay.
std::string to_one_line(std::string_view name) {
  std::string line(name);
  std::replace_if(
      line.begin(), line.end(), [](unsigned char byte) { return byte < 0x20U || byte == 0x7FU; }, ' ');
  return line;
}

Vec3 find_normal(const Mesh& mesh, const std::array<std::uint32_t, 3>& t) {
  const Vec3& a = mesh.vertices[t[0]];
  return (mesh.vertices[t[1]] - a).cross(mesh.vertices[t[2]] - a).normalized();
}

std::string to_text(const Vec3& p) {
  // Shortest text that reads back as the same float; + 0 turns -0 into 0.
  const auto number = [](double value) { return static_cast<float>(value) + 0.0F; };
  return fmt::format("{} {} {}", number(p.x()), number(p.y()), number(p.z()));
}

std::string format_binary_stl(const Mesh& mesh, std::string_view name) {
  constexpr std::size_t kHeaderSize = 80;
  // A header that starts with "solid" would be taken for text.
  std::string header = "binary STL, mm; hold: " + to_one_line(name);
  header.resize(kHeaderSize, ' ');
  Bytes bytes;
  bytes.add(header);
  bytes.add_u32(count_of(mesh.triangles.size()));
  for (const auto& t : mesh.triangles) {
    bytes.add_point(find_normal(mesh, t));
    for (std::uint32_t corner : t) bytes.add_point(in_mm(mesh.vertices[corner]));
    bytes.add_u16(0);
  }
  return bytes.take();
}

std::string format_text_stl(const Mesh& mesh, std::string_view name) {
  const std::string line = to_one_line(name);
  std::string text = fmt::format("solid {}\n", line);
  for (const auto& t : mesh.triangles) {
    text += fmt::format("facet normal {}\n outer loop\n", to_text(find_normal(mesh, t)));
    for (std::uint32_t corner : t) text += fmt::format("  vertex {}\n", to_text(in_mm(mesh.vertices[corner])));
    text += " endloop\nendfacet\n";
  }
  return text + fmt::format("endsolid {}\n", line);
}

std::string format_obj(const Mesh& mesh, std::string_view name) {
  std::string text =
      fmt::format("# hold, mm; x right, y up-slope, z out of the panel, origin at the bolt\no {}\n", to_one_line(name));
  for (const Vec3& p : mesh.vertices) text += fmt::format("v {}\n", to_text(in_mm(p)));
  for (const auto& t : mesh.triangles) text += fmt::format("f {} {} {}\n", t[0] + 1, t[1] + 1, t[2] + 1);
  return text;
}

std::string format_ply(const Mesh& mesh, std::string_view name) {
  Bytes bytes;
  bytes.add(
      fmt::format("ply\nformat binary_little_endian 1.0\ncomment hold: {}\n"
                  "comment unit mm; x right, y up-slope, z out of the panel, origin at the bolt\n"
                  "element vertex {}\nproperty float x\nproperty float y\nproperty float z\n"
                  "element face {}\nproperty list uchar uint vertex_indices\nend_header\n",
                  to_one_line(name), mesh.vertices.size(), mesh.triangles.size()));
  for (const Vec3& p : mesh.vertices) bytes.add_point(in_mm(p));
  for (const auto& t : mesh.triangles) {
    bytes.add_byte(3);
    for (std::uint32_t corner : t) bytes.add_u32(corner);
  }
  return bytes.take();
}

std::string to_json_string(std::string_view text) {
  std::string quoted = "\"";
  for (const char letter : to_one_line(text)) {
    if (letter == '"' || letter == '\\') quoted += '\\';
    quoted += letter;
  }
  return quoted + '"';
}

std::string to_json_array(const Vec3& p) {
  const auto number = [](double value) { return static_cast<float>(value) + 0.0F; };
  return fmt::format("[{},{},{}]", number(p.x()), number(p.y()), number(p.z()));
}

/// Codes of glTF 2.0, section 3.6 and 3.7 (read).
constexpr std::uint32_t kGlbMagic = 0x46546C67;
constexpr std::uint32_t kJsonChunk = 0x4E4F534A;
constexpr std::uint32_t kBinChunk = 0x004E4942;
constexpr int kUnsignedShort = 5123;
constexpr int kUnsignedInt = 5125;
constexpr std::size_t kLargestShortMesh = 65535;  ///< index 65535 itself is reserved

std::string make_gltf_json(const Mesh& mesh, std::string_view name, bool has_short_indices, std::size_t index_bytes) {
  const Bounds bounds = calc_bounds(mesh);
  const std::size_t point_bytes = 12 * mesh.vertices.size();
  const std::string quoted = to_json_string(name);
  std::string json = R"({"asset":{"version":"2.0","generator":"steepwright"},"scene":0,"scenes":[{"nodes":[0]}],)";
  json += fmt::format(
      R"("nodes":[{{"name":{0},"mesh":0,"extras":{{"unit":"m","axes":"x right, y up-slope, z out of the panel; origin at the bolt on the panel"}}}}],)"
      R"("meshes":[{{"name":{0},"primitives":[{{"attributes":{{"POSITION":0}},"indices":1}}]}}],)",
      quoted);
  json +=
      fmt::format(R"("accessors":[{{"bufferView":0,"componentType":5126,"count":{},"type":"VEC3","min":{},"max":{}}},)"
                  R"({{"bufferView":1,"componentType":{},"count":{},"type":"SCALAR"}}],)",
                  mesh.vertices.size(), to_json_array(bounds.lower), to_json_array(bounds.upper),
                  has_short_indices ? kUnsignedShort : kUnsignedInt, 3 * mesh.triangles.size());
  json += fmt::format(
      R"("bufferViews":[{{"buffer":0,"byteOffset":0,"byteLength":{0},"target":34962}},)"
      R"({{"buffer":0,"byteOffset":{0},"byteLength":{1},"target":34963}}],"buffers":[{{"byteLength":{2}}}]}})",
      point_bytes, index_bytes, (point_bytes + index_bytes + 3) / 4 * 4);
  return json;
}

std::string format_glb(const Mesh& mesh, std::string_view name) {
  constexpr std::size_t kFileHeader = 12;
  constexpr std::size_t kChunkHeader = 8;
  const bool has_short_indices = mesh.vertices.size() <= kLargestShortMesh;
  Bytes data;
  for (const Vec3& p : mesh.vertices) data.add_point(p);
  for (const auto& t : mesh.triangles) {
    for (std::uint32_t corner : t) has_short_indices ? data.add_u16(corner) : data.add_u32(corner);
  }
  data.pad_to(4, '\0');
  Bytes json;
  json.add(make_gltf_json(mesh, name, has_short_indices, (has_short_indices ? 6U : 12U) * mesh.triangles.size()));
  json.pad_to(4, ' ');
  Bytes file;
  file.add_u32(kGlbMagic);
  file.add_u32(2);
  file.add_u32(count_of(kFileHeader + 2 * kChunkHeader + json.size() + data.size()));
  file.add_u32(count_of(json.size()));
  file.add_u32(kJsonChunk);
  file.add(json.take());
  file.add_u32(count_of(data.size()));
  file.add_u32(kBinChunk);
  file.add(data.take());
  return file.take();
}

}  // namespace

std::optional<MeshFormat> format_from_suffix(std::string_view suffix) {
  std::string lower(suffix);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
  if (lower == ".stl") return MeshFormat::kBinaryStl;
  if (lower == ".obj") return MeshFormat::kObj;
  if (lower == ".ply") return MeshFormat::kPly;
  if (lower == ".glb") return MeshFormat::kGlb;
  return std::nullopt;
}

std::string format_mesh(const Mesh& mesh, std::string_view name, MeshFormat format) {
  switch (format) {
    case MeshFormat::kBinaryStl:
      return format_binary_stl(mesh, name);
    case MeshFormat::kTextStl:
      return format_text_stl(mesh, name);
    case MeshFormat::kObj:
      return format_obj(mesh, name);
    case MeshFormat::kPly:
      return format_ply(mesh, name);
    case MeshFormat::kGlb:
      return format_glb(mesh, name);
  }
  return {};
}

}  // namespace steepwright::hold
