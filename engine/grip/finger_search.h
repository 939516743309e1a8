#pragma once

/// What one finger can hold along every pull, with the best posture that the grip allows for each.
///
/// For one posture and pull the most force is one small linear program. The best over all postures of the grip is
/// searched: climbs along the load's slope from the best of many starts, the longest from the best of those. An open
/// hand's starts are the postures that were found beforehand for edges like the site (posture_table.h), and those of
/// the hand's first finger. Other grips start everywhere, on and off the ridge where two bones lie flush: for a few
/// pulls of one finger; the pulls between begin where their neighbours ended, the other fingers (but wrapped ones)
/// where the first one did, and each on the finger's end as well. For another direction of the forearm a finger begins
/// where it ended for the first.

#include "engine/grip/ascent.h"
#include "engine/grip/finger_program.h"
#include "engine/grip/hand.h"
#include "engine/grip/posture_space.h"
#include "engine/grip/posture_table.h"

#include <cmath>
#include <initializer_list>
#include <optional>
#include <span>

namespace steepwright::grip {

/// Pulls are given by the angle of the force on the hand from the floor's normal, positive into the wall (the hand then
/// pulls outward): f = s (sin, cos)(angle).
inline constexpr std::size_t kPullCount = 11;
using PullAngles = std::array<double, kPullCount>;  ///< rad, ascending
[[nodiscard]] inline Vec2 pull_direction(double angle) { return {std::sin(angle), std::cos(angle)}; }

/// Pulls over the whole friction wedge of half-angle atan(mu) about a normal that leans outward by `lean`; closer
/// together where the hand pulls outward.
[[nodiscard]] PullAngles make_pulls(double mu, double lean);

/// Forearm from the elbow to the wrist: `swing` is 0 when the elbow hangs below the hold (against the floor's normal),
/// 90 degrees when it stands straight out from it (along the floor), more when it is above. rad.
struct SearchTask {
  const Finger* finger = nullptr;
  const hold::Outline* outline = nullptr;
  const GripForm* form = nullptr;
  FingerStrengthLimits limits;
  double mu = 0.0;
  double forearm_swing = 0.0;
  PullAngles pulls{};
};

/// Most force along each pull, and the posture that gives it.
struct FingerFan {
  std::array<double, kPullCount> force_N{};
  std::array<FingerPosture, kPullCount> posture{};
};

/// Where the climbs of one finger ended, for each pull, best first.
inline constexpr std::size_t kFollowed = 6;
using FingerLeads = std::array<BoundedVector<PostureLead, kFollowed>, kPullCount>;

/// How much is spent on one pull.
struct SearchEffort {
  double worthwhile = 0.0;  ///< a start is followed when it gives this share of the best
  std::size_t n_raced = 0;
  int race_looks = 0;
  std::size_t n_finalists = 0;
  double close = 1.0;  ///< a finalist has this share of the winner's force
  int final_looks = 0, last_looks = 0;
  double first_step = 1.0;  ///< of a climb, in steps of the space
  double agreed = 0.0;      ///< a climb ends when it promises less than this share
};

/// Flexion of the knuckle for a posture: what is left between forearm and proximal phalanx once the wrist has its
/// favoured 20 degrees of extension, within the ranges of both; `fit` falls from 1 to 0 over 40 degrees beyond them.
struct Knuckle {
  double mcp = 0.0;
  double wrist_extension = 0.0;
  double fit = 1.0;
  double mcp_slope = 0.0, fit_slope = 0.0;  ///< by the flexion of the middle joint
};
[[nodiscard]] Knuckle find_knuckle(const GripForm& form, const FingerPosture& posture, double forearm_swing);

class FingerSearch {
 public:
  /// leads: of another finger of the hand, to begin from.
  [[nodiscard]] FingerFan calc_fan(const SearchTask& task, const FingerLeads* leads = nullptr);
  /// From starts everywhere: longer, and what the table is made of.
  [[nodiscard]] FingerFan calc_fan_from_nothing(const SearchTask& task);
  /// Looks whether what the other fingers found serves this one too; true when it does.
  bool improve(const SearchTask& task, std::span<const FingerLeads> others, FingerFan& fan);
  /// leads: of the same finger with the forearm elsewhere. Only the knuckle turns, so good postures stay near.
  [[nodiscard]] FingerFan turn_fan(const SearchTask& task, const FingerLeads& leads);
  /// Of the last fan.
  [[nodiscard]] const FingerLeads& leads() const { return leads_; }

