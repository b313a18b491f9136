#!/usr/bin/env bash
# The contract from outside, by hand: bash tests/contract.sh [EXAMPLES] [schemathesis options]
# Runs Schemathesis against a server of the demo on a port of its own: every operation of the
# served document, with what it may be sent and what it may not, alone and one after another.
# With DATABASE_URL the server uses that (empty) database and the demo's documents are loaded.
# Needs Python 3 with venv; the tool goes into target/contract.
set -euo pipefail
cd "$(dirname "$0")/.."
examples=${1:-20}
shift || true
tool=target/contract
[ -x "$tool/bin/schemathesis" ] || { python3 -m venv "$tool" && "$tool/bin/pip" install --quiet 'schemathesis==4.*'; }
[ -n "${WEIGHHOUSE:-}" ] || { cargo build --quiet && WEIGHHOUSE=target/debug/weighhouse; }

tool=$PWD/$tool
WEIGHHOUSE=$(realpath "$WEIGHHOUSE")
port=${PORT:-8089}
log=$tool/server.log
if [ -n "${DATABASE_URL:-}" ]; then
    "$WEIGHHOUSE" load demo-data/bakery.json demo-data/stock.json demo-data/orders.json
    "$WEIGHHOUSE" serve --listen "127.0.0.1:$port" >"$log" 2>&1 &
else
    "$WEIGHHOUSE" serve --demo --listen "127.0.0.1:$port" >"$log" 2>&1 &
fi
server=$!
trap 'kill "$server" 2>/dev/null || true' EXIT
for _ in $(seq 100); do
    curl --silent --fail "http://127.0.0.1:$port/healthz" >/dev/null && break
    sleep 0.2
done

# What it remembers of a run stays with it.
cd "$tool"

# Runs it on some operations, without some checks; all others hold.
hold() {
    local which=$1 without=$2
    shift 2
    "$tool/bin/schemathesis" run "http://127.0.0.1:$port/openapi.json" $which \
        --checks all --exclude-checks "$without" \
        --phases examples,coverage,fuzzing,stateful \
        --max-examples "$examples" --seed 20260610 --continue-on-failure \
        --request-timeout 60 --suppress-health-check all "$@"
}

# Left out, each with its reason:
# - the stream: it never ends;
# - reading a workbook: it cannot write one; the tests of workbooks do, whole and broken;
# - positive_data_acceptance: a well-formed order for yesterday is rightly refused;
# - ignored_auth: the demo on its own machine needs no token;
# - of the batch negative_data_rejection: a bad order in it has an outcome of its own, and
#   never costs a good one.
always=positive_data_acceptance,ignored_auth
failed=0
hold "--exclude-path /v1/changes/stream --exclude-path /v1/orders/batch --exclude-operation-id put_workbook" "$always" "$@" || failed=1
hold '--include-path /v1/orders/batch' "$always,negative_data_rejection" "$@" || failed=1
kill -0 "$server" || { echo 'the server is gone' >&2; exit 1; }
if grep -i 'panicked' "$log"; then exit 1; fi
exit "$failed"
