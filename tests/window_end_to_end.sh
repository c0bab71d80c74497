#!/bin/sh
# window_end_to_end.sh LANDFALL VIEWER: opens the window on the sample board with real keys and a real mouse, finds,
# marks, paints, notes, turns, imports, and asks the command line what was kept.
set -eu
landfall=$1
viewer=$2
here=$(cd "$(dirname "$0")" && pwd)
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
design=$here/../sample-boards/skua4
export XDG_CONFIG_HOME="$work/config"
mkdir -p "$XDG_CONFIG_HOME/landfall"
echo 'units = Ctrl+M' >"$XDG_CONFIG_HOME/landfall/keys"
"$landfall" --bench "$bench" import "$design/skua4.kicad_pcb" >/dev/null
"$landfall" --bench "$bench" job new skua4 U1 --safety-critical no >/dev/null
# A display that is free: a fixed number may still be closing down.
mkfifo "$work/number"
Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp 3>"$work/number" >/dev/null 2>&1 &
screen_pid=$!
read -r number <"$work/number"
export DISPLAY=":$number"
"$viewer" --bench "$bench" --scale 1 --timing 1 >"$work/log" 2>"$work/errors" &
window_pid=$!
id=$(xdotool search --sync --onlyvisible --name '^Landfall$' | head -1)
xdotool windowfocus --sync "$id"
seen=0
said() {  # waits for a line in the window's log after the last that was waited for
  for _ in $(seq 1 80); do
    at=$(tail -n +$((seen + 1)) "$work/log" | grep -n -m 1 -e "$1" | cut -d: -f1)
    if [ -n "$at" ]; then
      seen=$((seen + at))
      return 0
    fi
    sleep 0.25
  done
  echo "the window never said: $1"
  tail -n 30 "$work/log" "$work/errors"
  [ -n "${LANDFALL_SCREENSHOT:-}" ] && import -window root "$LANDFALL_SCREENSHOT" || true
  return 1
}
key() { xdotool key "$@"; sleep 0.3; }
move() { xdotool mousemove --window "$id" "$1" "$2"; sleep 0.3; }
said '^first frame after'
sleep 0.5

# Find a net from the keyboard, go to its ball, mark it, undo, do it again.
key slash; sleep 0.3
xdotool type --delay 80 'ram1_d9'; sleep 0.5
key Return
said '^RAM1_D9$'
key 4
said ' torn. Undo with Ctrl+Z.'
key ctrl+z
said '^undone: '
key ctrl+shift+z
said '^done again: '
# A note on the mark.
key n; sleep 0.3
xdotool type --delay 80 'lifted with the pad'; sleep 0.3
key Return
said ' note. Undo with Ctrl+Z.'
# The next site to the right, by arrow, is sound; and the same again, one on, by the number pad.
key Right
key 0
said ' sound. Undo with Ctrl+Z.'
key Return
said ' sound. Undo with Ctrl+Z.'
# Typed sites.
key m; sleep 0.3
xdotool type --delay 80 'AB14 AB16..AB20 torn'; sleep 0.3
key Return
said '^6 sites torn. Undo with Ctrl+Z.'

# The mouse: a click selects the upper left ball; a rectangle chooses six; a held key paints a stroke.
key Escape
move 339 142
xdotool click 1; sleep 0.5
key 2
said '^U1.A1 loose. Undo with Ctrl+Z.'
move 330 133
xdotool mousedown 1; sleep 0.3
for x in 345 360 375 391; do move $x $((133 + (x - 330) * 3 / 4)); done
xdotool mouseup 1
said '^6 sites chosen'
key 1
said '^6 sites mask. Undo with Ctrl+Z.'
key Escape; key Escape
key z
xdotool keydown 3; sleep 0.3
move 400 300
xdotool mousedown 1; sleep 0.3
for x in 440 480 520 560; do move $x 300; done
xdotool mouseup 1; sleep 0.3
xdotool keyup 3
said '^[2-9][0-9]* sites missing. Undo with Ctrl+Z.'
key ctrl+z
said '^undone: '

# Ways of looking, and the units' key, which the file of keys has changed.
key e; said '^Turned 90'
key q; said '^Not turned'
key shift+e; said '^Turned 5'
key shift+q; said '^Not turned'
key f; said '^Balls: '
key t; said '^True scale'
key f; said '^Lands: '
key ctrl+m; said '^Lengths in mils'
# The rose is dragged: a free angle. The wheel comes nearer.
move 104 610
xdotool mousedown 1; sleep 0.3
for x in 115 130 145 150; do move $x $((610 + (x - 104) / 2)); done
xdotool mouseup 1
said '^Turned [0-9]*'
xdotool mousemove --window "$id" 560 350 click 4 click 4; sleep 0.5
# The sheet as text.
key slash; sleep 0.3
xdotool type --delay 80 'ram0_dqs0_p'; sleep 0.5
key Return
said '^RAM0_DQS0_P$'
key c
said '^Copied the sheet'

# Nothing happens, and nothing is done: what the processor did in three seconds, in hundredths of a second.
sleep 2
ticks() { cut -d' ' -f14,15 "/proc/$window_pid/stat" | tr ' ' '+' | sed 's/^/echo $((/; s/$/))/' | sh; }
if [ -r "/proc/$window_pid/stat" ]; then
  before=$(ticks); sleep 3; after=$(ticks)
  echo "idle: $((after - before)) hundredths of a second in 3 s"
  [ $((after - before)) -le 20 ] || { echo "the window does not sleep"; exit 1; }
fi

# A design read in the window, from a typed path; then a bare package.
key ctrl+o; sleep 0.5
xdotool type --delay 40 "$design/skua4.net"; sleep 0.5
key Return
said '^skua4-2: '
key Escape
key ctrl+n; sleep 0.5
xdotool type --delay 60 '5'; key Tab; xdotool type --delay 60 '6'; key Tab; xdotool type --delay 60 '0.8'; sleep 0.3
key Return
said '^bare 5x6$'
if [ -n "${LANDFALL_SCREENSHOT:-}" ]; then import -window root "$LANDFALL_SCREENSHOT"; fi

"$landfall" --bench "$bench" --json job show 1 >"$work/job"
for kind in torn sound mask; do
  grep -q "\"kind\": \"$kind\"" "$work/job" || { echo "no $kind mark was kept"; cat "$work/job"; exit 1; }
done
grep -q '"kind": "missing"' "$work/job" && { echo "what was undone is still there"; exit 1; }
grep -q 'lifted with the pad' "$work/job" || { echo "the note was not kept"; cat "$work/job"; exit 1; }
"$landfall" --bench "$bench" board list | grep -q 'bare 5x6' || { echo "the bare package was not kept"; exit 1; }
# Closed as a user closes it, it keeps how it looked.
kill -TERM "$window_pid" 2>/dev/null || true
wait "$window_pid" 2>/dev/null || true
grep -q 'units = mils' "$XDG_CONFIG_HOME/landfall/window" || { echo "the units were not remembered"; exit 1; }
echo "marks, note, stroke, turn, import and bare package: all kept"
