#!/usr/bin/env bash
# tests/sanitize.sh - builds the tests with a sanitizer in a folder of its own and runs them; any finding is a failed test
#   .ci/run does this instead of the plain tests where STIFLE_SANITIZE is address or thread
#   usage   sanitize.sh address|thread [ctest options, e.g. -R LoadPath]
#   address  with undefined behaviour and leaks; thread: data races
#   The libraries of Debian are not instrumented: what they alone do is left out by tests/sanitize/*.txt, each line with its reason.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
kind=${1:-}
case $kind in
  address | thread) shift ;;
  *) echo "usage: sanitize.sh address|thread [ctest options]" >&2; exit 2 ;;
esac
build=${STIFLE_BUILD:-$root/build-$kind}
bash "$root/scenarios/prepare.sh" --tests --packages
cmake -S "$root" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release -DSTIFLE_TESTS=ON -DSTIFLE_SANITIZE="$kind"
ninja -C "$build"
export OPENBLAS_NUM_THREADS=1
export ASAN_OPTIONS="detect_leaks=1:malloc_context_size=12"
export LSAN_OPTIONS="suppressions=$root/tests/sanitize/leaks.txt:print_suppressions=0"
export UBSAN_OPTIONS="print_stacktrace=1"
export TSAN_OPTIONS="suppressions=$root/tests/sanitize/races.txt:halt_on_error=0:exitcode=66:history_size=4:atexit_sleep_ms=100:no_huge_pages_for_shadow=0:die_after_fork=0"
still=() # kernels that shuffle memory by 32 bits end programs of GCC 12's thread sanitizer at random (measured: 1 start in 6)
if [ "$kind" = thread ] && setarch -R true 2> /dev/null; then
  still=(setarch -R)
fi
exec "${still[@]}" ctest --test-dir "$build" --output-on-failure --timeout 7200 -j 2 "$@"
