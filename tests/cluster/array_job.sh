#!/usr/bin/env bash
# tests/cluster/array_job.sh - an array job of a private one-node Slurm gives the tables of one process, byte for byte, each case done once
#   usage   array_job.sh STIFLE      exit code 77 (skipped) with the reason where Slurm cannot be started
set -u
stifle=$(realpath "$1")
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
# shellcheck source=tests/cluster/private_slurm.sh
source "$here/private_slurm.sh"
folder=$(mktemp -d "${TMPDIR:-/tmp}/stifle_slurm.XXXXXX")
cleanup() { stop_slurm; rm -rf "$folder"; }
trap cleanup EXIT
fail() { echo "FAILED: $*"; tail -n 20 "$folder"/slurm*.log "$folder"/tasks/logs/*.txt 2>/dev/null; exit 1; }

start_slurm "$folder" 3 || { echo "SKIPPED: no private Slurm on this machine: $slurm_why"; exit 77; }
export STIFLE=$stifle OPENBLAS_NUM_THREADS=1
"$stifle" run "$here/small_study.yaml" --out "$folder/one" --threads 1 >"$folder/one.txt" 2>&1 || fail "one process: $(tail -3 "$folder/one.txt")"

jobs=$("$here/../../scenarios/cluster/submit.sh" "$here/small_study.yaml" "$folder/tasks" 3 | tail -1) || fail "submit.sh"
array=${jobs% *}
# A task is killed once it has begun a case: the others, or the last job, take the case over.
killed=""
for _ in $(seq 600); do
  if [ -z "$killed" ] && grep -qs begun "$folder"/tasks/logs/*.txt && [ "$(squeue -h -j "${array}_1" -t R 2>/dev/null | wc -l)" = 1 ]; then
    scancel --signal=KILL --full "${array}_1" && killed=yes
  fi
  [ -z "$(squeue -h)" ] && break
  sleep 0.5
done
[ -z "$(squeue -h)" ] || fail "the jobs did not end: $(squeue -h)"
[ -n "$killed" ] || fail "no task could be killed while it worked"
ran=$(grep -l "finished in" "$folder"/tasks/logs/*.txt | wc -l)
[ "$ran" -ge 2 ] || fail "only $ran process finished a case: nothing was shared"

for table in "$folder"/one/*.csv "$folder/one/summary.json"; do
  cmp "$table" "$folder/tasks/$(basename "$table")" || fail "$(basename "$table") differs"
done
[ "$(ls "$folder"/one/*.csv | wc -l)" = "$(ls "$folder"/tasks/*.csv | wc -l)" ] || fail "another number of tables"
twice=$(grep -h "finished in" "$folder"/tasks/logs/*.txt | sed 's/.*case  *\([^ ]*\) finished.*/\1/' | sort | uniq -d)
[ -z "$twice" ] || fail "done more than once: $twice"
cases=$(grep -h "finished in" "$folder"/tasks/logs/*.txt | wc -l)
[ "$cases" = 6 ] || fail "$cases cases finished, 6 expected (2 variants x joint, unoperated, levelled)"
echo "ok: $cases cases by $ran processes of jobs $jobs, one task killed, tables as of one process"
