#!/usr/bin/env bash
# The real window on a virtual screen: it opens and solves, a key edits, killed it brings the edit back, closed in order
# it leaves nothing.  window_smoke.sh <steepwright-view>
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
printf 'cautions_seen = true\nshadows = false\nsmooth_edges = false\n' >"$XDG_CONFIG_HOME/steepwright/viewer.toml"

fail() {
  echo "FAILED: $1" >&2
  cat "$folder/log" >&2
  exit 1
}

# wait_for <pattern>: a state line that matches, within two minutes.
wait_for() {
  local i
  for ((i = 0; i < 1200; ++i)); do
    if tail -n 1 "$folder/log" | grep -q "$1"; then return 0; fi
    kill -0 "$window_pid" 2>/dev/null || fail "the window ended while waiting for '$1'"
    sleep 0.1
  done
  fail "no state '$1'"
}

start() {
  : >"$folder/log"
  "$view" --print-state >"$folder/log" 2>&1 &
  window_pid=$!
}

# click <mark>: the middle of a widget by its name; waits until it is there, a dialog comes a frame after its state.
click() {
  local spot='' i
  for ((i = 0; i < 200; ++i)); do
    spot=$(grep '^marks ' "$folder/log" | tail -n 1 | cut -c 7- | tr ';' '\n' | grep "^$1@" | sed 's/.*@//') && break
    sleep 0.1
  done
  [[ -n $spot ]] || fail "no widget '$1'"
  xdotool mousemove --window "$window" "${spot%,*}" "${spot#*,}"
  sleep 0.3
  xdotool click 1
}

open_window() {
  start
  wait_for "$1"
  window=$(xdotool search --name Steepwright | head -n 1)
  xdotool windowfocus "$window" || true
}

open_window 'solved=true modified=false dialog=0'
click hold.add
wait_for 'modified=true'
for ((i = 0; i < 100; ++i)); do
  if compgen -G "$XDG_STATE_HOME/steepwright/unsaved/*.toml" >/dev/null; then break; fi
  sleep 0.1
done
kill -9 "$window_pid"
wait "$window_pid" 2>/dev/null || true

open_window 'modified=false dialog=8'
click dialog.ok
wait_for 'modified=true'
echo "the window opens, edits, and brings unsaved work back after it was killed"
