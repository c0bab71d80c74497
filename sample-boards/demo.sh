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
echo "== kept in $out: $(ls "$out" | grep -v bench | tr '\n' ' ')"
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ] && [ -x build/demo/viewer/landfall-viewer ]; then
  echo "== opening the window"
  $run view 1
fi
