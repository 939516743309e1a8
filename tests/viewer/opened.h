#pragma once

/// Scenes of the tree as documents, and folders that go with the test.

#include "engine/io/scene_writer.h"
#include "tests/support/temporary_folder.h"
#include "viewer/store/scene_store.h"

#include <gtest/gtest.h>

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

}  // namespace steepwright::tests
