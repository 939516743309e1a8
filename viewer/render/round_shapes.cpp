#include "viewer/render/round_shapes.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <span>
#include <vector>

namespace steepwright::viewer::render {

namespace {

/// How the shape's own values are laid out: floats a vertex, in one or two inputs of the shader.
ShapeMesh upload(std::span<const float> values, std::span<const int> sizes, std::span<const std::uint16_t> indices) {
  ShapeMesh shape{gl::VertexArray::make(), gl::Buffer::make(), gl::Buffer::make(),
                  static_cast<GLsizei>(indices.size())};
  int n_floats = 0;
  for (const int size : sizes) n_floats += size;
  const auto stride = static_cast<GLsizei>(static_cast<std::size_t>(n_floats) * sizeof(float));
  glBindVertexArray(shape.array.name());
  glBindBuffer(GL_ARRAY_BUFFER, shape.vertices.name());
  glBufferData(GL_ARRAY_BUFFER, static_cast<GLsizeiptr>(values.size_bytes()), values.data(), GL_STATIC_DRAW);
  std::uintptr_t offset = 0;
  for (std::size_t i = 0; i < sizes.size(); ++i) {
    glVertexAttribPointer(static_cast<GLuint>(i), sizes[i], GL_FLOAT, GL_FALSE, stride,
                          reinterpret_cast<const void*>(offset));
    glEnableVertexAttribArray(static_cast<GLuint>(i));
    offset += static_cast<std::uintptr_t>(sizes[i]) * sizeof(float);
  }
  glBindBuffer(GL_ELEMENT_ARRAY_BUFFER, shape.indices.name());
  glBufferData(GL_ELEMENT_ARRAY_BUFFER, static_cast<GLsizeiptr>(indices.size_bytes()), indices.data(), GL_STATIC_DRAW);
  glBindVertexArray(0);
  return shape;
}

struct Turn {
  float c = 1.0F, s = 0.0F;
};

Turn find_turn(int i, int turns) {
  const double angle = 2.0 * std::numbers::pi * i / turns;
  return {static_cast<float>(std::cos(angle)), static_cast<float>(std::sin(angle))};
}

/// Triangles between ring k and k + 1 of `turns` vertices each, seen from outside when rings follow the axis.
void join_rings(int ring, int turns, std::vector<std::uint16_t>& indices) {
  for (int i = 0; i < turns; ++i) {
    const auto at = [&](int k, int turn) { return static_cast<std::uint16_t>(k * turns + turn % turns); };
    for (const std::uint16_t index :
         {at(ring, i), at(ring, i + 1), at(ring + 1, i + 1), at(ring, i), at(ring + 1, i + 1), at(ring + 1, i)})
      indices.push_back(index);
  }
}

ShapeMesh make_quad(float first_x) {
  const std::array<float, 8> corners = {first_x, -1.0F, 1.0F, -1.0F, 1.0F, 1.0F, first_x, 1.0F};
  constexpr std::array<int, 1> kSizes = {2};
  constexpr std::array<std::uint16_t, 6> kIndices = {0, 1, 2, 0, 2, 3};
  return upload(corners, kSizes, kIndices);
}

}  // namespace

ShapeMesh make_limb_shape(const Roundness& roundness) {
  const auto [turns, arcs] = roundness;
  std::vector<float> values;
  std::vector<std::uint16_t> indices;
  for (const float end : {0.0F, 1.0F}) {
    for (int ring = 0; ring <= arcs; ++ring) {
      for (int i = 0; i < turns; ++i) {
        const Turn turn = find_turn(i, turns);
        values.insert(values.end(), {turn.c, turn.s, static_cast<float>(ring) / static_cast<float>(arcs), end});
      }
    }
  }
  for (int ring = 0; ring + 1 < 2 * (arcs + 1); ++ring) join_rings(ring, turns, indices);
  constexpr std::array<int, 1> kSizes = {4};
  return upload(values, kSizes, indices);
}

ShapeMesh make_arrow_shape() {
  // Places along the axis: 0 foot, 1 base of the head, 2 tip. Each flat or cone has rings of its own, for its normals.
  struct Ring {
    float radius, place, outward, along;
  };
  constexpr float kHead = 2.3F;        // radius of the head, in shafts
  constexpr float kHeadLength = 5.0F;  // as in arrow_vertex()
  constexpr std::array<Ring, 8> kRings = {{{0.0F, 0.0F, 0.0F, -1.0F},
                                           {1.0F, 0.0F, 0.0F, -1.0F},
                                           {1.0F, 0.0F, 1.0F, 0.0F},
                                           {1.0F, 1.0F, 1.0F, 0.0F},
                                           {1.0F, 1.0F, 0.0F, -1.0F},
                                           {kHead, 1.0F, 0.0F, -1.0F},
                                           {kHead, 1.0F, kHeadLength, kHead},
                                           {0.0F, 2.0F, kHeadLength, kHead}}};
  constexpr int kTurns = Roundness{}.turns;
  std::vector<float> values;
  std::vector<std::uint16_t> indices;
  for (const Ring& ring : kRings) {
    for (int i = 0; i < kTurns; ++i) {
      const Turn turn = find_turn(i, kTurns);
      values.insert(values.end(), {turn.c, turn.s, ring.radius, ring.place, ring.outward, ring.along});
    }
  }
  for (int ring = 0; ring < static_cast<int>(kRings.size()); ring += 2) join_rings(ring, kTurns, indices);
  constexpr std::array<int, 2> kSizes = {4, 2};
  return upload(values, kSizes, indices);
}

ShapeMesh make_disc_shape() { return make_quad(-1.0F); }

ShapeMesh make_line_shape() { return make_quad(0.0F); }

}  // namespace steepwright::viewer::render
