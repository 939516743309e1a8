/// Inventories whose holds are meshes.

#include "engine/hold/make_mesh.h"
#include "engine/hold/measure.h"
#include "engine/hold/mesh_format.h"
#include "engine/io/hold_file.h"
#include "engine/io/profile_picture.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>

namespace steepwright::io {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

hold::Shape make_ledge() {
  hold::Shape shape;
  shape.name = "ledge";
  shape.width_m = 0.12;
  shape.height_m = 0.04;
  shape.protrusion_m = 0.025;
  shape.depth_m = 0.02;
  shape.lip_radius_m = 0.003;
  return shape;
}

class ImportedShapes : public ::testing::Test {
 protected:
  void SetUp() override {
    fs::create_directories(folder_ / "meshes");
    std::ofstream(folder_ / "meshes" / "ledge.stl", std::ios::binary)
        << hold::format_mesh(hold::make_mesh(make_ledge()), "ledge", hold::MeshFormat::kBinaryStl);
  }
  void TearDown() override { fs::remove_all(folder_); }

  [[nodiscard]] const fs::path& folder() const { return folder_; }

 private:
  fs::path folder_ = fs::temp_directory_path() / fmt::format("steepwright-inventory-{}", ::getpid());
};

constexpr const char* kText = R"(steepwright_inventory = 1
name = "scans"

[[shape]]
name = "ledge"
family = "imported"
surface = "grit"
mesh = "meshes/ledge.stl"
mesh_unit = "mm"
mesh_out_axis = "+z"
mesh_up_axis = "+y"
mesh_bolt_x_mm = 0
mesh_bolt_y_mm = 0
mesh_bolt_z_mm = 0
)";

TEST_F(ImportedShapes, AreMeasuredWhenTheInventoryIsRead) {
  const auto loaded = parse_inventory(kText, "scans.toml", folder());
  ASSERT_TRUE(loaded.has_value()) << to_text(loaded.error().front());
  const hold::Shape* shape = loaded->inventory.find("ledge");
  ASSERT_NE(shape, nullptr);
  EXPECT_EQ(shape->family, hold::Family::kImported);
  EXPECT_NEAR(shape->width_m, 0.12, 1e-6);
  const hold::Hold hold = loaded->inventory.make_hold(*shape);
  const hold::Site* lip = hold.find_site("lip");
  ASSERT_NE(lip, nullptr);
  EXPECT_NEAR(lip->depth_m, 0.02, 5e-5);
  EXPECT_NEAR(lip->lip_radius_m, 0.003, 3e-4);
  EXPECT_EQ(lip->surface, hold::Surface::kGrit);
  EXPECT_FALSE(lip->grips.empty());
}

TEST_F(ImportedShapes, AreWrittenAsTheyWereRead) {
  const auto loaded = parse_inventory(kText, "scans.toml", folder());
  ASSERT_TRUE(loaded.has_value());
  EXPECT_EQ(write_inventory(loaded->inventory), kText);
}

TEST_F(ImportedShapes, AreNoneInInventoriesOfTheProgram) {
  const auto loaded = parse_inventory(kText, "scans.toml");
  ASSERT_FALSE(loaded.has_value());
  EXPECT_THAT(to_text(loaded.error().front()), HasSubstr("an inventory that comes with the program has no meshes"));
}

TEST_F(ImportedShapes, TellOfABadMeshAtItsKey) {
  std::ofstream(folder() / "meshes" / "ledge.stl", std::ios::binary) << "no mesh";
  const auto loaded = parse_inventory(kText, "scans.toml", folder());
  ASSERT_FALSE(loaded.has_value());
  EXPECT_THAT(to_text(loaded.error().front()), HasSubstr("scans.toml:8:8: error: shape.mesh: shape 'ledge'"));
}

TEST(ProfilePicture, ShowsEverySiteWithItsDimensions) {
  const Drawing drawing = make_profile_picture(hold::measure_sites(hold::make_mesh(make_ledge())), "ledge & co");
  const std::string svg = format_drawing(drawing, PictureFormat::kSvg).value();
  EXPECT_THAT(svg, HasSubstr("ledge &amp; co"));
  EXPECT_THAT(svg, HasSubstr(">depth 20.0 mm<"));
  EXPECT_THAT(svg, HasSubstr(">R 3.0 mm<"));
  EXPECT_THAT(svg, HasSubstr(">underside<"));
  EXPECT_EQ(svg.find("nan"), std::string::npos);
}

}  // namespace
}  // namespace steepwright::io
