/// Sites measured on meshes whose dimensions are known because they were made from them.

#include "engine/hold/measure.h"

#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "tests/hold/shapes.h"

#include <fmt/format.h>

namespace steepwright::hold::tests {
TEST(Measure, Print) {
  for (const Shape& shape : all_families()) {
    fmt::print("--- {} w {} h {} p {}\n", name_of(shape.family), shape.width_m*1e3, shape.height_m*1e3, shape.protrusion_m*1e3);
    for (const Site& s : hold::make_hold(shape).sites)
      fmt::print("   made {:12} w {:7.2f} d {:6.2f} i {:6.2f} r {:6.2f} m {:5.2f} at {:.1f} {:.1f} {:.1f}\n", s.name, s.width_m*1e3, s.depth_m*1e3, deg_from_rad(s.incut), s.lip_radius_m*1e3, s.mouth_m*1e3, s.X_HS.p.x()*1e3, s.X_HS.p.y()*1e3, s.X_HS.p.z()*1e3);
    for (const MeasuredSite& m : measure_sites(make_mesh(shape))) {
      const Site& s = m.site;
      fmt::print("   meas {:12} w {:7.2f} d {:6.2f} i {:6.2f} r {:6.2f} m {:5.2f} at {:.1f} {:.1f} {:.1f} res {:.3f} n {} {} {}\n", s.name, s.width_m*1e3, s.depth_m*1e3, deg_from_rad(s.incut), s.lip_radius_m*1e3, s.mouth_m*1e3, s.X_HS.p.x()*1e3, s.X_HS.p.y()*1e3, s.X_HS.p.z()*1e3, m.residual_m*1e3, m.sections, m.profile.has_straight_floor, name_of(m.family));
    }
  }
}
}
