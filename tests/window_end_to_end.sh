#!/bin/sh
# window_end_to_end.sh LANDFALL VIEWER: opens the window on the sample board, clicks, types, marks, and asks the
# command line what was kept.
set -eu
landfall=$1
viewer=$2
here=$(dirname "$0")
for tool in Xvfb xdotool; do
  command -v $tool >/dev/null 2>&1 || { echo "SKIPPED: $tool is not installed"; exit 0; }
done
work=$(mktemp -d)
finish() {
  [ -n "${window_pid:-}" ] && kill "$window_pid" 2>/dev/null || true
  [ -n "${screen_pid:-}" ] && kill "$screen_pid" 2>/dev/null || true
  rm -rf "$work"
}
trap finish EXIT
bench=$work/bench.sqlite
"$landfall" --bench "$bench" import "$here"/../sample-boards/skua4/skua4.kicad_pcb >/dev/null
"$landfall" --bench "$bench" job new skua4 U1 --safety-critical no >/dev/null
# A display that is free: a fixed number may still be closing down.
mkfifo "$work/number"
Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp 3>"$work/number" >/dev/null 2>&1 &
screen_pid=$!
read -r number <"$work/number"
export DISPLAY=":$number"
"$viewer" --bench "$bench" 1 >"$work/log" 2>"$work/errors" &
window_pid=$!
id=$(xdotool search --sync --onlyvisible --name '^Landfall$' | head -1)
xdotool windowfocus --sync "$id"
sleep 1
said() {  # waits for a line in the window's log
  for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20; do
    grep -q "$1" "$work/log" && return 0
    sleep 0.25
  done
  echo "the window never said: $1"
  cat "$work/log" "$work/errors"
  return 1
}
# Find a net from the keyboard, go to its ball, mark it, undo, do it again.
xdotool key slash; sleep 0.4
xdotool type --delay 60 'ram1_d9'; sleep 0.4
xdotool key Return
said '^RAM1_D9$'
sleep 0.3
xdotool key 4
said ' torn. Undo with Ctrl+Z.'
xdotool key ctrl+z
said '^undone: '
xdotool key ctrl+shift+z
said '^done again: '
# The next site to the right, by arrow, is sound.
xdotool key Right; sleep 0.4
xdotool key 0
said ' sound. Undo with Ctrl+Z.'
# A click on the map selects: the middle of the package's upper left ball.
xdotool mousemove --window "$id" 304 146; sleep 0.3; xdotool click 1; sleep 0.4
xdotool key 2
said ' loose. Undo with Ctrl+Z.'
if [ -n "${LANDFALL_SCREENSHOT:-}" ]; then import -window root "$LANDFALL_SCREENSHOT"; fi
"$landfall" --bench "$bench" --json job show 1 >"$work/job"
for kind in torn sound loose; do
  grep -q "\"kind\": \"$kind\"" "$work/job" || { echo "no $kind mark was kept"; cat "$work/job"; exit 1; }
done
echo "three marks kept"
