#!/usr/bin/env bash
# tests/page/without_npm.sh - requirement: without npm or its registry the build goes on and says in one line what is left out; a lock
# file that does not fit its package.json stops it.
#   usage   without_npm.sh CMAKE viz/page
set -euo pipefail
cmake=$1 page=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "failed: $1"; exit 1; }
npm_says() { printf '#!/bin/sh\necho "npm error code %s" >&2\nexit 1\n' "$1" >"$work/npm_stub"; chmod +x "$work/npm_stub"; }
install() { "$cmake" -D NPM="$1" -D FROM="$page" -D INTO="$work/npm" -D "WITHOUT=report.html is left out" -P "$page/npm_ci.cmake" 2>&1; }

npm_says ECONNREFUSED
for npm in "$work/npm_stub" NPM-NOTFOUND; do
  mkdir -p "$work/npm"
  touch "$work/npm/.installed" "$work/page.js" "$work/page.css" # of an earlier build
  words=$(install "$npm") || fail "the build ends: $words"
  [ "$(wc -l <<<"$words")" = 1 ] || fail "more than one line: $words"
  [[ $words == *"report.html is left out"* ]] || fail "does not say what is left out: $words"
  [ ! -e "$work/npm/.installed" ] || fail "the next build would not try again"
  "$cmake" -D FROM="$page" -D INTO="$work" -P "$page/bundle.cmake" || fail "the bundle ends the build"
  [ ! -e "$work/page.js" ] || fail "an old page would pass for the present one"
done
npm_says EUSAGE
if words=$(install "$work/npm_stub"); then fail "a lock file that does not fit passes: $words"; fi
echo "holds"
