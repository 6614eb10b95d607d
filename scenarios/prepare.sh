#!/usr/bin/env bash
# scenarios/prepare.sh - installs the Debian packages that are missing and builds stifle in build/
#   usage   prepare.sh [--tests [--packages]]      (--tests adds the packages and programs of the test suite, chromium among them;
#           --packages builds nothing)
#   Works as root and through sudo; safe to repeat: a second call only checks.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
build=${STIFLE_BUILD:-$root/build}
want_tests=OFF
[ "${1:-}" = "--tests" ] && want_tests=ON

packages="g++ cmake ninja-build libdeal.ii-dev libgmsh-dev libvtk9-dev libeigen3-dev libyaml-cpp-dev libcli11-dev libfmt-dev
          nlohmann-json3-dev libboost-dev libsuitesparse-dev libmetis-dev libopenblas-dev libopenblas0-pthread
          xvfb libgl1-mesa-dri fonts-dejavu-core zlib1g-dev"
# slurm and munge: the array job of scenarios/cluster is tried on a private Slurm of one node
[ "$want_tests" = ON ] && packages="$packages libgtest-dev calculix-ccx chromium poppler-utils
                                         slurmctld slurmd slurm-client munge"
# The report page is bundled by npm's esbuild. A node from elsewhere brings its own npm and refuses Debian's.
command -v npm >/dev/null || packages="$packages nodejs npm ca-certificates"

missing=""
for package in $packages; do
  dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q '^install ok installed$' || missing="$missing $package"
done
if [ -n "$missing" ]; then
  echo "== install: apt-get installs$missing (on a bare machine about 1 GB; libvtk9-dev alone pulls some 200 packages;"
  echo "   nodejs npm some 400 small ones, 55 MB to fetch, 270 MB on disk; chromium, for the tests only, at most 230 MB and 850 MB)"
  sudo=""
  [ "$(id -u)" = 0 ] || sudo="sudo"
  $sudo env DEBIAN_FRONTEND=noninteractive apt-get update -qq
  # shellcheck disable=SC2086
  $sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing
else
  echo "== install: every package is there"
fi
[ "${2:-}" = "--packages" ] && exit 0

command -v npm >/dev/null || echo "== build: npm is missing, so report.html will be left out"
echo "== build: CMake, Release, in $build (10 to 25 minutes the first time on 2 cores)"
if [ ! -f "$build/build.ninja" ] || ! grep -q "STIFLE_TESTS:BOOL=$want_tests" "$build/CMakeCache.txt"; then
  # A build folder that already has the tests keeps them.
  if [ "$want_tests" = ON ] || [ ! -f "$build/build.ninja" ]; then
    cmake -S "$root" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DSTIFLE_TESTS=$want_tests >"$build.log" 2>&1 ||
      { tail -30 "$build.log"; echo "configuration failed: whole log in $build.log"; exit 1; }
    rm -f "$build.log"
  fi
fi
ninja -C "$build"
