#!/bin/sh
# Keep the last fourteen nights: one whole, usable copy each, with the photos beside it.
# usage: backup.sh FOLDER   (PITCRIER_DB says which log)
set -eu
folder=${1:?name the folder for backups}
pitcrier=${PITCRIER:-/opt/pitcrier/bin/pitcrier}
keep=${KEEP:-14}
mkdir -p "$folder"
name="$folder/pitcrier-$(date -u +%Y%m%dT%H%M%SZ).db"
"$pitcrier" backup "$name"
# a copy counts when it can be restored and its chains hold
drill=$(mktemp -d)
trap 'rm -rf "$drill"' EXIT
"$pitcrier" restore "$name" --db "$drill/drill.db"
"$pitcrier" verify --db "$drill/drill.db"
ls -1 "$folder"/pitcrier-*.db | sort -r | tail -n "+$((keep + 1))" | while read -r old; do
    rm -rf "$old" "$old"-*
done
