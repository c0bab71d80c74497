# Debian packages that the build and the tests need; sourced by demo.sh, run.sh and .ci/run.
# install_packages NAMES...: installs those that are missing, as root or with sudo.
BUILD_PACKAGES="g++ cmake ninja-build pkg-config libsdl2-dev libimgui-dev libpugixml-dev libarchive-dev libsqlite3-dev libcli11-dev nlohmann-json3-dev libfmt-dev libboost-dev libcairo2-dev libfreetype-dev libpng-dev libturbojpeg0-dev fonts-b612 fonts-dejavu-core"
TEST_PACKAGES="doctest-dev liblemon-dev ngspice poppler-utils kicad-footprints kicad-symbols kicad-demos ghdl-mcode xvfb xauth xdotool imagemagick"

install_packages() {
  missing=""
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q '^install ok installed$' || missing="$missing $package"
  done
  [ -z "$missing" ] && return 0
  if [ "$(id -u)" -eq 0 ]; then
    as_root=""
  elif command -v sudo >/dev/null 2>&1; then
    as_root="sudo"
  else
    echo "These Debian packages are missing, and there is neither root nor sudo to install them:" >&2
    echo " $missing" >&2
    return 1
  fi
  echo "== installing:$missing"
  log=$(mktemp)
  if ! { $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q &&
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing; } >"$log" 2>&1; then
    tail -5 "$log" >&2
    echo "The packages could not be installed." >&2
    return 1
  fi
  rm -f "$log"
}
