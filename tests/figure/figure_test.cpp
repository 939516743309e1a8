#include "engine/figure/move_figure.h"
#include "engine/figure/scene_figure.h"
#include "tests/support/matchers.h"
#include "tests/support/stick_scene.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace steepwright::tests {
namespace {

using figure::Figure;
using figure::Role;

template <typename List>
auto count_role(const List& list, Role role) {
  return std::count_if(list.begin(), list.end(), [role](const auto& item) { return item.role == role; });
}

TEST(SceneFigure, ShowsEveryStripWithItsAngle) {
  const Figure figure = figure::make_scene_figure(make_stick_case().scene);
  std::vector<std::string> labels;
  for (const figure::Face& face : figure.faces) {
    if (face.role == Role::kStrip) labels.push_back(face.label);
  }
  EXPECT_EQ(labels, (std::vector<std::string>{"kicker, 0\u00B0", "main panel, 35\u00B0", "roof, 75\u00B0"}));
}

TEST(SceneFigure, WritesTenthsOfADegreeOnlyWhereThereAreAny) {
  wall::Strip strip;
  strip.name = "panel";
  strip.angle = rad_from_deg(22.5);
  EXPECT_EQ(figure::describe_strip(strip), "panel, 22.5\u00B0");
  strip.angle = rad_from_deg(-4.0);
  EXPECT_EQ(figure::describe_strip(strip), "panel, -4\u00B0");
}

TEST(SceneFigure, FacesOfStripsLookAtTheClimber) {
  const move::Scene scene = make_stick_case().scene;
  const Figure figure = figure::make_scene_figure(scene);
  for (std::size_t i = 0; i < scene.wall.strips.size(); ++i) {
    const auto& corners = figure.faces[i].corners_W;
    const Vec3 normal = (corners[1] - corners[0]).cross(corners[2] - corners[1]).normalized();
    EXPECT_TRUE(is_near(normal, scene.wall.strips[i].X_WP.R.col(2), 1e-12));
  }
}

TEST(SceneFigure, HoldsStandOutOfThePanelByTheirProtrusion) {
  const move::Scene scene = make_stick_case().scene;
  const Figure figure = figure::make_scene_figure(scene);
  const Vec3 normal = scene.wall.strips[1].X_WP.R.col(2);
  double out = 0.0;
  for (const figure::Face& face : figure.faces) {
    if (face.role != Role::kHold) continue;
    for (const Vec3& p_W : face.corners_W) {
      double nearest = 1e9;
      for (const move::PlacedHold& hold : scene.holds) {
        const double away = (p_W - hold.X_WH.p).norm();
        if (away < std::abs(nearest)) nearest = away;
        if (away < 0.1) out = std::max(out, (p_W - hold.X_WH.p).dot(normal));
      }
    }
  }
  EXPECT_NEAR(out, 0.03, 1e-12);  // protrusion_m of make_stick_hold
}

TEST(MoveFigure, DrawsEveryFrameAndThePath) {
  const StickCase made = make_stick_case();
  const Figure figure = figure::make_move_figure(made.scene, made.body, made.results[0]);
  EXPECT_EQ(count_role(figure.balls, Role::kCom), 4);
  EXPECT_EQ(count_role(figure.balls, Role::kHead), 4);
  EXPECT_EQ(count_role(figure.lines, Role::kPlumb), 4);
  const auto path = std::find_if(figure.lines.begin(), figure.lines.end(),
                                 [](const figure::Line& line) { return line.role == Role::kComPath; });
  ASSERT_NE(path, figure.lines.end());
  ASSERT_EQ(path->points_W.size(), 4U);
  EXPECT_TRUE(is_near(path->points_W.back(), made.results[0].frames.back().p_Wcm, 0.0));
}

TEST(MoveFigure, HandsEndWhereTheyTouch) {
  // The half crimp's contact differs from the open hand's by 12 mm in make_stick_body.
  const StickCase made = make_stick_case();
  const move::Frame& frame = made.results[0].frames[0];
  const Figure figure = figure::make_frame_figure(made.body, figure::make_skeleton(made.body), frame, 0, {});
  double nearest = 1e9;
  for (const figure::Line& line : figure.lines) {
    if (line.role == Role::kBone && line.label == "left hand")
      nearest = std::min(nearest, (line.points_W.back() - frame.contacts[0].p_WC).norm());
  }
  EXPECT_LT(nearest, 1e-12);
}

TEST(MoveFigure, ArrowsAreAsLongAsTheirForces) {
  const StickCase made = make_stick_case();
  const Figure figure = figure::make_move_figure(made.scene, made.body, made.results[0], {.m_per_N = 1e-3});
  for (const figure::Arrow& arrow : figure.arrows) {
    const auto& contacts = made.results[0].frames[static_cast<std::size_t>(arrow.frame)].contacts;
    const bool is_known = std::any_of(contacts.begin(), contacts.end(), [&arrow](const move::ContactResult& contact) {
      return (arrow.vector_W - 1e-3 * contact.f_C_W).norm() < 1e-12;
    });
    EXPECT_TRUE(is_known);
  }
  // 4 + 3 + 3 + 4 loaded contacts: a limb that hangs free or only touches carries none.
  EXPECT_EQ(figure.arrows.size(), 14U);
}

TEST(MoveFigure, ShowsTheGapOfAMoveThatFallsShort) {
  const StickCase made = make_stick_case();
  const Figure figure = figure::make_move_figure(made.scene, made.body, made.results[1]);
  const auto gap = std::find_if(figure.lines.begin(), figure.lines.end(),
                                [](const figure::Line& line) { return line.role == Role::kShortfall; });
  ASSERT_NE(gap, figure.lines.end());
  EXPECT_EQ(gap->label, "234 mm short");
}

TEST(MoveFigure, ArrowsCarryTheShareOfStrengthThatIsUsed) {
  const StickCase made = make_stick_case();
  const Figure figure = figure::make_move_figure(made.scene, made.body, made.results[0]);
  EXPECT_DOUBLE_EQ(figure.arrows[0].use, made.results[0].frames[0].contacts[0].capacity_use);
}

TEST(FindBox, HoldsEverythingDrawn) {
  const StickCase made = make_stick_case();
  const Figure figure = figure::make_scene_figure(made.scene);
  const figure::Box box = figure::find_box(figure);
  for (const figure::Face& face : figure.faces) {
    for (const Vec3& p_W : face.corners_W) {
      EXPECT_TRUE((p_W.array() >= box.lower.array()).all());
      EXPECT_TRUE((p_W.array() <= box.upper.array()).all());
    }
  }
}

}  // namespace
}  // namespace steepwright::tests
