#!/usr/bin/env bash
# Fills shops with so many movements each, proves their books, serves them by the real program, and
# prints how long every page and list takes and how many scans a second devices get through:
# tests/scale.sh [SIZE...], 10000 100000 1000000 5000000 where they are left out. FOLDER names where the
# books are kept; without it they go when it ends (3 GB for the largest). A size below 10000 only looks
# whether every page is there (PROFILE=dev takes a debug build).
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
profile="${PROFILE:-release}"
[ $# -gt 0 ] || set -- 10000 100000 1000000 5000000
folder="${FOLDER:-}"
if [ -z "$folder" ]; then
    folder="$(mktemp -d)"
    trap 'rm -r "$folder"' EXIT
fi

cargo build --quiet --profile "$profile" --features "${FEATURES:-}" --bin kitwright --example scale
target="$(cargo metadata --format-version 1 --no-deps | sed 's/.*"target_directory":"\([^"]*\)".*/\1/')"
programs="$target/${profile/#dev/debug}"
"$programs/examples/scale" "$folder" "$@"
for size in "$@"; do
    start="$(date +%s%N)"
    "$programs/kitwright" check --database "sqlite:$folder/$size.sqlite" >"$folder/check"
    echo "books of $size movements proved in $((($(date +%s%N) - start) / 1000000)) ms, $(wc -l <"$folder/check") proofs hold"
done
