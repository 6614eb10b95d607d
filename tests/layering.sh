#!/bin/bash
# layering.sh - includes go one way: models <- mesh <- solver <- viz <- scenarios (style.md section 3)
#   use     tests/layering.sh [REPOSITORY]     prints every offending include; exit code 1 when there is one
#   also    first plants one offence of each kind in a scratch tree and demands that all are found, so that it cannot go blind
set -u
repository=$(cd "${1:-$(dirname "$0")/..}" && pwd) || exit 2

# folder of a file -> the project folders (extended regular expression on the include path) it may include
allowed_paths() {
  case "$1" in
    models/*)           echo '^models/' ;;
    mesh/*)             echo '^(models|mesh)/' ;;
    solver/results.h)   echo '^models/' ;;
    solver/*)           echo '^(models|mesh|solver)/' ;;
    viz/*)              echo '^(models/|viz/|solver/results\.h$)' ;;
    scenarios/checks/*) echo '^(models|mesh|solver|scenarios/checks)/' ;;
    scenarios/app/*)    echo '^(models|mesh|solver|viz|scenarios)/' ;;
    tests/models/*)     echo '^(models|tests/models|tests/support)/' ;;
    tests/mesh/*)       echo '^(models|mesh|tests/mesh|tests/support)/' ;;
    tests/solver/*)     echo '^(models|mesh|solver|scenarios/checks|tests/solver|tests/support)/' ;;
    tests/viz/*)        echo '^(models/|viz/|solver/results\.h$|tests/viz/|tests/support/)' ;;
    tests/* | benchmarks/*) echo '^(models|mesh|solver|viz|scenarios|tests|benchmarks)/' ;;
    *)                  echo '^$' ;;
  esac
}

# library -> where its headers may stand
allowed_library() { # file header
  local file=$1 header=$2
  case "$header" in
    yaml-cpp/*)   [[ $file =~ ^models/core/ || $file =~ ^models/(limb|parts)/.*\.cc$ ]] ;;
    gmsh.h | gmsh.h_cwrap | gmshc.h) [[ $file =~ ^mesh/.*\.cc$ ]] ;;
    deal.II/* | cholmod* | suitesparse/* | Eigen/CholmodSupport | mpi.h | Epetra* | Teuchos*) [[ $file =~ ^(solver|tests|benchmarks)/ && $file != solver/results.h ]] ;;
    vtk*)         [[ $file =~ ^(viz|tests)/ ]] ;;
    CLI/*)        [[ $file =~ ^scenarios/app/ ]] ;;
    nlohmann/*)   [[ $file =~ ^(scenarios/app|viz|tests)/ ]] ;;
    gtest/*)      [[ $file =~ ^tests/ ]] ;;
    *)            true ;;
  esac
}

check_tree() ( # prints offenders, returns their number (at most 250)
  cd "$1" || exit 250
  local offences=0 file line header pattern
  while IFS=: read -r file line header; do
    if [[ $header == \"* ]]; then
      header=${header//\"/}
      pattern=$(allowed_paths "$file")
      if [[ ! $header =~ $pattern ]]; then
        echo "$file:$line: must not include \"$header\" (allowed: $pattern)"
        offences=$((offences + 1))
        continue
      fi
    fi
    header=${header//[<>]/}
    if ! allowed_library "$file" "$header"; then
      echo "$file:$line: the library header <$header> has no place here"
      offences=$((offences + 1))
    fi
  done < <(grep -rnoE --include='*.h' --include='*.cc' '^[[:space:]]*#[[:space:]]*include[[:space:]]*("[^"]*"|<[^>]*>)' \
             $(ls -d models mesh solver viz scenarios tests benchmarks 2>/dev/null) |
           sed -E 's/^([^:]*:[0-9]+:)[[:space:]]*#[[:space:]]*include[[:space:]]*/\1/')
  exit $((offences > 250 ? 250 : offences))
)

self_test() {
  local scratch planted=0 found
  scratch=$(mktemp -d)
  plant() { mkdir -p "$scratch/$(dirname "$1")"; echo "$2" >>"$scratch/$1"; planted=$((planted + 1)); }
  plant models/joint/a.cc '#include "mesh/tet_mesh.h"'
  plant models/margins/a.h '#  include "solver/results.h"'
  plant mesh/a.cc '  #include "solver/elasticity.h"'
  plant solver/a.cc '#include "viz/vtu.h"'
  plant solver/results.h '#include "solver/elasticity.h"'
  plant viz/a.cc '#include "solver/elasticity.h"'
  plant viz/b.cc '#include "mesh/tet_mesh.h"'
  plant scenarios/checks/a.cc '#include "viz/vtu.h"'
  plant scenarios/checks/b.cc '#include "scenarios/app/commands.h"'
  plant models/core/a.h '#include "error.h"'
  plant tests/models/a_test.cc '#include "solver/elasticity.h"'
  plant mesh/b.h '#include <gmsh.h>'
  plant models/joint/b.cc '#include <yaml-cpp/yaml.h>'
  plant mesh/c.cc '#include <deal.II/base/point.h>'
  plant solver/b.cc '#include <vtkPoints.h>'
  plant scenarios/app/a.cc '#include <gmsh.h>'
  plant models/core/b.cc '#include <CLI/CLI.hpp>'
  mkdir -p "$scratch/models/limb"
  echo '#include "models/core/units.h"' >"$scratch/models/limb/good.cc"
  found=$(check_tree "$scratch" | wc -l)
  rm -rf "$scratch"
  [[ $found -eq $planted ]] || { echo "self-test: $planted offences planted, $found found"; return 1; }
  echo "self-test: all $planted planted offences found"
}

self_test || exit 1
if check_tree "$repository"; then
  echo "layering: every include goes the right way"
else
  echo "layering: the includes above go the wrong way (style.md section 3)"
  exit 1
fi
