/// Meshes from files, good and bad. Bad ones are made here: each must give one clear error and nothing else.

#include "engine/hold/mesh_import.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "engine/hold/mesh_format.h"
#include "tests/hold/shapes.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <limits>
#include <string>

namespace steepwright::hold::tests {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

std::string bytes_of(MeshFormat format, const Shape& shape = edge()) {
  return format_mesh(make_mesh(shape), "rail", format);
}

/// The only error that the bytes give; "" when they are read.
std::string fault_of(const std::string& bytes, const std::string& name, const fs::path& folder = {}) {
  const auto imported = import_mesh(bytes, name, folder);
  if (imported) return "";
  EXPECT_EQ(imported.error().size(), 1U);
  return to_text(imported.error().front());
}

void put_word(std::string& bytes, std::size_t at, std::uint32_t word) { std::memcpy(bytes.data() + at, &word, 4); }

std::string replace(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

/// One triangle as glTF text; the buffer is a data: URI unless told.
std::string gltf_text(const std::string& uri = "") {
  const std::string data =
      "data:application/octet-stream;base64,AAAAAAAAAAAAAAAAzczMPQAAAAAAAAAAAAAAAM3MzD0AAAAAAAAAAAEAAAACAAAA";
  return R"({"asset":{"version":"2.0"},"scene":0,"scenes":[{"nodes":[0]}],"nodes":[{"mesh":0}],)"
         R"("meshes":[{"primitives":[{"attributes":{"POSITION":0},"indices":1}]}],)"
         R"("accessors":[{"bufferView":0,"componentType":5126,"count":3,"type":"VEC3"},)"
         R"({"bufferView":1,"componentType":5125,"count":3,"type":"SCALAR"}],)"
         R"("bufferViews":[{"buffer":0,"byteLength":36},{"buffer":0,"byteOffset":36,"byteLength":12}],)"
         R"("buffers":[{"byteLength":48,"uri":")" +
         (uri.empty() ? data : uri) + R"("}]})";
}

