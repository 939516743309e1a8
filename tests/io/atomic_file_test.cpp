#include "engine/io/atomic_file.h"

#include "engine/io/scene_writer.h"
#include "engine/io/text_file.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace steepwright::io {
namespace {

namespace fs = std::filesystem;

/// A folder of its own for each test, removed at the end.
class AtomicFile : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "steepwright-XXXXXX").string();
    ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override { fs::remove_all(folder_); }

  static void put(const fs::path& path, const std::string& text) { std::ofstream(path) << text; }
  static std::string get(const fs::path& path) {
    std::ifstream file(path);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
  }
  [[nodiscard]] std::size_t count_files() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
  }

  fs::path folder_;
};

TEST_F(AtomicFile, WritesANewFileAndReplacesAnOldOne) {
  const fs::path path = folder_ / "a.toml";
  ASSERT_TRUE(save_atomically(path, "one"));
  EXPECT_EQ(get(path), "one");
  ASSERT_TRUE(save_atomically(path, "two"));
  EXPECT_EQ(get(path), "two");
  EXPECT_EQ(count_files(), 1U);
}

TEST_F(AtomicFile, KeepsThePermissions) {
  const fs::path path = folder_ / "a.toml";
  put(path, "one");
  ASSERT_EQ(::chmod(path.c_str(), 0640), 0);
  ASSERT_TRUE(save_atomically(path, "two"));
  struct stat status {};
  ASSERT_EQ(::stat(path.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 07777U, 0640U);
}

TEST_F(AtomicFile, WritesThroughALink) {
  put(folder_ / "real.toml", "one");
  fs::create_symlink("real.toml", folder_ / "link.toml");
  ASSERT_TRUE(save_atomically(folder_ / "link.toml", "two"));
  EXPECT_TRUE(fs::is_symlink(folder_ / "link.toml"));
  EXPECT_EQ(get(folder_ / "real.toml"), "two");
}

TEST_F(AtomicFile, RefusesFoldersDevicesAndMissingFolders) {
  EXPECT_FALSE(save_atomically(folder_, "text"));
  EXPECT_FALSE(save_atomically("/dev/null", "text"));
  EXPECT_FALSE(save_atomically(folder_ / "no" / "a.toml", "text"));
  EXPECT_EQ(count_files(), 0U);
  EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

TEST_F(AtomicFile, AFullDiskLeavesTheOldFileAndNothingBeside) {
  const fs::path path = folder_ / "a.toml";
  put(path, "what was there");
  // A child that may write files of at most 1000 bytes stands for a full disk: write() fails in the middle.
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{1000, 1000};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    ::_exit(save_atomically(path, std::string(100000, 'x')) ? 1 : 0);
  }
  int status = 0;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_EQ(WEXITSTATUS(status), 0) << "the write must report an error";
  EXPECT_EQ(get(path), "what was there");
  EXPECT_EQ(count_files(), 1U);
}

TEST_F(AtomicFile, SavingASceneSaysOnceThatCommentsAreLost) {
  const auto loaded = load_default_scene();
  ASSERT_TRUE(loaded);
  const fs::path path = folder_ / "scene.toml";
  put(path, std::string(*embedded_file(kDefaultScene)));
  const auto first = save_scene(path, loaded->scene, loaded->source);
  ASSERT_TRUE(first);
  EXPECT_TRUE(first->comments_lost);
  const auto second = save_scene(path, loaded->scene, loaded->source);
  ASSERT_TRUE(second);
  EXPECT_FALSE(second->comments_lost);
  EXPECT_TRUE(load_scene(path));
}

TEST_F(AtomicFile, ASceneThatWouldNotLoadAgainIsNotWritten) {
  const auto loaded = load_default_scene();
  ASSERT_TRUE(loaded);
  const fs::path path = folder_ / "scene.toml";
  SceneSource source = loaded->source;
  source.inventory_file = "not-here.toml";
  EXPECT_FALSE(save_scene(path, loaded->scene, source));
  move::Scene broken = loaded->scene;
  broken.holds.front().across_m = std::nan("");
  EXPECT_FALSE(save_scene(path, broken, loaded->source));
  EXPECT_EQ(count_files(), 0U);
}

}  // namespace
}  // namespace steepwright::io
