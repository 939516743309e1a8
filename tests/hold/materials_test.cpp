#include "engine/hold/hold.h"

#include <gtest/gtest.h>

namespace steepwright::hold {
namespace {

constexpr Surface kSurfaces[] = {Surface::kRawWood,   Surface::kVarnishedWood, Surface::kResinTexture,
                                 Surface::kWornResin, Surface::kGrit,          Surface::kPanel};
constexpr Family kFamilies[] = {Family::kEdge,   Family::kSloper,   Family::kPinch, Family::kJug,
                                Family::kPocket, Family::kFootChip, Family::kVolume};

TEST(Friction, HasTheAssumedLevelsForAChalkedHand) {
  // Assumed defaults: raw wood 0.6, resin texture 0.75, worn smooth resin 0.5, grit 0.9; sole on plywood 0.8.
  EXPECT_DOUBLE_EQ(friction_of(Surface::kRawWood, true).hand_mu, 0.60);
  EXPECT_DOUBLE_EQ(friction_of(Surface::kResinTexture, true).hand_mu, 0.75);
  EXPECT_DOUBLE_EQ(friction_of(Surface::kWornResin, true).hand_mu, 0.50);
  EXPECT_DOUBLE_EQ(friction_of(Surface::kGrit, true).hand_mu, 0.90);
  EXPECT_DOUBLE_EQ(friction_of(Surface::kPanel, true).shoe_mu, 0.80);
}

TEST(Friction, OfTheHandFallsWithoutChalkAndTheShoeDoesNotCare) {
  for (Surface surface : kSurfaces) {
    const SurfaceFriction chalked = friction_of(surface, true);
    const SurfaceFriction bare = friction_of(surface, false);
    // Chalk +18.7 % on limestone, +21.6 % on sandstone (Amca et al. 2012, read); the switch is 15-20 %.
    EXPECT_GE(chalked.hand_mu / bare.hand_mu, 1.15);
    EXPECT_LE(chalked.hand_mu / bare.hand_mu, 1.20);
    EXPECT_DOUBLE_EQ(chalked.shoe_mu, bare.shoe_mu);
  }
}

TEST(Friction, SpreadLeavesTheMeanPositive) {
  for (Surface surface : kSurfaces) {
    for (bool chalked : {true, false}) {
      const SurfaceFriction friction = friction_of(surface, chalked);
      EXPECT_GT(friction.hand_mu_sd, 0.0);
      EXPECT_GT(friction.hand_mu - 3.0 * friction.hand_mu_sd, 0.0);
      EXPECT_GT(friction.shoe_mu - 3.0 * friction.shoe_mu_sd, 0.0);
    }
  }
}

TEST(Names, OfFamiliesAndSurfacesReadBack) {
  for (Family family : kFamilies) EXPECT_EQ(family_from_name(name_of(family)), family);
  for (Surface surface : kSurfaces) EXPECT_EQ(surface_from_name(name_of(surface)), surface);
  EXPECT_FALSE(family_from_name("crimp").has_value());
  EXPECT_FALSE(surface_from_name("ice").has_value());
}

}  // namespace
}  // namespace steepwright::hold
