#pragma once

/// Files that are written beside a scene.

#include <filesystem>
#include <string>
#include <vector>

namespace steepwright::viewer {

/// "scan.stl", "scan-2.stl", ...: the first that is not there.
[[nodiscard]] std::filesystem::path find_free_file(const std::filesystem::path& folder, const std::string& stem,
                                                   const std::string& ending);

/// Files that go again unless they are kept.
class NewFiles {
 public:
  NewFiles() = default;
  ~NewFiles();
  NewFiles(NewFiles&&) = default;
  NewFiles& operator=(NewFiles&&) = delete;

  void add(const std::filesystem::path& file) { files_.push_back(file); }
  void keep() { files_.clear(); }

 private:
  std::vector<std::filesystem::path> files_;
};

}  // namespace steepwright::viewer
