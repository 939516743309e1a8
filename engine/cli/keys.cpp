#include "engine/io/keys.h"

#include "engine/cli/commands.h"

namespace steepwright::cli {

Exit run_keys() { return print(io::describe_keys()) ? Exit::kAllHold : Exit::kBadInput; }

}  // namespace steepwright::cli
