#include "viewer/render/wall_mesh.h"

#include "viewer/render/box_mesh.h"
#include "viewer/render/convert.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace steepwright::viewer::render {

namespace {

/// Hole of an M10 T-nut with its rim, from the front.
constexpr float kTeeNutRadius_m = 0.008F;
/// Impact area before and beside a bouldering wall: 2.0 m past the foremost grip (WS-609, derived), 1.5 m beside.
constexpr double kMatBefore_m = 2.0;
constexpr double kMatBeside_m = 1.5;
/// Size of one mat (own choice) and the seam between two.
constexpr double kMatElement_m = 1.2;
constexpr float kMatSeam_m = 0.006F;
/// Floor that is drawn around a wall without room.
constexpr double kFloorMargin_m = 3.0;

/// Neutral colours of what carries no number.
struct Palette {
  Color panel, joist, sill, room, floor, mat, tee_nut, tee_nut_rim, grid;
};

const Palette& palette_of(Theme theme) {
  static const Palette dark = {.panel = {0.58F, 0.55F, 0.50F},
                               .joist = {0.52F, 0.45F, 0.36F},
                               .sill = {0.24F, 0.23F, 0.22F},
                               .room = {0.31F, 0.33F, 0.36F},
                               .floor = {0.26F, 0.27F, 0.29F},
                               .mat = {0.24F, 0.26F, 0.30F},
                               .tee_nut = {0.05F, 0.05F, 0.05F},
                               .tee_nut_rim = {0.62F, 0.63F, 0.64F},
                               .grid = {0.78F, 0.80F, 0.82F}};
  static const Palette light = {.panel = {0.80F, 0.76F, 0.69F},
                                .joist = {0.74F, 0.65F, 0.52F},
                                .sill = {0.52F, 0.50F, 0.47F},
                                .room = {0.80F, 0.81F, 0.82F},
                                .floor = {0.68F, 0.69F, 0.70F},
                                .mat = {0.45F, 0.49F, 0.54F},
                                .tee_nut = {0.10F, 0.10F, 0.10F},
                                .tee_nut_rim = {0.55F, 0.56F, 0.57F},
                                .grid = {0.22F, 0.24F, 0.26F}};
  return theme == Theme::kDark ? dark : light;
}

glm::vec3 to_vec(double x, double y, double z) { return {glm::dvec3(x, y, z)}; }

class WallBuilder {
 public:
  WallBuilder(const wall::Wall& wall, const WallLook& look, RenderScene& scene)
      : wall_(wall), look_(look), palette_(palette_of(look.theme)), scene_(scene) {}

  void add_strip(int index) {
    const wall::Strip& strip = wall_.strips[static_cast<std::size_t>(index)];
    const glm::mat4 X_WP = to_glm(strip.X_WP);
    MeshInstance& board = add_box(X_WP, to_vec(0.0, 0.0, -strip.thickness_m),
                                  to_vec(strip.width_m, strip.length_m, 0.0), Material::kPlywood, palette_.panel);
    board.pick = {PickId::Kind::kPanel, static_cast<std::uint32_t>(index)};
    board.is_outlined = index == look_.outlined_strip;
    if (look_.has_joists && strip.joists && strip.joists->spacing_m > 0.0) add_joists(strip, X_WP);
    if (look_.has_tee_nuts) add_tee_nuts(strip);
  }

