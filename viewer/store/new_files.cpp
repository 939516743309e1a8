#include "viewer/store/new_files.h"

#include <fmt/format.h>

#include <system_error>

namespace steepwright::viewer {

namespace fs = std::filesystem;

fs::path find_free_file(const fs::path& folder, const std::string& stem, const std::string& ending) {
  std::error_code error;
  fs::path file = folder / (stem + ending);
  for (int number = 2; fs::exists(file, error); ++number) file = folder / fmt::format("{}-{}{}", stem, number, ending);
  return file;
}

NewFiles::~NewFiles() {
  std::error_code error;
  for (const fs::path& file : files_) fs::remove(file, error);
}

}  // namespace steepwright::viewer
