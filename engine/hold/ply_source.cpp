/// PLY, text and binary.

#include "engine/hold/byte_text.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <optional>
#include <utility>
#include <vector>

namespace steepwright::hold {

namespace {

/// Polygons with more corners are damage (own choice: the largest flat face of a sawn hold has some hundreds).
constexpr std::size_t kMostPolygonCorners = 4096;
constexpr std::size_t kMostElements = 16;
constexpr std::size_t kMostProperties = 64;

enum class Kind { kSigned, kUnsigned, kFloat };

struct Type {
  Kind kind = Kind::kFloat;
  std::size_t size = 0;  ///< bytes; 0: unknown
};

Type type_of(std::string_view name) {
  using Row = std::pair<std::string_view, Type>;
  constexpr std::array<Row, 16> kTypes = {{{"char", {Kind::kSigned, 1}},
                                           {"int8", {Kind::kSigned, 1}},
                                           {"uchar", {Kind::kUnsigned, 1}},
                                           {"uint8", {Kind::kUnsigned, 1}},
                                           {"short", {Kind::kSigned, 2}},
                                           {"int16", {Kind::kSigned, 2}},
                                           {"ushort", {Kind::kUnsigned, 2}},
                                           {"uint16", {Kind::kUnsigned, 2}},
                                           {"int", {Kind::kSigned, 4}},
                                           {"int32", {Kind::kSigned, 4}},
                                           {"uint", {Kind::kUnsigned, 4}},
                                           {"uint32", {Kind::kUnsigned, 4}},
                                           {"float", {Kind::kFloat, 4}},
                                           {"float32", {Kind::kFloat, 4}},
                                           {"double", {Kind::kFloat, 8}},
                                           {"float64", {Kind::kFloat, 8}}}};
  const auto found = std::find_if(kTypes.begin(), kTypes.end(), [&](const Row& row) { return row.first == name; });
  return found == kTypes.end() ? Type{} : found->second;
}

struct Property {
  std::string name;
  Type type;
  std::optional<Type> count_type;  ///< of lists
};

struct Element {
  std::string name;
  std::uint64_t count = 0;
  std::vector<Property> properties;

  /// Bytes that one takes at least: lists may be empty, numbers of a text have one digit and a space.
  [[nodiscard]] std::size_t find_least_bytes(bool is_text) const {
    if (is_text) return 2 * properties.size();
    std::size_t bytes = 0;
    for (const Property& property : properties) bytes += property.count_type.value_or(property.type).size;
    return bytes;
  }
};

struct Header {
  bool is_text = false, is_big_endian = false;
  std::vector<Element> elements;
};

/// One line of a header; false when it makes no sense.
bool read_header_line(std::string_view line, Header& header) {
  const std::string_view word = take_word(line);
  if (word == "format") {
    const std::string_view kind = take_word(line);
    header.is_text = kind == "ascii";
    header.is_big_endian = kind == "binary_big_endian";
    return header.is_text || header.is_big_endian || kind == "binary_little_endian";
  }
  if (word == "element") {
    Element element;
    element.name = take_word(line);
    const auto count = to_number<std::uint64_t>(take_word(line));
    if (!count || header.elements.size() == kMostElements) return false;
    element.count = *count;
    header.elements.push_back(std::move(element));
    return true;
  }
  if (word == "property") {
    if (header.elements.empty() || header.elements.back().properties.size() == kMostProperties) return false;
    Property property;
    std::string_view type = take_word(line);
    if (type == "list") {
      property.count_type = type_of(take_word(line));
      type = take_word(line);
    }
    property.type = type_of(type);
    property.name = take_word(line);
    const bool is_known = property.type.size > 0 && (!property.count_type || property.count_type->size > 0);
    header.elements.back().properties.push_back(std::move(property));
    return is_known;
  }
  return word == "ply" || word == "comment" || word == "obj_info" || word.empty();
}

/// The numbers after the header, one after the other.
class Numbers {
 public:
  Numbers(std::string_view bytes, const Header& header) : rest_(bytes), header_(header) {}

  /// Nothing at the end, and where a text has no number.
  std::optional<double> next(const Type& type) { return header_.is_text ? next_of_text() : next_of_bytes(type); }

 private:
  std::optional<double> next_of_text() {
    const std::size_t start = rest_.find_first_not_of(" \t\r\n");
    if (start == std::string_view::npos) return std::nullopt;
    const std::size_t end = std::min(rest_.find_first_of(" \t\r\n", start), rest_.size());
    const auto number = to_number<double>(rest_.substr(start, end - start));
    rest_.remove_prefix(end);
    return number;
  }

  std::optional<double> next_of_bytes(const Type& type) {
    if (rest_.size() < type.size) return std::nullopt;
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < type.size; ++i) {
      const std::size_t at = header_.is_big_endian ? i : type.size - 1 - i;
      bits = (bits << 8U) | static_cast<unsigned char>(rest_[at]);
    }
    rest_.remove_prefix(type.size);
    if (type.kind == Kind::kUnsigned) return static_cast<double>(bits);
    if (type.kind == Kind::kFloat) {
      return type.size == 4 ? static_cast<double>(std::bit_cast<float>(static_cast<std::uint32_t>(bits)))
                            : std::bit_cast<double>(bits);
    }
    if (type.size == 1) return static_cast<double>(static_cast<std::int8_t>(bits));
    if (type.size == 2) return static_cast<double>(static_cast<std::int16_t>(bits));
    return static_cast<double>(static_cast<std::int32_t>(bits));
  }

