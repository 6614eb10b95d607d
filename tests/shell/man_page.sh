#!/usr/bin/env bash
# tests/shell/man_page.sh STIFLE - the manual page renders without a warning; 77 (skipped) where neither groff nor mandoc is installed
set -uo pipefail
stifle=$1
page=$(mktemp); trap 'rm -f "$page"' EXIT
"$stifle" man >"$page" || exit 1
tried=0 failed=0
if command -v groff >/dev/null; then
  tried=1
  said=$(groff -man -ww -z "$page" 2>&1)
  [ -z "$said" ] || { echo "FAIL: groff says: $said"; failed=1; }
  text=$(groff -man -Tascii -P-cbou "$page") # plain letters
  for command in $("$stifle" --help | sed -n '/^Commands:/,/^$/p' | sed -n 's/^  \([a-z]*\) .*/\1/p'); do
    grep -qE "^ +stifle $command" <<<"$text" || { echo "FAIL: the page does not name stifle $command"; failed=1; }
  done
  for words in 'NAME' 'SYNOPSIS' 'EXIT STATUS' '--refine' 'FILES' 'not a device'; do
    grep -qF -- "$words" <<<"$text" || { echo "FAIL: the page does not say '$words'"; failed=1; }
  done
fi
if command -v mandoc >/dev/null; then
  tried=1
  said=$(mandoc -T lint -W warning "$page" 2>&1 | grep -v 'missing date') # no date: the page would change without the program
  [ -z "$said" ] || { echo "FAIL: mandoc says: $said"; failed=1; }
fi
[ $tried = 1 ] || { echo "SKIPPED: neither groff nor mandoc is installed"; exit 77; }
[ $failed = 0 ] && echo "manual page: holds"
exit $failed
