#!/usr/bin/env bash
# The real window on a virtual screen: it opens and solves; a hold is dragged with the mouse, what is computed changes,
# Ctrl+S writes it, Ctrl+Z takes it back; killed it brings unsaved work back, closed in order it leaves nothing.
#   window_smoke.sh <steepwright-view> <scene>
set -euo pipefail
view=$1
folder=$(mktemp -d)
window_pid=
finish() {
  if [[ -n $window_pid ]]; then kill -9 "$window_pid" 2>/dev/null || true; fi
  rm -rf "$folder"
}
trap finish EXIT
export XDG_CONFIG_HOME=$folder/config XDG_STATE_HOME=$folder/state HOME=$folder
mkdir -p "$XDG_CONFIG_HOME/steepwright"
printf '%s\n' 'cautions_seen = true' 'reach = false' 'shadows = false' 'smooth_edges = false' \
  >"$XDG_CONFIG_HOME/steepwright/viewer.toml"
scene=$folder/wall.toml
cp "$2" "$scene"

fail() {
  echo "FAILED: $1" >&2
  tail -n 6 "$folder/log" | cut -c 1-400 >&2
  exit 1
}

# wait_until <what> <command>...: succeeds within two minutes, while the window lives.
wait_until() {
  local what=$1 i
  shift
  for ((i = 0; i < 2400; ++i)); do
    if "$@"; then return 0; fi
    kill -0 "$window_pid" 2>/dev/null || fail "the window ended before $what"
    sleep 0.05
  done
  fail "not within two minutes: $what"
}

last_state() { grep '^state ' "$folder/log" | tail -n 1; }
is_state() { last_state | grep -q "$1"; }
wait_for() { wait_until "state '$1'" is_state "$1"; }
# The efforts of all moves, once they are solved.
efforts() { last_state | sed 's/.*efforts=//'; }

# Sets spot to the middle of a widget, or of a hold in the picture ("picture/NAME"), in the window's pixels.
find_spot() {
  spot=$(grep '^marks ' "$folder/log" | tail -n 1 | cut -c 7- | tr ';' '\n' | grep "^$1@" | sed 's/.*@//')
  [[ -n $spot ]]
}

# click <mark>: a dialog's widgets come a frame after its state.
click() {
  wait_until "widget '$1'" find_spot "$1"
  xdotool mousemove --window "$window" "${spot%,*}" "${spot#*,}"
  sleep 0.3
  xdotool click 1
}

# drag <mark> <across px> <down px>: in steps, as a hand does.
drag() {
  local i
  wait_until "'$1' in the picture" find_spot "$1"
  xdotool mousemove --window "$window" "${spot%,*}" "${spot#*,}" mousedown 1
  for ((i = 1; i <= 8; ++i)); do
    xdotool mousemove --window "$window" $((${spot%,*} + $2 * i / 8)) $((${spot#*,} + $3 * i / 8))
  done
  xdotool mouseup 1
}

# place_of <hold>: its lines in the file.
place_of() { grep -A 6 "^name = \"$1\"" "$scene" | grep -E '^(across|up)_mm'; }

open_window() {
  : >"$folder/log"
  "$view" --print-state "${@:2}" >"$folder/log" 2>&1 &
  window_pid=$!
  wait_for "$1"
  window=$(xdotool search --name Steepwright | head -n 1)
  xdotool windowfocus "$window" || true
}

kill_window() {
  kill -9 "$window_pid"
  wait "$window_pid" 2>/dev/null || true
}

hold="last rail"
open_window 'solved=true modified=false .*dialog=0' "$scene"
at_first=$(efforts)
place=$(place_of "$hold")
drag "picture/$hold" -120 60
wait_for 'solved=true modified=true'
[[ $(efforts) != "$at_first" ]] || fail "the hold is elsewhere and nothing that is computed has changed: $at_first"
xdotool key ctrl+s
wait_for 'modified=false writing=false'
[[ $(place_of "$hold") != "$place" ]] || fail "the file has the hold where it was: $place"
xdotool key ctrl+z
wait_for 'solved=true modified=true'
[[ $(efforts) == "$at_first" ]] || fail "undone, but the efforts are $(efforts), not $at_first"
xdotool key ctrl+s
wait_for 'modified=false writing=false'
[[ $(place_of "$hold") == "$place" ]] || fail "undone, but the file has the hold at $(place_of "$hold"), not $place"
click hold.add
wait_for 'modified=true'
is_kept() { compgen -G "$XDG_STATE_HOME/steepwright/unsaved/*.toml" >/dev/null; }
wait_until "unsaved work is kept" is_kept
kill_window

open_window 'modified=false .*dialog=8'
click dialog.ok
wait_for 'modified=true'
xdotool key ctrl+s
wait_for 'modified=false writing=false'
xdotool key ctrl+q
for ((i = 0; i < 1200; ++i)); do
  kill -0 "$window_pid" 2>/dev/null || break
  sleep 0.05
done
wait "$window_pid" || fail "closed in order, but it ended with status $?"
window_pid=
if is_kept; then fail "closed in order, but unsaved work was left"; fi
echo "the window opens, drags, saves, undoes, brings unsaved work back after it was killed, and closes"
