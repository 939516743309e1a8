#include "engine/body/tree.h"

#include "engine/core/contract.h"

namespace steepwright::body {

int Tree::find_segment(const std::string& name) const {
  for (int i = 0; i < n_segments(); ++i) {
    if (segments[static_cast<std::size_t>(i)].name == name) return i;
  }
  return -1;
}

int Tree::find_hinge(const std::string& name) const {
  for (int i = 0; i < n_hinges(); ++i) {
    if (hinges[static_cast<std::size_t>(i)].name == name) return i;
  }
  return -1;
}

void Posture::step(const DofVector& v) {
  STEEPWRIGHT_ASSERT(v.size() == 6 + angles.size());
  p_WB += v.head<3>();
  R_WB = rotation_by(v.segment<3>(3)) * R_WB;
  angles += v.tail(angles.size());
}

}  // namespace steepwright::body
