#!/bin/bash
# executable.sh - what starts with "#!" may be run as it stands: the documents name such files as commands
#   use     tests/executable.sh [REPOSITORY]   prints every file that may not; exit code 1 when there is one
set -u
cd "${1:-$(dirname "$0")/..}" || exit 2

# every file that starts with "#!" and may not be run
refused_files() {
  find "$@" -type f ! -executable -exec awk '/^#!/ { print FILENAME ": starts with #! but may not be run (chmod +x)" } { nextfile }' {} +
}

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
printf '#!/bin/sh\n' > "$scratch/planted.sh"
[[ -n $(refused_files "$scratch") ]] || { echo "self-test: the planted file was not found"; exit 1; }

refused=$(refused_files scenarios tests benchmarks)
[[ -z $refused ]] || { echo "$refused"; exit 1; }
echo "every script may be run"
