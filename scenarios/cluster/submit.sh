#!/usr/bin/env bash
# scenarios/cluster/submit.sh - a study as an array job of Slurm, and after it a job that finishes what killed tasks left
#   usage   submit.sh SCENARIO.yaml DIR TASKS [more options of stifle run]
#   prints  the numbers of both jobs; the tables are in DIR when the second has ended
set -euo pipefail
[ $# -ge 3 ] || { sed -n '2,4p' "${BASH_SOURCE[0]}"; exit 2; }
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
file=$(realpath "$1") out=$(realpath -m "$2") tasks=$3
"${STIFLE:-stifle}" check "$file"
array=$(sbatch --parsable --array="0-$((tasks - 1))" "$here/study.sbatch" "$file" "$out" "${@:4}")
last=$(STIFLE_WAIT=1 sbatch --parsable --dependency="afterany:$array" "$here/study.sbatch" "$file" "$out" "${@:4}")
echo "$array $last"
