#include "engine/study/seek.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/study/hand_out.h"

#include <fmt/format.h>
#include <nlopt.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

namespace steepwright::study {

namespace {

constexpr double kNoPosture = 2.0;    ///< miss of a body that cannot take the stance, and more with what is missing
constexpr double kShortWeight = 5.0;  ///< a metre
constexpr double kEnough = 2e-3;      ///< miss that ends a search
constexpr std::size_t kMostNuts = 6;  ///< tried around what a search has found
constexpr double kSamePlace_m = 1e-3;

double find_lack(const Judged& judged) {
  if (std::isfinite(judged.effort) && move::are_contacts_met(judged.cause)) return std::max(0.0, judged.effort - 1.0);
  return kNoPosture + kShortWeight * judged.short_m.value_or(0.0);
}

/// One search; NLopt calls back into it.
class Seeker {
 public:
  Seeker(const move::Scene& scene, const SeekQuestion& question, const std::function<bool()>& is_cancelled)
      : scene_(scene), question_(question), is_cancelled_(is_cancelled) {
    for (const SeekAxis& axis : question.axes) knobs_.push_back(axis.knob);
  }

  SeekAnswer run(std::int64_t start) {
    std::vector<double> values = find_start(start);
    best_ = judge(values);
    search(values);
    const int n_judged = n_judged_;
    if (question_.onto_tnuts) settle_on_tnuts();
    best_.n_judged = std::max(n_judged, n_judged_);
    return best_;
  }

 private:
  [[nodiscard]] std::vector<double> find_start(std::int64_t start) const {
    RandomStream random(find_sample_seed(question_.seed, start));
    std::vector<double> values;
    for (const SeekAxis& axis : question_.axes) {
      const double drawn = random.uniform(axis.lower, axis.upper);
      values.push_back(start == 0 ? std::clamp(find_knob_value(scene_, axis.knob), axis.lower, axis.upper) : drawn);
    }
    return values;
  }

  SeekAnswer judge(const std::vector<double>& values) {
    SeekAnswer answer;
    answer.values = values;
    ++n_judged_;
    const TurnedScene turned = turn_knobs(scene_, knobs_, values);
    if (!turned.fault.empty()) {
      answer.judged.effort = std::numeric_limits<double>::infinity();
      answer.judged.text = turned.fault;
      answer.miss = 2.0 * kNoPosture;
      return answer;
    }
    answer.judged = judge_climber(turned, turned.scene.climber);
    for (const move::Climber& other : question_.also) answer.also.push_back(judge_climber(turned, other));
    answer.miss = find_miss(question_, answer.judged, answer.also);
    return answer;
  }

  [[nodiscard]] Judged judge_climber(const TurnedScene& turned, const move::Climber& climber) const {
    move::Scene scene = turned.scene;
    scene.climber = climber;
    const body::Body body = body::make_body(climber.measures);
    JudgeOptions options;
    options.judging = question_.judging;
    options.friction_factor = turned.friction_factor;
    return Judge(climber, body, options).judge_all(scene);
  }

  void search(std::vector<double> values) {
    const auto n = static_cast<unsigned>(values.size());
    const std::unique_ptr<nlopt_opt_s, decltype(&nlopt_destroy)> search(nlopt_create(NLOPT_LN_SBPLX, n),
                                                                        &nlopt_destroy);
    std::vector<double> lower, upper, step;
    for (const SeekAxis& axis : question_.axes) {
      lower.push_back(axis.lower);
      upper.push_back(axis.upper);
      step.push_back(0.15 * (axis.upper - axis.lower));
    }
    nlopt_set_lower_bounds(search.get(), lower.data());
    nlopt_set_upper_bounds(search.get(), upper.data());
    nlopt_set_initial_step(search.get(), step.data());
    nlopt_set_min_objective(search.get(), &Seeker::call, this);
    nlopt_set_maxeval(search.get(), question_.most_judgements);
    nlopt_set_stopval(search.get(), kEnough);
    nlopt_set_xtol_rel(search.get(), 1e-4);
    search_ = search.get();
    double miss = 0.0;
    // However it ends, the best place is kept in best_.
    static_cast<void>(nlopt_optimize(search.get(), values.data(), &miss));
    search_ = nullptr;
  }

  static double call(unsigned n, const double* values, double* /*gradient*/, void* seeker) {
    auto& self = *static_cast<Seeker*>(seeker);
    if (self.is_cancelled_ && self.is_cancelled_()) {
      nlopt_force_stop(self.search_);
      return self.best_.miss;
    }
    SeekAnswer answer = self.judge(std::vector<double>(values, values + n));
    const double miss = answer.miss;
    if (miss < self.best_.miss) self.best_ = std::move(answer);
    return miss;
  }

  /// Moves every hold whose place was sought onto T-nuts near by, one hold after the other, and keeps the best.
  void settle_on_tnuts() {
    for (const Knob& knob : knobs_) {
      if (knob.kind != KnobKind::kAcross && knob.kind != KnobKind::kUp) continue;
      const bool is_first =
          std::find_if(knobs_.begin(), knobs_.end(), [&knob](const Knob& other) {
            return other.index == knob.index && (other.kind == KnobKind::kAcross || other.kind == KnobKind::kUp);
          })->kind == knob.kind;
      if (is_first) settle_hold(knob.index);
    }
  }

