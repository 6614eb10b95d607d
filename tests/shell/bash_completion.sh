#!/usr/bin/env bash
# tests/shell/bash_completion.sh STIFLE - drives the completion function as bash does: words and cursor in, candidates out
set -uo pipefail
stifle=$1
work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
cd "$work" && mkdir 'sub folder' && touch dog.yaml 'a dog.yml' table.csv 'sub folder/inner.yaml'
PATH="$(dirname "$stifle"):$PATH"
stifle completion bash >completion || exit 1
bash -n completion || { echo "FAIL: not valid bash"; exit 1; }
source ./completion
function_name=$(complete -p stifle | sed 's/.*-F \([^ ]*\) stifle/\1/')
failed=0

candidates() { # words of the line, the last one under the cursor
  COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMP_LINE="$*"; COMP_POINT=${#COMP_LINE}; COMPREPLY=()
  "$function_name" "$1" "${!#}" "${@:$#-1:1}"
  ((${#COMPREPLY[@]})) && printf '%s\n' "${COMPREPLY[@]}" | sort | paste -sd'|'
}
expect() { # what, words...
  local wanted=$1 got; shift
  got=$(candidates "$@")
  [ "$got" = "$wanted" ] || { echo "FAIL: '$*' gives '$got', wanted '$wanted'"; failed=1; }
}
expect_in() { # one of them, words...
  local wanted=$1 got; shift
  got=$(candidates "$@")
  [[ "|$got|" == *"|$wanted|"* ]] || { echo "FAIL: '$*' gives '$got' without '$wanted'"; failed=1; }
}

expect 'run' stifle ru
expect '--threads' stifle run --th
expect 'joint' stifle run dog.yaml --only ''
expect 'a dog.yml|dog.yaml|sub folder' stifle run ''
expect 'a dog.yml|dog.yaml|sub folder' stifle check ''
expect 'sub folder/inner.yaml' stifle run 'sub folder/'
expect '' stifle run dog.yaml ''                       # it has its scenario
expect 'a dog.yml|dog.yaml|sub folder' stifle run --threads 2 ''  # a value is no argument
expect 'sub folder' stifle run dog.yaml --out ''
expect 'sub folder' stifle run dog.yaml --out = s      # --out=s, as bash splits it
expect 'sub folder' stifle report ''
expect 'sub folder|table.csv' stifle validate J1 --out ''
expect 'bash|zsh' stifle completion ''
expect 'plate.width_mm|plate.widths_mm' stifle keys plate.wi
expect_in 'plate' stifle keys pla
expect_in 'C4' stifle validate J1 C
expect_in '--version' stifle --

# Every command and every option of the help is offered.
commands=$(stifle --help | sed -n '/^Commands:/,/^$/p' | sed -n 's/^  \([a-z]*\) .*/\1/p')
[ "$(wc -w <<<"$commands")" -ge 8 ] || { echo "FAIL: the help lists '$commands'"; failed=1; }
for command in $commands; do
  expect_in "$command" stifle ''
  for option in $(stifle "$command" --help | sed -n '/^Options:/,/^$/p' | grep -oE '^  (-[a-z], )?--[a-z-]+' | grep -oE -- '--?[a-z][a-z-]*'); do
    expect_in "$option" stifle "$command" -
  done
done
[ $failed = 0 ] && echo "bash completion: holds"
exit $failed
