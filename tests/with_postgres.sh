#!/usr/bin/env bash
# Runs a command beside a PostgreSQL cluster of its own, whose address it finds in
# KITWRIGHT_TEST_DATABASE, and takes the cluster away afterwards:
#
#     bash tests/with_postgres.sh cargo test --features postgres
#
# The cluster listens on a socket in a folder of its own and nowhere else. Its texts sort as a
# language does and not by code point, as many a shop's will. It does not wait for the disk unless
# DURABLE=1 asks for it, since an ordinary test has nothing to lose.
set -euo pipefail

programs=()
for folder in "$(pg_config --bindir 2>/dev/null || true)" /usr/lib/postgresql/*/bin; do
    [ -x "$folder/initdb" ] && programs+=("$folder")
done
if [ ${#programs[@]} -eq 0 ]; then
    echo "PostgreSQL is not here: install the package postgresql, or run tests/run.sh." >&2
    exit 1
fi
# The newest stands last.
bin="${programs[-1]}"

# PostgreSQL refuses to run as root.
as=()
owner="$(id -un)"
if [ "$(id -u)" = 0 ]; then
    owner=postgres
    id -u "$owner" >/dev/null 2>&1 || owner=nobody
    as=(setpriv --reuid="$owner" --regid="$(id -g "$owner")" --clear-groups)
fi

home="$(mktemp -d "${TMPDIR:-/tmp}/kitwright-pg.XXXXXX")"
pid=""
end() {
    if [ -n "$pid" ]; then
        # Fast shutdown: clients are cut off, the books are written.
        kill -INT "$pid" 2>/dev/null || true
        wait "$pid" 2>/dev/null || true
    fi
    rm -rf "$home"
}
trap end EXIT
trap 'exit 130' INT TERM
[ ${#as[@]} -eq 0 ] || chown "$owner" "$home"

"${as[@]}" "$bin/initdb" --pgdata="$home/data" --username=kitwright --auth=trust --no-sync \
    --encoding=UTF8 --locale=C.UTF-8 --locale-provider=icu --icu-locale=en >"$home/initdb.log" 2>&1 \
    || { cat "$home/initdb.log" >&2; exit 1; }

settings=(-c "listen_addresses=" -c "unix_socket_directories=$home" -c max_connections=200)
if [ "${DURABLE:-0}" != 1 ]; then
    settings+=(-c fsync=off -c synchronous_commit=off -c full_page_writes=off)
fi
"${as[@]}" "$bin/postgres" -D "$home/data" "${settings[@]}" >"$home/postgres.log" 2>&1 &
pid=$!
for _ in $(seq 100); do
    "$bin/pg_isready" --quiet --host="$home" --username=kitwright --dbname=postgres && break
    kill -0 "$pid" 2>/dev/null || { cat "$home/postgres.log" >&2; exit 1; }
    sleep 0.1
done

export KITWRIGHT_TEST_DATABASE="postgres://kitwright@${home//\//%2F}/postgres"
export KITWRIGHT_TEST_POSTGRES_PID="$pid"
if "$@"; then code=0; else code=$?; fi
exit "$code"
