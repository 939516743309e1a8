/// OBJ and PLY before Assimp sees them: only what a shape needs, and no more claimed than there is.

#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

std::string_view take_line(std::string_view& rest) {
  const std::size_t end = std::min(rest.find('\n'), rest.size());
  std::string_view line = rest.substr(0, end);
  rest.remove_prefix(std::min(end + 1, rest.size()));
  if (line.ends_with('\r')) line.remove_suffix(1);
  return line;
}

std::string_view take_word(std::string_view& line) {
  const std::size_t start = std::min(line.find_first_not_of(" \t"), line.size());
  const std::size_t end = std::min(line.find_first_of(" \t", start), line.size());
  const std::string_view word = line.substr(start, end - start);
  line.remove_prefix(end);
  return word;
}

template <typename Number>
std::optional<Number> to_number(std::string_view word) {
  Number value = 0;
  if (word.starts_with('+')) word.remove_prefix(1);
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (error != std::errc() || end != word.data() + word.size()) return std::nullopt;
  return value;
}

tl::unexpected<Findings> bad_line(const std::string& name, int line, std::string message) {
  Finding finding;
  finding.place = {name, line, 0};
  finding.message = std::move(message);
  finding.remedy = "export the mesh anew";
  return tl::unexpected<Findings>({std::move(finding)});
}

/// Copies the corners and faces of an OBJ.
class ObjStripper {
 public:
  explicit ObjStripper(const std::string& name) : name_(name) {}

  Result<std::string> run(std::string_view bytes) {
    text_.reserve(bytes.size());
    while (!bytes.empty()) {
      ++line_;
      std::string_view line = take_line(bytes);
      const std::string_view word = take_word(line);
      const Result<void> taken = word == "v" ? take_corner(line) : word == "f" ? take_face(line) : Result<void>();
      if (!taken) return tl::unexpected<Findings>(taken.error());
    }
    if (corners_ == 0 || faces_ == 0) {
      return mesh_failure(name_, fmt::format("has {} corners and {} faces: no triangles", corners_, faces_),
                          "export the mesh with its faces");
    }
    return std::move(text_);
  }

 private:
  Result<void> take_corner(std::string_view line) {
    std::array<double, 3> p = {};
    for (double& value : p) {
      const auto number = to_number<double>(take_word(line));
      if (!number || !std::isfinite(*number)) {
        return bad_line(name_, line_, fmt::format("corner {} has a coordinate that is not a number", corners_ + 1));
      }
      value = *number;
    }
    ++corners_;
    text_ += fmt::format("v {} {} {}\n", p[0], p[1], p[2]);
    return {};
  }

  Result<void> take_face(std::string_view line) {
    std::string face = "f";
    std::size_t count = 0;
    for (std::string_view word = take_word(line); !word.empty(); word = take_word(line)) {
      const auto given = to_number<std::int64_t>(word.substr(0, word.find('/')));
      const auto known = static_cast<std::int64_t>(corners_);
      // Negative numbers count back from the last corner.
      const std::int64_t index = given && *given < 0 ? known + 1 + *given : given.value_or(0);
      if (index < 1 || index > known) {
        return bad_line(name_, line_, fmt::format("the face names corner '{}' of {}", word.substr(0, 40), corners_));
      }
      face += fmt::format(" {}", index);
      ++count;
    }
    if (count < 3) return bad_line(name_, line_, fmt::format("the face has {} corners, it needs 3 or more", count));
    faces_ += count - 2;
    if (faces_ > kMostTriangles) {
      return bad_line(name_, line_, fmt::format("has more than {} triangles", kMostTriangles));
    }
    text_ += face + "\n";
    return {};
  }

  const std::string& name_;
  std::string text_;
  int line_ = 0;
  std::size_t corners_ = 0, faces_ = 0;
};

std::size_t size_of_type(std::string_view type) {
  constexpr std::array<std::pair<std::string_view, std::size_t>, 16> kTypes = {
      {{"char", 1},  {"uchar", 1},  {"int8", 1},  {"uint8", 1},  {"short", 2}, {"ushort", 2},  {"int16", 2},   {"uint16", 2},
       {"int", 4},   {"uint", 4},   {"int32", 4}, {"uint32", 4}, {"float", 4}, {"float32", 4}, {"double", 8},  {"float64", 8}}};
  for (const auto& [known, size] : kTypes) {
    if (known == type) return size;
  }
  return 0;
}

struct PlyElement {
  std::string name;
  std::uint64_t count = 0;
  std::size_t least_bytes = 0;  ///< in binary; a list may be empty
  std::size_t values = 0;
};

struct PlyHeader {
  bool is_text = false;
  std::vector<PlyElement> elements;
};

/// One line of a header; false when it makes no sense.
bool read_header_line(std::string_view line, PlyHeader& header) {
  const std::string_view word = take_word(line);
  if (word == "format") {
    const std::string_view kind = take_word(line);
    header.is_text = kind == "ascii";
    return header.is_text || kind == "binary_little_endian" || kind == "binary_big_endian";
  }
  if (word == "element") {
    PlyElement element;
    element.name = take_word(line);
    const auto count = to_number<std::uint64_t>(take_word(line));
    if (!count || header.elements.size() > 15) return false;
    element.count = *count;
    header.elements.push_back(std::move(element));
    return true;
  }
  if (word == "property") {
    if (header.elements.empty() || header.elements.back().values > 63) return false;
    std::string_view type = take_word(line);
    const bool is_list = type == "list";
    if (is_list) type = take_word(line);
    const bool is_known = size_of_type(type) > 0 && (!is_list || size_of_type(take_word(line)) > 0);
    header.elements.back().least_bytes += size_of_type(type);
    ++header.elements.back().values;
    return is_known;
  }
  return word == "ply" || word == "comment" || word == "obj_info" || word.empty();
}

}  // namespace

Result<std::string> strip_obj(std::string_view bytes, const std::string& name) { return ObjStripper(name).run(bytes); }

Result<void> check_ply(std::string_view bytes, const std::string& name) {
  PlyHeader header;
  std::string_view rest = bytes;
  int line_number = 0;
  for (;;) {
    if (rest.empty()) return mesh_failure(name, "the header has no end", "the file was cut short; get it anew");
    ++line_number;
    const std::string_view line = take_line(rest);
    if (line == "end_header") break;
    if (!read_header_line(line, header)) {
      return bad_line(name, line_number, fmt::format("the header's line makes no sense: '{}'", line.substr(0, 60)));
    }
  }
  std::uint64_t faces = 0;
  for (const PlyElement& element : header.elements) {
    const std::size_t least = header.is_text ? 2 * element.values : element.least_bytes;
    if (least > 0 && element.count > rest.size() / least + 1) {
      return mesh_failure(name,
                          fmt::format("claims {} of '{}', which take {} bytes or more each, and has {} bytes",
                                      element.count, element.name.substr(0, 40), least, rest.size()),
                          "the file was cut short or is damaged; get it anew");
    }
    if (element.name == "face") faces = element.count;
  }
  if (faces == 0) return mesh_failure(name, "has no triangles", "export the mesh with its faces, not only its points");
  if (faces > kMostTriangles) {
    return mesh_failure(name, fmt::format("has {} faces; up to {} are read", faces, kMostTriangles),
                        "reduce the mesh: 100000 triangles show all that a finger feels");
  }
  return {};
}

}  // namespace steepwright::hold
