#!/usr/bin/env bash
# Prints how long many labels take and how many of them a reader reads, then the rate of encoding
# Code 128 beside zint in the same run: tests/label_rates.sh [COUNT], 10000 where it is left out.
# CI runs it with 200 and a debug build (PROFILE=dev); only what is read is judged, never the time.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
count="${1:-10000}"
profile="${PROFILE:-release}"
tools="${KITWRIGHT_TOOLS:-$PWD/.tools/venv}"
folder="$(mktemp -d)"
trap 'rm -r "$folder"' EXIT

cargo run --quiet --profile "$profile" --features "${FEATURES:-}" --example many_labels -- "$count" "$folder/labels.pdf"
"$tools/bin/python" tests/tools/read_rate.py "$folder/labels.pdf" "$count"

if [ "$profile" = release ] && command -v zint >/dev/null; then
    for ((it = 0; it < 1000; it++)); do printf 'SF26-%06d\n' "$it"; done >"$folder/texts"
    echo "zint, 1000 symbols to files of one kind in one process:"
    ( cd "$folder" && time zint --barcode=CODE128 --batch --filetype=svg --input=texts --output=~~~~.svg )
    cargo bench --quiet --bench labels -- code128
fi
