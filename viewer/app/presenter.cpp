#include "viewer/app/presenter.h"

#include "viewer/gl/objects.h"
#include "viewer/gl/read_framebuffer.h"

#include <epoxy/gl.h>
#include <imgui/backends/imgui_impl_opengl3.h>
#include <imgui/imgui.h>

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

  Image image;
  gl::read_framebuffer(framebuffer.name(), width_px, height_px, image);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
  return image;
}

}  // namespace steepwright::viewer
