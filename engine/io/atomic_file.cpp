#include "engine/io/atomic_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <string>

namespace steepwright::io {

namespace {

tl::unexpected<Findings> fail(const std::filesystem::path& path, std::string message, std::string remedy = "") {
  tl::unexpected<Findings> findings = failure(std::move(message), std::move(remedy));
  findings.value().front().place.file = path.string();
  return findings;
}

std::string reason() { return std::strerror(errno); }

/// A new file beside the target that removes itself unless it was moved into place.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::filesystem::path& target) {
    // The name is unique among processes by the id, and among writers of this one by O_EXCL.
    for (int attempt = 0; attempt < 100 && descriptor_ < 0; ++attempt) {
      path_ = target.string() + fmt::format(".{}-{}.new", ::getpid(), attempt);
      descriptor_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (descriptor_ < 0 && errno != EEXIST) return;
    }
  }
  ~TemporaryFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (is_ours_) ::unlink(path_.c_str());
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  [[nodiscard]] bool is_open() {
    is_ours_ = is_ours_ || descriptor_ >= 0;
    return descriptor_ >= 0;
  }

  [[nodiscard]] bool copy_permissions(const struct stat& old) {
    // Another owner's file: keep the owner where we may (as root), else the file becomes ours.
    if (::fchown(descriptor_, old.st_uid, old.st_gid) != 0 && errno != EPERM) return false;
    return ::fchmod(descriptor_, old.st_mode & 07777U) == 0;
  }

  [[nodiscard]] bool write(std::string_view text) {
    while (!text.empty()) {
      const ssize_t count = ::write(descriptor_, text.data(), text.size());
      if (count < 0 && errno == EINTR) continue;
      if (count < 0) return false;
      text.remove_prefix(static_cast<std::size_t>(count));
    }
    return ::fsync(descriptor_) == 0;
  }

  [[nodiscard]] bool move_to(const std::filesystem::path& target) {
    const int descriptor = descriptor_;
    descriptor_ = -1;
    if (::close(descriptor) != 0) return false;
    if (std::rename(path_.c_str(), target.c_str()) != 0) return false;
    is_ours_ = false;
    return true;
  }

 private:
  std::string path_;
  int descriptor_ = -1;
  bool is_ours_ = false;
};

/// The rename itself survives a power cut only when the folder is flushed; failing that loses nothing.
void flush_folder(const std::filesystem::path& target) {
  const std::string folder = target.has_parent_path() ? target.parent_path().string() : ".";
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

}  // namespace

Result<void> save_atomically(const std::filesystem::path& path, std::string_view text) {
  std::error_code error;
  // Renaming over a link would replace the link; a link to nothing is written as the file it names.
  std::filesystem::path target = path;
  if (std::filesystem::is_symlink(std::filesystem::symlink_status(path, error))) {
    target = std::filesystem::weakly_canonical(path, error);
    if (error) return fail(path, fmt::format("cannot be written: {}", error.message()));
  }
  struct stat old {};
  const bool is_there = ::stat(target.c_str(), &old) == 0;
  if (!is_there && errno != ENOENT) return fail(path, fmt::format("cannot be written: {}", reason()));
  if (is_there && S_ISDIR(old.st_mode)) return fail(path, "is a folder, not a file", "name a file in it");
  if (is_there && !S_ISREG(old.st_mode)) return fail(path, "is not a regular file");
  if (is_there && ::access(target.c_str(), W_OK) != 0)
    return fail(path, fmt::format("cannot be written: {}", reason()));

  TemporaryFile temporary(target);
  if (!temporary.is_open()) {
    return fail(path, fmt::format("cannot be written: {}", reason()),
                "check that the folder exists and may be written");
  }
  if (is_there && !temporary.copy_permissions(old))
    return fail(path, fmt::format("cannot keep the permissions: {}", reason()));
  if (!temporary.write(text)) {
    return fail(path, fmt::format("cannot be written: {}", reason()), is_there ? "the file is as it was before" : "");
  }
  if (!temporary.move_to(target)) return fail(path, fmt::format("cannot be replaced: {}", reason()));
  flush_folder(target);
  return {};
}

}  // namespace steepwright::io
