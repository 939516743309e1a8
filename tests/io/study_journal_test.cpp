// The file of a study: what a kill leaves, what is refused.

#include "engine/io/study_journal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace steepwright::io {
namespace {

class JournalFile : public testing::Test {
 protected:
  void SetUp() override {
    path_ = (std::filesystem::temp_directory_path() /
             (std::string("steepwright-journal-") + testing::UnitTest::GetInstance()->current_test_info()->name()))
                .string();
    std::filesystem::remove(path_);
  }
  void TearDown() override { std::filesystem::remove(path_); }

  Result<StudyJournal> open(const Json& header) {
    samples_.clear();
    return StudyJournal::open(path_, header, [this](const Json& row) {
      if (!row.contains("sample")) return false;
      samples_.push_back(row["sample"].get<int>());
      return true;
    });
  }
  [[nodiscard]] std::string read() const {
    std::ostringstream text;
    text << std::ifstream(path_).rdbuf();
    return text.str();
  }
  void write(const std::string& text) const { std::ofstream(path_) << text; }

  std::string path_;
  std::vector<int> samples_;
  Json header_ = {{"study", "bodies"}, {"digest", "abc"}};
};

TEST_F(JournalFile, GoesOnAfterItsWholeRows) {
  {
    auto journal = open(header_);
    ASSERT_TRUE(journal);
    ASSERT_TRUE(journal->append({R"({"sample":0})", R"({"sample":1})"}));
  }
  auto journal = open(header_);
  ASSERT_TRUE(journal);
  EXPECT_EQ(journal->count(), 2);
  ASSERT_TRUE(journal->append({R"({"sample":2})"}));
  EXPECT_THAT(samples_, testing::ElementsAre(0, 1, 2));
  EXPECT_EQ(read(), header_.dump() + "\n{\"sample\":0}\n{\"sample\":1}\n{\"sample\":2}\n");
}

TEST_F(JournalFile, DropsARowThatWasCutOffAtAnyByte) {
  const std::string whole = header_.dump() + "\n{\"sample\":0}\n{\"sample\":1}\n";
  for (std::size_t size = header_.dump().size() + 1; size < whole.size(); ++size) {
    write(whole.substr(0, size));
    auto journal = open(header_);
    ASSERT_TRUE(journal) << size;
    ASSERT_EQ(journal->count(), static_cast<std::int64_t>(samples_.size()));
    for (int sample = static_cast<int>(journal->count()); sample < 2; ++sample)
      ASSERT_TRUE(journal->append({"{\"sample\":" + std::to_string(sample) + "}"}));
    EXPECT_EQ(read(), whole) << size;
  }
}

TEST_F(JournalFile, BeginsAnewAfterAHeaderThatWasCutOff) {
  write(header_.dump().substr(0, 10));
  auto journal = open(header_);
  ASSERT_TRUE(journal);
  EXPECT_EQ(read(), header_.dump() + "\n");
}

TEST_F(JournalFile, RefusesAnotherStudyAndKeepsIt) {
  const std::string text = header_.dump() + "\n{\"sample\":0}\n";
  write(text);
  Json other = header_;
  other["digest"] = "abd";
  const auto journal = open(other);
  ASSERT_FALSE(journal);
  EXPECT_THAT(to_text(journal.error().front()), testing::HasSubstr("another scene, climber or other options"));
  EXPECT_EQ(read(), text);
}

TEST_F(JournalFile, RefusesAFileThatIsNone) {
  write("my notes\nare precious");
  EXPECT_FALSE(open(header_));
  EXPECT_EQ(read(), "my notes\nare precious");
  for (const char* text : {"my notes without a line break", "{\"study\": \"of my own\"}"}) {
    write(text);
    EXPECT_FALSE(open(header_));
    EXPECT_EQ(read(), text);
  }
}

TEST_F(JournalFile, IsWrittenByOneAtATime) {
  auto first = open(header_);
  ASSERT_TRUE(first);
  const auto second = open(header_);
  ASSERT_FALSE(second);
  EXPECT_THAT(to_text(second.error().front()), testing::HasSubstr("another study is writing it"));
}

TEST(Digest, ChangesWithTheText) {
  EXPECT_EQ(find_digest("").size(), 16U);
  EXPECT_NE(find_digest("angle 35"), find_digest("angle 36"));
  EXPECT_EQ(find_digest(""), "cbf29ce484222325");  // FNV-1a's offset basis (Fowler, Noll & Vo, from memory)
}

}  // namespace
}  // namespace steepwright::io
