#include "engine/core/contract.h"

#include <cstdio>
#include <cstdlib>

namespace steepwright {

void contract_violated(const char* condition, const char* file, int line) {
  std::fprintf(stderr, "%s:%d: internal error: %s does not hold; please report this with the scene file\n", file, line,
               condition);
  std::abort();
}

}  // namespace steepwright
