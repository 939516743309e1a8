#include "engine/cli/commands.h"
#include "engine/io/atomic_file.h"
#include "engine/io/text_file.h"

#include <fmt/format.h>

#include <filesystem>

namespace steepwright::cli {

Exit run_demo(const std::string& folder) {
  namespace fs = std::filesystem;
  std::error_code error;
  fs::create_directories(folder, error);
  if (!fs::is_directory(folder)) {
    complain(fmt::format("the folder '{}' cannot be made{}", folder, error ? ": " + error.message() : ""));
    return Exit::kBadInput;
  }
  std::string report;
  bool is_saved = true;
  for (const std::string& name : io::embedded_names()) {
    // Scenes look for inventory and climber beside themselves, so all files lie in one folder.
    const fs::path path = fs::path(folder) / fs::path(name).filename();
    if (fs::exists(fs::symlink_status(path, error))) {
      report += fmt::format("kept     {}\n", path.string());
      continue;
    }
    const Result<void> saved = io::save_atomically(path.string(), io::embedded_file(name).value_or(""));
    if (!saved) {
      print_findings(saved.error());
      is_saved = false;
      continue;
    }
    report += fmt::format("written  {}\n", path.string());
  }
  const fs::path scene = fs::path(folder) / fs::path(io::kDefaultScene).filename();
  report += fmt::format("\nEdit a scene, then judge it:\n  steepwright check {}\n", scene.string());
  const bool is_printed = print(report);
  return is_saved && is_printed ? Exit::kAllHold : Exit::kBadInput;
}

}  // namespace steepwright::cli
