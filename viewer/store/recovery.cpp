#include "viewer/store/recovery.h"

#include "engine/io/atomic_file.h"
#include "engine/io/text.h"
#include "engine/io/text_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>

namespace steepwright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view kHead = "# steepwright: unsaved scene of ";
constexpr const char* kLockEnd = ".lock";
constexpr const char* kSceneEnd = ".toml";
constexpr int kMostSlots = 1000;

fs::path scene_file_of(const fs::path& lock_file) {
  fs::path file = lock_file;
  return file.replace_extension(kSceneEnd);
}

// The lock's descriptor, -1 when another process (or another slot of this one) has it.
int try_lock(const fs::path& lock_file) {
  const int lock = ::open(lock_file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  if (lock < 0) return -1;
  if (::flock(lock, LOCK_EX | LOCK_NB) == 0) return lock;
  ::close(lock);
  return -1;
}

// A path on one line: percent for what would end it.
std::string escape(const std::string& path) {
  std::string text;
  for (const char c : path) {
    if (c == '%' || static_cast<unsigned char>(c) < 0x20U) {
      text += fmt::format("%{:02x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      text += c;
    }
  }
  return text;
}

std::string unescape(std::string_view text) {
  constexpr std::size_t kDigits = 2;
  std::string path;
  for (std::size_t i = 0; i < text.size(); ++i) {
    unsigned value = 0;
    const std::string_view digits = text.substr(std::min(i + 1, text.size()), kDigits);
    const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), value, 16);
    if (text[i] == '%' && digits.size() == kDigits && read.ptr == digits.data() + kDigits) {
      path += static_cast<char>(value);
      i += kDigits;
    } else {
      path += text[i];
    }
  }
  return path;
}

}  // namespace

std::string write_unsaved(const UnsavedScene& scene) {
  return fmt::format("{}{}\n{}", kHead, escape(scene.path.string()), scene.text);
}

Result<UnsavedScene> parse_unsaved(std::string_view text) {
  const std::size_t end = text.find('\n');
  if (text.substr(0, kHead.size()) != kHead || end == std::string_view::npos)
    return failure("is no recovery file of this program");
  UnsavedScene scene;
  scene.path = unescape(text.substr(kHead.size(), end - kHead.size()));
  scene.text = text.substr(end + 1);
  return scene;
}

Result<std::unique_ptr<RecoverySlot>> RecoverySlot::make(const fs::path& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  for (int number = 1; number <= kMostSlots; ++number) {
    const fs::path lock_file = folder / fmt::format("unsaved-{}{}", number, kLockEnd);
    // A slot with a scene is a leftover: it must not be written over before its owner has decided.
    if (fs::exists(scene_file_of(lock_file), error)) continue;
    const int lock = try_lock(lock_file);
    if (lock >= 0) return std::unique_ptr<RecoverySlot>(new RecoverySlot(lock_file, lock));
  }
  return failure(fmt::format("unsaved work cannot be kept in {}", io::in_quotes(folder.string())),
                 "set XDG_STATE_HOME to a folder that may be written");
}

RecoverySlot::RecoverySlot(fs::path lock_file, int lock) : lock_file_(std::move(lock_file)), lock_(lock) {}

RecoverySlot::~RecoverySlot() {
  discard();
  std::error_code error;
  fs::remove(lock_file_, error);
  ::close(lock_);
}

Result<void> RecoverySlot::save(const UnsavedScene& scene) const {
  return io::save_atomically(scene_file_of(lock_file_), write_unsaved(scene));
}

void RecoverySlot::discard() const {
  std::error_code error;
  fs::remove(scene_file_of(lock_file_), error);
}

std::vector<Leftover> find_leftovers(const fs::path& folder) {
  struct Dated {
    fs::file_time_type time;
    Leftover leftover;
  };
  std::vector<Dated> found;
  std::error_code error;
  std::vector<fs::path> locks;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    if (entry.path().extension() == kLockEnd) locks.push_back(entry.path());
  }
  for (const fs::path& lock_file : locks) {
    const int lock = try_lock(lock_file);
    if (lock < 0) continue;
    const fs::path file = scene_file_of(lock_file);
    const auto text = io::load_text(file);
    const auto scene = text ? parse_unsaved(*text) : Result<UnsavedScene>(failure("gone"));
    if (scene) {
      found.push_back({fs::last_write_time(file, error), {file, scene->path}});
    } else if (!fs::exists(file, error)) {
      fs::remove(lock_file, error);
    }
    ::close(lock);
  }
  std::sort(found.begin(), found.end(), [](const Dated& a, const Dated& b) { return a.time > b.time; });
  std::vector<Leftover> leftovers;
  leftovers.reserve(found.size());
  for (Dated& dated : found) leftovers.push_back(std::move(dated.leftover));
  return leftovers;
}

Result<UnsavedScene> load_leftover(const Leftover& leftover) {
  const auto text = io::load_text(leftover.file);
  if (!text) return tl::unexpected<Findings>(text.error());
  return parse_unsaved(*text);
}

void remove_leftover(const Leftover& leftover) {
  std::error_code error;
  fs::remove(leftover.file, error);
  fs::path lock_file = leftover.file;
  fs::remove(lock_file.replace_extension(kLockEnd), error);
}

}  // namespace steepwright::viewer
