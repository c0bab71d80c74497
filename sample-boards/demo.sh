#!/bin/sh
# Installs what is needed, builds, and runs the main job on the sample board: the window where there is a
# display, otherwise the same answers as text, pictures and sheets. As root, or with sudo.
set -eu
cd "$(dirname "$0")/.."
. tests/support/packages.sh
install_packages $BUILD_PACKAGES
echo "== building"
cmake -S . -B build/demo -G Ninja -DCMAKE_BUILD_TYPE=Release -DLANDFALL_TESTS=OFF >build-demo.log 2>&1 || { cat build-demo.log; exit 1; }
cmake --build build/demo >>build-demo.log 2>&1 || { tail -40 build-demo.log; exit 1; }
rm -f build-demo.log
out=build/demo/out
rm -rf "$out"
mkdir -p "$out"
run="build/demo/viewer/landfall --bench $out/bench.sqlite"
echo "== reading the sample board"
$run import sample-boards/skua4/skua4.kicad_pcb sample-boards/skua4/skua4.net sample-boards/skua4/skua4.ipc
$run check skua4
echo "== an invented shop's figures"
$run settings --from sample-boards/stories/shop.txt
job=0
for story in pays donor; do
  job=$((job + 1))
  echo
  echo "== job $job: $story"
  grep '^#' "sample-boards/stories/$story.txt"
  $run job new skua4 U1 --title "$story" --safety-critical no >/dev/null
  $run mark $job $(grep -v '^#' "sample-boards/stories/$story.txt") >/dev/null
  # Invented answers and readings: the lines of the torn sites read open, one beside them reads short.
  $run intake $job ticket=skua-$job "symptoms=no start, fan runs" history=rain battery=yes capacitors=yes mains=no >/dev/null
  $run reading $job before OL 0.448 OL OL 0.452 0.449 0.451 0.003 0.450 0.453 >"$out/readings-$story.txt"
  for answer in assess plan verdict; do
    $run $answer $job >"$out/$answer-$story.txt"
    echo
    cat "$out/$answer-$story.txt"
  done
  $run map skua4 U1 --job $job -o "$out/map-$story.png" >/dev/null
  $run map skua4 U1 --job $job --face balls -o "$out/map-$story-underside.pdf" >/dev/null
  $run layout skua4 --job $job -o "$out/board-$story.png" >/dev/null
  $run report $job -o "$out/sheets-$story.html" >/dev/null
  $run report $job -o "$out/sheets-$story.pdf" >/dev/null
done
echo
echo "== job 1 went well, job 2 goes to the shelf; who has a memory chip?"
$run outcome 1 job worked >/dev/null
$run job close 1
$run shelf add 2 --note "a donor" >/dev/null
$run shelf find 256M
head -6 "$out/readings-pays.txt"
echo
echo "== kept in $out: $(ls "$out" | grep -v bench | tr '\n' ' ')"
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] && [ -x build/demo/viewer/landfall-viewer ]; then
  echo "== opening the window"
  $run view 1
fi
