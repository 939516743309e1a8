#pragma once

/// Scenes of the tree as documents, and folders that go with the test.

#include "engine/io/scene_writer.h"
#include "viewer/store/scene_store.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <string>

namespace steepwright::tests {

/// The bytes that saving would write.
[[nodiscard]] inline std::string text_of(const viewer::Document& document) {
  return io::write_scene(document.scene(), document.state().source);
}

[[nodiscard]] inline std::filesystem::path demo(const std::string& name) {
  return std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "scenes/demo" / name;
}

/// The default scene; a failing test when it does not open.
[[nodiscard]] inline viewer::Document open_default() {
  auto opened = viewer::open_default_scene();
  EXPECT_TRUE(opened.has_value());
  return viewer::Document(std::move(*opened));
}

/// A folder of its own, removed at the end.
class TemporaryFolder {
 public:
  TemporaryFolder() {
    static int number = 0;
    path_ = std::filesystem::temp_directory_path() /
            ("steepwright-viewer-" + std::to_string(::getpid()) + "-" + std::to_string(number++));
    std::filesystem::create_directories(path_);
  }
  ~TemporaryFolder() {
    std::error_code error;
    std::filesystem::remove_all(path_, error);
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace steepwright::tests