class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / fmt::format("steepwright-mesh-{}", ::getpid())) {
    fs::create_directories(path_ / "inside");
  }
  ~Folder() { fs::remove_all(path_); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  [[nodiscard]] const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

void save(const fs::path& path, const std::string& bytes) { std::ofstream(path, std::ios::binary) << bytes; }

TEST(MeshImport, ReadsEveryFormatToTheSameBody) {
  const Mesh made = make_mesh(jug());
  constexpr std::array kFiles = {"a.stl", "a.stl", "a.obj", "a.ply", "a.glb"};
  for (std::size_t i = 0; i < kFiles.size(); ++i) {
    SCOPED_TRACE(i);
    const auto imported = import_mesh(bytes_of(static_cast<MeshFormat>(i), jug()), kFiles[i], "");
    ASSERT_TRUE(imported.has_value()) << to_text(imported.error().front());
    EXPECT_EQ(imported->mesh.triangles.size(), made.triangles.size());
    EXPECT_NEAR(calc_volume(imported->mesh), calc_volume(made), 1e-5 * calc_volume(made));
    EXPECT_TRUE(check_watertight(imported->mesh).empty());
    EXPECT_LT((calc_bounds(imported->mesh).upper - calc_bounds(made).upper).norm(), 1e-6);
    EXPECT_THAT(imported->report.bolt_note, HasSubstr("round hole of 11 mm"));
  }
}

TEST(MeshImport, ReadsGltfWithItsBytesInside) {
  const auto imported = import_mesh(gltf_text(), "a.gltf", "");
  ASSERT_TRUE(imported.has_value()) << to_text(imported.error().front());
  EXPECT_EQ(imported->mesh.triangles.size(), 1U);
  EXPECT_EQ(imported->report.open_loops.size(), 1U);
}

TEST(MeshImport, GuessesTheUnitAndSaysHowSure) {
  const auto unit_of = [](double scale, bool& is_sure) {
    Mesh mesh = make_mesh(edge());
    for (Vec3& p : mesh.vertices) p *= scale * 1e-3;  // the writer turns m to mm
    const auto imported = import_mesh(format_mesh(mesh, "rail", MeshFormat::kBinaryStl), "a.stl", "");
    is_sure = imported->report.is_unit_sure;
    return imported->report.unit;
  };
  bool is_sure = false;
  EXPECT_EQ(unit_of(1000.0, is_sure), LengthUnit::kMillimetre);  // 120
  EXPECT_TRUE(is_sure);
  EXPECT_EQ(unit_of(1.0, is_sure), LengthUnit::kMetre);  // 0.12
  EXPECT_TRUE(is_sure);
  unit_of(100.0, is_sure);  // 12: mm or cm
  EXPECT_FALSE(is_sure);
}

TEST(MeshImport, LaysTheLargestFlatFaceOnThePanel) {
  Mesh mesh = make_mesh(sloper());
  const Mat3 R = Eigen::AngleAxisd(0.5 * kPi, Vec3::UnitX()).toRotationMatrix();
  for (Vec3& p : mesh.vertices) p = R * p + Vec3(0.3, 0.2, 0.1);
  const auto imported = import_mesh(format_mesh(mesh, "loaf", MeshFormat::kPly), "a.ply", "");
  ASSERT_TRUE(imported.has_value());
  EXPECT_THAT(imported->report.orientation_note, HasSubstr("out of the panel is taken as -y"));
  EXPECT_THAT(imported->report.orientation_note, HasSubstr("up is +z"));
  EXPECT_NEAR(calc_bounds(imported->mesh).lower.z(), 0.0, 1e-6);
  EXPECT_NEAR(calc_bounds(imported->mesh).upper.z(), 0.110, 1e-5);
  EXPECT_NEAR(calc_bounds(imported->mesh).upper.x(), 0.125, 1e-5);  // the bolt's hole was found again
}

TEST(MeshImport, TurnsABodyThatIsInsideOut) {
  Mesh mesh = make_mesh(edge());
  for (auto& corners : mesh.triangles) std::swap(corners[1], corners[2]);
  const auto imported = import_mesh(format_mesh(mesh, "rail", MeshFormat::kBinaryStl), "a.stl", "");
  ASSERT_TRUE(imported.has_value());
  EXPECT_TRUE(imported->report.is_turned_inside_out);
  EXPECT_GT(calc_volume(imported->mesh), 0.0);
}

TEST(MeshImport, TurnsTrianglesThatDisagreeWithTheirNeighbours) {
  Mesh mesh = make_mesh(edge());
  for (const std::size_t i : {3U, 8U, 21U}) std::swap(mesh.triangles[i][1], mesh.triangles[i][2]);
  const auto imported = import_mesh(format_mesh(mesh, "rail", MeshFormat::kBinaryStl), "a.stl", "");
  ASSERT_TRUE(imported.has_value());
  EXPECT_EQ(imported->report.turned_triangles, 3U);
  EXPECT_TRUE(check_watertight(imported->mesh).empty());
}

TEST(MeshImport, CountsHolesAndTheirLengths) {
  Mesh mesh = make_mesh(edge());
  mesh.triangles.pop_back();
  const auto imported = import_mesh(format_mesh(mesh, "rail", MeshFormat::kBinaryStl), "a.stl", "");
  ASSERT_TRUE(imported.has_value());
  ASSERT_EQ(imported->report.open_loops.size(), 1U);
  EXPECT_EQ(imported->report.open_loops[0].edges, 3U);
  EXPECT_GT(imported->report.open_loops[0].length_m, 0.001);
}

TEST(MeshImport, JoinsCornersThatAreNearlyEqual) {
  RandomStream random(5);
  std::string bytes = bytes_of(MeshFormat::kBinaryStl);
  for (std::size_t at = 84; at + 50 <= bytes.size(); at += 50) {
    for (std::size_t k = 12; k < 48; k += 4) {
      float value = 0.0F;
      std::memcpy(&value, bytes.data() + at + k, 4);
      value += static_cast<float>(random.symmetric(2e-4));  // mm, of a body of 130 mm
      std::memcpy(bytes.data() + at + k, &value, 4);
    }
  }
  const auto imported = import_mesh(bytes, "a.stl", "");
  ASSERT_TRUE(imported.has_value());
  EXPECT_TRUE(imported->report.open_loops.empty());
}

TEST(MeshImport, NamesTheFacetThatIsNotANumber) {
  std::string binary = bytes_of(MeshFormat::kBinaryStl);
  put_word(binary, 84 + 50 * 4 + 12, 0x7FC00000U);
  EXPECT_THAT(fault_of(binary, "a.stl"), HasSubstr("facet 5 has a coordinate that is not a number"));
  EXPECT_THAT(fault_of(replace(bytes_of(MeshFormat::kTextStl), "vertex ", "vertex nan "), "a.stl"),
              HasSubstr("facet 1 has a coordinate that is not a number"));
  EXPECT_THAT(fault_of(replace(bytes_of(MeshFormat::kObj), "\nv ", "\nv inf "), "a.obj"), HasSubstr("is not a number"));
}

TEST(MeshImport, RefusesClaimsOfMoreThanThereIs) {
  std::string stl = bytes_of(MeshFormat::kBinaryStl);
  put_word(stl, 80, 1'000'000'000U);
  EXPECT_THAT(fault_of(stl, "a.stl"), HasSubstr("claims 1000000000 triangles, which take 50000000084 bytes"));
  const std::string ply = bytes_of(MeshFormat::kPly);
  const std::size_t at = ply.find("element face ") + 13;
  const std::string count = ply.substr(at, ply.find('\n', at) - at);
  EXPECT_THAT(fault_of(replace(ply, "element face " + count, "element face 1000000000"), "a.ply"),
              HasSubstr("claims 1000000000 of 'face'"));
  EXPECT_THAT(fault_of(replace(gltf_text(), "\"count\":3", "\"count\":1000000000"), "a.gltf"),
              HasSubstr("claims 1000000000 elements"));
  EXPECT_THAT(fault_of(replace(gltf_text(), "\"byteLength\":48", "\"byteLength\":400000000"), "a.gltf"),
              HasSubstr("claims 400000000 bytes and has 48"));
  std::string glb = bytes_of(MeshFormat::kGlb);
  put_word(glb, 8, 4'000'000'000U);
  EXPECT_THAT(fault_of(glb, "a.glb"), HasSubstr("claims 4000000000 bytes"));
}

TEST(MeshImport, RefusesWhatWasCutShort) {
  constexpr std::array kFiles = {"a.stl", "a.stl", "a.obj", "a.ply", "a.glb"};
  for (std::size_t i = 0; i < kFiles.size(); ++i) {
    SCOPED_TRACE(i);
    const std::string bytes = bytes_of(static_cast<MeshFormat>(i));
    EXPECT_NE(fault_of(bytes.substr(0, 2 * bytes.size() / 5), kFiles[i]), "");
  }
}

TEST(MeshImport, RefusesWhatHasNoAreaOrNoTriangles) {
  Mesh flat = make_mesh(edge());
  for (Vec3& p : flat.vertices) p = Vec3(p.x(), 0.0, 0.0);
  EXPECT_THAT(fault_of(format_mesh(flat, "flat", MeshFormat::kBinaryStl), "a.stl"), HasSubstr("have no area"));
  EXPECT_THAT(fault_of(std::string(84, '\0'), "a.stl"), HasSubstr("has no triangles"));
  EXPECT_THAT(fault_of("v 0 0 0\nv 1 0 0\n", "a.obj"), HasSubstr("no triangles"));
}

TEST(MeshImport, RefusesWhatIsNotWhatItsNameSays) {
  EXPECT_THAT(fault_of("dear climber, the mesh is attached", "a.stl"), HasSubstr("is text, but no mesh"));
  EXPECT_THAT(fault_of(bytes_of(MeshFormat::kObj), "a.stl"), HasSubstr("is named .stl but holds OBJ"));
  EXPECT_THAT(fault_of(bytes_of(MeshFormat::kGlb), "a.ply"), HasSubstr("is named .ply but holds GLB"));
  EXPECT_THAT(fault_of("", "a.stl"), HasSubstr("the file is empty"));
}

TEST(MeshImport, RefusesIndicesBeyondTheCorners) {
  EXPECT_THAT(fault_of("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 99999999\n", "a.obj"), HasSubstr("names corner '99999999'"));
  std::string glb = replace(gltf_text(), "AAEAAAACAAAA", "AAEAAAAC/wAA");
  EXPECT_THAT(fault_of(glb, "a.gltf"), HasSubstr("an index names corner"));
  std::string ply = bytes_of(MeshFormat::kPly);
  put_word(ply, ply.size() - 4, 123456789U);
  EXPECT_NE(fault_of(ply, "a.ply"), "");
}

TEST(MeshImport, RefusesNodesThatAreTheirOwnAncestors) {
  EXPECT_THAT(
      fault_of(replace(gltf_text(), R"([{"mesh":0}])", R"([{"mesh":0,"children":[1]},{"children":[0]}])"), "a.gltf"),
      HasSubstr("its own ancestor"));
  EXPECT_THAT(fault_of(replace(gltf_text(), R"([{"mesh":0}])", R"([{"mesh":0,"children":[0]}])"), "a.gltf"),
              HasSubstr("its own ancestor"));
}

TEST(MeshImport, FollowsReferencesOnlyWithinItsFolder) {
  const Folder folder;
  const fs::path inside = folder.path() / "inside";
  std::string data(48, '\0');
  const std::array<float, 9> corners = {0, 0, 0, 0.1F, 0, 0, 0, 0.1F, 0};
  std::memcpy(data.data(), corners.data(), sizeof corners);
  put_word(data, 40, 1);
  put_word(data, 44, 2);
  save(inside / "beside.bin", data);
  save(folder.path() / "outside.bin", data);
  EXPECT_EQ(fault_of(gltf_text("beside.bin"), "a.gltf", inside), "");
  for (const std::string uri :
       {"../outside.bin", "%2e%2e/outside.bin", "/etc/passwd", "http://example.org/a.bin", "file:///etc/passwd"}) {
    SCOPED_TRACE(uri);
    EXPECT_THAT(fault_of(gltf_text(uri), "a.gltf", inside), HasSubstr("'" + uri + "' leaves the mesh's own folder"));
  }
  fs::create_symlink(folder.path() / "outside.bin", inside / "link.bin");
  EXPECT_THAT(fault_of(gltf_text("link.bin"), "a.gltf", inside), HasSubstr("leaves the mesh's own folder"));
  EXPECT_THAT(fault_of(gltf_text("absent.bin"), "a.gltf", inside), HasSubstr("names a file that is not there"));
}

TEST(MeshImport, CutsPolygonsIntoTriangles) {
  // A kite whose first corner sees no clean fan.
  const auto imported = import_mesh("v 0 0 0\nv 100 -50 0\nv 30 0 0\nv 100 50 0\nf 2 3 4 1\n", "a.obj", "");
  ASSERT_TRUE(imported.has_value()) << to_text(imported.error().front());
  EXPECT_EQ(imported->mesh.triangles.size(), 2U);
  EXPECT_NEAR(calc_area(imported->mesh), 0.0015, 1e-9);  // 2 x 30 x 50 / 2 mm^2
}

TEST(MeshImport, IgnoresMaterialsOfObj) {
  EXPECT_EQ(fault_of("mtllib /etc/passwd\nusemtl x\n" + bytes_of(MeshFormat::kObj), "a.obj"), "");
}

TEST(MeshImport, RefusesFoldersAndAbsentFiles) {
  const Folder folder;
  const auto directory = load_mesh(folder.path());
  ASSERT_FALSE(directory.has_value());
  EXPECT_THAT(to_text(directory.error().front()), HasSubstr("is a folder"));
  EXPECT_FALSE(load_mesh(folder.path() / "absent.stl").has_value());
}

// Whatever is damaged: an answer or one error, and no crash (sanitizers watch).
/// Binary STL of a body whose triangles are cut until there are two million; in mm.
std::string bytes_of_two_million() {
  const Mesh mesh = make_mesh(sloper());
  const auto n = static_cast<int>(std::ceil(std::sqrt(2e6 / static_cast<double>(mesh.triangles.size()))));
  const std::size_t count = mesh.triangles.size() * static_cast<std::size_t>(n * n);
  std::string bytes(84 + 50 * count, '\0');
  put_word(bytes, 80, static_cast<std::uint32_t>(count));
  std::size_t at = 84 + 12;
  for (const auto& corners : mesh.triangles) {
    const Vec3& a = mesh.vertices[corners[0]];
    const Vec3 ab = (mesh.vertices[corners[1]] - a) / n;
    const Vec3 ac = (mesh.vertices[corners[2]] - a) / n;
    const auto put = [&](int i, int j) {
      const Eigen::Vector3f p_mm = (1e3 * (a + i * ab + j * ac)).cast<float>();
      std::memcpy(bytes.data() + at, p_mm.data(), 12);
      at += 12;
    };
    const auto close = [&] { at += 50 - 36; };
    for (int i = 0; i < n; ++i) {
      for (int j = 0; i + j < n; ++j) {
        put(i, j), put(i + 1, j), put(i, j + 1), close();
        if (i + j + 1 < n) put(i + 1, j), put(i + 1, j + 1), put(i, j + 1), close();
      }
    }
  }
  return bytes;
}

/// In a process of its own, whose memory is counted from its start.
TEST(MeshImport, TakesTwoMillionTrianglesWithinAGibibyte) {
#ifdef __SANITIZE_ADDRESS__
  GTEST_SKIP() << "the sanitizer's own memory counts";
#endif
  const pid_t child = fork();
  if (child == 0) {
    const auto imported = import_mesh(bytes_of_two_million(), "large.stl", {});
    const bool is_whole = imported && imported->mesh.triangles.size() + imported->report.degenerate >= 2'000'000 &&
                          imported->report.open_loops.empty();
    _exit(is_whole ? 0 : 1);
  }
  ASSERT_GT(child, 0);
  int status = 0;
  rusage used{};
  ASSERT_EQ(wait4(child, &status, 0, &used), child);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  EXPECT_LT(used.ru_maxrss, 1L << 20) << "KiB";
  const auto seconds = static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec);
  EXPECT_LT(seconds, 12.0) << "of processor time, for a few on a quiet machine";
  RecordProperty("rss_KiB", std::to_string(used.ru_maxrss));
}

TEST(MeshImport, SurvivesDamagedFiles) {
  constexpr std::array kFiles = {"a.stl", "a.stl", "a.obj", "a.ply", "a.glb", "a.gltf"};
  constexpr int kDamages = 300;
  RandomStream random(11);
  for (std::size_t which = 0; which < kFiles.size(); ++which) {
    const std::string whole = which == 5 ? gltf_text() : bytes_of(static_cast<MeshFormat>(which), foot_chip());
    for (int attempt = 0; attempt < kDamages; ++attempt) {
      std::string bytes = whole;
      const int damages = 1 + static_cast<int>(random.uniform() * 6.0);
      for (int i = 0; i < damages; ++i) {
        const auto at = static_cast<std::size_t>(random.uniform() * static_cast<double>(bytes.size()));
        const double kind = random.uniform();
        if (kind < 0.6) bytes[at] = static_cast<char>(random.next());
        if (kind >= 0.6 && kind < 0.75) bytes.erase(at, 1 + random.next() % 20);
        if (kind >= 0.75 && kind < 0.9) bytes.insert(at, bytes.substr(bytes.size() / 3, 1 + random.next() % 30));
        if (kind >= 0.9) bytes.resize(at + 1);
      }
      const auto imported = import_mesh(bytes, kFiles[which], "");
      if (!imported) {
        EXPECT_EQ(imported.error().size(), 1U);
      } else {
        EXPECT_TRUE(std::isfinite(calc_area(imported->mesh)));
      }
    }
  }
}

}  // namespace
}  // namespace steepwright::hold::tests
