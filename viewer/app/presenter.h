#pragma once

/// Puts ImGui's frames on the screen, or into a picture where there is no screen.

#include "engine/core/error.h"
#include "viewer/app/changed_parts.h"
#include "viewer/picture/image.h"

#include <memory>

namespace steepwright::viewer {

/// How a frame comes to the screen.
enum class Presenting {
  kWhole,   ///< drawn from nothing: for graphics cards
  kChanges  ///< the last one is kept, and only what differs is drawn: for processors that draw; the same pixels
};

/// ImGui's OpenGL backend for the current ImGui and GL contexts; one at a time.
class Presenter {
 public:
  [[nodiscard]] static Result<Presenter> make();
  ~Presenter();
  Presenter(Presenter&& other) noexcept;
  Presenter& operator=(Presenter&&) = delete;

  /// The font atlas was filled anew.
  void update_fonts();
  /// Draws the last frame over the grey of nothing. `picture`: the scene's; `framebuffer`: of that size, 0: the
  /// window's.
  void draw(int width_px, int height_px, const ShownPicture& picture, Presenting presenting,
            unsigned int framebuffer = 0);
  /// The last frame as a picture, drawn into a framebuffer of its own.
  [[nodiscard]] Image draw_picture(int width_px, int height_px, const ShownPicture& picture, Presenting presenting);

 private:
  class Canvas;
  Presenter();
  bool is_owner_ = true;
  std::unique_ptr<Canvas> canvas_;  ///< holds the last frame that was drawn by its changes
};

}  // namespace steepwright::viewer
