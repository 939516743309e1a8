#include "engine/move/risk.h"

#include "engine/move/parallel.h"
#include "engine/move/risk_frame.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <memory>

namespace steepwright::move {

namespace {

/// What the draws say, one row a draw: the rows are written by different threads and read together.
struct Answers {
  std::size_t n_frames = 0;
  std::vector<std::uint8_t> is_held;
  std::vector<double> effort;
  std::array<std::vector<double>, 4> slip_margin;
  std::array<std::vector<double>, 2> slip_off_margin;
  std::vector<RiskFrame::Limit> first_limit;  ///< of each draw; an empty name where nothing fails

  Answers(int draws, std::size_t frames) : n_frames(frames) {
    const auto n = static_cast<std::size_t>(draws) * frames;
    is_held.assign(n, 0);
    effort.assign(n, std::numeric_limits<double>::infinity());
    for (std::vector<double>& margins : slip_margin) margins.assign(n, 0.0);
    for (std::vector<double>& margins : slip_off_margin) margins.assign(n, 0.0);
    first_limit.resize(static_cast<std::size_t>(draws));
  }
};

RiskBand find_band(std::vector<double>& values) {
  const auto at = [&values](double share) {
    const auto rank = static_cast<std::ptrdiff_t>(std::lround(share * static_cast<double>(values.size() - 1)));
    std::nth_element(values.begin(), values.begin() + rank, values.end());
    return values[static_cast<std::size_t>(rank)];
  };
  return {at(0.05), at(0.5), at(0.95)};
}

class RiskSolver {
 public:
  RiskSolver(const body::Body& body, const MoveResult& result, const RiskOptions& options)
      : body_(body),
        result_(result),
        options_(options),
        frames_(result.frames.size()),
        answers_(options.draws, result.frames.size()) {
    places_ = find_risk_places(result, n_places_);
    for (int number = 0; number < options.draws; ++number)
      draws_.push_back(make_risk_draw(options, n_places_, static_cast<std::uint64_t>(number)));
  }

  std::optional<MoveRisk> solve() {
    std::atomic<bool> is_stopped = false;
    const int n = static_cast<int>(frames_.size());
    PerThread<RiskWorkspace> workspaces(count_threads(n, options_.threads),
                                        [] { return std::make_unique<RiskWorkspace>(); });
    // A frame learns from its draws: they all come to it in their order.
    run_parallel(n, options_.threads, [&](int i, int thread) {
      const auto stops = [&] {
        if (thread == 0 && options_.is_stopped && options_.is_stopped()) is_stopped = true;
        return is_stopped.load();
      };
      answer_frame(static_cast<std::size_t>(i), stops, workspaces.at(thread));
    });
    if (is_stopped) return std::nullopt;
    for (int number = 0; number < options_.draws; ++number) find_first_limit(static_cast<std::size_t>(number));
    MoveRisk risk = gather();
    for (const auto& workspace : workspaces.all()) risk.exact_solves += workspace ? workspace->exact_solves : 0;
    return risk;
  }

 private:
  template <typename Stops>
  void answer_frame(std::size_t i, const Stops& stops, RiskWorkspace& workspace) {
    constexpr std::size_t kBetweenStops = 64;
    const Frame& frame = result_.frames[i];
    const bool is_carried =
        frame.has_posture && std::any_of(frame.contacts.begin(), frame.contacts.end(),
                                         [](const ContactResult& contact) { return contact.is_loaded; });
    if (!is_carried) return;
    frames_[i] = std::make_unique<RiskFrame>(body_, frame, places_[i], workspace);
    for (std::size_t number = 0; number < draws_.size(); ++number) {
      if (number % kBetweenStops == 0 && stops()) return;
      const std::size_t at = number * frames_.size() + i;
      const RiskFrame::Answer found = frames_[i]->ask(draws_[number], workspace);
      answers_.is_held[at] = found.is_held ? 1 : 0;
      answers_.effort[at] = found.effort;
      for (std::size_t limb = 0; limb < 4; ++limb) answers_.slip_margin[limb][at] = found.slip_margin[limb];
      for (std::size_t hand = 0; hand < 2; ++hand) answers_.slip_off_margin[hand][at] = found.slip_off_margin[hand];
    }
  }

  void find_first_limit(std::size_t number) {
    for (std::size_t i = 0; i < frames_.size(); ++i) {
      if (answers_.is_held[number * frames_.size() + i] != 0) continue;
      answers_.first_limit[number] = frames_[i]
                                         ? frames_[i]->find_limit(draws_[number])
                                         : RiskFrame::Limit{result_.frames[i].limit, result_.frames[i].limit_limb};
      return;
    }
  }

  MoveRisk gather() {
    MoveRisk risk;
    risk.draws = options_.draws;
    risk.seed = options_.seed;
    risk.spreads = options_.spreads;
    for (std::size_t i = 0; i < frames_.size(); ++i) risk.frames.push_back(gather_frame(i));
    for (const RiskFrame::Limit& first : answers_.first_limit) {
      if (first.name.empty()) continue;
      risk.fail_share += 1.0 / options_.draws;
      auto same = std::find_if(risk.failures.begin(), risk.failures.end(),
                               [&first](const FirstFailure& failure) { return failure.limit == first.name; });
      if (same == risk.failures.end()) same = risk.failures.insert(same, {first.name, first.limb, 0.0});
      same->share += 1.0 / options_.draws;
    }
    std::stable_sort(risk.failures.begin(), risk.failures.end(),
                     [](const FirstFailure& a, const FirstFailure& b) { return a.share > b.share; });
    return risk;
  }

  FrameRisk gather_frame(std::size_t i) {
    FrameRisk risk;
    const auto n = static_cast<std::size_t>(options_.draws);
    std::size_t n_held = 0;
    std::vector<double> values(n);
    for (std::size_t d = 0; d < n; ++d) {
      n_held += answers_.is_held[d * frames_.size() + i];
      values[d] = answers_.effort[d * frames_.size() + i];
    }
    risk.fail_share = 1.0 - static_cast<double>(n_held) / static_cast<double>(n);
    risk.effort = find_band(values);
    const auto find_margin_band = [&](const std::vector<double>& margins) {
      for (std::size_t d = 0; d < n; ++d) values[d] = margins[d * frames_.size() + i];
      return find_band(values);
    };
    for (std::size_t limb = 0; limb < 4; ++limb) {
      if (!frames_[i] || !frames_[i]->is_loaded()[limb]) continue;
      risk.slip_margin[limb] = find_margin_band(answers_.slip_margin[limb]);
      if (limb < 2) risk.slip_off_margin[limb] = find_margin_band(answers_.slip_off_margin[limb]);
    }
    return risk;
  }

  const body::Body& body_;
  const MoveResult& result_;
  const RiskOptions& options_;
  std::size_t n_places_ = 0;
  std::vector<std::vector<int>> places_;
  std::vector<RiskDraw> draws_;
  std::vector<std::unique_ptr<RiskFrame>> frames_;  ///< nothing where no posture was found
  Answers answers_;
};

}  // namespace

std::optional<MoveRisk> calc_risk(const body::Body& body, const MoveResult& result, const RiskOptions& options) {
  if (options.draws < 1) return std::nullopt;
  return RiskSolver(body, result, options).solve();
}

}  // namespace steepwright::move
