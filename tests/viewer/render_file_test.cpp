/// Pictures on disk, and contexts that cannot be made.

#include "viewer/gl/glfw_context.h"
#include "viewer/picture/png.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>

namespace steepwright::viewer {
namespace {

std::filesystem::path make_folder() {
  const auto folder = std::filesystem::temp_directory_path() / ("steepwright-png-" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  return folder;
}

Image make_image() {
  Image image{37, 11, {}};
  for (int i = 0; i < 37 * 11; ++i) {
    for (const int channel : {i * 7, i * 13, i * 29, 255}) image.rgba.push_back(static_cast<std::uint8_t>(channel));
  }
  return image;
}

TEST(Png, ComesBackAsItWasWritten) {
  const auto path = make_folder() / "picture.png";
  const Image image = make_image();
  ASSERT_TRUE(save_png(path, image).has_value());
  const Result<Image> read = load_png(path);
  ASSERT_TRUE(read.has_value());
  EXPECT_EQ(read->width_px, 37);
  EXPECT_EQ(read->height_px, 11);
  EXPECT_EQ(read->rgba, image.rgba);
  std::filesystem::remove_all(make_folder());
}

TEST(Png, FaultsNameTheFile) {
  const auto folder = make_folder();
  EXPECT_FALSE(encode_png(Image{}).has_value());
  Image torn = make_image();
  torn.rgba.pop_back();
  const auto path = folder / "kept.png";
  ASSERT_TRUE(save_png(path, make_image()).has_value());
  EXPECT_FALSE(save_png(path, torn).has_value());
  EXPECT_TRUE(load_png(path).has_value()) << "the old picture is kept";
  const auto nowhere = save_png(folder / "no" / "such" / "folder.png", make_image());
  ASSERT_FALSE(nowhere.has_value());
  EXPECT_THAT(to_text(nowhere.error().front()), testing::HasSubstr("folder.png"));
  std::ofstream(folder / "text.png") << "no picture";
  const auto text = load_png(folder / "text.png");
  ASSERT_FALSE(text.has_value());
  EXPECT_THAT(to_text(text.error().front()), testing::HasSubstr("text.png"));
  std::filesystem::remove_all(folder);
}

// No display is an answer with a remedy, not the end of the program.
TEST(Window, SaysWhatIsMissingWithoutADisplay) {
  ::unsetenv("DISPLAY");
  ::unsetenv("WAYLAND_DISPLAY");
  const auto context = gl::make_window_context();
  ASSERT_FALSE(context.has_value());
  const std::string text = to_text(context.error().front());
  EXPECT_THAT(text, testing::HasSubstr("no window can be opened"));
  EXPECT_THAT(text, testing::HasSubstr("graphical session"));
}

}  // namespace
}  // namespace steepwright::viewer
