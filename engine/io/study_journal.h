#pragma once

/// The file of a study: JSON Lines. The first line says what the study is, with the units of all columns and a digest
/// of scene and options; then one row a sample, in order. A study that was stopped goes on from its file: whole rows
/// are kept, a row that was cut off is dropped.

#include "engine/core/error.h"
#include "engine/io/json_text.h"

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// 16 hexadecimal digits that change when the text does (FNV-1a).
[[nodiscard]] std::string find_digest(std::string_view text);

class StudyJournal {
 public:
  /// Called with every row, those read from the file first; false: the row is none of this study's.
  using OnRow = std::function<bool(const Json&)>;

  /// Opens `path`, or makes it with this header; "": rows are kept in no file. Errors: the file is of another study, or
  /// has rows that cannot be read; it cannot be written; another process is writing it.
  [[nodiscard]] static Result<StudyJournal> open(const std::string& path, const Json& header, OnRow on_row);

  StudyJournal(StudyJournal&& other) noexcept;
  StudyJournal& operator=(StudyJournal&&) = delete;
  StudyJournal(const StudyJournal&) = delete;
  StudyJournal& operator=(const StudyJournal&) = delete;
  ~StudyJournal();

  /// Rows so far: the next sample's index.
  [[nodiscard]] std::int64_t count() const { return count_; }

  /// Appends rows, then hands them to on_row. They outlast this process at once, and a power cut after a quarter of a
  /// second: flushing the disk takes longer than many a row.
  [[nodiscard]] Result<void> append(const std::vector<std::string>& rows);

 private:
  StudyJournal(std::string path, OnRow on_row) : path_(std::move(path)), on_row_(std::move(on_row)) {}
  Result<void> start(const Json& header);
  Result<void> take_over(const std::string& text, const Json& header);
  Result<void> write(std::string_view text);
  Result<void> flush();

  std::string path_;
  OnRow on_row_;
  int descriptor_ = -1;
  std::int64_t count_ = 0;
  std::chrono::steady_clock::time_point flushed_;
};

}  // namespace steepwright::io
