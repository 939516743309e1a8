#include "viewer/store/autosaver.h"

#include <utility>

namespace steepwright::viewer {

Autosaver::Autosaver(std::unique_ptr<RecoverySlot> slot)
    : slot_(std::move(slot)), thread_([this](const std::stop_token& stop) { run(stop); }) {}

std::string Autosaver::take_fault() {
  const std::lock_guard lock(mutex_);
  return std::exchange(fault_, {});
}

void Autosaver::run(const std::stop_token& stop) {
  while (const std::optional<Job> job = jobs_.take(stop)) {
    if (!job->scene) {
      slot_->discard();
      continue;
    }
    const Result<void> saved = slot_->save(*job->scene);
    if (saved) continue;
    const std::lock_guard lock(mutex_);
    fault_ = to_text(saved.error().front());
  }
}

}  // namespace steepwright::viewer
