#!/bin/sh
# kicad_boards.sh LANDFALL FOLDER [BOARDS]: KiCad boards read by this program and by kicadts, a reader by other hands
# in another language (npm, MIT licence). Both must find the same footprints and the same net at every REF.PIN.
# kicadts is fetched into FOLDER with npm, and nothing of it is kept in the tree. BOARDS: a folder of boards beside
# Debian's kicad-demos. Prints SKIPPED: where npm, the network or the boards are missing.
set -eu
landfall=$1
folder=$2
boards=${3:-}
here=$(cd "$(dirname "$0")" && pwd)
version=0.0.58
skip() {
  echo "SKIPPED: $1"
  exit 0
}
command -v node >/dev/null 2>&1 && command -v npm >/dev/null 2>&1 || skip "npm is not installed"
mkdir -p "$folder"
reader=$folder/node_modules/kicadts
if ! grep -q "\"version\": \"$version\"" "$reader/package.json" 2>/dev/null; then
  (cd "$folder" && timeout 100 npm install --prefix . --no-save --ignore-scripts --no-audit --no-fund --legacy-peer-deps \
    --fetch-retries=0 --fetch-timeout=30000 \
    "kicadts@$version" >npm.log 2>&1) || skip "kicadts $version cannot be fetched with npm"
fi
list=$folder/boards.txt
find /usr/share/kicad/demos $boards -name '*.kicad_pcb' 2>/dev/null | sort >"$list" || true
[ -s "$list" ] || skip "there are no boards: neither kicad-demos nor the real designs"
exec node "$here/kicad_boards.mjs" "$landfall" "$reader/dist/index.js" "$version" "$folder" "$list"
