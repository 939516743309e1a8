#include "viewer/app/presenter.h"

#include "viewer/gl/objects.h"
#include "viewer/gl/read_framebuffer.h"

#include <epoxy/gl.h>
#include <imgui/backends/imgui_impl_opengl3.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace steepwright::viewer {

namespace {

struct ColorTarget {
  gl::Framebuffer framebuffer;
  gl::Renderbuffer color;
};

ColorTarget make_color_target(int width_px, int height_px) {
  ColorTarget target{gl::Framebuffer::make(), gl::Renderbuffer::make()};
  glBindRenderbuffer(GL_RENDERBUFFER, target.color.name());
  glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, width_px, height_px);
  glBindRenderbuffer(GL_RENDERBUFFER, 0);
  glBindFramebuffer(GL_FRAMEBUFFER, target.framebuffer.name());
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, target.color.name());
  return target;
}

void clear() {
  glClearColor(0.2F, 0.2F, 0.2F, 1.0F);
  glClear(GL_COLOR_BUFFER_BIT);
}

void draw_whole(int width_px, int height_px) {
  ImGui_ImplOpenGL3_NewFrame();  // makes its objects the first time
  glViewport(0, 0, width_px, height_px);
  glDisable(GL_SCISSOR_TEST);
  clear();
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

// To whole pixels first, as the backend rounds: it takes the size from the difference of the ends, so that another end
// would round to another pixel.
bool cut(ImVec4& clip, const PixelRect& rect, int height_px) {
  const int left = static_cast<int>(clip.x);
  const int bottom = height_px - static_cast<int>(static_cast<float>(height_px) - clip.w);
  const int right = left + static_cast<int>(clip.z - clip.x);
  const int top = bottom - static_cast<int>(clip.w - clip.y);
  clip = {static_cast<float>(std::max(left, rect.left)), static_cast<float>(std::max(top, rect.top)),
          static_cast<float>(std::min(right, rect.right)), static_cast<float>(std::min(bottom, rect.bottom))};
  return clip.x < clip.z && clip.y < clip.w;
}

void clear_rect(const PixelRect& rect, int height_px) {
  if (rect.left >= rect.right || rect.top >= rect.bottom) return;
  glScissor(rect.left, height_px - rect.bottom, rect.right - rect.left, rect.bottom - rect.top);
  clear();
}

// All but what the scene's picture is put over.
void clear_beside(const PixelRect& rect, const PixelRect& place, int height_px) {
  const PixelRect inner{std::clamp(place.left, rect.left, rect.right), std::clamp(place.top, rect.top, rect.bottom),
                        std::clamp(place.right, rect.left, rect.right),
                        std::clamp(place.bottom, rect.top, rect.bottom)};
  clear_rect({rect.left, rect.top, rect.right, inner.top}, height_px);
  clear_rect({rect.left, inner.top, inner.left, inner.bottom}, height_px);
  clear_rect({inner.right, inner.top, rect.right, inner.bottom}, height_px);
  clear_rect({rect.left, inner.bottom, rect.right, rect.bottom}, height_px);
}

// Copying is a tenth of the work of drawing a textured square.
struct PictureCopy {
  unsigned int source = 0;
  int left = 0, bottom = 0;            ///< of the picture in the window, from the window's lower left corner
  int x0 = 0, y0 = 0, x1 = 0, y1 = 0;  ///< what is copied, likewise
};

void copy_picture(const ImDrawList*, const ImDrawCmd* command) {
  const auto& copy = *static_cast<const PictureCopy*>(command->UserCallbackData);
  glBindFramebuffer(GL_READ_FRAMEBUFFER, copy.source);
  glDisable(GL_SCISSOR_TEST);
  glBlitFramebuffer(copy.x0 - copy.left, copy.y0 - copy.bottom, copy.x1 - copy.left, copy.y1 - copy.bottom, copy.x0,
                    copy.y0, copy.x1, copy.y1, GL_COLOR_BUFFER_BIT, GL_NEAREST);
  glEnable(GL_SCISSOR_TEST);
}

}  // namespace

/// The last frame, brought up to the present one where they differ.
class Presenter::Canvas {
 public:
  void forget() { changes_.forget(); }
  [[nodiscard]] unsigned int framebuffer() const { return target_.framebuffer.name(); }

  void update(ImDrawData& data, int width_px, int height_px, const ShownPicture& picture) {
    ImGui_ImplOpenGL3_NewFrame();
    if (width_px_ != width_px || height_px_ != height_px) {
      target_ = {};
      target_ = make_color_target(width_px, height_px);
      width_px_ = width_px;
      height_px_ = height_px;
      forget();
    }
    attach(picture);
    glBindFramebuffer(GL_FRAMEBUFFER, target_.framebuffer.name());
    glViewport(0, 0, width_px, height_px);
    for (const PixelRect& rect : changes_.find(data, width_px, height_px, picture)) {
      glEnable(GL_SCISSOR_TEST);
      clear_beside(rect, picture.texture != 0 ? picture.place : PixelRect{}, height_px);
      draw_part(data, rect, picture);
    }
    glDisable(GL_SCISSOR_TEST);
  }

