#pragma once

/// Matchers that compare vectors as a whole and print both sides, the unit and the worst entry.

#include <Eigen/Core>
#include <gtest/gtest.h>

#include <sstream>
#include <string>

namespace steepwright::tests {

/// Succeeds when every entry of `actual` is within `tolerance` of `expected`.
template <typename A, typename B>
[[nodiscard]] testing::AssertionResult is_near(const Eigen::MatrixBase<A>& actual, const Eigen::MatrixBase<B>& expected,
                                               double tolerance, const std::string& unit = "") {
  if (actual.rows() != expected.rows() || actual.cols() != expected.cols()) {
    return testing::AssertionFailure() << "sizes differ: " << actual.rows() << "x" << actual.cols() << " and "
                                       << expected.rows() << "x" << expected.cols();
  }
  const Eigen::MatrixXd difference = (actual - expected).cwiseAbs();
  Eigen::Index row = 0;
  Eigen::Index column = 0;
  if (difference.size() == 0) return testing::AssertionSuccess();
  const double worst = difference.maxCoeff(&row, &column);
  if (difference.allFinite() && worst <= tolerance) return testing::AssertionSuccess();
  std::ostringstream text;
  text << "differ by " << worst << " " << unit << " at (" << row << ", " << column << "), allowed " << tolerance
       << "\nactual:\n"
       << actual << "\nexpected:\n"
       << expected;
  return testing::AssertionFailure() << text.str();
}

}  // namespace steepwright::tests
