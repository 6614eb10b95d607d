#!/usr/bin/env bash
# tests/page/make_results.sh - the results folders that the tests of the page open
#   usage   make_results.sh STIFLE PAGE_JS OUT      OUT/hostile, joint_only, rig, no_fields; finished cases of an earlier call are taken up
#   Ends with 77 (ctest: skipped) when the page was not built.
set -euo pipefail
stifle=$1 page_js=$2 out=$3
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
[ -f "$page_js" ] || { echo "skipped: the page was not built (npm or its registry were out of reach)"; exit 77; }
mkdir -p "$out"
for run in hostile rig no_fields; do
  "$stifle" run "$here/scenarios/$run.yaml" --out "$out/$run"
done
"$stifle" run "$here/scenarios/no_fields.yaml" --out "$out/joint_only" --only joint
for run in hostile rig no_fields joint_only; do
  [ -f "$out/$run/report.html" ] || { echo "no report.html in $out/$run: see its log.txt"; exit 1; }
done
