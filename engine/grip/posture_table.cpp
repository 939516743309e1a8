#include "engine/grip/posture_table.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace steepwright::grip {

namespace {

/// By depth, incut, rounding, swing and pull, the last one fastest.
constexpr std::array<TablePosture, kTableNodes* kTablePulls> kTable = {{
#include "engine/grip/tables/postures.inc"
}};

constexpr double kPerDegree = 10.0, kPerBone = 1000.0, kPerMetre = 1e5;

/// Distal and middle bone of an average middle finger, m.
double find_reference_length() {
  static const Finger reference = make_fingers({})[index_of(Digit::kMiddle)];
  return reference.distal_m + reference.middle_m;
}

std::int16_t round_to_step(double value) { return static_cast<std::int16_t>(std::lround(value)); }

PostureLead from_table(const TablePosture& posture) {
  PostureLead lead;
  lead.pitch = rad_from_deg(posture.pitch / kPerDegree);
  lead.middle_pitch = rad_from_deg(posture.middle_pitch / kPerDegree);
  lead.flexion = rad_from_deg(posture.flexion / kPerDegree);
  lead.is_at_back = posture.lip_place == TablePosture::kAtBack;
  lead.lip_place = lead.is_at_back ? 0.0 : posture.lip_place / kPerBone;
  lead.gap_m = posture.gap == TablePosture::kAway ? FlushGap::kAway : posture.gap / kPerMetre;
  return lead;
}

/// The nodes on both sides of a value, or the end twice.
std::array<std::size_t, 2> find_sides(std::span<const double> nodes, double value) {
  std::size_t upper = 0;
  while (upper + 1 < nodes.size() && nodes[upper] < value) ++upper;
  return {upper > 0 && nodes[upper] > value ? upper - 1 : upper, upper};
}

bool are_alike(const PostureLead& a, const PostureLead& b) {
  constexpr double kAngle = rad_from_deg(1.0), kPlace = 0.03, kGap_m = 0.0004;
  return std::abs(a.pitch - b.pitch) < kAngle && std::abs(a.middle_pitch - b.middle_pitch) < kAngle &&
         std::abs(a.flexion - b.flexion) < 3.0 * kAngle && a.is_at_back == b.is_at_back &&
         std::abs(a.lip_place - b.lip_place) < kPlace && std::abs(a.gap_m - b.gap_m) < kGap_m;
}

void add_node(std::size_t node, TableLeads& leads) {
  for (std::size_t i = 0; i < kTablePulls; ++i) {
    const TablePosture& posture = kTable[node * kTablePulls + i];
    if (posture.lip_place == TablePosture::kNone) continue;
    const PostureLead lead = from_table(posture);
    // For its own pull and the ones beside it, which the table leaves out.
    const unsigned pulls = (7U << (2 * i)) >> 1U;
    const auto alike =
        std::find_if(leads.begin(), leads.end(), [&](const TableLead& other) { return are_alike(lead, other.lead); });
    if (alike == leads.end()) {
      leads.push_back({lead, pulls});
    } else {
      alike->pulls |= pulls;
    }
  }
}

}  // namespace

TablePosture to_table(const PostureLead& lead) {
  TablePosture posture;
  posture.pitch = round_to_step(kPerDegree * deg_from_rad(lead.pitch));
  posture.middle_pitch = round_to_step(kPerDegree * deg_from_rad(lead.middle_pitch));
  posture.flexion = round_to_step(kPerDegree * deg_from_rad(lead.flexion));
  posture.lip_place = lead.is_at_back ? TablePosture::kAtBack : round_to_step(kPerBone * lead.lip_place);
  posture.gap = std::abs(lead.gap_m) > 0.05 ? TablePosture::kAway : round_to_step(kPerMetre * lead.gap_m);
  return posture;
}

void find_table_leads(const Finger& finger, const hold::Outline& outline, double swing, TableLeads& leads) {
  leads.clear();
  const double scale = (finger.distal_m + finger.middle_m) / find_reference_length();
  const auto depths = find_sides(kTableDepths_mm, mm_from_m(outline.depth) / scale);
  const auto incuts = find_sides(kTableIncuts_deg, deg_from_rad(outline.incut));
  const auto radii = find_sides(kTableLipRadii_mm, mm_from_m(outline.lip_radius) / scale);
  const auto swings = find_sides(kTableSwings_deg, deg_from_rad(swing));
  // A value on a node or beyond the last one has that node on both sides.
  std::size_t last = kTableNodes;
  for (const std::size_t depth : depths) {
    for (const std::size_t incut : incuts) {
      for (const std::size_t radius : radii) {
        for (const std::size_t side : swings) {
          const std::size_t node = ((depth * kTableIncuts_deg.size() + incut) * kTableLipRadii_mm.size() + radius) *
                                       kTableSwings_deg.size() +
                                   side;
          if (node != last) add_node(node, leads);
          last = node;
        }
      }
    }
  }
}

}  // namespace steepwright::grip
