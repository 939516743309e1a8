#include "viewer/app/input_queue.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cfloat>
#include <iterator>

namespace steepwright::viewer {

namespace {

constexpr int kButtons = 3;

/// What has been handed on in this frame.
struct Taken {
  bool has_move = false;
  bool has_button = false;
  bool has_key_press = false;
};

bool may_take(const InputEvent& event, const Taken& taken) {
  // A pointer that moves after a click would move the click along.
  if (std::holds_alternative<PointerMoved>(event) || std::holds_alternative<PointerLeft>(event))
    return !taken.has_button;
  // What is dragged goes to where the pointer was before it lets go.
  if (const auto* button = std::get_if<ButtonChanged>(&event))
    return !taken.has_button && !taken.has_key_press && (button->is_down || !taken.has_move);
  if (std::holds_alternative<WheelTurned>(event)) return !taken.has_button;
  if (std::holds_alternative<KeyChanged>(event)) return !taken.has_key_press && !taken.has_button;
  return true;
}

void set_modifiers(ImGuiIO& io) {
  const auto is_down = [&io](int left, int right) { return io.KeysDown[left] || io.KeysDown[right]; };
  io.KeyCtrl = is_down(GLFW_KEY_LEFT_CONTROL, GLFW_KEY_RIGHT_CONTROL);
  io.KeyShift = is_down(GLFW_KEY_LEFT_SHIFT, GLFW_KEY_RIGHT_SHIFT);
  io.KeyAlt = is_down(GLFW_KEY_LEFT_ALT, GLFW_KEY_RIGHT_ALT);
  io.KeySuper = is_down(GLFW_KEY_LEFT_SUPER, GLFW_KEY_RIGHT_SUPER);
}

void take(const InputEvent& event, Taken& taken, ImGuiIO& io) {
  if (const auto* moved = std::get_if<PointerMoved>(&event)) {
    io.MousePos = {static_cast<float>(moved->x), static_cast<float>(moved->y)};
    taken.has_move = true;
  } else if (std::holds_alternative<PointerLeft>(event)) {
    io.MousePos = {-FLT_MAX, -FLT_MAX};
  } else if (const auto* button = std::get_if<ButtonChanged>(&event)) {
    if (button->button >= 0 && button->button < kButtons) io.MouseDown[button->button] = button->is_down;
    taken.has_button = true;
  } else if (const auto* wheel = std::get_if<WheelTurned>(&event)) {
    io.MouseWheelH += static_cast<float>(wheel->x);
    io.MouseWheel += static_cast<float>(wheel->y);
  } else if (const auto* key = std::get_if<KeyChanged>(&event)) {
    if (key->key >= 0 && static_cast<std::size_t>(key->key) < std::size(io.KeysDown))
      io.KeysDown[key->key] = key->is_down;
    taken.has_key_press = key->is_down;
    set_modifiers(io);
  } else if (const auto* typed = std::get_if<TextTyped>(&event)) {
    io.AddInputCharacter(typed->character);
  } else {
    std::fill(std::begin(io.KeysDown), std::end(io.KeysDown), false);
    set_modifiers(io);
  }
}

}  // namespace

void InputQueue::pump(ImGuiIO& io) {
  Taken taken;
  while (!events_.empty() && may_take(events_.front(), taken)) {
    take(events_.front(), taken, io);
    events_.pop_front();
  }
}

void map_keys(ImGuiIO& io) {
  io.KeyMap[ImGuiKey_Tab] = GLFW_KEY_TAB;
  io.KeyMap[ImGuiKey_LeftArrow] = GLFW_KEY_LEFT;
  io.KeyMap[ImGuiKey_RightArrow] = GLFW_KEY_RIGHT;
  io.KeyMap[ImGuiKey_UpArrow] = GLFW_KEY_UP;
  io.KeyMap[ImGuiKey_DownArrow] = GLFW_KEY_DOWN;
  io.KeyMap[ImGuiKey_PageUp] = GLFW_KEY_PAGE_UP;
  io.KeyMap[ImGuiKey_PageDown] = GLFW_KEY_PAGE_DOWN;
  io.KeyMap[ImGuiKey_Home] = GLFW_KEY_HOME;
  io.KeyMap[ImGuiKey_End] = GLFW_KEY_END;
  io.KeyMap[ImGuiKey_Insert] = GLFW_KEY_INSERT;
  io.KeyMap[ImGuiKey_Delete] = GLFW_KEY_DELETE;
  io.KeyMap[ImGuiKey_Backspace] = GLFW_KEY_BACKSPACE;
  io.KeyMap[ImGuiKey_Space] = GLFW_KEY_SPACE;
  io.KeyMap[ImGuiKey_Enter] = GLFW_KEY_ENTER;
  io.KeyMap[ImGuiKey_Escape] = GLFW_KEY_ESCAPE;
  io.KeyMap[ImGuiKey_KeyPadEnter] = GLFW_KEY_KP_ENTER;
  io.KeyMap[ImGuiKey_A] = GLFW_KEY_A;
  io.KeyMap[ImGuiKey_C] = GLFW_KEY_C;
  io.KeyMap[ImGuiKey_V] = GLFW_KEY_V;
  io.KeyMap[ImGuiKey_X] = GLFW_KEY_X;
  io.KeyMap[ImGuiKey_Y] = GLFW_KEY_Y;
  io.KeyMap[ImGuiKey_Z] = GLFW_KEY_Z;
}

}  // namespace steepwright::viewer
