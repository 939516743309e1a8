// The table of postures that an open hand's search begins from, written anew after the finger model
// changed. From the root of the source (engine/grip/posture_table.h holds the grid; a changed one needs an empty file
// first):
//
//   build/release/tests/bench/grip_postures engine/grip/tables/postures.inc
//
// The middle finger of an average hand that holds 450 N on the reference edge, four fingers on chalked raw wood. Each
// node is searched from starts everywhere; then, until nothing is gained, from what its neighbours found, so that a
// good posture found once reaches every edge where it serves.

#include "engine/core/units.h"
#include "engine/grip/hand_fan.h"
#include "engine/io/atomic_file.h"
#include "tests/grip/sweeps.h"

#include <fmt/format.h>

#include <cstdio>
#include <string>
#include <vector>

namespace {

using namespace steepwright;
using namespace steepwright::grip;

constexpr int kMostPasses = 12;
constexpr double kWorthwhileGain = 2e-4;  ///< of a pass, mean share

using Place = std::array<std::size_t, kTableAxes>;
constexpr Place kCounts = {kTableDepths_mm.size(), kTableIncuts_deg.size(), kTableLipRadii_mm.size(),
                           kTableSwings_deg.size()};

std::size_t index_of_place(const Place& place) {
  std::size_t index = 0;
  for (std::size_t axis = 0; axis < kTableAxes; ++axis) index = index * kCounts[axis] + place[axis];
  return index;
}

Place find_place(std::size_t index) {
  Place place{};
  for (std::size_t axis = kTableAxes; axis-- > 0;) {
    place[axis] = index % kCounts[axis];
    index /= kCounts[axis];
  }
  return place;
}

struct Node {
  std::array<double, kPullCount> force_N{};
  FingerLeads leads;
};

class Grid {
 public:
  explicit Grid(const Hand& hand) : hand_(hand), nodes_(kTableNodes) {}

  void search_from_nothing() {
    for (std::size_t i = 0; i < kTableNodes; ++i) {
      keep(i, [&](const SearchTask& task) { return search_.calc_fan_from_nothing(task); });
    }
  }

  /// From the neighbours' postures, forwards or backwards; the mean share gained.
  double pass(bool is_forward) {
    gained_ = 0.0;
    for (std::size_t step = 0; step < kTableNodes; ++step) {
      const std::size_t i = is_forward ? step : kTableNodes - 1 - step;
      const std::vector<std::size_t> neighbours = find_neighbours(i);
      constexpr std::size_t kAtOnce = kFollowed - 1;
      for (std::size_t first = 0; first < neighbours.size(); first += kAtOnce) {
        FingerLeads leads;
        for (std::size_t k = 0; k < kPullCount; ++k) {
          add_best(i, k, leads[k]);
          for (std::size_t j = first; j < std::min(neighbours.size(), first + kAtOnce); ++j) {
            add_best(neighbours[j], k, leads[k]);
          }
        }
        keep(i, [&](const SearchTask& task) { return search_.turn_fan(task, leads); });
      }
    }
    return gained_ / static_cast<double>(kTableNodes * kPullCount);
  }

  [[nodiscard]] std::string format() const {
    std::string out = "// Written by tests/bench/grip_postures.\n";
    for (const Node& node : nodes_) {
      for (std::size_t i = 0; i < kTablePulls; ++i) {
        const auto& leads = node.leads[2 * i];
        const TablePosture posture = leads.empty() ? TablePosture{} : to_table(leads[0]);
        out += fmt::format("{{{},{},{},{},{}}},", posture.pitch, posture.middle_pitch, posture.flexion,
                           posture.lip_place, posture.gap);
      }
      out += '\n';
    }
    return out;
  }

 private:
  void add_best(std::size_t node, std::size_t pull, BoundedVector<PostureLead, kFollowed>& leads) const {
    const auto& found = nodes_[node].leads[pull];
    if (!found.empty()) leads.push_back(found[0]);
  }

  static std::vector<std::size_t> find_neighbours(std::size_t i) {
    std::vector<std::size_t> neighbours;
    const Place place = find_place(i);
    for (std::size_t axis = 0; axis < kTableAxes; ++axis) {
      Place other = place;
      if (other[axis]-- > 0) neighbours.push_back(index_of_place(other));
      other[axis] = place[axis] + 1;
      if (other[axis] < kCounts[axis]) neighbours.push_back(index_of_place(other));
    }
    return neighbours;
  }

  template <typename Search>
  void keep(std::size_t i, const Search& search) {
    const Place place = find_place(i);
    const double swing_deg = kTableSwings_deg[place[3]];
    const hold::Site site = tests::make_edge_site(
        {"", kTableDepths_mm[place[0]], kTableIncuts_deg[place[1]], kTableLipRadii_mm[place[2]], swing_deg});
    const hold::Outline outline = hold::make_outline(site);
    const SearchTask task =
        make_search_task({&site, Grip::kOpenHand, &hand_, rad_from_deg(swing_deg)}, outline, Digit::kMiddle, 4);
    const FingerFan fan = search(task);
    Node& node = nodes_[i];
    for (std::size_t k = 0; k < kPullCount; ++k) {
      if (fan.force_N[k] <= node.force_N[k]) continue;
      gained_ += node.force_N[k] > 0.0 ? fan.force_N[k] / node.force_N[k] - 1.0 : 0.0;
      node.force_N[k] = fan.force_N[k];
      node.leads[k] = search_.leads()[k];
    }
  }

  const Hand& hand_;
  std::vector<Node> nodes_;
  FingerSearch search_;
  double gained_ = 0.0;
};

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    fmt::print(stderr, "usage: grip_postures FILE\n");
    return 1;
  }
  const Hand hand = tests::make_sweep_hand();
  Grid grid(hand);
  grid.search_from_nothing();
  for (int pass = 0; pass < kMostPasses; ++pass) {
    const double gain = grid.pass(pass % 2 == 0);
    fmt::print("pass {}: {:.3f} % gained\n", pass + 1, 100.0 * gain);
    if (gain < kWorthwhileGain) break;
  }
  const auto saved = io::save_atomically(argv[1], grid.format());
  if (!saved) {
    fmt::print(stderr, "{}: not written\n", argv[1]);
    return 2;
  }
  return 0;
}
