#pragma once

/// Unsaved work that outlives a crash: one file a running window, locked by it. A file without a lock belongs to a
/// window that did not close in order.

#include "engine/core/error.h"

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::viewer {

/// A scene's text with the file that it belongs to ("": none yet).
struct UnsavedScene {
  std::filesystem::path path;
  std::string text;
};

/// Text of a recovery file and back; a file is one whole text or nothing.
[[nodiscard]] std::string write_unsaved(const UnsavedScene& scene);
[[nodiscard]] Result<UnsavedScene> parse_unsaved(std::string_view text);

/// This window's recovery file. It is removed in order by discard() or when the object goes; kill -9 leaves it.
class RecoverySlot {
 public:
  /// Makes and locks the slot in `folder`.
  [[nodiscard]] static Result<std::unique_ptr<RecoverySlot>> make(const std::filesystem::path& folder);
  ~RecoverySlot();
  RecoverySlot(const RecoverySlot&) = delete;
  RecoverySlot& operator=(const RecoverySlot&) = delete;

  /// Writes the file atomically.
  [[nodiscard]] Result<void> save(const UnsavedScene& scene) const;
  /// Nothing is unsaved any more.
  void discard() const;

 private:
  RecoverySlot(std::filesystem::path lock_file, int lock);
  std::filesystem::path lock_file_;
  int lock_;
};

/// A recovery file that no running window owns.
struct Leftover {
  std::filesystem::path file;
  std::filesystem::path scene_path;  ///< "": it was never saved
};

/// The leftovers in `folder`, newest first. Empty locks without a file are swept away.
[[nodiscard]] std::vector<Leftover> find_leftovers(const std::filesystem::path& folder);
[[nodiscard]] Result<UnsavedScene> load_leftover(const Leftover& leftover);
void remove_leftover(const Leftover& leftover);

}  // namespace steepwright::viewer
