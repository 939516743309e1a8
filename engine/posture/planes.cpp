#include "engine/posture/planes.h"

#include <algorithm>

namespace steepwright::posture {

namespace {

constexpr double kSinking = 0.02;  ///< per square of a step

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

void Planes::add_newest(const body::DofVector& gradient) {
  newest_ = gradient;
  add(gradient, 0.0);
}

void Planes::add(const body::DofVector& gradient, double below) {
  int place = n_;
  if (n_ == kMost) {
    place = static_cast<int>(std::max_element(below_.begin(), below_.end()) - below_.begin());
  } else {
    ++n_;
  }
  gradients_[at(place)] = gradient;
  below_[at(place)] = below;
}

void Planes::forget_old() {
  n_ = 0;
  add(newest_, 0.0);
}

void Planes::move(const body::DofVector& d, double rise) {
  for (int i = 0; i < n_; ++i) {
    const double below = below_[at(i)] + rise - gradients_[at(i)].dot(d);
    below_[at(i)] = std::max(below, 0.0) + kSinking * d.squaredNorm();
  }
}

double Planes::find_rise(const body::DofVector& d) const {
  double rise = -1e30;
  for (int i = 0; i < n_; ++i) rise = std::max(rise, gradients_[at(i)].dot(d) - below_[at(i)]);
  return rise;
}

void Planes::add_rows(double fall, int n_dof, Rows& rows) const {
  for (int i = 0; i < n_ && rows.n() < kMaxRows; ++i) {
    const int r = rows.n();
    const double length = std::max(gradients_[at(i)].norm(), 1e-12);
    rows.A.row(r).setZero();
    rows.A.row(r).head(n_dof) = -gradients_[at(i)].transpose() / length;
    rows.value[r] = (below_[at(i)] - fall) / length;
    rows.support[at(r)] = (DofSet{1} << n_dof) - 1;
    ++rows.n_one_sided;
  }
}

}  // namespace steepwright::posture
