/// STL, binary and text, read in one pass; equal corners are joined at once.

#include "engine/hold/corner_welder.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

constexpr std::size_t kHeader = 84;
constexpr std::size_t kFacet = 50;
constexpr std::size_t kNormal = 12;

tl::unexpected<Findings> bad_facet(const std::string& name, std::size_t facet) {
  return mesh_failure(name, fmt::format("facet {} has a coordinate that is not a number", facet + 1),
                      "export the mesh anew");
}

tl::unexpected<Findings> too_many(const std::string& name, std::size_t count) {
  return mesh_failure(name, fmt::format("has {} triangles; up to {} are read", count, kMostTriangles),
                      "reduce the mesh: 100000 triangles show all that a finger feels");
}

/// Words of a text, one after the other.
class Words {
 public:
  explicit Words(std::string_view text) : rest_(text) {}

  std::string_view next() {
    const std::size_t start = rest_.find_first_not_of(" \t\r\n\v\f");
    if (start == std::string_view::npos) return {};
    const std::size_t end = std::min(rest_.find_first_of(" \t\r\n\v\f", start), rest_.size());
    const std::string_view word = rest_.substr(start, end - start);
    rest_.remove_prefix(end);
    return word;
  }

  std::optional<double> next_number() {
    std::string_view word = next();
    if (word.starts_with('+')) word.remove_prefix(1);
    double value = 0.0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error != std::errc() || end != word.data() + word.size() || !std::isfinite(value)) return std::nullopt;
    return value;
  }

  void skip_line() { rest_.remove_prefix(std::min(rest_.find('\n'), rest_.size())); }

 private:
  std::string_view rest_;
};

}  // namespace

Result<RawMesh> read_binary_stl(std::string_view bytes, const std::string& name) {
  const std::size_t count = (bytes.size() - kHeader) / kFacet;
  if (count > kMostTriangles) return too_many(name, count);
  RawMesh raw;
  raw.corners_read = 3 * count;
  raw.mesh.triangles.reserve(count);
  CornerWelder welder(0.0, count / 2);
  for (std::size_t facet = 0; facet < count; ++facet) {
    std::array<float, 9> numbers = {};
    std::memcpy(numbers.data(), bytes.data() + kHeader + kFacet * facet + kNormal, sizeof numbers);
    std::array<std::uint32_t, 3> corners = {};
    for (std::size_t k = 0; k < 3; ++k) {
      const Vec3 p(static_cast<double>(numbers[3 * k]), static_cast<double>(numbers[3 * k + 1]),
                   static_cast<double>(numbers[3 * k + 2]));
      if (!p.allFinite()) return bad_facet(name, facet);
      corners[k] = welder.add(p);
    }
    raw.mesh.triangles.push_back(corners);
  }
  raw.mesh.vertices = std::move(welder.points());
  return raw;
}

Result<RawMesh> read_text_stl(std::string_view bytes, const std::string& name) {
  RawMesh raw;
  CornerWelder welder(0.0, bytes.size() / 500);
  Words words(bytes);
  std::array<std::uint32_t, 3> corners = {};
  std::size_t k = 0;
  bool is_ended = false;
  for (std::string_view word = words.next(); !word.empty(); word = words.next()) {
    if (word == "solid") {
      words.skip_line();  // the name may hold any words
    } else if (word == "endsolid") {
      is_ended = true;
      words.skip_line();
    } else if (word == "vertex" && k < 3) {
      Vec3 p = Vec3::Zero();
      for (Eigen::Index i = 0; i < 3; ++i) {
        const auto number = words.next_number();
        if (!number) return bad_facet(name, raw.mesh.triangles.size());
        p[i] = *number;
      }
      corners[k++] = welder.add(p);
    } else if (word == "endfacet") {
      if (k != 3) {
        return mesh_failure(name,
                            fmt::format("facet {} has {} corners, a triangle has 3", raw.mesh.triangles.size() + 1, k),
                            "export the mesh anew");
      }
      k = 0;
      raw.mesh.triangles.push_back(corners);
      if (raw.mesh.triangles.size() > kMostTriangles) return too_many(name, raw.mesh.triangles.size());
    }
  }
  if (k != 0 || !is_ended) {
    return mesh_failure(name, fmt::format("ends within the text, after {} whole triangles", raw.mesh.triangles.size()),
                        "the file was cut short; get it anew");
  }
  raw.corners_read = 3 * raw.mesh.triangles.size();
  raw.mesh.vertices = std::move(welder.points());
  return raw;
}

}  // namespace steepwright::hold
