#include "engine/io/study_journal.h"

#include "engine/io/text.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

namespace steepwright::io {

namespace {

tl::unexpected<Findings> fail(const std::string& path, int line, std::string message, std::string remedy = "") {
  tl::unexpected<Findings> findings = failure(std::move(message), std::move(remedy));
  findings.value().front().place = {path, line, 0};
  return findings;
}

constexpr auto kBetweenFlushes = std::chrono::milliseconds(250);
constexpr const char* kOtherName = "give the study another file, or remove this one";

}  // namespace

std::string find_digest(std::string_view text) {
  std::uint64_t hash = 0xCBF29CE484222325ULL;
  for (const char letter : text) {
    hash ^= static_cast<unsigned char>(letter);
    hash *= 0x100000001B3ULL;
  }
  return fmt::format("{:016x}", hash);
}

Result<StudyJournal> StudyJournal::open(const std::string& path, const Json& header, OnRow on_row) {
  StudyJournal journal(path, std::move(on_row));
  if (path.empty()) return journal;
  journal.descriptor_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (journal.descriptor_ < 0) {
    return fail(path, 0, fmt::format("cannot be written: {}", std::strerror(errno)),
                "check that the folder exists and may be written");
  }
  struct stat status {};
  if (::fstat(journal.descriptor_, &status) != 0 || !S_ISREG(status.st_mode))
    return fail(path, 0, "is not a regular file", "name a file");
  if (::flock(journal.descriptor_, LOCK_EX | LOCK_NB) != 0)
    return fail(path, 0, "another study is writing it", "wait for it, or name another file");
  Result<void> begun = journal.start(header);
  if (!begun) return tl::unexpected<Findings>(begun.error());
  return journal;
}

StudyJournal::StudyJournal(StudyJournal&& other) noexcept
    : path_(std::move(other.path_)),
      on_row_(std::move(other.on_row_)),
      descriptor_(std::exchange(other.descriptor_, -1)),
      count_(other.count_) {}

StudyJournal::~StudyJournal() {
  if (descriptor_ < 0) return;
  static_cast<void>(flush());
  ::close(descriptor_);
}

/// Reads the file line by line, so that its size does not matter.
Result<void> StudyJournal::start(const Json& header) {
  std::string line;
  std::array<char, 1 << 16> buffer{};
  off_t whole = 0;  ///< bytes of whole lines
  int n_lines = 0;
  for (ssize_t size = 0; (size = ::read(descriptor_, buffer.data(), buffer.size())) > 0;) {
    for (ssize_t k = 0; k < size; ++k) {
      const char letter = buffer[static_cast<std::size_t>(k)];
      if (letter != '\n') {
        line += letter;
        continue;
      }
      ++n_lines;
      whole += static_cast<off_t>(line.size()) + 1;
      if (Result<void> taken = take_over(line, n_lines == 1 ? header : Json()); !taken) {
        taken.error().front().place.line = n_lines;
        return taken;
      }
      line.clear();
    }
  }
  if (n_lines == 0 && !format_json_line(header).starts_with(line))
    return fail(path_, 1, "is no file of a study", kOtherName);
  // What follows the last whole line was cut off while it was written.
  if (::ftruncate(descriptor_, whole) != 0 || ::lseek(descriptor_, whole, SEEK_SET) < 0)
    return fail(path_, 0, fmt::format("cannot be written: {}", std::strerror(errno)));
  return n_lines == 0 ? write(format_json_line(header) + "\n") : Result<void>{};
}

/// One whole line of the file: the header when `header` is given, else a row.
Result<void> StudyJournal::take_over(const std::string& text, const Json& header) {
  const Json line = Json::parse(text, nullptr, /*allow_exceptions=*/false);
  if (!header.is_null()) {
    if (!line.is_object() || !line.contains("study")) return fail(path_, 0, "is no file of a study", kOtherName);
    if (format_json_line(line) == format_json_line(header)) return {};
    const std::string kind = read_text(line, "study").value_or("");
    const bool is_other_kind = kind != read_text(header, "study").value_or("");
    return fail(path_, 0,
                is_other_kind ? fmt::format("is a study of another kind ({})", in_quotes(kind))
                              : "is a study of another scene, climber or other options",
                kOtherName);
  }
  if (!line.is_object() || !on_row_(line)) return fail(path_, 0, "is no row of this study", kOtherName);
  ++count_;
  return {};
}

Result<void> StudyJournal::write(std::string_view text) {
  while (!text.empty()) {
    const ssize_t size = ::write(descriptor_, text.data(), text.size());
    if (size < 0 && errno == EINTR) continue;
    if (size < 0)
      return fail(path_, 0, fmt::format("cannot be written: {}", std::strerror(errno)), "the rows before are kept");
    text.remove_prefix(static_cast<std::size_t>(size));
  }
  const std::chrono::steady_clock::time_point now = std::chrono::steady_clock::now();
  if (now - flushed_ < kBetweenFlushes) return {};
  flushed_ = now;
  return flush();
}

Result<void> StudyJournal::flush() {
  if (::fsync(descriptor_) != 0 && errno != EINVAL)
    return fail(path_, 0, fmt::format("cannot be flushed: {}", std::strerror(errno)));
  return {};
}

Result<void> StudyJournal::append(const std::vector<std::string>& rows) {
  if (descriptor_ >= 0) {
    std::string text;
    for (const std::string& row : rows) text += row + "\n";
    if (Result<void> written = write(text); !written) return written;
  }
  for (const std::string& row : rows) {
    const Json line = Json::parse(row, nullptr, /*allow_exceptions=*/false);
    if (!line.is_object() || !on_row_(line)) return fail(path_, 0, "a row of the study cannot be read back");
    ++count_;
  }
  return {};
}

}  // namespace steepwright::io
