#pragma once

/// Least readers of mesh files, for files that we wrote ourselves: no more of the formats than that.

#include "engine/hold/mesh.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cstring>
#include <sstream>
#include <string>

namespace steepwright::tests {

/// Value of a little-endian machine at an offset.
template <typename T>
T read_value(const std::string& bytes, std::size_t offset) {
  T value{};
  EXPECT_LE(offset + sizeof(T), bytes.size());
  if (offset + sizeof(T) <= bytes.size()) std::memcpy(&value, bytes.data() + offset, sizeof(T));
  return value;
}

inline Vec3 read_point(const std::string& bytes, std::size_t offset) {
  Vec3 p;
  for (int i = 0; i < 3; ++i) p[i] = read_value<float>(bytes, offset + 4 * static_cast<std::size_t>(i));
  return p;
}

struct Glb {
  nlohmann::json json;
  hold::Mesh mesh;
};

inline Glb read_glb(const std::string& bytes) {
  Glb glb;
  EXPECT_EQ(bytes.substr(0, 4), "glTF");
  EXPECT_EQ(read_value<std::uint32_t>(bytes, 4), 2U);
  EXPECT_EQ(read_value<std::uint32_t>(bytes, 8), bytes.size());
  const auto json_size = read_value<std::uint32_t>(bytes, 12);
  EXPECT_EQ(json_size % 4, 0U);
  glb.json = nlohmann::json::parse(bytes.substr(20, json_size));
  const std::size_t data = 20 + json_size + 8;
  EXPECT_EQ(read_value<std::uint32_t>(bytes, data - 8), bytes.size() - data);
  EXPECT_EQ(glb.json["buffers"][0]["byteLength"], bytes.size() - data);
  const auto& points = glb.json["accessors"][0];
  const auto& indices = glb.json["accessors"][1];
  for (std::size_t i = 0; i < points["count"]; ++i) glb.mesh.vertices.push_back(read_point(bytes, data + 12 * i));
  const std::size_t start = data + glb.json["bufferViews"][1]["byteOffset"].get<std::size_t>();
  const bool is_short = indices["componentType"] == 5123;
  for (std::size_t i = 0; i < indices["count"]; ++i) {
    if (i % 3 == 0) glb.mesh.triangles.emplace_back();
    glb.mesh.triangles.back()[i % 3] =
        is_short ? read_value<std::uint16_t>(bytes, start + 2 * i) : read_value<std::uint32_t>(bytes, start + 4 * i);
  }
  return glb;
}

/// Triangles with corners of their own, mm.
inline hold::Mesh read_binary_stl(const std::string& bytes) {
  hold::Mesh mesh;
  const auto count = read_value<std::uint32_t>(bytes, 80);
  EXPECT_EQ(bytes.size(), 84U + 50U * count);
  for (std::uint32_t t = 0; t < count; ++t) {
    const auto first = static_cast<std::uint32_t>(mesh.vertices.size());
    for (std::size_t i = 1; i <= 3; ++i) mesh.vertices.push_back(read_point(bytes, 84 + 50 * t + 12 * i));
    mesh.triangles.push_back({first, first + 1, first + 2});
  }
  return mesh;
}

inline hold::Mesh read_text_stl(const std::string& text) {
  hold::Mesh mesh;
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    if (word != "vertex") continue;
    Vec3 p;
    words >> p.x() >> p.y() >> p.z();
    mesh.vertices.push_back(p);
    const auto count = static_cast<std::uint32_t>(mesh.vertices.size());
    if (count % 3 == 0) mesh.triangles.push_back({count - 3, count - 2, count - 1});
  }
  return mesh;
}

inline hold::Mesh read_obj(const std::string& text) {
  hold::Mesh mesh;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string kind;
    words >> kind;
    if (kind == "v") {
      Vec3 p;
      words >> p.x() >> p.y() >> p.z();
      mesh.vertices.push_back(p);
    } else if (kind == "f") {
      std::array<std::uint32_t, 3> t{};
      words >> t[0] >> t[1] >> t[2];
      mesh.triangles.push_back({t[0] - 1, t[1] - 1, t[2] - 1});
    }
  }
  return mesh;
}

inline hold::Mesh read_ply(const std::string& bytes) {
  hold::Mesh mesh;
  const std::string end = "end_header\n";
  std::size_t offset = bytes.find(end) + end.size();
  const auto count_after = [&bytes](const std::string& words) {
    return std::stoul(bytes.substr(bytes.find(words) + words.size()));
  };
  const std::size_t vertices = count_after("element vertex ");
  const std::size_t faces = count_after("element face ");
  for (std::size_t i = 0; i < vertices; ++i, offset += 12) mesh.vertices.push_back(read_point(bytes, offset));
  for (std::size_t i = 0; i < faces; ++i, offset += 13) {
    EXPECT_EQ(bytes[offset], 3);
    auto& t = mesh.triangles.emplace_back();
    for (std::size_t k = 0; k < 3; ++k) t[k] = read_value<std::uint32_t>(bytes, offset + 1 + 4 * k);
  }
  EXPECT_EQ(offset, bytes.size());
  return mesh;
}

}  // namespace steepwright::tests