  std::string_view rest_;
  const Header& header_;
};

class PlyReader {
 public:
  PlyReader(std::string_view bytes, const std::string& name) : rest_(bytes), name_(name) {}

  Result<RawMesh> run() {
    for (const auto step : {&PlyReader::read_header, &PlyReader::check_claims, &PlyReader::read_elements}) {
      const Result<void> done = (this->*step)();
      if (!done) return tl::unexpected<Findings>(done.error());
    }
    raw_.corners_read = raw_.mesh.vertices.size();
    return std::move(raw_);
  }

 private:
  Result<void> read_header() {
    for (int line_number = 1;; ++line_number) {
      if (rest_.empty()) return mesh_failure(name_, "the header has no end", kCutShort);
      const std::string_view line = take_line(rest_);
      if (line == "end_header") return {};
      if (!read_header_line(line, header_)) {
        return line_failure(name_, line_number,
                            fmt::format("the header's line makes no sense: '{}'", line.substr(0, 60)));
      }
    }
  }

  Result<void> check_claims() {
    std::uint64_t faces = 0;
    for (const Element& element : header_.elements) {
      const std::size_t least = element.find_least_bytes(header_.is_text);
      if (least == 0 ? element.count > 0 : element.count > rest_.size() / least + 1) {
        return mesh_failure(name_,
                            fmt::format("claims {} of '{}', which take {} bytes or more each, and has {} bytes",
                                        element.count, element.name.substr(0, 40), least, rest_.size()),
                            kCutShort);
      }
      if (element.name == "face") faces = element.count;
    }
    if (faces == 0) {
      return mesh_failure(name_, "has no triangles", "export the mesh with its faces, not only its points");
    }
    if (faces > kMostTriangles) {
      return mesh_failure(name_, fmt::format("has {} faces; up to {} are read", faces, kMostTriangles), kReduce);
    }
    return {};
  }

  Result<void> read_elements() {
    Numbers numbers(rest_, header_);
    for (const Element& element : header_.elements) {
      for (std::uint64_t i = 0; i < element.count; ++i) {
        Result<void> done = read_one(element, i, numbers);
        if (!done) return done;
      }
    }
    return check_indices();
  }

  tl::unexpected<Findings> ends_within(const Element& element, std::uint64_t index) const {
    return mesh_failure(
        name_, fmt::format("ends, or has no number, within {} {}", element.name.substr(0, 40), index + 1), kCutShort);
  }

  Result<void> read_one(const Element& element, std::uint64_t index, Numbers& numbers) {
    Vec3 p = Vec3::Constant(std::nan(""));
    for (const Property& property : element.properties) {
      if (property.count_type) {
        Result<void> done = read_list(element, index, property, numbers);
        if (!done) return done;
        continue;
      }
      const auto number = numbers.next(property.type);
      if (!number) return ends_within(element, index);
      if (property.name.size() == 1 && property.name[0] >= 'x' && property.name[0] <= 'z')
        p[property.name[0] - 'x'] = *number;
    }
    if (element.name != "vertex") return {};
    if (!p.allFinite()) {
      return mesh_failure(name_, fmt::format("corner {} has a coordinate that is not a number", index + 1),
                          kExportAnew);
    }
    raw_.mesh.vertices.push_back(p);
    return {};
  }

  Result<void> read_list(const Element& element, std::uint64_t index, const Property& property, Numbers& numbers) {
    const auto count = numbers.next(*property.count_type);
    if (!count) return ends_within(element, index);
    if (!(*count >= 0.0 && *count <= static_cast<double>(kMostPolygonCorners))) {
      return mesh_failure(name_,
                          fmt::format("{} {} has a list of {:.6g}; up to {} are read", element.name.substr(0, 40),
                                      index + 1, *count, kMostPolygonCorners),
                          kExportAnew);
    }
    polygon_.clear();
    for (std::size_t i = 0; i < static_cast<std::size_t>(*count); ++i) {
      const auto number = numbers.next(property.type);
      if (!number) return ends_within(element, index);
      const bool is_index = *number >= 0.0 && *number < 4294967295.0;
      polygon_.push_back(is_index ? static_cast<std::uint32_t>(*number) : 4294967295U);
    }
    const bool is_face =
        element.name == "face" && (property.name == "vertex_indices" || property.name == "vertex_index");
    if (!is_face || polygon_.size() < 3) return {};
    if (raw_.mesh.triangles.size() + polygon_.size() > kMostTriangles) {
      return mesh_failure(name_, fmt::format("has more than {} triangles", kMostTriangles), kReduce);
    }
    append_polygon(polygon_, raw_.mesh);
    return {};
  }

  Result<void> check_indices() const {
    for (std::size_t i = 0; i < raw_.mesh.triangles.size(); ++i) {
      for (const std::uint32_t corner : raw_.mesh.triangles[i]) {
        if (corner < raw_.mesh.vertices.size()) continue;
        return mesh_failure(name_,
                            fmt::format("triangle {} names corner {} of {}", i + 1, corner + std::uint64_t{1},
                                        raw_.mesh.vertices.size()),
                            kExportAnew);
      }
    }
    return {};
  }

  std::string_view rest_;
  const std::string& name_;
  Header header_;
  RawMesh raw_;
  std::vector<std::uint32_t> polygon_;
};

}  // namespace

Result<RawMesh> read_ply(std::string_view bytes, const std::string& name) { return PlyReader(bytes, name).run(); }

}  // namespace steepwright::hold
