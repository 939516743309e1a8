#pragma once

/// The picture of the scene with what the mouse does in it: pick, drag holds and strips, turn, move, come nearer.

#include "viewer/app/changed_parts.h"
#include "viewer/camera/camera.h"
#include "viewer/panels/panel_context.h"
#include "viewer/render/panel_ray.h"
#include "viewer/render/renderer.h"
#include "viewer/scene_view/reach_view.h"
#include "viewer/scene_view/scene_view.h"

#include <optional>
#include <vector>

namespace steepwright::viewer {

class ViewportPanel {
 public:
  /// Without a renderer nothing is drawn and nothing can be picked by the mouse.
  explicit ViewportPanel(render::Renderer* renderer) : renderer_(renderer) {}

  /// Another scene was opened: look at all of it.
  void reset() {
    has_camera_ = false;
    drawn_revision_ = 0;
  }
  void show(View view, const PanelContext& context);
  /// Fills what is left of the present ImGui window. Mark "view". The picture in it is drawn by update().
  void draw(const PanelContext& context);
  /// Draws the picture where it has changed: after the edits of the frame, so that it shows them; after
  /// ImGui::Render().
  void update(const PanelContext& context);
  /// The picture alone at another size, as it is now.
  [[nodiscard]] Result<Image> export_picture(int width_px, int height_px, const Settings& settings);

  [[nodiscard]] const Camera& camera() const { return camera_; }
  [[nodiscard]] const Viewport& viewport() const { return viewport_; }
  [[nodiscard]] ShownPicture shown_picture() const { return {shown_texture_, n_pictures_, place_}; }
  [[nodiscard]] render::HoldMeshes& meshes() { return meshes_; }
  /// The view still moves by itself: more frames are wanted.
  [[nodiscard]] bool is_moving() const { return flight_left_s_ > 0.0; }

 private:
  enum class Drag { kNone, kOrbit, kPan, kHold, kStrip };

  void fit_once(const PanelContext& context);
  void fly_to(const Camera& camera);
  void advance_flight(double dt_s);
  void update_scene(const PanelContext& context);
  void update_picture(const PanelContext& context);
  /// Of limbs, and of the hold that is selected or pointed at.
  [[nodiscard]] std::vector<ViewLabel> find_labels(const move::Scene& scene) const;
  /// Labels keep off the legend.
  void draw_labels(const PanelContext& context, float left, float top, const MarkRect& legend) const;
  void draw_overlay(const PanelContext& context, float left, float top, const MarkRect& legend) const;
  /// Returns where it is.
  MarkRect draw_legend(const PanelContext& context, float right, float top) const;
  void draw_reach_legend(const PanelContext& context, float left, float top, float width) const;
  [[nodiscard]] std::string describe_place(const PanelContext& context) const;
  void explain_pointed(const PanelContext& context, bool is_hovered, const MarkRect& legend) const;
  void handle_mouse(const PanelContext& context, const glm::dvec2& pixel, bool is_hovered);
  void begin_drag(const PanelContext& context, const glm::dvec2& pixel, int button);
  void go_on_dragging(const PanelContext& context, const glm::dvec2& pixel);
  void drag_hold(const PanelContext& context, const glm::dvec2& pixel);
  void drag_strip(const PanelContext& context, const glm::dvec2& pixel);
  void click(const PanelContext& context, const render::PickResult& hit);
  [[nodiscard]] render::PickResult pick(const glm::dvec2& pixel);
  [[nodiscard]] render::RenderOptions make_options(const Settings& settings, int width_px, int height_px) const;
  /// Something is dragged, or the answer to it is still to come.
  [[nodiscard]] bool is_in_motion() const;

  render::Renderer* renderer_;
  render::HoldMeshes meshes_;
  MomentView moment_;
  ReachView reach_;
  render::RenderScene scene_;
  std::vector<ViewLabel> labels_;
  SceneLook look_;
  Settings drawn_settings_;
  Camera camera_, flight_from_, flight_to_;
  double flight_left_s_ = 0.0;
  Viewport viewport_;
  bool has_camera_ = false;

  // What the picture shows; drawn anew only when one of them has changed.
  std::uint64_t drawn_revision_ = 0, drawn_results_ = 0;
  int drawn_move_ = -2;
  double drawn_t_ = -1.0;
  unsigned int shown_texture_ = 0;  ///< in ImGui's draw data of this frame
  std::uint64_t n_pictures_ = 0;    ///< drawn so far
  PixelRect place_;                 ///< in the window
  bool is_scene_new_ = true, is_picture_new_ = true;
  bool is_hurried_ = false;  ///< the picture is plainer than the settings say, until things come to rest

  Drag drag_ = Drag::kNone;
  int drag_button_ = 0;
  int dragged_ = -1;  ///< hold or strip
  glm::dvec2 last_pixel_{0.0}, press_pixel_{0.0};
  bool has_moved_ = false;
  std::optional<glm::dvec3> grabbed_W_;
  glm::dvec2 grab_offset_m_{0.0};  ///< from the pointer to the bolt, across and up
  render::PickResult hover_;
  glm::dvec2 hover_pixel_{-1.0};
};

}  // namespace steepwright::viewer
