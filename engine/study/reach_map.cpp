#include "engine/study/reach_map.h"

#include "engine/posture/loads.h"
#include "engine/study/reach_border.h"
#include "engine/study/reach_flood.h"
#include "engine/study/reach_trace.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::study {

namespace {

/// The flood's sources lie this far apart, so that ground which hangs together nowhere is found too.
constexpr double kSourceDistance_m = 0.2;
/// About the shares of the time that are spent when the coarse places are solved, and when the border is traced.
constexpr double kCoarsePart = 0.12, kTracedPart = 0.25;

class MapMaker {
 public:
  MapMaker(const move::Scene& scene, const body::Body& body, const ReachQuestion& question, const ReachOptions& options)
      : scene_(scene),
        question_(question),
        options_(options),
        crew_(scene, body, question, options.seed, options.n_threads),
        flood_(body, crew_, make_lattices(), options) {}

  ReachMap make() {
    map_.pitch_m = options_.pitch_m;
    map_.fine_m = options_.pitch_m / options_.refine;
    activate_coarse();
    const int step = options_.refine;
    const int stride = std::max(1, static_cast<int>(std::lround(kSourceDistance_m / options_.pitch_m)));
    BorderTracer tracer(flood_, step);
    const auto n_coarse = static_cast<double>(count_coarse());
    flood_.begin_part(step > 1 ? kCoarsePart : 1.0, n_coarse);
    map_.is_complete = flood_.sow(stride * step) && flood_.run(step) && flood_.mend(step);
    if (step > 1) {
      flood_.begin_part(kTracedPart, n_coarse);
      map_.is_complete =
          map_.is_complete && flood_.search_border(step) && flood_.even_out(step) && trace_until_still(tracer);
      flood_.begin_part(1.0, n_coarse);
      map_.is_complete = map_.is_complete && flood_.press_border();
    }
    map_.is_complete = trace_until_still(tracer) && map_.is_complete;
    map_.border = tracer.collect();
    collect_places();
    measure_margins(map_.border, map_.places);
    map_.n_solved = flood_.n_solved();
    return std::move(map_);
  }

 private:
  std::vector<StripLattice> make_lattices() const {
    std::vector<StripLattice> lattices;
    const double fine_m = options_.pitch_m / options_.refine;
    for (int s = 0; s < static_cast<int>(scene_.wall.strips.size()); ++s) {
      const bool is_asked = question_.strips.empty() ||
                            std::find(question_.strips.begin(), question_.strips.end(), s) != question_.strips.end();
      if (!is_asked) continue;
      const wall::Strip& strip = scene_.wall.strips[static_cast<std::size_t>(s)];
      const auto count = [this](double length_m) {
        return static_cast<int>(std::floor(length_m / options_.pitch_m + 1e-9)) * options_.refine + 1;
      };
      lattices.push_back({s, count(strip.width_m), count(strip.length_m), fine_m});
    }
    return lattices;
  }

  void activate_coarse() {
    for (int l = 0; l < n_lattices(); ++l) {
      const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
      for (int j = 0; j < lattice.n_j; j += options_.refine) {
        for (int i = 0; i < lattice.n_i; i += options_.refine) flood_.activate(l, i, j);
      }
    }
  }

  /// What is found while a border is traced may move it out of the traced cells.
  bool trace_until_still(BorderTracer& tracer) {
    constexpr int kMostTraces = 4;
    for (int k = 0; k < kMostTraces; ++k) {
      const std::int64_t n_before = flood_.n_solved();
      if (!tracer.trace()) return false;
      if (flood_.n_solved() == n_before) break;
    }
    return true;
  }

  [[nodiscard]] std::size_t count_coarse() const {
    std::size_t count = 0;
    for (const StripLattice& lattice : flood_.lattices()) {
      count += (static_cast<std::size_t>(lattice.n_i) / static_cast<std::size_t>(options_.refine) + 1) *
               (static_cast<std::size_t>(lattice.n_j) / static_cast<std::size_t>(options_.refine) + 1);
    }
    return count;
  }

  [[nodiscard]] int n_lattices() const { return static_cast<int>(flood_.lattices().size()); }

  void collect_places() {
    for (int l = 0; l < n_lattices(); ++l) {
      const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
      for (int j = 0; j < lattice.n_j; ++j) {
        for (int i = 0; i < lattice.n_i; ++i) {
          const bool is_coarse = i % options_.refine == 0 && j % options_.refine == 0;
          if (!is_coarse && flood_.node(l, i, j).state == FloodNode::State::kIdle) continue;
          map_.places.push_back(make_place(l, i, j, is_coarse));
          if (options_.keep_proofs) map_.proofs.push_back(make_proof(flood_.node(l, i, j)));
        }
      }
    }
  }

  [[nodiscard]] ReachPlace make_place(int l, int i, int j, bool is_coarse) const {
    const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
    const FloodNode& node = flood_.node(l, i, j);
    ReachPlace place;
    place.strip = lattice.strip;
    place.i = i;
    place.j = j;
    place.across_m = i * lattice.fine_m;
    place.up_m = j * lattice.fine_m;
    place.is_coarse = is_coarse;
    place.is_held = node.state == FloodNode::State::kHeld;
    place.has_posture = node.answer >= 0;
    place.effort = place.settled_effort = std::numeric_limits<double>::infinity();
    place.cause = node.is_blocked ? move::Cause::kClearance : move::Cause::kReach;
    if (place.has_posture) write_answer(flood_.answer(node), place);
    return place;
  }

  [[nodiscard]] ReachProof make_proof(const FloodNode& node) const {
    if (node.state != FloodNode::State::kHeld) return {};
    const ReachAnswer& answer = flood_.answer(node);
    return {answer.stance.posture, answer.bins.hands};
  }

  void write_answer(const ReachAnswer& answer, ReachPlace& place) const {
    place.effort = answer.stance.effort;
    place.settled_effort = answer.settled_effort;
    place.cause = answer.cause;
    if (!answer.stance.has_limit) return;
    const int index = answer.stance.limit.index;
    if (answer.stance.limit.kind == statics::LimitShare::Kind::kCapacityBound) {
      place.limit_limb = find_staying_limb(index);
    } else {
      place.limit_hinge = posture::find_torque_row(crew_.goals().staying(), index).hinge;
    }
  }

  /// The index-th of the limbs that stay: the loaded contacts come in this order.
  [[nodiscard]] std::optional<Limb> find_staying_limb(int index) const {
    const posture::StanceProblem& staying = crew_.goals().staying();
    if (index < 0 || index >= static_cast<int>(staying.limbs.size())) return std::nullopt;
    return staying.limbs[static_cast<std::size_t>(index)].limb;
  }

  const move::Scene& scene_;
  const ReachQuestion& question_;
  const ReachOptions& options_;
  ReachCrew crew_;
  ReachFlood flood_;
  ReachMap map_;
};

}  // namespace

ReachMap make_reach_map(const move::Scene& scene, const body::Body& body, const ReachQuestion& question,
                        const ReachOptions& options) {
  return MapMaker(scene, body, question, options).make();
}

}  // namespace steepwright::study
