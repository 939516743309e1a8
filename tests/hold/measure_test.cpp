#include "engine/hold/measure.h"
#include "engine/core/units.h"
#include "engine/hold/make_mesh.h"
#include "engine/hold/mesh_format.h"
#include "engine/hold/mesh_import.h"
#include "tests/hold/random_shape.h"
#include "tests/hold/shapes.h"
#include <fmt/format.h>
#include <set>
namespace steepwright::hold::tests {
TEST(Measure, Print) {
  RandomStream random(7);
  int n = 0;
  for (int round = 0; round < 12; ++round)
  for (int f = 0; f < 7; ++f) {
    Shape shape = draw_shape(random, static_cast<Family>(f)); if (shape.family == Family::kPocket) shape.fingers = std::clamp(int(shape.width_m/0.018), 2, 4);
 if (shape.family == Family::kVolume) continue;
    const MeshFormat format = static_cast<MeshFormat>(n % 5); 
    const char* names[] = {"a.stl", "a.stl", "a.obj", "a.ply", "a.glb"};
    const std::string bytes = format_mesh(make_mesh(shape), "x", format);
    auto got = import_mesh(bytes, names[n % 5], "");
    ++n;
    if (!got) { fmt::print("FAILED {}\n", to_text(got.error()[0])); continue; }
    const ImportReport& r = got->report;
    if ((r.R_HM - Mat3::Identity()).norm() > 1e-6 || r.p_MH_m.norm() > 1e-4 || r.unit != (n % 5 == 0 ? LengthUnit::kMetre : LengthUnit::kMillimetre) || !r.open_loops.empty()|| r.non_manifold_edges)
      fmt::print("   !! {} | {} | {} loops {} nm {} p {} {} {}\n", r.unit_note, r.orientation_note, r.bolt_note, r.open_loops.size(), r.non_manifold_edges, r.p_MH_m.x(), r.p_MH_m.y(), r.p_MH_m.z());
    // measure in the given frame
    ImportOptions o; o.unit = r.unit; o.out_axis = Vec3::UnitZ(); o.up_axis = Vec3::UnitY(); o.p_bolt_m = Vec3::Zero();
    if (n % 5 == 0) o.unit = LengthUnit::kMetre; else o.unit = LengthUnit::kMillimetre;
    got = import_mesh(bytes, names[(n - 1) % 5], "", o);
    const auto sites = measure_sites(got->mesh);
    for (const Site& s : hold::make_hold(shape).sites) {
      const MeasuredSite* best = nullptr; double bd = 0.02;
      for (const auto& m : sites) {
        const double d = std::hypot(m.site.X_HS.p.y() - s.X_HS.p.y(), m.site.X_HS.p.z() - s.X_HS.p.z(), m.site.X_HS.p.x() - s.X_HS.p.x());
        if (m.site.X_HS.R.col(0).dot(s.X_HS.R.col(0)) > 0.9 && d < bd) { bd = d; best = &m; }
      }
      if (s.name == "front") continue;
      std::string head = fmt::format("{:8} {:10} w {:.1f} d {:.1f} i {:.1f} r {:.1f} m {:.1f} h {:.1f}", name_of(shape.family), s.name, s.width_m*1e3, s.depth_m*1e3, deg_from_rad(s.incut), s.lip_radius_m*1e3, s.mouth_m*1e3, shape.height_m*1e3);
      if (!best) { fmt::print("MISS {}\n", head); continue; }
      const Site& t = best->site;
      const double dd = (t.depth_m - s.depth_m)*1e3, dr = (t.lip_radius_m - s.lip_radius_m)*1e3, di = deg_from_rad(t.incut - s.incut), dm = (t.mouth_m - s.mouth_m)*1e3, dw = (t.width_m - s.width_m)*1e3;
      const bool ok = std::abs(dd) < .5 && std::abs(dr) < .5 && std::abs(dr) <= std::max(0.1, .1*s.lip_radius_m*1e3) && std::abs(di) < 1.5 && std::abs(dm) < 1 && std::abs(dw) < 2;
      if (!ok && !(shape.family==Family::kPinch && s.name == "top") ) fmt::print("BAD  {} | dd {:.2f} dr {:.2f} di {:.2f} dm {:.2f} dw {:.1f} straight {} res {:.3f} fl-straight {:.2f} n {}\n", head, dd, dr, di, dm, dw, best->profile.has_straight_floor, best->residual_m*1e3, (s.depth_m - s.lip_radius_m*std::tan(kPi/4+s.incut/2))*1e3, best->sections);

    }
  }
}
}
