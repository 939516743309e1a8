#pragma once

/// The body of the climber that is asked about, one for all threads that solve: a stance is shown in the place of a
/// move's only where both are of the same body.

#include "engine/body/body.h"
#include "engine/io/climber_file.h"
#include "engine/move/scene.h"

#include <memory>
#include <mutex>
#include <string>
#include <utility>

namespace steepwright::viewer {

class SharedBody {
 public:
  /// The last one is kept; climbers are told apart by their files.
  [[nodiscard]] std::shared_ptr<const body::Body> find(const move::Climber& climber) {
    std::string text = io::write_climber(climber);
    const std::lock_guard lock(mutex_);
    if (!body_ || text != text_) {
      body_ = std::make_shared<const body::Body>(body::make_body(climber.measures));
      text_ = std::move(text);
    }
    return body_;
  }

 private:
  std::mutex mutex_;
  std::string text_;
  std::shared_ptr<const body::Body> body_;
};

}  // namespace steepwright::viewer
