#pragma once

/// Keys and what they do, as listed under F1.

#include <array>

namespace steepwright::viewer {

struct Shortcut {
  const char* keys;
  const char* does;
};

inline constexpr std::array<Shortcut, 30> kShortcuts = {{
    {"Ctrl+O", "open a scene"},
    {"Ctrl+S", "save"},
    {"Ctrl+Shift+S", "save under another name"},
    {"Ctrl+E", "export a picture"},
    {"Ctrl+Q", "close"},
    {"Ctrl+Z", "undo"},
    {"Ctrl+Shift+Z, Ctrl+Y", "redo"},
    {"Ctrl+D", "duplicate the selected hold"},
    {"M", "mirror the selected hold"},
    {"Delete", "delete the selected hold"},
    {"[  and  ]", "turn the selected hold by 5 degrees"},
    {"Arrow keys", "move the selected hold to the next T-nut"},
    {"Alt+Arrow keys", "move the selected hold by 10 mm"},
    {"N", "define a move: click a limb, then a hold"},
    {"Page up, Page down", "previous and next move"},
    {"Space", "play and pause"},
    {"Comma, full stop", "previous and next instant"},
    {"Home", "opening view"},
    {"1, 2, 3", "front, left and right view"},
    {"4", "climber's-eye view"},
    {"F", "fit the wall into the view"},
    {"G", "grid of 100 mm"},
    {"R", "reach of the moving limb on the wall"},
    {"Tab", "hide and show the side panels"},
    {"Drag a hold", "moves it from T-nut to T-nut; with Alt anywhere"},
    {"Drag a corner", "upper corner of a panel: overhang, with Alt its length; of the kicker: height"},
    {"Drag elsewhere", "turns the view; right button or Shift moves it; wheel comes nearer"},
    {"Drop a file", "opens a scene, or joins a mesh to the inventory"},
    {"Esc", "let go, close, stop opening a scene"},
    {"F1", "this list"},
}};

}  // namespace steepwright::viewer
