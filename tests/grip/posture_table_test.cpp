// The table of postures that an open hand's search begins from: it serves what it was made for, and what is found from
// it is what a search from everywhere finds, in a fraction of the time.

#include "engine/grip/posture_table.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/grip/hand_fan.h"
#include "tests/grip/hands.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace steepwright::tests {
namespace {

using namespace grip;
using grip::tests::lip;

TableLeads find_leads(const Finger& finger, const hold::Site& site, double swing_deg) {
  TableLeads leads;
  find_table_leads(finger, hold::make_outline(site), rad_from_deg(swing_deg), leads);
  return leads;
}

const Finger& middle_finger() {
  static const Finger finger = make_fingers({})[index_of(Digit::kMiddle)];
  return finger;
}

TEST(PostureTable, HasPosturesForEveryPullAtEveryNode) {
  for (const double depth_mm : kTableDepths_mm) {
    for (const double incut_deg : kTableIncuts_deg) {
      for (const double radius_mm : kTableLipRadii_mm) {
        if (radius_mm < 1000.0 * hold::kSharpestLip_m) continue;  // no edge is that sharp: it lies between nodes
        for (const double swing_deg : kTableSwings_deg) {
          const TableLeads leads = find_leads(middle_finger(), lip(depth_mm, incut_deg, radius_mm), swing_deg);
          for (std::size_t k = 0; k < kPullCount; ++k) {
            EXPECT_TRUE(std::any_of(leads.begin(), leads.end(), [&](const TableLead& lead) { return lead.serves(k); }))
                << depth_mm << " mm, incut " << incut_deg << ", lip " << radius_mm << ", swing " << swing_deg
                << ", pull " << k;
          }
        }
      }
    }
  }
}

TEST(PostureTable, OffersALongerFingerWhatAShorterOneHasOnAShallowerEdge) {
  constexpr double kLonger = 1.25;
  Finger longer = middle_finger();
  longer.distal_m *= kLonger;
  longer.middle_m *= kLonger;
  const TableLeads shorter_leads = find_leads(middle_finger(), lip(14.0, 4.0, 4.0), 30.0);
  const TableLeads longer_leads = find_leads(longer, lip(kLonger * 14.0, 4.0, kLonger * 4.0), 30.0);
  ASSERT_EQ(shorter_leads.size(), longer_leads.size());
  for (std::size_t i = 0; i < shorter_leads.size(); ++i) {
    EXPECT_EQ(shorter_leads[i].lead.pitch, longer_leads[i].lead.pitch);
    EXPECT_EQ(shorter_leads[i].pulls, longer_leads[i].pulls);
  }
  const TableLeads unlike = find_leads(longer, lip(14.0, 4.0, 4.0), 30.0);
  EXPECT_NE(unlike[0].lead.pitch, longer_leads[0].lead.pitch);
}

TEST(PostureTable, ServesEdgesBeyondItsEnds) {
  EXPECT_FALSE(find_leads(middle_finger(), lip(90.0, 40.0, 30.0), 170.0).empty());
  EXPECT_FALSE(find_leads(middle_finger(), lip(4.0, -40.0, 0.0), -90.0).empty());
}

/// Edges between the nodes, with fingers and friction that the table was not made of.
TEST(PostureTable, LeadsASearchToWhatALongOneFinds) {
  constexpr int kSites = 40;
  constexpr double kMeanLoss = 0.01, kWorstLoss = 0.25;
  FingerStrength strength;
  strength.edge_force_N = 380.0;
  HandMeasures measures;
  measures.hand_length_m = 0.178;
  const Hand hand = make_hand(measures, strength);
  RandomStream random(3);
  FingerSearch search;
  double loss = 0.0;
  int n_compared = 0;
  for (int i = 0; i < kSites; ++i) {
    hold::Site site = lip(random.uniform(6.0, 45.0), random.uniform(-10.0, 25.0), random.uniform(0.0, 15.0));
    site.surface = i % 2 == 0 ? hold::Surface::kRawWood : hold::Surface::kResinTexture;
    const HandTask task{&site, Grip::kOpenHand, &hand, rad_from_deg(random.uniform(0.0, 110.0))};
    const hold::Outline outline = hold::make_outline(site);
    const Digit digit = kDigits[static_cast<std::size_t>(i) % kDigits.size()];
    const SearchTask search_task = make_search_task(task, outline, digit, 4);
    const FingerFan from_table = search.calc_fan(search_task);
    const FingerFan from_nothing = search.calc_fan_from_nothing(search_task);
    double table_N = 0.0, nothing_N = 0.0;
    for (std::size_t k = 0; k < kPullCount; ++k) {
      table_N += from_table.force_N[k];
      nothing_N += from_nothing.force_N[k];
    }
    if (nothing_N <= 0.0) continue;
    ++n_compared;
    loss += 1.0 - table_N / nothing_N;
    EXPECT_GT(table_N, (1.0 - kWorstLoss) * nothing_N) << "site " << i;
  }
  EXPECT_GT(n_compared, kSites / 2);
  EXPECT_LT(loss / n_compared, kMeanLoss);
}

}  // namespace
}  // namespace steepwright::tests
