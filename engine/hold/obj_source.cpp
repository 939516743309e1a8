/// OBJ before Assimp sees it: only what a shape needs, and no more than there is.

#include "engine/hold/byte_text.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/mesh_source.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <cstdint>
#include <utility>

namespace steepwright::hold {

namespace {

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
        return line_failure(name_, line_, fmt::format("corner {} has a coordinate that is not a number", corners_ + 1));
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
        return line_failure(name_, line_,
                            fmt::format("the face names corner '{}' of {}", word.substr(0, 40), corners_));
      }
      face += fmt::format(" {}", index);
      ++count;
    }
    if (count < 3) return line_failure(name_, line_, fmt::format("the face has {} corners, it needs 3 or more", count));
    faces_ += count - 2;
    if (faces_ > kMostTriangles) {
      return line_failure(name_, line_, fmt::format("has more than {} triangles", kMostTriangles));
    }
    text_ += face + "\n";
    return {};
  }

  const std::string& name_;
  std::string text_;
  int line_ = 0;
  std::size_t corners_ = 0, faces_ = 0;
};

}  // namespace

Result<std::string> strip_obj(std::string_view bytes, const std::string& name) { return ObjStripper(name).run(bytes); }

}  // namespace steepwright::hold
