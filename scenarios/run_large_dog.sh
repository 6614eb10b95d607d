#!/usr/bin/env bash
# scenarios/run_large_dog.sh - installs, builds and runs the main job; results in out/large_dog
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
echo "This installs Debian packages if any are missing, builds stifle and runs scenarios/large_dog.yaml."
bash "$root/scenarios/prepare.sh"
echo "== run: stifle run scenarios/large_dog.yaml --out out/large_dog (at most 5 minutes on 2 cores)"
exec "${STIFLE_BUILD:-$root/build}/stifle" run "$root/scenarios/large_dog.yaml" --out "$root/out/large_dog" "$@"
