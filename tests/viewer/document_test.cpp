#include "viewer/document/document.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "tests/viewer/opened.h"
#include "viewer/commands/limb_sites.h"
#include "viewer/commands/placement.h"
#include "viewer/document/state_check.h"

namespace steepwright::viewer {
namespace {

using tests::open_default;
using tests::text_of;

int find_hold(const Document& document, const std::string& name) {
  for (std::size_t i = 0; i < document.scene().holds.size(); ++i) {
    if (document.scene().holds[i].name == name) return static_cast<int>(i);
  }
  return -1;
}

// Any command over what the scene has, most of them possible.
Command draw_command(const Document& document, RandomStream& draw) {
  const move::Scene& scene = document.scene();
  const auto pick = [&draw](std::size_t count) { return count == 0 ? 0 : static_cast<int>(draw.next() % count); };
  const int hold = pick(scene.holds.size());
  const int strip = pick(scene.wall.strips.size());
  const int move = pick(scene.moves.size());
  const auto& panel = scene.wall.strips[static_cast<std::size_t>(strip)];
  const auto limb = kLimbs[draw.next() % kLimbs.size()];
  const std::string model =
      document.inventory().shapes[static_cast<std::size_t>(pick(document.inventory().shapes.size()))].name;
  switch (draw.next() % 14) {
    case 0: {
      const BoltPlace place = find_snapped_place(scene.wall, strip, draw.uniform(0.0, panel.width_m),
                                                 draw.uniform(0.0, panel.length_m), draw.next() % 2 == 0);
      return MoveHold{hold, strip, place.across_m, place.up_m, place.on_lattice};
    }
    case 1:
      return RotateHold{hold, rad_from_deg(std::round(draw.symmetric(180.0)))};
    case 2:
      return SwapHold{hold, model};
    case 3:
      return AddHold{model, strip, draw.uniform(0.0, panel.width_m), draw.uniform(0.0, panel.length_m), true};
    case 4:
      return DeleteHold{hold};
    case 5:
      return DuplicateHold{hold};
    case 6:
      return MirrorHold{hold};
    case 7:
      return SetStripAngle{strip, rad_from_deg(draw.uniform(-25.0, 95.0))};
    case 8:
      return SetStripLength{strip, draw.uniform(0.01, 4.0)};
    case 9: {
      move::Climber climber = scene.climber;
      climber.measures.stature_m = draw.uniform(1.3, 2.2);
      return SetClimber{climber};
    }
    case 10:
      return SetGrip{move, limb, draw.next() % 2 == 0, kGrips[draw.next() % kGrips.size()]};
    case 11:
      return DefineMove{scene.moves.empty() ? move::Stance{} : scene.moves.front().before, limb, hold};
    case 12:
      return RenameHold{hold, draw.next() % 4 == 0 ? "" : "name " + std::to_string(draw.next() % 5)};
    default:
      return DeleteMove{move};
  }
}

TEST(Document, UndoOfEverythingRestoresTheSceneToTheByteAndRedoRepeatsIt) {
  Document document = open_default();
  const std::string start = text_of(document);
  RandomStream draw(7);
  std::size_t refused = 0;
  for (int i = 0; i < 250; ++i) {
    const std::string before = text_of(document);
    if (!document.apply(draw_command(document, draw))) {
      ++refused;
      ASSERT_EQ(text_of(document), before) << "a refused command has left something";
    }
  }
  EXPECT_GT(refused, 10U);
  ASSERT_GT(document.undo_count(), 50U);
  const std::string end = text_of(document);
  const std::uint64_t end_revision = document.revision();
  while (document.undo()) {
  }
  EXPECT_EQ(text_of(document), start);
  EXPECT_FALSE(document.is_modified());
  while (document.redo()) {
  }
  EXPECT_EQ(text_of(document), end);
  EXPECT_EQ(document.revision(), end_revision);
}

TEST(Document, AnySequenceOfEditsLeavesASceneThatReadsBackAsTheSame) {
  Document document = open_default();
  RandomStream draw(11);
  for (int i = 0; i < 120; ++i) {
    if (!document.apply(draw_command(document, draw))) continue;
    const auto again = open_scene_text(text_of(document), {});
    ASSERT_TRUE(again.has_value()) << to_text(again.error().front()) << "\n" << document.undo_label();
    ASSERT_EQ(io::write_scene(again->state.scene, again->state.source), text_of(document));
  }
}

TEST(Document, ADragIsOneEdit) {
  Document document = open_default();
  const std::string start = text_of(document);
  const int strip = static_cast<int>(document.scene().wall.strips.size()) - 1;
  for (int i = 1; i <= 20; ++i)
    ASSERT_TRUE(document.apply(SetStripAngle{strip, rad_from_deg(30.0 + 0.1 * i)}, 5).has_value());
  EXPECT_EQ(document.undo_count(), 1U);
  ASSERT_TRUE(document.undo());
  EXPECT_EQ(text_of(document), start);
}

TEST(Document, AHoldOnAnotherIsRefusedAndNamed) {
  Document document = open_default();
  const move::PlacedHold other = document.scene().holds[1];
  const auto moved = document.apply(MoveHold{0, other.strip, other.across_m, other.up_m, other.on_lattice});
  ASSERT_FALSE(moved.has_value());
  const std::string text = to_text(moved.error().front());
  EXPECT_THAT(text, ::testing::HasSubstr("overlaps hold"));
  EXPECT_THAT(text, ::testing::Not(::testing::HasSubstr("line")));
  EXPECT_FALSE(document.is_modified());
}

TEST(Document, DeletingAHoldTakesItsMovesAlongAndUndoBringsThemBack) {
  Document document = open_default();
  const std::string start = text_of(document);
  const int hold = document.scene().moves.front().target.hold;
  const std::size_t count = document.scene().moves.size();
  ASSERT_TRUE(document.apply(DeleteHold{hold}).has_value());
  EXPECT_LT(document.scene().moves.size(), count);
  for (const move::Move& move : document.scene().moves) {
    for_each_place(move, [&](Limb, const move::LimbPlace& place) {
      ASSERT_LT(place.hold, static_cast<int>(document.scene().holds.size()));
    });
  }
  ASSERT_TRUE(document.undo());
  EXPECT_EQ(text_of(document), start);
}

TEST(Document, AMoveThatFollowsTakesOverTheGripThatTheMoveBeforeItEndsWith) {
  auto opened = open_scene(tests::demo("attic-45.toml"));
  ASSERT_TRUE(opened.has_value());
  Document document(std::move(*opened));
  ASSERT_EQ(document.scene().moves[0].target.grip, Grip::kFullCrimp);
  ASSERT_TRUE(document.apply(SetGrip{0, Limb::kLeftHand, true, Grip::kHalfCrimp}).has_value());
  EXPECT_EQ(document.scene().moves[0].target.grip, Grip::kHalfCrimp);
  EXPECT_EQ(document.scene().moves[1].before.limbs[0]->grip, Grip::kHalfCrimp);
  EXPECT_NE(document.scene().moves[2].before.limbs[0]->grip, Grip::kHalfCrimp) << "it does not follow";
}

TEST(Document, SwappingAHandHoldForAFootChipIsRefusedWithTheMove) {
  Document document = open_default();
  const int hold = document.scene().moves.front().target.hold;
  const auto swapped = document.apply(SwapHold{hold, "toe sliver"});
  ASSERT_FALSE(swapped.has_value());
  EXPECT_THAT(to_text(swapped.error().front()), ::testing::HasSubstr("no site for the left hand of move '"));
}

TEST(Document, ASnappedPlaceIsATeeNutAndAFreedOneAWholeMillimetre) {
  auto opened = open_scene(tests::demo("attic-45.toml"));
  ASSERT_TRUE(opened.has_value());
  const wall::Wall& wall = opened->state.scene.wall;
  const int steep = wall.find_strip("steep");
  const BoltPlace snapped = find_snapped_place(wall, steep, 0.71, 0.93, false);
  EXPECT_TRUE(snapped.on_lattice);
  EXPECT_TRUE(
      wall::find_lattice_point(wall.strips[static_cast<std::size_t>(steep)], snapped.across_m, snapped.up_m, 1e-9));
  const BoltPlace freed = find_snapped_place(wall, steep, 0.7104, 0.9307, true);
  EXPECT_FALSE(freed.on_lattice);
  EXPECT_DOUBLE_EQ(freed.across_m, 0.710);
  EXPECT_DOUBLE_EQ(freed.up_m, 0.931);
}

TEST(Document, AnEditedClimberIsWrittenIntoTheScene) {
  auto opened = open_scene(tests::demo("garage-20.toml"));
  ASSERT_TRUE(opened.has_value());
  Document document(std::move(*opened));
  ASSERT_FALSE(document.state().source.climber_file.empty());
  move::Climber climber = document.scene().climber;
  climber.measures.mass_kg += 3.0;
  ASSERT_TRUE(document.apply(SetClimber{climber}).has_value());
  EXPECT_TRUE(document.state().source.climber_file.empty());
  ASSERT_TRUE(document.undo());
  EXPECT_FALSE(document.state().source.climber_file.empty());
}

TEST(Document, SavedIsUnmodifiedAndUndoPastTheSaveIsModified) {
  const tests::TemporaryFolder folder;
  Document document = open_default();
  const int hold = find_hold(document, document.scene().holds.front().name);
  ASSERT_TRUE(document.apply(RenameHold{hold, "another name"}).has_value());
  EXPECT_TRUE(document.is_modified());
  const auto path = folder.path() / "saved.toml";
  const SceneToSave handed_over(document);
  ASSERT_TRUE(document.apply(RenameHold{hold, "meanwhile"}).has_value());
  auto saved = save_scene(path, handed_over);
  ASSERT_TRUE(saved.has_value());
  mark_saved(std::move(*saved), document);
  EXPECT_TRUE(document.is_modified()) << "edited since it was handed over";
  ASSERT_TRUE(document.undo());
  EXPECT_FALSE(document.is_modified());
  const auto again = open_scene(path);
  ASSERT_TRUE(again.has_value());
  EXPECT_EQ(io::write_scene(again->state.scene, again->state.source), text_of(document));
  ASSERT_TRUE(document.undo());
  EXPECT_TRUE(document.is_modified());
  ASSERT_TRUE(document.redo());
  EXPECT_FALSE(document.is_modified());
}

TEST(StateCheck, ShippedScenesHaveNoErrors) {
  for (const char* name : {"attic-45.toml", "barn-35.toml", "cellar-roof.toml", "garage-20.toml"}) {
    const auto opened = open_scene(tests::demo(name));
    ASSERT_TRUE(opened.has_value());
    EXPECT_FALSE(has_errors(check_state(opened->state))) << name;
  }
}

}  // namespace
}  // namespace steepwright::viewer
