#pragma once

/// Assertions for our own bugs (never for user input). They stay on in every build: the checks are cheap and
/// a wrong verdict is worse than a stopped program.

namespace steepwright {

[[noreturn]] void contract_violated(const char* condition, const char* file, int line);

}  // namespace steepwright

#define STEEPWRIGHT_ASSERT(condition) \
  ((condition) ? static_cast<void>(0) : ::steepwright::contract_violated(#condition, __FILE__, __LINE__))
