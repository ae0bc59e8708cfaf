#!/usr/bin/env bash
# A real editor, Neovim, drives the language server on a copy of a demo: findings, completion, hover, renaming, the form of the
# text, a repair (_editor.lua). What Neovim makes of the answers is looked at, not what we think of them.
set -euo pipefail
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cp -r procedures/kestrel-rack.fitw procedures/figures "$scratch/"
export HOME=$scratch XDG_CONFIG_HOME=$scratch XDG_DATA_HOME=$scratch XDG_STATE_HOME=$scratch XDG_CACHE_HOME=$scratch
export EDITOR_SERVER=$FITWRIGHT EDITOR_FILE=$scratch/kestrel-rack.fitw EDITOR_SAID=$scratch/said
timeout 120 nvim --headless -u NONE -i NONE -n -S tests/oracles/_editor.lua >/dev/null 2>"$scratch/errors" </dev/null
if [ ! -e "$scratch/said" ] || [ -s "$scratch/said" ]; then
    cat "$scratch/said" "$scratch/errors" 2>/dev/null
    exit 1
fi
