#!/usr/bin/env bash
# tests/shell/zsh_completion.sh STIFLE - types lines and a tab into an interactive zsh; 77 (skipped) where zsh is missing
set -uo pipefail
command -v zsh >/dev/null || { echo "SKIPPED: zsh is not installed (apt-get install zsh)"; exit 77; }
stifle=$1
work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
mkdir "$work/functions" "$work/here" "$work/here/results" && cd "$work/here" && touch dog.yaml table.csv
export PATH="$(dirname "$stifle"):$PATH" TERM=xterm
stifle completion zsh >"$work/functions/_stifle" || exit 1
zsh -n "$work/functions/_stifle" || { echo "FAIL: not valid zsh"; exit 1; }
cat >"$work/drive.zsh" <<'Z'
# A line at a time from standard input; what stands on the line after the tab goes to standard output.
zmodload zsh/zpty
zpty shell zsh -f -i
say() { zpty -w shell "$1" }
drain() { local piece; while zpty -r -t shell piece; do :; done }
await() { repeat 300; do drain; [[ -s $1 ]] && return; sleep 0.1; done; print -r -- "nothing came" }
say "PS1=; fpath=($work/functions \$fpath); autoload -Uz compinit; compinit -u -d $work/dump"
say "bindkey '^I' complete-word; LISTMAX=1000"
say "tell() { print -r -- \"\$BUFFER\" >>$work/shown; BUFFER= }; zle -N tell; bindkey '^]' tell; print ready >$work/ready"
await $work/ready
while IFS= read -r line; do
  : >$work/shown
  zpty -w -n shell "$line"$'\t\x1d'
  await $work/shown
  head -1 $work/shown
done
zpty -d shell
Z
typed=('stifle ru' 'stifle run do' 'stifle run --thr' 'stifle run dog.yaml --only ' 'stifle run dog.yaml --out=re' 'stifle report '
  'stifle keys plate.bone_c' 'stifle completion z' 'stifle validate J1 --out ta')
wanted=('stifle run' 'stifle run dog.yaml' 'stifle run --threads=' 'stifle run dog.yaml --only joint' 'stifle run dog.yaml --out=results/'
  'stifle report results/' 'stifle keys plate.bone_contact' 'stifle completion zsh' 'stifle validate J1 --out table.csv')
mapfile -t got < <(printf '%s\n' "${typed[@]}" | work=$work zsh -f "$work/drive.zsh")
failed=0
for i in "${!typed[@]}"; do
  [[ "${got[i]:-nothing}" =~ ^"${wanted[i]}"' '?$ ]] || { echo "FAIL: '${typed[i]}' became '${got[i]:-nothing}', wanted '${wanted[i]}'"; failed=1; }
done
[ $failed = 0 ] && echo "zsh completion: holds"
exit $failed
