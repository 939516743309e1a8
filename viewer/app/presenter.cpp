#include "viewer/app/presenter.h"

#include "viewer/gl/objects.h"

#include <epoxy/gl.h>
#include <imgui/backends/imgui_impl_opengl3.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cstring>
#include <utility>

namespace steepwright::viewer {

Result<Presenter> Presenter::make() {
  if (!ImGui_ImplOpenGL3_Init("#version 330 core"))
    return failure("the panels cannot be drawn: OpenGL was not found", "install libgl1 and libgl1-mesa-dri");
  return Presenter();
}

Presenter::Presenter(Presenter&& other) noexcept : is_owner_(std::exchange(other.is_owner_, false)) {}

Presenter::~Presenter() {
  if (is_owner_) ImGui_ImplOpenGL3_Shutdown();
}

void Presenter::update_fonts() {
  ImGui_ImplOpenGL3_DestroyFontsTexture();
  ImGui_ImplOpenGL3_CreateFontsTexture();
}

void Presenter::draw(int width_px, int height_px) {
  ImGui_ImplOpenGL3_NewFrame();  // makes its objects the first time
  glViewport(0, 0, width_px, height_px);
  glDisable(GL_SCISSOR_TEST);
  glClearColor(0.2F, 0.2F, 0.2F, 1.0F);
  glClear(GL_COLOR_BUFFER_BIT);
  ImGui_ImplOpenGL3_RenderDrawData(ImGui::GetDrawData());
}

Image Presenter::draw_picture(int width_px, int height_px) {
  const gl::Renderbuffer color = gl::Renderbuffer::make();
  glBindRenderbuffer(GL_RENDERBUFFER, color.name());
  glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, width_px, height_px);
  const gl::Framebuffer framebuffer = gl::Framebuffer::make();
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, color.name());
  draw(width_px, height_px);

  const std::size_t row = 4 * static_cast<std::size_t>(width_px);
  std::vector<std::uint8_t> rows(row * static_cast<std::size_t>(height_px));
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, width_px, height_px, GL_RGBA, GL_UNSIGNED_BYTE, rows.data());
  glBindFramebuffer(GL_FRAMEBUFFER, 0);

  Image image;
  image.width_px = width_px;
  image.height_px = height_px;
  image.rgba.resize(rows.size());
  for (std::size_t y = 0; y < static_cast<std::size_t>(height_px); ++y)
    std::memcpy(image.rgba.data() + y * row, rows.data() + (static_cast<std::size_t>(height_px) - 1 - y) * row, row);
  return image;
}

}  // namespace steepwright::viewer
