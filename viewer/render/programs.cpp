#include "viewer/render/programs.h"

#include "viewer/render/frame_uniforms.h"
#include "viewer/render/shader_sources.h"

#include <array>
#include <utility>

namespace steepwright::viewer::render {

namespace {

struct Sampler {
  const char* name;
  int unit;
};
constexpr std::array<Sampler, 6> kSamplers = {{{"u_shadow_map", kShadowUnit},
                                               {"u_occlusion_map", kOcclusionUnit},
                                               {"u_color_map", kColorUnit},
                                               {"u_mask_map", kMaskUnit},
                                               {"u_depth_map", kDepthUnit},
                                               {"u_normal_map", kNormalUnit}}};

/// Blocks and samplers stay where they are put: set once.
void connect(const gl::Program& program) {
  const auto bind_block = [&](const char* name, unsigned binding) {
    const GLuint index = glGetUniformBlockIndex(program.name(), name);
    if (index != GL_INVALID_INDEX) glUniformBlockBinding(program.name(), index, binding);
  };
  bind_block("Frame", kFrameBinding);
  bind_block("Pass", kPassBinding);
  glUseProgram(program.name());
  for (const Sampler& sampler : kSamplers) {
    const GLint location = glGetUniformLocation(program.name(), sampler.name);
    if (location >= 0) glUniform1i(location, sampler.unit);
  }
  glUseProgram(0);
}

/// Compiles one program after the other; after a failure nothing more.
class ProgramMaker {
 public:
  gl::Program make(const char* name, const std::string& vertex, const std::string& fragment) {
    if (!findings_.empty()) return {};
    Result<gl::Program> program = gl::make_program(name, vertex, fragment);
    if (!program) {
      findings_ = program.error();
      return {};
    }
    connect(*program);
    return std::move(*program);
  }

  ThingPrograms make_things(const char* name, const std::string& fragment) {
    return {make(name, shaders::mesh_vertex(), fragment), make(name, shaders::limb_vertex(), fragment),
            make(name, shaders::arrow_vertex(), fragment)};
  }
  ThingPrograms make_lit(const char* name, bool is_plain) {
    const std::string fragment = shaders::lit_fragment(is_plain, false);
    return {make(name, shaders::mesh_vertex(is_plain), fragment),
            make(name, shaders::limb_vertex(is_plain), shaders::lit_fragment(is_plain, true)),
            make(name, shaders::arrow_vertex(is_plain), fragment)};
  }

  [[nodiscard]] const Findings& findings() const { return findings_; }

 private:
  Findings findings_;
};

}  // namespace

Result<Programs> make_programs() {
  ProgramMaker maker;
  Programs all;
  all.lit = maker.make_lit("light", false);
  all.lit_plain = maker.make_lit("plain light", true);
  all.depth = maker.make_things("depth", shaders::depth_fragment());
  all.normal = maker.make_things("normals", shaders::normal_fragment());
  all.mask = maker.make_things("mask", shaders::mask_fragment());
  all.pick = maker.make_things("pick", shaders::pick_fragment());
  all.disc = maker.make("discs", shaders::disc_vertex(), shaders::disc_fragment());
  all.line = maker.make("lines", shaders::line_vertex(), shaders::line_fragment());
  all.band = maker.make("bands", shaders::band_vertex(), shaders::band_fragment());
  all.background = maker.make("background", shaders::screen_vertex(), shaders::background_fragment());
  all.plain_background =
      maker.make("plain background", shaders::plain_background_vertex(), shaders::plain_background_fragment());
  all.occlusion = maker.make("occlusion", shaders::screen_vertex(), shaders::occlusion_fragment());
  all.occlusion_blur = maker.make("occlusion blur", shaders::screen_vertex(), shaders::occlusion_blur_fragment());
  all.final_picture = maker.make("final picture", shaders::screen_vertex(), shaders::final_fragment());
  all.outline = maker.make("outline", shaders::screen_vertex(), shaders::outline_fragment());
  if (!maker.findings().empty()) return tl::unexpected(maker.findings());
  all.band_lift = glGetUniformLocation(all.band.name(), "u_lift");
  return all;
}

}  // namespace steepwright::viewer::render
