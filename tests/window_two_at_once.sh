#!/bin/sh
# window_two_at_once.sh LANDFALL VIEWER: from an empty bench by keyboard alone to a job, a second window beside it that
# sees the first one's marks, kill -9 of both right after a mark was acknowledged, and what the file then holds.
set -eu
landfall=$1
viewer=$2
here=$(cd "$(dirname "$0")" && pwd)
for tool in Xvfb xdotool; do
  command -v $tool >/dev/null 2>&1 || { echo "SKIPPED: $tool is not installed"; exit 0; }
done
work=$(mktemp -d)
finish() {
  for pid in ${first_pid:-} ${second_pid:-} ${screen_pid:-}; do kill "$pid" 2>/dev/null || true; done
  rm -rf "$work"
}
trap finish EXIT
bench=$work/bench.sqlite
export XDG_CONFIG_HOME="$work/config"
mkfifo "$work/number"
Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp 3>"$work/number" >/dev/null 2>&1 &
screen_pid=$!
read -r number <"$work/number"
export DISPLAY=":$number"

said() {  # said LOG TEXT: waits for such a line
  for _ in $(seq 1 80); do
    grep -q -e "$2" "$1" && return 0
    sleep 0.25
  done
  echo "no line like '$2' came; the log:"
  cat "$1"
  exit 1
}
key() { xdotool key "$@"; sleep 0.4; }

# An empty bench: a file by its path, the board, a job, all from the keyboard.
"$viewer" --bench "$bench" --scale 1 --timing >"$work/first" 2>"$work/errors" &
first_pid=$!
first=$(xdotool search --sync --onlyvisible --name '^Landfall$' | head -1)
xdotool windowfocus --sync "$first"
said "$work/first" '^first frame after'
key ctrl+o; sleep 0.3
xdotool type --delay 40 "$here/../sample-boards/skua4/skua4.kicad_pcb"; sleep 0.3
key Return
said "$work/first" '^skua4: 74 parts'
key Escape
key Return
said "$work/first" '^skua4$'
key j; sleep 0.3
xdotool type --delay 40 'no start'; sleep 0.3
key Return
said "$work/first" '^Answer the question'
key n
key Return
said "$work/first" '^[Jj]ob 1'

# A second window on the same file and job.
"$viewer" --bench "$bench" --scale 1 --timing 1 >"$work/second" 2>"$work/errors2" &
second_pid=$!
said "$work/second" '^first frame after'
sleep 1
xdotool windowfocus --sync "$first"
key slash; sleep 0.3
xdotool type --delay 60 'ram1_d9'; sleep 0.4
key Return
key 4
said "$work/first" ' torn. Undo with Ctrl+Z.'
said "$work/second" '^Marked in another window: one mark in this job now.'
key Right
key 0
said "$work/first" ' sound. Undo with Ctrl+Z.'
said "$work/second" '^Marked in another window: 2 marks in this job now.'

# Both are killed as soon as the next mark is acknowledged.
xdotool key Right key 5
said "$work/first" ' barrel. Undo with Ctrl+Z.'
kill -9 "$first_pid" "$second_pid"
wait "$first_pid" 2>/dev/null || true
wait "$second_pid" 2>/dev/null || true
"$landfall" --bench "$bench" --json job show 1 >"$work/job"
for kind in torn sound barrel; do
  [ "$(grep -c "\"kind\": \"$kind\"" "$work/job")" = 1 ] || { echo "the $kind mark was lost"; cat "$work/job"; exit 1; }
done
# Opened again, the job is on the screen with its marks.
"$viewer" --bench "$bench" --scale 1 --timing 1 >"$work/first" 2>"$work/errors" &
first_pid=$!
said "$work/first" '^first frame after'
sleep 1
first=$(xdotool search --sync --onlyvisible --name '^Landfall$' | head -1)
xdotool windowfocus --sync "$first"
key ctrl+z
said "$work/first" '^undone: '
kill -9 "$first_pid"
wait "$first_pid" 2>/dev/null || true
"$landfall" --bench "$bench" --json job show 1 >"$work/job"
grep -q '"kind": "barrel"' "$work/job" && { echo "undo after a kill did not hold"; exit 1; }
echo "empty bench to job by keyboard, two windows, kill -9 twice: the marks are what was acknowledged"
