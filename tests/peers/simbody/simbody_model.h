#pragma once

/// The same tree built in Simbody, behind plain numbers, so that neither side sees the other's headers. Compiles as
/// C++17 and C++20. Vectors are double[3]; matrices are row-major.

#include <array>
#include <memory>
#include <vector>

namespace steepwright::peers {

struct PlainHinge {
  int axis = 0;  ///< 0 x, 1 y, 2 z of the segment
  double sign = 1.0;
};

struct PlainSegment {
  int parent = -1;
  std::array<double, 3> p_PB{};
  std::vector<PlainHinge> hinges;  ///< one to three; the root is free
  double mass_kg = 0.0;
  std::array<double, 3> p_Bcm{};
};

struct PlainForce {
  int segment = 0;
  std::array<double, 3> p_BQ{}, f_Q_W{};
};

class SimbodyModel {
 public:
  /// Neighbouring hinges of a segment must turn about different axes.
  SimbodyModel(const std::vector<PlainSegment>& segments, double gravity);
  ~SimbodyModel();
  SimbodyModel(const SimbodyModel&) = delete;
  SimbodyModel& operator=(const SimbodyModel&) = delete;

  /// Takes the coordinates of a posture; the result is Simbody's own, to be set later at no cost of conversion.
  int add_posture(const std::array<double, 3>& p_WB, const std::array<double, 9>& R_WB,
                  const std::vector<double>& angles);

  /// Sets a stored posture and realizes positions.
  void set_posture(int index);
  [[nodiscard]] std::array<double, 3> find_com() const;
  [[nodiscard]] std::array<double, 3> find_position(int segment, const std::array<double, 3>& p_BQ) const;

  /// As J^T e of the segments' masses, for the three directions: Simbody has no call of its own. Result is kept inside.
  void calc_com_jacobian();
  /// Jacobians of the stations given last to `set_stations`, in one call. Result is kept inside.
  void calc_station_jacobians();
  void set_stations(const std::vector<int>& segments, const std::vector<std::array<double, 3>>& p_BQ);

  /// Generalised forces that hold the present posture against gravity and point forces on the body, in the engine's
  /// order: root translation, root rotation, hinges.
  [[nodiscard]] std::vector<double> calc_holding_torques(const std::vector<PlainForce>& forces) const;

  /// Entry of the stored centre-of-mass Jacobian in the engine's order of columns.
  [[nodiscard]] double com_jacobian(int row, int column) const;
  [[nodiscard]] double station_jacobian(int station, int row, int column) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace steepwright::peers