 private:
  // So that the scene's picture can be copied.
  void attach(const ShownPicture& picture) {
    if (source_.name() == 0) source_ = gl::Framebuffer::make();
    glBindFramebuffer(GL_FRAMEBUFFER, source_.name());
    glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, picture.texture, 0);
  }

  void copy_instead(ImDrawCmd& command, const PixelRect& place) {
    copy_.source = source_.name();
    copy_.left = place.left;
    copy_.bottom = height_px_ - place.bottom;
    copy_.x0 = std::max(static_cast<int>(command.ClipRect.x), place.left);
    copy_.x1 = std::min(static_cast<int>(command.ClipRect.z), place.right);
    copy_.y0 = height_px_ - std::min(static_cast<int>(command.ClipRect.w), place.bottom);
    copy_.y1 = height_px_ - std::max(static_cast<int>(command.ClipRect.y), place.top);
    command.UserCallback = copy_picture;
    command.UserCallbackData = &copy_;
  }

  // Each list with those of its commands that draw in the rectangle, cut to it.
  void draw_part(ImDrawData& data, const PixelRect& rect, const ShownPicture& picture) {
    ImDrawData part = data;
    lists_.clear();
    all_commands_.resize(std::max(all_commands_.size(), static_cast<std::size_t>(data.CmdListsCount)));
    for (int i = 0; i < data.CmdListsCount; ++i) {
      ImDrawList& list = *data.CmdLists[i];
      ImVector<ImDrawCmd>& all = all_commands_[static_cast<std::size_t>(i)];
      all.swap(list.CmdBuffer);
      list.CmdBuffer.resize(0);
      for (ImDrawCmd command : all) {
        if (!cut(command.ClipRect, rect, height_px_)) continue;
        if (picture.texture != 0 && reinterpret_cast<std::uintptr_t>(command.TextureId) == picture.texture)
          copy_instead(command, picture.place);
        list.CmdBuffer.push_back(command);
      }
      if (!list.CmdBuffer.empty()) lists_.push_back(&list);
    }
    part.CmdLists = lists_.data();
    part.CmdListsCount = static_cast<int>(lists_.size());
    ImGui_ImplOpenGL3_RenderDrawData(&part);
    for (int i = 0; i < data.CmdListsCount; ++i)
      all_commands_[static_cast<std::size_t>(i)].swap(data.CmdLists[i]->CmdBuffer);
  }

  ColorTarget target_;
  gl::Framebuffer source_;  ///< of the scene's picture
  PictureCopy copy_;
  int width_px_ = 0, height_px_ = 0;
  ChangedParts changes_;
  std::vector<ImDrawList*> lists_;
  std::vector<ImVector<ImDrawCmd>> all_commands_;
};

Presenter::Presenter() : canvas_(std::make_unique<Canvas>()) {}

Result<Presenter> Presenter::make() {
  if (!ImGui_ImplOpenGL3_Init("#version 330 core"))
    return failure("the panels cannot be drawn: OpenGL was not found", "install libgl1 and libgl1-mesa-dri");
  return Presenter();
}

Presenter::Presenter(Presenter&& other) noexcept
    : is_owner_(std::exchange(other.is_owner_, false)), canvas_(std::move(other.canvas_)) {}

Presenter::~Presenter() {
  if (is_owner_) ImGui_ImplOpenGL3_Shutdown();
}

void Presenter::update_fonts() {
  ImGui_ImplOpenGL3_DestroyFontsTexture();
  ImGui_ImplOpenGL3_CreateFontsTexture();
  canvas_->forget();
}

void Presenter::draw(int width_px, int height_px, const ShownPicture& picture, Presenting presenting,
                     unsigned int framebuffer) {
  if (presenting == Presenting::kWhole) {
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer);
    return draw_whole(width_px, height_px);
  }
  canvas_->update(*ImGui::GetDrawData(), width_px, height_px, picture);
  glBindFramebuffer(GL_READ_FRAMEBUFFER, canvas_->framebuffer());
  glBindFramebuffer(GL_DRAW_FRAMEBUFFER, framebuffer);
  glBlitFramebuffer(0, 0, width_px, height_px, 0, 0, width_px, height_px, GL_COLOR_BUFFER_BIT, GL_NEAREST);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
}

Image Presenter::draw_picture(int width_px, int height_px, const ShownPicture& picture, Presenting presenting) {
  ColorTarget own;
  const bool is_kept = presenting == Presenting::kChanges;
  if (is_kept) {
    canvas_->update(*ImGui::GetDrawData(), width_px, height_px, picture);
  } else {
    own = make_color_target(width_px, height_px);
    draw_whole(width_px, height_px);
  }
  Image image;
  gl::read_framebuffer(is_kept ? canvas_->framebuffer() : own.framebuffer.name(), width_px, height_px, image);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
  return image;
}

}  // namespace steepwright::viewer