  /// Most force along one pull, with posture and inner loads: one program a posture, along the pull itself.
  struct Along {
    double force_N = 0.0;
    FingerPosture posture;
    double mcp = 0.0;  ///< rad
    FingerLoad load;
  };
  [[nodiscard]] Along calc_along(const SearchTask& task, double angle);

 private:
  struct Candidate {
    double force_N = 0.0;
    PosturePoint point = PosturePoint::Zero();
  };
  static constexpr std::size_t kMostRaced = 8;
  using Climb = Ascent<4>;
  /// One pull's part of the search.
  struct Course {
    Vec2 direction = Vec2::UnitY();
    BoundedVector<Candidate, kMostRaced> candidates;  // best first, apart from each other
    std::optional<LoadProgram::Row> prices;           // of the best posture
    FingerTies ties;
    void reset(double pull_angle);
    void offer(const PostureSpace& space, const Candidate& candidate, std::size_t most);
    [[nodiscard]] double best_N() const { return candidates.empty() ? 0.0 : candidates[0].force_N; }
  };

  /// Offers the starts to some courses.
  void try_starts(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort,
                  std::span<const std::size_t> courses);
  /// The same for one point and one course.
  void try_point(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort,
                 const PosturePoint& point, Course& course);
  /// The searches of a finger that nobody leads, and of one that goes on from what another found.
  /// False when no posture of the table fits the site.
  bool search_from_table(const SearchTask& task, const PostureSpace& space, const FingerLeads* leads);
  void search_alone(const SearchTask& task, const PostureSpace& space);
  void search_after(const SearchTask& task, const PostureSpace& space, const FingerLeads& leads);
  void try_start(const PostureSpace& space, const SearchEffort& effort, const PosturePoint& point, Course& course);
  /// Climbs from the candidates; leaves the winners, best first, in their place.
  void race(const SearchTask& task, const PostureSpace& space, const SearchEffort& effort, Course& course);
  /// Most force along a course's pull with the program that is built; 0 when it is not above `least_N` (>= 0).
  [[nodiscard]] double find_force_above(const Course& course, double least_N);
  /// Most force along the pull and its slope, at a point in steps of the space.
  [[nodiscard]] Climb::Place look(const SearchTask& task, const PostureSpace& space, Course& course,
                                  const PosturePoint& in_steps);
  /// Takes a point found for another pull or by another finger where it is better.
  void adopt(const SearchTask& task, const PostureSpace& space, const PosturePoint& point, Course& course);
  /// What one pull found may serve its neighbours, and theirs.
  void spread(const SearchTask& task, const PostureSpace& space);
  /// Fan and leads from the courses.
  [[nodiscard]] FingerFan store(const PostureSpace& space);

  /// Lays the finger and builds its program; false when forearm or room do not allow the posture.
  bool build_program(const SearchTask& task, const FingerPosture& posture);

  FingerSeat seat_;
  Knuckle knuckle_;  // of the posture that is laid
  FingerProgram along_;
  /// Lines that bound the forces of the posture that is laid, from the pulls solved for it so far.
  BoundedVector<FingerProgram::Support, kPullCount> supports_;
  PostureSpace::Starts starts_;
  TableLeads table_leads_;
  std::array<Course, kPullCount> courses_;
  std::array<Climb, kMostRaced> climbs_;
  FingerLeads leads_;
};

}  // namespace steepwright::grip
