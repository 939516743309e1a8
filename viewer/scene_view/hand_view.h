#pragma once

/// A hand as small tapered limbs, its fingers bent as the grip bends them and ending at the contact.

#include "engine/body/body.h"
#include "viewer/render/render_scene.h"

namespace steepwright::viewer {

struct HandLook {
  render::Color color{0.7F};
  float use = render::kNoUse;
  float opacity = 1.0F;
  bool is_outlined = false;
  bool is_large = false;  ///< the lower hand stands out by its size
  render::PickId pick{};
};

/// `kinematics` of the body in its posture; the grip that the hand has or, when it is free, is about to have.
void append_hand(const body::Body& body, const body::Kinematics& kinematics, Limb hand, Grip grip, const HandLook& look,
                 render::RenderScene& drawn);

}  // namespace steepwright::viewer
