#include "viewer/render/hold_mesh.h"

#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "viewer/render/convert.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace steepwright::viewer::render {

namespace {

/// A chord that nobody sees from where a whole body is in view.
constexpr hold::MeshDetail kViewDetail = {.chord_m = 1e-4, .plan_chord_m = 3e-4, .has_bolt_hole = true};

/// Half a superellipsoid on the panel: a block with round edges, as wide, high and thick as the hold.
hold::Mesh make_rounded_block(const hold::Shape& shape) {
  constexpr int kTurns = 48;
  constexpr int kRings = 10;
  constexpr double kRoundness = 0.45;  // 1: ellipsoid, 0: box
  const auto power = [](double x) { return std::copysign(std::pow(std::abs(x), kRoundness), x); };
  hold::Mesh mesh;
  for (int ring = 0; ring < kRings; ++ring) {
    const double rise = 0.5 * kPi * ring / kRings;
    for (int turn = 0; turn < kTurns; ++turn) {
      const double angle = 2.0 * kPi * turn / kTurns;
      mesh.vertices.emplace_back(0.5 * shape.width_m * power(std::cos(rise)) * power(std::cos(angle)),
                                 0.5 * shape.height_m * power(std::cos(rise)) * power(std::sin(angle)),
                                 shape.protrusion_m * power(std::sin(rise)));
    }
  }
  mesh.vertices.emplace_back(0.0, 0.0, shape.protrusion_m);
  const auto at = [](int ring, int turn) { return static_cast<std::uint32_t>(ring * kTurns + turn % kTurns); };
  const auto top = static_cast<std::uint32_t>(kRings * kTurns);
  for (int turn = 0; turn < kTurns; ++turn) {
    for (int ring = 0; ring + 1 < kRings; ++ring) {
      mesh.triangles.push_back({at(ring, turn), at(ring, turn + 1), at(ring + 1, turn + 1)});
      mesh.triangles.push_back({at(ring, turn), at(ring + 1, turn + 1), at(ring + 1, turn)});
    }
    mesh.triangles.push_back({at(kRings - 1, turn), at(kRings - 1, turn + 1), top});
  }
  return mesh;
}

}  // namespace

HoldMeshes::Key HoldMeshes::key_of(const hold::Shape& shape) {
  Key key;
  key.family = shape.family;
  key.sizes = {shape.width_m, shape.height_m,     shape.protrusion_m, shape.depth_m,
               shape.incut,   shape.lip_radius_m, shape.mouth_m,      static_cast<double>(shape.fingers)};
  if (shape.family == hold::Family::kImported) {
    // Its mesh is known by its name alone.
    key.sizes = {};
    key.name = shape.name;
  }
  return key;
}

MeshHandle HoldMeshes::find(const hold::Hold& hold) {
  Key key = key_of(hold.shape);
  const auto known = meshes_.find(key);
  if (known != meshes_.end()) return known->second;
  const bool is_imported = hold.shape.family == hold::Family::kImported;
  MeshHandle mesh =
      make_shaded_mesh(is_imported ? make_rounded_block(hold.shape) : hold::make_mesh(hold.shape, kViewDetail));
  meshes_.emplace(std::move(key), mesh);
  return mesh;
}

void HoldMeshes::add(const std::string& shape_name, MeshHandle mesh) {
  hold::Shape shape;
  shape.family = hold::Family::kImported;
  shape.name = shape_name;
  meshes_.insert_or_assign(key_of(shape), std::move(mesh));
}

SurfaceLook find_surface_look(hold::Surface surface) {
  switch (surface) {
    case hold::Surface::kRawWood:
      return {Material::kWood, {0.80F, 0.70F, 0.56F}};
    case hold::Surface::kVarnishedWood:
      return {Material::kWood, {0.60F, 0.47F, 0.34F}};
    case hold::Surface::kResinTexture:
      return {Material::kResin, {0.50F, 0.52F, 0.54F}};
    case hold::Surface::kWornResin:
      return {Material::kResin, {0.64F, 0.65F, 0.66F}};
    case hold::Surface::kGrit:
      return {Material::kGrit, {0.37F, 0.38F, 0.40F}};
    case hold::Surface::kPanel:
      break;
  }
  return {Material::kPlywood, {0.66F, 0.61F, 0.53F}};
}

MeshInstance& append_hold(const move::PlacedHold& hold, int index, HoldMeshes& meshes, RenderScene& scene) {
  const SurfaceLook look = find_surface_look(hold.hold.shape.surface);
  MeshInstance instance;
  instance.mesh = meshes.find(hold.hold);
  instance.X_WM = to_glm(hold.X_WH);
  instance.material = look.material;
  instance.color = look.color;
  instance.pick = {PickId::Kind::kHold, static_cast<std::uint32_t>(index)};
  scene.meshes.push_back(std::move(instance));
  return scene.meshes.back();
}

}  // namespace steepwright::viewer::render