  void settle_hold(int hold) {
    const int across = find_axis(KnobKind::kAcross, hold);
    const int up = find_axis(KnobKind::kUp, hold);
    const move::PlacedHold& placed = scene_.holds[static_cast<std::size_t>(hold)];
    const double across_m = across < 0 ? placed.across_m : m_from_mm(best_.values[static_cast<std::size_t>(across)]);
    const double up_m = up < 0 ? placed.up_m : m_from_mm(best_.values[static_cast<std::size_t>(up)]);
    std::multimap<double, Eigen::Vector2d> nuts;
    const wall::Strip& strip = scene_.wall.strips[static_cast<std::size_t>(placed.strip)];
    for (const Eigen::Vector2d& nut : wall::make_lattice_points(strip)) {
      const bool fits = is_within(across, nut.x(), across_m) && is_within(up, nut.y(), up_m);
      if (fits && !wall::is_on_joist(strip, nut.x()) && is_free(hold, nut))
        nuts.emplace((nut - Eigen::Vector2d(across_m, up_m)).norm(), nut);
    }
    if (nuts.empty()) return;
    SeekAnswer settled;
    settled.miss = std::numeric_limits<double>::infinity();
    std::size_t n_tried = 0;
    for (const auto& [distance, nut] : nuts) {
      if (n_tried++ == kMostNuts) break;
      std::vector<double> values = best_.values;
      if (across >= 0) values[static_cast<std::size_t>(across)] = mm_from_m(nut.x());
      if (up >= 0) values[static_cast<std::size_t>(up)] = mm_from_m(nut.y());
      SeekAnswer answer = judge(values);
      answer.is_on_tnut = true;
      if (answer.miss < settled.miss) settled = std::move(answer);
    }
    best_ = std::move(settled);
  }

  [[nodiscard]] int find_axis(KnobKind kind, int hold) const {
    for (std::size_t k = 0; k < knobs_.size(); ++k) {
      if (knobs_[k].kind == kind && knobs_[k].index == hold) return static_cast<int>(k);
    }
    return -1;
  }

  /// Inside the bounds of an axis; where there is none, at the hold's own place.
  [[nodiscard]] bool is_within(int axis, double place_m, double own_m) const {
    if (axis < 0) return std::abs(place_m - own_m) < kSamePlace_m;
    const SeekAxis& a = question_.axes[static_cast<std::size_t>(axis)];
    return mm_from_m(place_m) >= a.lower - 1e-6 && mm_from_m(place_m) <= a.upper + 1e-6;
  }

  /// No other hold is bolted there.
  [[nodiscard]] bool is_free(int hold, const Eigen::Vector2d& nut) const {
    for (std::size_t h = 0; h < scene_.holds.size(); ++h) {
      const move::PlacedHold& other = scene_.holds[h];
      if (static_cast<int>(h) == hold || other.strip != scene_.holds[static_cast<std::size_t>(hold)].strip) continue;
      if ((Eigen::Vector2d(other.across_m, other.up_m) - nut).norm() < kSamePlace_m) return false;
    }
    return true;
  }

  const move::Scene& scene_;
  const SeekQuestion& question_;
  const std::function<bool()>& is_cancelled_;
  std::vector<Knob> knobs_;
  SeekAnswer best_;
  int n_judged_ = 0;
  nlopt_opt search_ = nullptr;
};

}  // namespace

bool SeekAnswer::is_held() const {
  return judged.is_held && std::all_of(also.begin(), also.end(), [](const Judged& other) { return other.is_held; });
}

double find_miss(const SeekQuestion& question, const Judged& judged, const std::vector<Judged>& also) {
  const double lack = find_lack(judged);
  double miss = lack >= kNoPosture ? lack : std::abs(judged.effort - question.effort);
  // An effort wished for is missed by hundredths; a body that falls off outweighs that.
  for (const Judged& other : also) miss += 3.0 * find_lack(other);
  return miss;
}

SeekAnswer seek(const move::Scene& scene, const SeekQuestion& question, std::int64_t start,
                const std::function<bool()>& is_cancelled) {
  return Seeker(scene, question, is_cancelled).run(start);
}

std::string describe_binding(const move::Scene& scene, const SeekQuestion& question, const SeekAnswer& answer) {
  std::string text = answer.judged.text;
  // Of the others the one that is nearest to its limit.
  std::size_t tightest = question.also.size();
  for (std::size_t k = 0; k < answer.also.size(); ++k) {
    if (tightest == question.also.size() || answer.also[k].effort > answer.also[tightest].effort ||
        !answer.also[k].is_held)
      tightest = k;
    if (!answer.also[k].is_held) break;
  }
  if (tightest < answer.also.size()) {
    const Judged& other = answer.also[tightest];
    text += fmt::format("; {:.2f} m: {}", question.also[tightest].measures.stature_m,
                        other.is_held ? fmt::format("{:.0f} %, {}", 100.0 * other.effort, other.text) : other.text);
  }
  for (std::size_t k = 0; k < question.axes.size(); ++k) {
    const SeekAxis& axis = question.axes[k];
    const double room = 0.01 * (axis.upper - axis.lower);
    if (answer.values[k] > axis.lower + room && answer.values[k] < axis.upper - room) continue;
    text += fmt::format("; {} is at its bound", describe(scene, axis.knob));
  }
  return text;
}

}  // namespace steepwright::study
