/// libFuzzer entry: any bytes as a scene, an inventory and a climber. Each either loads, and then what is written of it
/// loads again, or gives errors with text. References are looked up among the shipped files only: no file is touched.

#include "engine/io/climber_file.h"
#include "engine/io/hold_file.h"
#include "engine/io/scene_file.h"
#include "engine/io/scene_writer.h"

#include <cstdint>
#include <cstdio>
#include <cstdlib>

namespace {

using namespace steepwright;

void demand(bool condition, const char* what) {
  if (condition) return;
  std::fprintf(stderr, "broken: %s\n", what);
  std::abort();
}

template <typename T>
void check_failure(const Result<T>& result) {
  if (result) return;
  demand(has_errors(result.error()), "a failure has an error");
  for (const Finding& finding : result.error()) demand(!finding.message.empty(), "every finding has text");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto scene = io::parse_scene(text, "fuzzed.toml");
  check_failure(scene);
  if (scene) {
    const auto again = io::parse_scene(io::write_scene(scene->scene, scene->source), "written.toml");
    demand(again.has_value(), "a written scene loads");
  }
  check_failure(io::parse_inventory(text, "fuzzed.toml"));
  check_failure(io::parse_climber(text, "fuzzed.toml"));
  return 0;
}