  /// Floor, mats and what closes the gap under the wall, whose foot stands as high as the mats.
  void add_ground() {
    const Box box = find_wall_box(wall_);
    const double depth_m = std::max(look_.mat_thickness_m, 0.0);
    glm::dvec2 lower(box.lower.x - kFloorMargin_m, box.lower.y - kFloorMargin_m);
    glm::dvec2 upper(box.upper.x + kFloorMargin_m, box.upper.y + kFloorMargin_m);
    double top_z_m = -depth_m;
    if (wall_.room && look_.has_room) {
      const wall::Room& room = *wall_.room;
      lower = {room.lower.x(), room.lower.y()};
      upper = {room.upper.x(), room.upper.y()};
      MeshInstance& walls = add(
          unit_room(),
          find_box_pose(glm::mat4(1.0F), to_vec(lower.x, lower.y, -depth_m), to_vec(upper.x, upper.y, room.upper.z())),
          Material::kPaint, palette_.room);
      walls.casts_shadow = false;
      // Over the room's own floor, which has the colour of the walls.
      constexpr double kFloorCover_m = 0.002;
      top_z_m += kFloorCover_m;
    }
    add_box(glm::mat4(1.0F), to_vec(lower.x, lower.y, top_z_m - 0.001), to_vec(upper.x, upper.y, top_z_m),
            Material::kPaint, palette_.floor)
        .casts_shadow = false;
    if (depth_m <= 0.0) return;
    add_sill(depth_m);
    add_mats(box, lower, upper, depth_m);
  }

 private:
  MeshInstance& add(const MeshHandle& mesh, const glm::mat4& X_WM, Material material, const Color& color) {
    MeshInstance instance;
    instance.mesh = mesh;
    instance.X_WM = X_WM;
    instance.material = material;
    instance.color = color;
    scene_.meshes.push_back(std::move(instance));
    return scene_.meshes.back();
  }
  MeshInstance& add_box(const glm::mat4& X_WA, const glm::vec3& lower_A, const glm::vec3& upper_A, Material material,
                        const Color& color) {
    return add(unit_box(), find_box_pose(X_WA, lower_A, upper_A), material, color);
  }

  void add_joists(const wall::Strip& strip, const glm::mat4& X_WP) {
    const wall::Joists& joists = *strip.joists;
    const double half_m = 0.5 * joists.width_m;
    for (int k = 0; joists.first_m + k * joists.spacing_m - half_m < strip.width_m; ++k) {
      const double center_m = joists.first_m + k * joists.spacing_m;
      // Those at the sides are shared with what stands beside: each section draws its half.
      const double from_m = std::max(center_m - half_m, 0.0);
      const double to_m = std::min(center_m + half_m, strip.width_m);
      if (to_m <= from_m) continue;
      add_box(X_WP, to_vec(from_m, 0.0, -strip.thickness_m - wall::kFrameDepth_m),
              to_vec(to_m, strip.length_m, -strip.thickness_m), Material::kWood, palette_.joist);
    }
  }

  void add_tee_nuts(const wall::Strip& strip) {
    for (const Eigen::Vector2d& nut : wall::make_lattice_points(strip)) {
      Disc disc;
      disc.p_W = to_glm(strip.X_WP * Vec3(nut.x(), nut.y(), 0.0));
      disc.normal_W = to_glm(Vec3(strip.X_WP.R.col(2)));
      disc.radius = kTeeNutRadius_m;
      disc.color = palette_.tee_nut;
      disc.rim_color = palette_.tee_nut_rim;
      scene_.discs.push_back(disc);
    }
  }

  void add_sill(double depth_m) {
    for (const wall::Section& section : wall_.sections) {
      if (section.strips.empty()) continue;
      const double back_m = wall_.strips[static_cast<std::size_t>(section.strips.front())].thickness_m;
      add_box(glm::mat4(1.0F), to_vec(section.x0_m, 0.0, -depth_m),
              to_vec(section.x0_m + section.width_m, back_m + wall::kFrameDepth_m, 0.0), Material::kPaint,
              palette_.sill);
    }
  }

