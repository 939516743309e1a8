/// Names of families and surfaces, and the friction of surfaces.

#include "engine/hold/hold.h"

#include <array>
#include <cstddef>

namespace steepwright::hold {

namespace {

constexpr std::array<std::string_view, 8> kFamilyNames = {"edge",   "sloper",    "pinch",  "jug",
                                                          "pocket", "foot chip", "volume", "imported"};
constexpr std::array<std::string_view, 6> kSurfaceNames = {"raw wood",   "varnished wood", "resin texture",
                                                           "worn resin", "grit",           "panel"};

/// Friction by surface, chalked hand. All levels are assumed: no published value was found for climbers' hands on
/// these materials. What bounds them: friction used while climbing 0.53 (Teflon) to 0.84 (rubber), a lower bound of mu
/// (Fuss et al. 2020, read); dry fingers about 0.5 (Derler & Gerhardt 2012, read); sandpaper 0.96 +/- 0.09 (Savescu et
/// al. 2008, read). The uncertainty of +/-0.2 is taken as two standard deviations.
///
/// Shoe: rubber 1.14 on plastic and 0.68 on unpolished granite at light load (trade-journal note, read), falling with
/// pressure; sole on plywood 0.8 (0.6-1.0) assumed, the range taken as two standard deviations.
constexpr std::array<SurfaceFriction, 6> kFriction = {{
    {0.60, 0.10, 0.80, 0.10},  // raw wood
    {0.50, 0.10, 0.70, 0.10},  // varnished wood
    {0.75, 0.10, 0.90, 0.10},  // resin texture
    {0.50, 0.10, 0.70, 0.10},  // worn resin
    {0.90, 0.10, 0.95, 0.10},  // grit
    {0.60, 0.10, 0.80, 0.10},  // panel: painted plywood
}};

template <typename Enum, std::size_t N>
std::optional<Enum> find_name(const std::array<std::string_view, N>& names, std::string_view name) {
  for (std::size_t i = 0; i < N; ++i) {
    if (names[i] == name) return static_cast<Enum>(i);
  }
  return std::nullopt;
}

}  // namespace

std::string_view name_of(Family family) { return kFamilyNames[static_cast<std::size_t>(family)]; }
std::optional<Family> family_from_name(std::string_view name) { return find_name<Family>(kFamilyNames, name); }
std::string_view name_of(Surface surface) { return kSurfaceNames[static_cast<std::size_t>(surface)]; }
std::optional<Surface> surface_from_name(std::string_view name) { return find_name<Surface>(kSurfaceNames, name); }

SurfaceFriction friction_of(Surface surface, bool chalked) {
  SurfaceFriction friction = kFriction[static_cast<std::size_t>(surface)];
  if (!chalked) {
    friction.hand_mu /= kChalkFactor;
    friction.hand_mu_sd /= kChalkFactor;
  }
  return friction;
}

}  // namespace steepwright::hold
