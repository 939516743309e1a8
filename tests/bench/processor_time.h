#pragma once

/// Time that the processors spent on this program, over all threads: what else the machine does hardly changes it.

#include <ctime>

namespace steepwright::bench {

[[nodiscard]] inline double find_processor_s() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

[[nodiscard]] inline double find_processor_ms() { return 1e3 * find_processor_s(); }

}  // namespace steepwright::bench
