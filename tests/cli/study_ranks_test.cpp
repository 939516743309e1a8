// Studies on several ranks: the result of one process, whatever happens to a rank.

#include "tests/cli/process.h"
#include "tests/cli/study_arguments.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;

/// Under the address sanitizer the MPI library's own leaks would end every rank with an error.
bool has_mpirun() {
#ifdef __SANITIZE_ADDRESS__
  return false;
#else
  return std::system("mpirun --version > /dev/null 2>&1") == 0;
#endif
}

/// The command as it was built beside the tests.
std::string find_command() {
  return (std::filesystem::read_symlink("/proc/self/exe").parent_path().parent_path() / "engine/cli/steepwright")
      .string();
}

/// Runs the command on so many ranks. `before`: what stands before it.
int run_on_ranks(int n, const std::vector<std::string>& arguments, const std::string& before = "") {
  std::string command =
      "mpirun --allow-run-as-root --oversubscribe -n " + std::to_string(n) + " " + before + " '" + find_command() + "'";
  for (const std::string& argument : arguments) command += " '" + argument + "'";
  return std::system((command + " > /dev/null 2>&1").c_str());
}

TEST(StudyRanks, MergeToTheResultOfOneProcess) {
  if (!has_mpirun()) GTEST_SKIP() << "mpirun is not installed, or the sanitizer does not go with it";
  const TemporaryFolder folder;
  const std::string alone = folder.file("alone.jsonl");
  const std::vector<std::string> tune = {"study", "tune", "--move", kMove, "--vary", "strength=0.5:1.1:0.3"};
  const auto with_rows = [](const std::vector<std::string>& arguments, const std::string& rows) {
    return join(arguments, {"--rows", rows});
  };
  ASSERT_EQ(launch(with_rows(tune, alone)).status, 0);
  for (const int n : {1, 2, 4}) {
    const std::string rows = folder.file("ranks" + std::to_string(n) + ".jsonl");
    ASSERT_EQ(run_on_ranks(n, with_rows(tune, rows)), 0) << n;
    EXPECT_EQ(read_file(rows), read_file(alone)) << n;
  }
}

/// Each rank's files cannot grow past one block, as on a full disk; those of its transport in shared memory neither.
TEST(StudyRanks, EndWithTwoOnAFullDiskAndGoOn) {
  if (!has_mpirun()) GTEST_SKIP() << "mpirun is not installed, or the sanitizer does not go with it";
  const TemporaryFolder folder;
  const std::string alone = folder.file("alone.jsonl");
  const std::string rows = folder.file("rows.jsonl");
  const std::vector<std::string> tune = {"study", "tune", "--move", kMove, "--vary", "strength=0.5:1.1:0.15", "--rows"};
  const auto with_rows = [&tune](const std::string& file) { return join(tune, {file}); };
  ASSERT_EQ(launch(with_rows(alone)).status, 0);
  const int full =
      run_on_ranks(2, with_rows(rows), "--mca btl self,tcp sh -c 'trap \"\" XFSZ; ulimit -f 1; exec \"$@\"' sh");
  EXPECT_EQ(WEXITSTATUS(full), 2);
  EXPECT_LT(read_file(rows).size(), read_file(alone).size());
  ASSERT_EQ(run_on_ranks(2, with_rows(rows)), 0);
  EXPECT_EQ(read_file(rows), read_file(alone));
}

/// What Ctrl-C comes to: mpirun passes on a wish to end. It goes to the ranks at once here, because mpirun kills those
/// that have not ended after a second, which says nothing on a busy machine.
TEST(StudyRanks, SayThatTheyWereInterrupted) {
  if (!has_mpirun()) GTEST_SKIP() << "mpirun is not installed, or the sanitizer does not go with it";
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  const std::string said = folder.file("said.txt");
  // Rows are kept from the start on: one after the header is enough to know that the ranks are at work.
  write_file(folder.file("stop.sh"), R"sh(
mpirun --allow-run-as-root --oversubscribe -n 3 "$@" > /dev/null 2> "$SAID" &
for i in $(seq 400); do
  sleep 0.05
  if [ "$(cat "$ROWS" 2> /dev/null | wc -l)" -gt 1 ]; then break; fi
done
kill -TERM $(pgrep -P $!)
wait $!
)sh");
  const std::string command = "ROWS='" + rows + "' SAID='" + said + "' sh '" + folder.file("stop.sh") + "' '" +
                              find_command() + "' study tune --move '" + kMove +
                              "' --vary strength=0.5:1.3:0.01 --rows '" + rows + "'";
  EXPECT_NE(std::system(command.c_str()), 0);
  EXPECT_THAT(read_file(said), testing::AllOf(HasSubstr("interrupted after"), HasSubstr("goes on from")));
}

TEST(StudyRanks, MapTheReachOfOneProcess) {
  if (!has_mpirun()) GTEST_SKIP() << "mpirun is not installed, or the sanitizer does not go with it";
  const TemporaryFolder folder;
  const std::string alone = folder.file("alone.json");
  ASSERT_EQ(launch(reach({"--json", alone})).status, 0);
  for (const int n : {1, 2, 4}) {
    const std::string map = folder.file("ranks" + std::to_string(n) + ".json");
    ASSERT_EQ(run_on_ranks(n, reach({"--json", map})), 0) << n;
    EXPECT_EQ(read_file(map), read_file(alone)) << n;
  }
}

/// Starts three ranks, kills the last one once rows are there, waits for the rest.
constexpr const char* kKillScript = R"sh(
mpirun --allow-run-as-root --oversubscribe --enable-recovery --mca orte_abort_on_non_zero_status 0 -n 3 "$@" \
  > /dev/null 2>&1 &
for i in $(seq 400); do
  sleep 0.05
  if [ "$(cat "$ROWS" 2> /dev/null | wc -l)" -gt 2 ]; then break; fi
done
kill -9 "$(pgrep -P $! | tail -n 1)"
wait $!
)sh";

TEST(StudyRanks, LoseNothingWhenOneDies) {
  if (!has_mpirun()) GTEST_SKIP() << "mpirun is not installed, or the sanitizer does not go with it";
  const TemporaryFolder folder;
  const std::string alone = folder.file("alone.jsonl");
  const std::string rows = folder.file("rows.jsonl");
  ASSERT_EQ(launch({"study", "tune", "--move", kMove, "--vary", "strength=0.5:1.3:0.05", "--rows", alone}).status, 0);
  write_file(folder.file("kill.sh"), kKillScript);
  const std::string command = "ROWS='" + rows + "' sh '" + folder.file("kill.sh") + "' '" + find_command() +
                              "' study tune --move '" + kMove + "' --vary strength=0.5:1.3:0.05 --rows '" + rows + "'";
  static_cast<void>(std::system(command.c_str()));
  EXPECT_EQ(read_file(rows), read_file(alone));
}

}  // namespace
}  // namespace steepwright::tests
