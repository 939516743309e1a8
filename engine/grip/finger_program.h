#pragma once

/// The forces of one seated finger as a linear program: pads with friction, tendons, ligaments, small muscles.
///
/// Balance of every joint, moments that would straighten the finger positive:
///
///   sum over pads beyond the joint of (p - joint) x f = arm_deep T_deep + arm_superficial T_superficial + small ones
///
/// with f inside the friction wedge of each pad, its normal part at most what the skin bears, tendon tensions within
/// strength. What the hold feels is the sum of f.

#include "engine/grip/load_program.h"
#include "engine/grip/seating.h"

#include <limits>

namespace steepwright::grip {

/// What the muscles of one finger give at most.
struct FingerStrengthLimits {
  double deep_N = 0.0;         ///< deep flexor's tendon
  double superficial_N = 0.0;  ///< superficial flexor's tendon
  double thumb_N = 0.0;        ///< locking thumb on the back of the end bone; 0: none
};

/// Force and inner loads of a finger at some load.
struct FingerLoad {
  Vec2 force = Vec2::Zero();  ///< of the hold on the finger, y and z of S, N
  double deep_N = 0.0, superficial_N = 0.0, thumb_N = 0.0;
  double passive_dip_Nm = 0.0;
  double friction_used = 0.0;  ///< largest tangential over normal force among the pads that bear, over mu
};

/// Moments count in newton-centimetres in the rows, so that they are of the size of the forces' levers.
inline constexpr double kMomentScale = 100.0;

/// What is tied at an optimum (LoadProgram::Tie), by names that outlast the posture: the piece of skin or the muscle,
/// and which of its columns.
struct FingerTie {
  std::size_t part = 0, column = 0, key = 0;
};
using FingerTies = BoundedVector<FingerTie, static_cast<std::size_t>(LoadProgram::kRows)>;

/// One finger's program. Rows: moments about DIP, PIP and MCP, and the part of the load across the direction.
class FingerProgram {
 public:
  /// Builds the program of a seating. mu: friction of skin on the surface; `fit` scales every limit, as the seating's
  /// room does.
  void build(const Finger& finger, const Seating& seating, const FingerPosture& posture, double mcp,
             const FingerStrengthLimits& limits, double mu, double fit = 1.0);

  /// Most load s with force = s * direction: sets the direction, then solves.
  double solve_along(const Vec2& direction);
  /// The same from the ties of a neighbouring posture: the value is the same, it comes sooner. What is no more than
  /// `least_N` is only bounded.
  LoadProgram::Status solve_along(const Vec2& direction, const FingerTies& ties, double least_N = -1.0);
  /// Sets the direction alone and says what the load can be at most, from a neighbour's prices.
  double find_bound_along(const Vec2& direction, const LoadProgram::Row& prices);
  /// Of the last solve, N; a bound where that ended with kNotAbove.
  [[nodiscard]] double value() const { return program_.value(); }
  /// Ties of the last solve.
  [[nodiscard]] FingerTies ties() const;
  /// No force of a posture passes the line normal . f = limit_N.
  struct Support {
    Vec2 normal = Vec2::Zero();
    double limit_N = 0.0;
    /// Most load along a pull that the line leaves, N.
    [[nodiscard]] double find_bound(const Vec2& direction) const {
      const double along = normal.dot(direction);
      return along > 0.0 ? limit_N / along : std::numeric_limits<double>::infinity();
    }
  };
  /// What the prices of the last solve, along `direction`, say of all other pulls.
  [[nodiscard]] Support support(const Vec2& direction) const;

  /// Force of the last solve.
  [[nodiscard]] Vec2 force() const;
  [[nodiscard]] FingerLoad load() const;
  [[nodiscard]] const LoadProgram& program() const { return program_; }

  // Of the last solve, for slopes. Contacts as in the seating.
  [[nodiscard]] Vec2 contact_force(std::size_t contact) const;
  /// What the optimum gains by a newton more that a contact bears.
  [[nodiscard]] double contact_price(std::size_t contact) const { return program_.limit_price(contact); }
  [[nodiscard]] double contact_limit(std::size_t contact) const { return program_.limit(contact); }
  /// The same in newton-metres for the ligaments of the end joint; 0 when they carry nothing.
  [[nodiscard]] double passive_dip_price() const {
    return passive_ == kAbsent ? 0.0 : program_.limit_price(LoadProgram::group_of(passive_));
  }
  [[nodiscard]] double deep_N() const { return tension(deep_); }
  [[nodiscard]] double superficial_N() const { return tension(superficial_); }
  [[nodiscard]] double thumb_N() const { return tension(thumb_); }
  /// Share of every limit that forearm and roof leave.
  [[nodiscard]] double room() const { return room_; }

 private:
  struct Edge {
    std::size_t column = 0;
    Vec2 force = Vec2::Zero();  ///< per unit of normal force
    std::size_t contact = 0;
  };
  static constexpr std::size_t kMuscles = 8;
  static constexpr std::size_t kParts = kMaxPadContacts + kMuscles;
  static constexpr std::size_t kAbsent = ~std::size_t{0};
  void set_direction(const Vec2& direction);
  /// A group for a part that can carry something.
  void start_part(std::size_t part, double limit);
  /// A muscle's or ligament's only column; kAbsent when it carries nothing.
  std::size_t add_muscle(double limit, const LoadProgram::Row& row);
  [[nodiscard]] double tension(std::size_t column) const { return column == kAbsent ? 0.0 : program_.x(column); }

  LoadProgram program_;
  BoundedVector<std::size_t, kParts> parts_;        ///< of each group of the program
  std::array<std::size_t, kParts> groups_;          ///< of each part, kAbsent: not there
  BoundedVector<Edge, 2 * kMaxPadContacts> edges_;  ///< two a contact, whose groups come first
  std::size_t n_muscles_ = 0;                       ///< asked for so far
  std::size_t deep_ = 0, superficial_ = 0, passive_ = 0, thumb_ = 0;
  double mu_ = 0.0;
  double room_ = 1.0;
};

}  // namespace steepwright::grip
