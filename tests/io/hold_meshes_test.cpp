/// The meshes that ship are those of the inventory that ships.

#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "engine/io/hold_file.h"
#include "tests/support/mesh_reader.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>

namespace steepwright::io {
namespace {

namespace fs = std::filesystem;

/// Rounding to float, and the last bits of sines on other machines.
constexpr double kSame_m = 1e-6;

fs::path find_folder() { return fs::path(STEEPWRIGHT_SOURCE_DIR) / "models/holds"; }

std::vector<hold::Shape> load_shapes() {
  const auto loaded = load_inventory(find_folder() / "workshop.toml");
  EXPECT_TRUE(loaded.has_value());
  return loaded ? loaded->inventory.shapes : std::vector<hold::Shape>();
}

std::string load_mesh_of(const hold::Shape& shape) {
  std::string name = shape.name;
  std::replace(name.begin(), name.end(), ' ', '-');
  std::ifstream file(find_folder() / "meshes" / (name + ".glb"), std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

TEST(HoldMeshes, AreThoseOfTheInventory) {
  for (const hold::Shape& shape : load_shapes()) {
    SCOPED_TRACE(shape.name + ": run steepwright hold make --all models/holds/meshes");
    const std::string bytes = load_mesh_of(shape);
    ASSERT_FALSE(bytes.empty());
    const tests::Glb glb = tests::read_glb(bytes);
    EXPECT_EQ(glb.json["nodes"][0]["name"], shape.name);
    const hold::Mesh wanted = hold::make_mesh(shape);
    EXPECT_EQ(glb.mesh.triangles, wanted.triangles);
    ASSERT_EQ(glb.mesh.vertices.size(), wanted.vertices.size());
    for (std::size_t i = 0; i < wanted.vertices.size(); ++i) {
      EXPECT_LT((glb.mesh.vertices[i] - wanted.vertices[i]).norm(), kSame_m) << i;
    }
  }
}

TEST(HoldMeshes, AreWatertightAndSmall) {
  std::size_t total = 0;
  for (const hold::Shape& shape : load_shapes()) {
    const std::string bytes = load_mesh_of(shape);
    total += bytes.size();
    EXPECT_LE(bytes.size(), 50000U) << shape.name;
    const hold::Mesh mesh = tests::read_glb(bytes).mesh;
    EXPECT_TRUE(hold::check_watertight(mesh).empty()) << shape.name;
    EXPECT_GT(hold::calc_volume(mesh), 0.0) << shape.name;
  }
  EXPECT_LE(total, 1500000U);
}

TEST(HoldMeshes, NoneIsLeftOverFromAnOlderInventory) {
  const auto files = std::distance(fs::directory_iterator(find_folder() / "meshes"), fs::directory_iterator());
  EXPECT_EQ(static_cast<std::size_t>(files), load_shapes().size());
}

TEST(ShippedInventory, HasEveryKindOfHold) {
  std::map<hold::Family, int> counts;
  std::map<int, int> pockets;
  bool has_soft_trio = false;
  for (const hold::Shape& shape : load_shapes()) {
    ++counts[shape.family];
    if (shape.family != hold::Family::kPocket) continue;
    ++pockets[shape.fingers];
    has_soft_trio = has_soft_trio || (shape.fingers == 3 && std::abs(mm_from_m(shape.depth_m) - 18) < 1e-9 &&
                                      shape.incut > 0 && mm_from_m(shape.lip_radius_m) > 7.9);
  }
  EXPECT_EQ(counts.size(), 7U);
  for (const auto& [family, count] : counts) EXPECT_GE(count, 3) << hold::name_of(family);
  EXPECT_GE(counts[hold::Family::kFootChip], 4);
  EXPECT_EQ(pockets.size(), 3U) << "pockets of two, three and four fingers";
  EXPECT_TRUE(has_soft_trio);
}

}  // namespace
}  // namespace steepwright::io
