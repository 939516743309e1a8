#include "engine/figure/move_figure.h"
#include "viewer/render/convert.h"
#include "viewer/scene_view/hand_view.h"
#include "viewer/scene_view/scene_view.h"
#include "viewer/scene_view/timeline.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace steepwright::viewer {

namespace {

using render::RenderScene;
using render::to_glm;

constexpr float kStale = 0.45F;       // opacity of an answer that is older than the scene
constexpr double kFleshShare = 0.88;  // limbs are drawn slimmer than the flesh that must clear the wall
constexpr float kCore_m = 0.026F, kTrunkCore_m = 0.07F;
constexpr std::array<std::string_view, 3> kTrunk = {"pelvis", "abdomen", "thorax"};  // the first capsules of a body
constexpr double kConeLength_m = 0.16;
constexpr float kLimbBall_m = 0.034F;
constexpr float kArrow_m = 0.0085F, kLowerHandArrow_m = 0.016F;

struct FigureColors {
  render::Color skin, cloth, line;
};

FigureColors find_colors(render::Theme theme) {
  if (theme == render::Theme::kDark)
    return {render::Color(0.80F, 0.77F, 0.73F), render::Color(0.47F, 0.47F, 0.46F), render::Color(0.92F)};
  return {render::Color(0.72F, 0.68F, 0.63F), render::Color(0.38F, 0.38F, 0.37F), render::Color(0.1F)};
}

float to_use(double use) { return std::isfinite(use) ? static_cast<float>(std::clamp(use, 0.0, 2.0)) : 2.0F; }

// The trunk is three capsules across the body: filled up between them along either side.
void append_trunk(const figure::Figure& figure, const FigureColors& colors, float opacity, RenderScene& drawn) {
  if (figure.tubes.size() < kTrunk.size()) return;
  for (std::size_t i = 0; i + 1 < kTrunk.size(); ++i) {
    const figure::Tube& lower = figure.tubes[i];
    const figure::Tube& upper = figure.tubes[i + 1];
    for (const bool is_left : {true, false}) {
      render::Limb side;
      side.pA_W = to_glm(is_left ? lower.pA_W : lower.pB_W);
      side.pB_W = to_glm(is_left ? upper.pA_W : upper.pB_W);
      side.radius_A = static_cast<float>(kFleshShare * lower.radius_A);
      side.radius_B = static_cast<float>(kFleshShare * upper.radius_A);
      side.color = colors.cloth;
      side.opacity = opacity;
      drawn.limbs.push_back(side);
    }
  }
}

bool is_hand_segment(const body::Body& body, int segment) {
  return segment == body.hand_stations[0][0].segment || segment == body.hand_stations[1][0].segment;
}

// All but the hands, which are drawn finger by finger.
void append_flesh(const body::Body& body, const figure::Skeleton& skeleton, const figure::Figure& figure,
                  const FigureColors& colors, float opacity, RenderScene& drawn) {
  append_trunk(figure, colors, opacity, drawn);
  auto tube_at = figure.tubes.begin();
  for (const body::Capsule& capsule : body.capsules) {
    if (capsule.segment == skeleton.head_segment) continue;
    const figure::Tube& tube = *tube_at++;
    if (is_hand_segment(body, capsule.segment)) continue;
    render::Limb limb;
    limb.pA_W = to_glm(tube.pA_W);
    limb.pB_W = to_glm(tube.pB_W);
    limb.radius_A = static_cast<float>(kFleshShare * tube.radius_A);
    limb.radius_B = static_cast<float>(kFleshShare * tube.radius_B);
    limb.color = colors.cloth;
    limb.opacity = opacity;
    drawn.limbs.push_back(limb);
  }
  for (const figure::Line& line : figure.lines) {
    if (line.role != figure::Role::kBone) continue;
    if (is_hand_segment(body, body.tree.find_segment(line.label))) continue;
    // A core, so that the trunk is one body.
    const bool is_trunk = std::find(kTrunk.begin(), kTrunk.end(), line.label) != kTrunk.end();
    render::Limb bone;
    bone.pA_W = to_glm(line.points_W.front());
    bone.pB_W = to_glm(line.points_W.back());
    bone.radius_A = bone.radius_B = is_trunk ? kTrunkCore_m : kCore_m;
    bone.color = is_trunk ? colors.cloth : colors.skin;
    bone.opacity = opacity;
    drawn.limbs.push_back(bone);
  }
}

void append_body(const body::Body& body, const figure::Skeleton& skeleton, const figure::Figure& figure,
                 const FigureColors& colors, float opacity, RenderScene& drawn) {
  append_flesh(body, skeleton, figure, colors, opacity, drawn);
  for (const figure::Ball& ball : figure.balls) {
    if (ball.role != figure::Role::kHead && ball.role != figure::Role::kCom) continue;
    render::Ball drawn_ball;
    drawn_ball.p_W = to_glm(ball.p_W);
    drawn_ball.radius = static_cast<float>(ball.radius_m * (ball.role == figure::Role::kHead ? 0.9 : 1.6));
    drawn_ball.color = ball.role == figure::Role::kHead ? colors.skin : colors.line;
    drawn_ball.opacity = opacity;
    drawn.balls.push_back(drawn_ball);
  }
  for (const figure::Line& line : figure.lines) {
    if (line.role != figure::Role::kPlumb) continue;
    render::LinePiece piece;
    piece.pA_W = to_glm(line.points_W.front());
    piece.pB_W = to_glm(line.points_W.back());
    piece.color = colors.line;
    piece.dash_px = 6.0F;
    piece.opacity = 0.7F * opacity;
    drawn.lines.push_back(piece);
  }
}

// The directions in which a contact carries at all, as a cone of faces, coloured by the share of friction that is used.
void append_cone(const move::ContactResult& contact, float opacity, RenderScene& drawn) {
  const auto generators = make_cone_generators(contact.capacity);
  if (generators.size() < 3) return;
  const Tangents tangents = find_tangents(contact.capacity.normal);
  std::vector<std::pair<double, Vec3>> edges;
  edges.reserve(generators.size());
  for (const Vec3& g : generators) edges.emplace_back(std::atan2(g.dot(tangents.t2), g.dot(tangents.t1)), g);
  std::sort(edges.begin(), edges.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  const double mu = contact.capacity.mu;
  render::BandVertex vertex;
  vertex.use = to_use(mu > 0.0 ? contact.mu_used / mu : 0.0);
  vertex.opacity = 0.3F * opacity;
  const auto at = [&](const Vec3& p_W) {
    render::BandVertex placed = vertex;
    placed.p_W = to_glm(p_W);
    return placed;
  };
  drawn.begin_band(false);
  for (std::size_t i = 0; i < edges.size(); ++i) {
    const Vec3& a = edges[i].second;
    const Vec3& b = edges[(i + 1) % edges.size()].second;
    drawn.add_band_triangle(at(contact.p_WC), at(contact.p_WC + kConeLength_m * a),
                            at(contact.p_WC + kConeLength_m * b));
  }
}

// The force lies along the arm and points into the wall: its line shines through both.
void append_outline(const render::Arrow& arrow, float width_px, RenderScene& drawn) {
  constexpr float kHeadShare = 0.14F;
  const glm::vec3 tip = arrow.p_W + arrow.vector_W;
  const glm::vec3 side = glm::cross(arrow.vector_W, glm::vec3(0.0F, 1.0F, 0.0F));
  render::LinePiece piece;
  piece.width_px = width_px;
  piece.use_A = piece.use_B = arrow.use;
  piece.opacity = 0.9F * arrow.opacity;
  piece.is_on_top = true;
  const auto add = [&](const glm::vec3& from) {
    piece.pA_W = from;
    piece.pB_W = tip;
    drawn.lines.push_back(piece);
  };
  add(arrow.p_W);
  for (const float sign : {-1.0F, 1.0F}) add(tip - kHeadShare * arrow.vector_W + 0.6F * sign * kHeadShare * side);
}

void append_forces(const figure::Figure& figure, const move::Frame& frame, std::optional<Limb> lower_hand,
                   float opacity, RenderScene& drawn, std::vector<ViewLabel>& labels) {
  for (const figure::Arrow& arrow : figure.arrows) {
    const auto contact = std::find_if(frame.contacts.begin(), frame.contacts.end(), [&](const auto& candidate) {
      return arrow.label.substr(0, 2) == short_name(candidate.limb);
    });
    const bool is_lower = contact != frame.contacts.end() && contact->limb == lower_hand;
    render::Arrow drawn_arrow;
    drawn_arrow.p_W = to_glm(arrow.p_W);
    drawn_arrow.vector_W = to_glm(arrow.vector_W);
    drawn_arrow.radius = is_lower ? kLowerHandArrow_m : kArrow_m;
    drawn_arrow.use = to_use(arrow.use);
    drawn_arrow.opacity = opacity;
    if (contact != frame.contacts.end())
      drawn_arrow.pick = {render::PickId::Kind::kArrow, static_cast<std::uint32_t>(index_of(contact->limb))};
    drawn.arrows.push_back(drawn_arrow);
    append_outline(drawn_arrow, is_lower ? 6.0F : 3.0F, drawn);
    labels.push_back({arrow.p_W + 1.08 * arrow.vector_W, arrow.label, is_lower});
  }
  for (const move::ContactResult& contact : frame.contacts) {
    if (contact.is_loaded) append_cone(contact, opacity, drawn);
  }
}

// Hands, and a ball at every foot: what is clicked to choose a limb; the lower hand is larger.
void append_limb_ends(const body::Body& body, const move::Frame& frame, const SceneLook& look,
                      std::optional<Limb> lower_hand, const FigureColors& colors, float opacity, RenderScene& drawn) {
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  for (const Limb limb : kLimbs) {
    const move::ContactResult* contact = frame.find_contact(limb);
    const Grip grip = contact != nullptr && contact->grip ? *contact->grip : Grip::kOpenHand;
    const render::PickId pick{render::PickId::Kind::kLimb, static_cast<std::uint32_t>(index_of(limb))};
    const bool has_use = frame.has_posture && contact != nullptr && contact->is_loaded;
    const float use = has_use ? to_use(contact->capacity_use) : render::kNoUse;
    if (is_hand(limb)) {
      append_hand(body, kinematics, limb, grip,
                  {colors.skin, use, opacity, look.selected_limb == limb, lower_hand == limb, pick}, drawn);
      continue;
    }
    const body::Station& station = body.station(limb, grip);
    render::Ball ball;
    ball.p_W = to_glm(body::find_position(kinematics, station.segment, station.p_BC));
    ball.radius = kLimbBall_m;
    ball.color = colors.skin;
    ball.use = use;
    ball.is_outlined = look.selected_limb == limb;
    ball.opacity = opacity;
    ball.pick = pick;
    drawn.balls.push_back(ball);
  }
}

}  // namespace

bool MomentView::has_posture(const move::Frame& frame) const {
  return frame.posture.angles.size() == body_->tree.n_hinges();
}

void MomentView::update(const move::Scene& scene, const MoveAnswer& answer) {
  if (result_ == answer.result) return;
  result_ = answer.result;
  if (body_ != answer.body) {
    body_ = answer.body;
    skeleton_ = figure::make_skeleton(*body_);
  }
  gap_W_.clear();
  if (!result_->shortfall.reach_mm) return;
  for (const figure::Line& line : figure::make_move_figure(scene, *body_, *result_).lines) {
    if (line.role != figure::Role::kShortfall) continue;
    gap_W_ = line.points_W;
    gap_text_ = line.label;
  }
}

void MomentView::append_path(const SceneLook& look, RenderScene& drawn) const {
  const move::Frame* last = nullptr;
  for (const move::Frame& frame : result_->frames) {
    if (!has_posture(frame)) continue;
    if (last != nullptr) {
      render::LinePiece piece;
      piece.pA_W = to_glm(last->p_Wcm);
      piece.pB_W = to_glm(frame.p_Wcm);
      piece.width_px = 4.0F;
      piece.use_A = to_use(last->effort);
      piece.use_B = to_use(frame.effort);
      piece.is_on_top = true;
      piece.opacity = look.is_stale ? kStale : 0.9F;
      drawn.lines.push_back(piece);
    }
    last = &frame;
  }
}

void MomentView::append_risk(const move::MoveRisk& risk, const SceneLook& look, RenderScene& drawn) const {
  constexpr double kHalfWidth_m = 0.09;  // where every draw fails
  if (!result_ || risk.frames.size() != result_->frames.size()) return;
  drawn.begin_band(false);
  const auto corner = [&](std::size_t i, double side) {
    render::BandVertex vertex;
    const double half_m = kHalfWidth_m * risk.frames[i].fail_share;
    vertex.p_W = to_glm(result_->frames[i].p_Wcm + Vec3(side * half_m, 0.0, 0.0));
    vertex.color = find_colors(look.theme).line;
    vertex.opacity = look.is_stale ? 0.5F * kStale : 0.5F;
    return vertex;
  };
  for (std::size_t i = 0; i + 1 < risk.frames.size(); ++i) {
    if (!has_posture(result_->frames[i]) || !has_posture(result_->frames[i + 1])) continue;
    if (risk.frames[i].fail_share + risk.frames[i + 1].fail_share <= 0.0) continue;
    drawn.add_band_quad(corner(i, -1.0), corner(i, 1.0), corner(i + 1, 1.0), corner(i + 1, -1.0));
  }
}

void MomentView::append_frame(const move::Frame& frame, const SceneLook& look, RenderScene& drawn,
                              std::vector<ViewLabel>& labels) const {
  if (!has_posture(frame)) return;
  const FigureColors colors = find_colors(look.theme);
  const float opacity = look.is_stale ? kStale : 1.0F;
  const figure::Figure figure = figure::make_frame_figure(*body_, skeleton_, frame, 0, {});
  append_body(*body_, skeleton_, figure, colors, opacity, drawn);
  append_limb_ends(*body_, frame, look, result_->lower_hand, colors, opacity, drawn);
  if (frame.has_posture) append_forces(figure, frame, result_->lower_hand, opacity, drawn, labels);
}

void MomentView::append_ahead(const move::Frame& frame, const SceneLook& look, RenderScene& drawn,
                              std::vector<ViewLabel>& labels) const {
  if (!result_) return;
  append_path(look, drawn);
  SceneLook fresh = look;
  fresh.is_stale = false;
  append_frame(frame, fresh, drawn, labels);
}

void MomentView::append(double t, const SceneLook& look, RenderScene& drawn, std::vector<ViewLabel>& labels) {
  if (!result_ || result_->frames.empty()) return;
  append_path(look, drawn);
  find_frame_at(result_->frames, find_moment(result_->frames, t), instant_);
  append_frame(instant_, look, drawn, labels);
  if (gap_W_.size() < 2) return;
  render::LinePiece gap;
  gap.pA_W = to_glm(gap_W_.front());
  gap.pB_W = to_glm(gap_W_.back());
  gap.width_px = 3.0F;
  gap.use_A = gap.use_B = 2.0F;
  gap.is_on_top = true;
  drawn.lines.push_back(gap);
  labels.push_back({0.5 * (gap_W_.front() + gap_W_.back()), gap_text_, true});
}

std::optional<Vec3> MomentView::find_eyes(double t) const {
  if (!result_ || result_->frames.empty()) return std::nullopt;
  move::Frame frame;
  find_frame_at(result_->frames, find_moment(result_->frames, t), frame);
  if (!has_posture(frame) || skeleton_.head_segment < 0) return std::nullopt;
  body::Kinematics kinematics;
  body::update_kinematics(body_->tree, frame.posture, kinematics);
  return body::find_position(kinematics, skeleton_.head_segment, skeleton_.head_B);
}

}  // namespace steepwright::viewer
