#pragma once

/// Proximal bundle ascent (Kiwiel 1990, from memory) in a few variables, for functions made of smooth pieces: their
/// best points lie where pieces meet. Every slope that was seen is kept as a cut, worth <= worth_i + slope_i (x - x_i);
/// a step climbs the model that the cuts make, held near the best point. Where the function is not concave, a cut that
/// passes a little below the best point is lifted over it and one that passes far below is forgotten. No heap. A climb
/// can be stopped and taken up again, so that several may race.

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace steepwright::grip {

template <int N>
class Ascent {
 public:
  using Point = Eigen::Matrix<double, N, 1>;
  /// Worth of a point and its slope.
  struct Place {
    Point point = Point::Zero();
    double worth = 0.0;
    Point slope = Point::Zero();
  };

  /// Begins at a place; the first step is `radius` long.
  void start(const Place& place, double radius) {
    best_ = place;
    n_cuts_ = 0;
    longest_ = kLongest * radius;
    const double steepness = place.slope.norm();
    has_ended_ = steepness * longest_ <= kFlat * place.worth;
    if (has_ended_) return;
    nearness_ = radius / steepness;
    add_cut(place);
  }

  /// Climbs until the model promises less than `tolerance` (share of the worth) or `look` was called `budget` times.
  /// look(point): the Place there; it may bring the point back into ranges. What is worth nothing needs no slope.
  template <typename Look>
  void climb(int budget, double tolerance, const Look& look) {
    for (int i = 0; i < budget && !has_ended_; ++i) {
      Model model = climb_model();
      if (model.promise < tolerance * best_.worth) {
        has_ended_ = true;
        return;
      }
      const double length = model.step.norm();
      if (length > longest_) {
        model.step *= longest_ / length;
        model.promise *= longest_ / length;
      }
      take(look(best_.point + model.step), model.promise);
    }
  }

  /// Begins anew where it is: cuts from afar may have ended a climb too early.
  void start_again(double radius) { start(Place(best_), radius); }

  [[nodiscard]] const Point& best() const { return best_.point; }
  [[nodiscard]] double best_worth() const { return best_.worth; }

 private:
  static constexpr std::size_t kMostCuts = 8;
  static constexpr double kLongest = 4.0;  ///< step, in first steps
  static constexpr double kFlat = 1e-6;    ///< share of the worth that the longest step must promise
  static constexpr double kSerious = 0.1;  ///< share of the promise at which the best point moves
  static constexpr double kGood = 0.5;     ///< and at which the next step may be longer
  static constexpr double kLift = 0.01;    ///< of a cut over the best point, share of the model's own bend
  static constexpr double kFalse = 0.02;   ///< a cut this far below the best point is wrong, share of the worth
  static constexpr int kMostRounds = 60;

  struct Cut {
    Place place;
    double above = 0.0;  ///< how far it passes above the best point
    double share = 0.0;  ///< in the last mixture of slopes
  };
  struct Model {
    Point step = Point::Zero();
    double promise = 0.0;
  };

  void add_cut(const Place& place) {
    if (n_cuts_ == kMostCuts) {
      std::size_t least = 0;
      for (std::size_t i = 1; i < n_cuts_; ++i) {
        if (counts_less(cuts_[i], cuts_[least])) least = i;
      }
      remove_cut(least);
    }
    const std::size_t last = n_cuts_++;
    cuts_[last] = {place, 0.0, 0.0};
    for (std::size_t i = 0; i < n_cuts_; ++i) {
      products_[last][i] = products_[i][last] = place.slope.dot(cuts_[i].place.slope);
    }
  }

  static bool counts_less(const Cut& a, const Cut& b) {
    return a.share < b.share || (a.share == b.share && a.above > b.above);
  }

  void remove_cut(std::size_t i) {
    const std::size_t last = --n_cuts_;
    cuts_[i] = cuts_[last];
    const double own = products_[last][last];
    for (std::size_t j = 0; j < n_cuts_; ++j) products_[i][j] = products_[j][i] = products_[last][j];
    products_[i][i] = own;
  }

  /// How far each cut passes above the best point.
  void measure_cuts() {
    for (std::size_t i = 0; i < n_cuts_;) {
      Cut& cut = cuts_[i];
      const Point back = best_.point - cut.place.point;
      const double above = cut.place.worth + cut.place.slope.dot(back) - best_.worth;
      if (above < -kFalse * best_.worth) {
        remove_cut(i);
        continue;
      }
      cut.above = std::max(above, kLift * back.squaredNorm() / nearness_);
      ++i;
    }
    if (n_cuts_ == 0) add_cut(best_);
  }

  /// The model's best step: the shortest mixture of slopes, where cuts that pass high above count less.
  Model climb_model() {
    measure_cuts();
    mix_cuts();
    Point slope = Point::Zero();
    double above = 0.0;
    for (std::size_t i = 0; i < n_cuts_; ++i) {
      slope += cuts_[i].share * cuts_[i].place.slope;
      above += cuts_[i].share * cuts_[i].above;
    }
    return {nearness_ * slope, nearness_ * slope.squaredNorm() + above};
  }

  /// Shares of the mixture, from the last ones: takes from the cut that costs most and gives to the one that costs
  /// least until they cost alike.
  void mix_cuts() {
    double sum = 0.0;
    for (std::size_t i = 0; i < n_cuts_; ++i) sum += cuts_[i].share;
    if (sum <= 0.0) cuts_[0].share = sum = 1.0;
    std::array<double, kMostCuts> cost{};
    for (std::size_t i = 0; i < n_cuts_; ++i) cuts_[i].share /= sum;
    for (std::size_t i = 0; i < n_cuts_; ++i) {
      cost[i] = cuts_[i].above;
      for (std::size_t j = 0; j < n_cuts_; ++j) cost[i] += nearness_ * products_[i][j] * cuts_[j].share;
    }
    for (int round = 0; round < kMostRounds; ++round) {
      std::size_t to = 0;
      std::size_t from = kMostCuts;
      for (std::size_t i = 0; i < n_cuts_; ++i) {
        if (cost[i] < cost[to]) to = i;
        if (cuts_[i].share > 0.0 && (from == kMostCuts || cost[i] > cost[from])) from = i;
      }
      const double gain = cost[from] - cost[to];
      if (gain <= 1e-4 * std::abs(cost[to])) return;
      const double bend = nearness_ * (products_[to][to] + products_[from][from] - 2.0 * products_[to][from]);
      const double moved = bend > 0.0 ? std::min(cuts_[from].share, gain / bend) : cuts_[from].share;
      cuts_[to].share += moved;
      cuts_[from].share -= moved;
      for (std::size_t i = 0; i < n_cuts_; ++i) {
        cost[i] += nearness_ * moved * (products_[i][to] - products_[i][from]);
      }
    }
  }

  /// Moves the best point or learns from a step that was not worth it.
  void take(const Place& place, double promise) {
    const double got = (place.worth - best_.worth) / promise;
    // The nearness at which a parabola through both ends would have been climbed to its top.
    const double fitting = nearness_ / std::max(0.2, 2.0 * (1.0 - got));
    if (got > kSerious) {
      if (got > kGood) nearness_ = std::clamp(fitting, nearness_, 4.0 * nearness_);
      best_ = place;
      add_cut(place);
      return;
    }
    if (place.worth <= 0.0) {
      nearness_ *= 0.3;
      return;
    }
    const double above = place.worth + place.slope.dot(best_.point - place.point) - best_.worth;
    if (above > promise || above < 0.0) nearness_ = std::clamp(fitting, 0.2 * nearness_, 0.7 * nearness_);
    add_cut(place);
  }

  Place best_;
  std::array<Cut, kMostCuts> cuts_;
  std::array<std::array<double, kMostCuts>, kMostCuts> products_{};  ///< of slopes
  std::size_t n_cuts_ = 0;
  double nearness_ = 1.0, longest_ = 1.0;
  bool has_ended_ = false;
};

}  // namespace steepwright::grip
