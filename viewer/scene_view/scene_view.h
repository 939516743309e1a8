#pragma once

/// From the document and the scrubbed instant to what is drawn.

#include "engine/figure/skeleton.h"
#include "viewer/document/document.h"
#include "viewer/render/hold_mesh.h"
#include "viewer/render/render_scene.h"
#include "viewer/render/use_scale.h"
#include "viewer/solve/results.h"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::viewer {

struct SceneLook {
  render::Theme theme = render::Theme::kDark;
  bool has_grid = false;
  int selected_hold = -1, hovered_hold = -1;
  int hovered_edge = -1;              ///< strip whose grip for dragging the angle is under the pointer
  std::optional<Limb> selected_limb;  ///< of a move that is being defined
  bool is_stale = false;              ///< the answer is older than the scene

  friend bool operator==(const SceneLook&, const SceneLook&) = default;
};

/// A text at a point of the picture.
struct ViewLabel {
  Vec3 p_W = Vec3::Zero();
  std::string text;
  bool is_strong = false;
};

/// Wall, holds and the grips for dragging strips.
void append_wall_and_holds(const move::Scene& scene, const SceneLook& look, render::HoldMeshes& meshes,
                           render::RenderScene& drawn);

/// Where a strip is taken hold of to drag its angle or length.
[[nodiscard]] Vec3 find_strip_grip(const wall::Strip& strip);

/// The climber at instants of one answer, with all that is computed there.
class MomentView {
 public:
  /// Makes what belongs to the whole move; does nothing when it is the answer it has.
  void update(const move::Scene& scene, const MoveAnswer& answer);
  /// Adds the instant t, 0..1; without a posture only the path.
  void append(double t, const SceneLook& look, render::RenderScene& drawn, std::vector<ViewLabel>& labels);
  /// Adds one instant that was solved ahead for another scene than the answer's, and the answer's path.
  void append_ahead(const move::Frame& frame, const SceneLook& look, render::RenderScene& drawn,
                    std::vector<ViewLabel>& labels) const;
  /// Adds the share of draws that fail as a ribbon along the path of the centre of mass.
  void append_risk(const move::MoveRisk& risk, const SceneLook& look, render::RenderScene& drawn) const;
  /// Middle of the head at t: for the climber's-eye view.
  [[nodiscard]] std::optional<Vec3> find_eyes(double t) const;

 private:
  void append_frame(const move::Frame& frame, const SceneLook& look, render::RenderScene& drawn,
                    std::vector<ViewLabel>& labels) const;
  void append_path(const SceneLook& look, render::RenderScene& drawn) const;
  [[nodiscard]] bool has_posture(const move::Frame& frame) const;

  std::shared_ptr<const move::MoveResult> result_;
  std::shared_ptr<const body::Body> body_;
  figure::Skeleton skeleton_;
  std::vector<Vec3> gap_W_;  ///< from where the limb ends to where it should be; empty when it arrives
  std::string gap_text_;
  move::Frame instant_;  ///< kept for its memory
};

}  // namespace steepwright::viewer
