#pragma once

/// Keeps the recovery file up to date on a thread of its own, so that a slow disk never stalls the picture.

#include "viewer/solve/latest.h"
#include "viewer/store/recovery.h"

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

namespace steepwright::viewer {

class Autosaver {
 public:
  explicit Autosaver(std::unique_ptr<RecoverySlot> slot);
  ~Autosaver() = default;  // joins; the slot is discarded: the window closed in order

  /// The scene as it is now is unsaved; nothing: all is saved, the file goes.
  void keep(std::optional<UnsavedScene> scene) { jobs_.put(Job{std::move(scene)}); }
  /// Why the last write failed, "" when it did not; once a fault.
  [[nodiscard]] std::string take_fault();

 private:
  struct Job {
    std::optional<UnsavedScene> scene;
  };
  void run(const std::stop_token& stop);

  std::unique_ptr<RecoverySlot> slot_;
  Latest<Job> jobs_;
  std::mutex mutex_;
  std::string fault_;
  std::jthread thread_;  // last: stops before the rest goes
};

}  // namespace steepwright::viewer