  void add_mats(const Box& box, const glm::dvec2& floor_lower, const glm::dvec2& floor_upper, double depth_m) {
    const double x0 = std::max(floor_lower.x, box.lower.x - kMatBeside_m);
    const double x1 = std::min(floor_upper.x, box.upper.x + kMatBeside_m);
    const double y0 = std::max(floor_lower.y, box.lower.y - kMatBefore_m);
    const double y1 = 0.0;
    const auto count = [](double length_m) {
      return std::max(1, static_cast<int>(std::lround(length_m / kMatElement_m)));
    };
    const int nx = count(x1 - x0);
    const int ny = count(y1 - y0);
    for (int i = 0; i < nx; ++i) {
      for (int j = 0; j < ny; ++j) {
        const glm::vec3 lower = to_vec(x0 + (x1 - x0) * i / nx, y0 + (y1 - y0) * j / ny, -depth_m);
        const glm::vec3 upper = to_vec(x0 + (x1 - x0) * (i + 1) / nx, y0 + (y1 - y0) * (j + 1) / ny, 0.0);
        // Mats cast next to no shadow, but would double what the shadow map has to cover.
        add_box(glm::mat4(1.0F), lower + glm::vec3(kMatSeam_m, kMatSeam_m, 0.0F),
                upper - glm::vec3(kMatSeam_m, kMatSeam_m, 0.0F), Material::kFabric, palette_.mat)
            .casts_shadow = false;
      }
    }
  }

  const wall::Wall& wall_;
  const WallLook& look_;
  const Palette& palette_;
  RenderScene& scene_;
};

void append_grid_lines(const wall::Strip& strip, double spacing_m, const Color& color, RenderScene& scene) {
  constexpr int kStrongEach = 10;
  constexpr double kOverFace_m = 0.0005;
  const auto add_line = [&](double x0, double y0, double x1, double y1, int k) {
    LinePiece line;
    line.pA_W = to_glm(strip.X_WP * Vec3(x0, y0, kOverFace_m));
    line.pB_W = to_glm(strip.X_WP * Vec3(x1, y1, kOverFace_m));
    line.color = color;
    line.width_px = k % kStrongEach == 0 ? 1.8F : 1.0F;
    line.opacity = k % kStrongEach == 0 ? 0.75F : 0.35F;
    scene.lines.push_back(line);
  };
  // A line at the very edge counts, whatever the rounding of the sums.
  constexpr double kEdge_m = 1e-6;
  for (int k = 0; k * spacing_m <= strip.width_m + kEdge_m; ++k)
    add_line(k * spacing_m, 0.0, k * spacing_m, strip.length_m, k);
  for (int k = 0; k * spacing_m <= strip.length_m + kEdge_m; ++k)
    add_line(0.0, k * spacing_m, strip.width_m, k * spacing_m, k);
}

}  // namespace

void append_wall(const wall::Wall& wall, const WallLook& look, RenderScene& scene) {
  WallBuilder builder(wall, look, scene);
  for (std::size_t i = 0; i < wall.strips.size(); ++i) builder.add_strip(static_cast<int>(i));
  builder.add_ground();
}

void append_grid(const wall::Wall& wall, Theme theme, RenderScene& scene, double spacing_m) {
  // Finer than this it would be a grey face, and millions of lines.
  constexpr double kLeastSpacing_m = 0.01;
  for (const wall::Strip& strip : wall.strips)
    append_grid_lines(strip, std::max(spacing_m, kLeastSpacing_m), palette_of(theme).grid, scene);
}

std::vector<glm::dvec3> find_wall_corners(const wall::Wall& wall) {
  std::vector<glm::dvec3> corners;
  corners.reserve(4 * wall.strips.size());
  for (const wall::Strip& strip : wall.strips) {
    for (const double x : {0.0, strip.width_m}) {
      for (const double y : {0.0, strip.length_m}) corners.push_back(to_dvec3(strip.X_WP * Vec3(x, y, 0.0)));
    }
  }
  return corners;
}

Box find_wall_box(const wall::Wall& wall) {
  Box box{glm::dvec3(0.0), glm::dvec3(0.0)};
  for (const glm::dvec3& p_W : find_wall_corners(wall)) {
    box.lower = glm::min(box.lower, p_W);
    box.upper = glm::max(box.upper, p_W);
  }
  return box;
}

}  // namespace steepwright::viewer::render
