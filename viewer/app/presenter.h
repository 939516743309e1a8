#pragma once

/// Puts ImGui's frames on the screen, or into a picture where there is no screen.

#include "engine/core/error.h"
#include "viewer/picture/image.h"

namespace steepwright::viewer {

/// ImGui's OpenGL backend for the current ImGui and GL contexts; one at a time.
class Presenter {
 public:
  [[nodiscard]] static Result<Presenter> make();
  ~Presenter();
  Presenter(Presenter&& other) noexcept;
  Presenter& operator=(Presenter&&) = delete;

  /// The font atlas was filled anew.
  void update_fonts();
  /// Draws the last frame into the window's framebuffer of that size, over the grey of nothing.
  void draw(int width_px, int height_px);
  /// The last frame as a picture, drawn into a framebuffer of its own.
  [[nodiscard]] Image draw_picture(int width_px, int height_px);

 private:
  Presenter() = default;
  bool is_owner_ = true;
};

}  // namespace steepwright::viewer
