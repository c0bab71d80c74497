#!/bin/sh
# Installs what is needed, builds, and passes the tests. As root, or with sudo.
set -eu
cd "$(dirname "$0")/.."
. tests/support/packages.sh
install_packages $BUILD_PACKAGES $TEST_PACKAGES
echo "== building"
cmake --preset dev >build-tests.log 2>&1 || { cat build-tests.log; exit 1; }
cmake --build --preset dev >>build-tests.log 2>&1 || { tail -40 build-tests.log; exit 1; }
rm -f build-tests.log
echo "== testing"
ctest --preset dev "$@"
