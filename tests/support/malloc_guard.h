#pragma once

/// Counts heap allocations of the calling thread, for tests and benchmarks of paths that must not allocate.

#include <cstddef>

namespace steepwright::tests {

/// Allocations (operator new and malloc through it) made by this thread so far.
[[nodiscard]] std::size_t allocation_count();

}  // namespace steepwright::tests
