#include "viewer/commands/key_limits.h"

#include "engine/core/contract.h"

#include <algorithm>

namespace steepwright::viewer {

KeyLimits find_key_limits(io::FileKind kind, std::string_view path) {
  const auto keys = io::keys_of(kind);
  const auto found = std::find_if(keys.begin(), keys.end(), [path](const io::Key& key) { return key.path == path; });
  STEEPWRIGHT_ASSERT(found != keys.end());
  return {found->lower, found->upper};
}

}  // namespace steepwright::viewer
