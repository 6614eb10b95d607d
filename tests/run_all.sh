#!/usr/bin/env bash
# tests/run_all.sh - installs, builds and runs every test
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
echo "This installs Debian packages if any are missing, builds stifle with its tests and runs them (about 55 minutes the first time on 2 cores)."
bash "$root/scenarios/prepare.sh" --tests
echo "== test: ctest"
export OPENBLAS_NUM_THREADS=1
exec ctest --test-dir "${STIFLE_BUILD:-$root/build}" --output-on-failure -j 2 "$@"
