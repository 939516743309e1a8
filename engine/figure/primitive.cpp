#include "engine/figure/primitive.h"

namespace steepwright::figure {

namespace {

void include(Box& box, const Vec3& p_W, double margin_m = 0.0) {
  box.lower = box.lower.cwiseMin(p_W - Vec3::Constant(margin_m));
  box.upper = box.upper.cwiseMax(p_W + Vec3::Constant(margin_m));
}

}  // namespace

void append(Figure& figure, const Figure& other) {
  figure.faces.insert(figure.faces.end(), other.faces.begin(), other.faces.end());
  figure.lines.insert(figure.lines.end(), other.lines.begin(), other.lines.end());
  figure.balls.insert(figure.balls.end(), other.balls.begin(), other.balls.end());
  figure.tubes.insert(figure.tubes.end(), other.tubes.begin(), other.tubes.end());
  figure.arrows.insert(figure.arrows.end(), other.arrows.begin(), other.arrows.end());
}

Box find_box(const Figure& figure) {
  Box box;
  for (const Face& face : figure.faces) {
    for (const Vec3& p_W : face.corners_W) include(box, p_W);
  }
  for (const Line& line : figure.lines) {
    for (const Vec3& p_W : line.points_W) include(box, p_W);
  }
  for (const Ball& ball : figure.balls) include(box, ball.p_W, ball.radius_m);
  for (const Tube& tube : figure.tubes) {
    include(box, tube.pA_W, tube.radius_A);
    include(box, tube.pB_W, tube.radius_B);
  }
  for (const Arrow& arrow : figure.arrows) {
    include(box, arrow.p_W);
    include(box, arrow.p_W + arrow.vector_W);
  }
  return box;
}

}  // namespace steepwright::figure
