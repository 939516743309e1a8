#pragma once

/// GLSL 3.30 sources. A program is a vertex shader of a kind of thing with the fragment shader of a pass; all share
/// the uniform blocks of frame_uniforms.h.

#include <string>

namespace steepwright::viewer::render::shaders {

// Things. All give p_W, n_W, p_texture, n_texture, color, opacity, use, material, pick.
/// Plain: lit already at the corners, for lit_fragment(true, ...).
[[nodiscard]] std::string mesh_vertex(bool is_plain = false);
[[nodiscard]] std::string limb_vertex(bool is_plain = false);
[[nodiscard]] std::string arrow_vertex(bool is_plain = false);

// What is only seen in the main pass.
[[nodiscard]] std::string disc_vertex();
[[nodiscard]] std::string disc_fragment();
[[nodiscard]] std::string line_vertex();
[[nodiscard]] std::string line_fragment();
[[nodiscard]] std::string band_vertex();
[[nodiscard]] std::string band_fragment();

// Passes over things.
/// Colour. Plain: no shadows, occlusion, texture, gloss. `use_varies`: over the thing, as on limbs.
[[nodiscard]] std::string lit_fragment(bool is_plain, bool use_varies);
[[nodiscard]] std::string depth_fragment();   ///< nothing but depth
[[nodiscard]] std::string normal_fragment();  ///< normal in view axes, for the occlusion pass
[[nodiscard]] std::string pick_fragment();    ///< packed PickId
[[nodiscard]] std::string mask_fragment();    ///< 1

// Passes over the whole picture.
[[nodiscard]] std::string screen_vertex();
[[nodiscard]] std::string background_fragment();
/// The same by a linear blend between the edges: hardly another look, and no power a pixel.
[[nodiscard]] std::string plain_background_vertex();
[[nodiscard]] std::string plain_background_fragment();
[[nodiscard]] std::string occlusion_fragment();
[[nodiscard]] std::string occlusion_blur_fragment();
[[nodiscard]] std::string final_fragment();
[[nodiscard]] std::string outline_fragment();  ///< over the final picture

/// Version line, uniform blocks and colour functions, before every source.
[[nodiscard]] std::string prelude();

}  // namespace steepwright::viewer::render::shaders
