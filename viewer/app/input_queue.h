#pragma once

/// What mouse and keyboard did, in order, until a frame takes it up. One frame takes at most one change of a button and
/// one press of a key with the text that it made, so that nothing is lost on slow frames (ImGui 1.86 reads states
/// only).

#include <deque>
#include <variant>

struct ImGuiIO;

namespace steepwright::viewer {

struct PointerMoved {
  double x = 0.0, y = 0.0;  ///< pixels of the window
};
struct PointerLeft {};
struct ButtonChanged {
  int button = 0;  ///< 0 left, 1 right, 2 middle
  bool is_down = false;
};
struct WheelTurned {
  double x = 0.0, y = 0.0;
};
struct KeyChanged {
  int key = 0;  ///< GLFW's codes
  bool is_down = false;
};
struct TextTyped {
  unsigned int character = 0;  ///< Unicode
};
/// Keys that are down when the window loses the focus never come up.
struct FocusLost {};

using InputEvent =
    std::variant<PointerMoved, PointerLeft, ButtonChanged, WheelTurned, KeyChanged, TextTyped, FocusLost>;

class InputQueue {
 public:
  void push(const InputEvent& event) { events_.push_back(event); }
  [[nodiscard]] bool empty() const { return events_.empty(); }
  /// Hands on what one frame may see; before ImGui::NewFrame.
  void pump(ImGuiIO& io);

 private:
  std::deque<InputEvent> events_;
};

/// Tells ImGui which of GLFW's key codes are its keys.
void map_keys(ImGuiIO& io);

}  // namespace steepwright::viewer
