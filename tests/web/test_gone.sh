#!/bin/sh
# A page that goes away: the server notices that the connection was closed, stops burning for it, keeps
# nothing half done, and serves the next. EVENPOOL names the program. Ends with "N passed, N failed".
# All data are invented.
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
scratch=$(mktemp -d)
server=
trap '[ -z "$server" ] || kill "$server"; rm -rf "$scratch"' EXIT
cd "$scratch"
unset EVENPOOL_DB EVENPOOL_CLOCK_SPEED
export TZ=UTC EVENPOOL_CLOCK=2026-01-05T08:00:00Z EVENPOOL_LOG=debug

kept() { python3 -c 'import sqlite3
print(sqlite3.connect("workshop.evenpool", timeout=20).execute("select count(*) from kept").fetchone()[0])'; }
# the log has a line for every request that is over, whether or not anyone heard the answer
over() { # path, status
    for _ in $(seq 1 200); do
        grep -qa "GET [^ ]*$1[^ ]* $2\$" said && return 0
        sleep 0.1
    done
    return 1
}

"$evenpool" shelf add-container --name glass --material std-container-soda-lime --inner-diameter '70 mm' \
    --height '85 mm' --wall '3 mm' --base '6 mm' --empty-mass '240 g' >out 2>err
"$evenpool" shelf add-series --name flat --construction std-wick-flat-braid \
    --sizes '1=0.8 g/m; 2=1.0 g/m; 3=1.3 g/m; 4=1.7 g/m' >out 2>err
"$evenpool" recipe add --name trial --container glass --waxes 'std-wax-soy: 100 %' --series flat \
    --fill-height '60 mm' --trim '6 mm' --session '4 h' --stop-height '12 mm' >out 2>err
recipe=$("$evenpool" recipe show trial --json 2>err | python3 -c 'import json, sys; print(json.load(sys.stdin)["id"])')

"$evenpool" serve --db workshop.evenpool --port 0 --open no >address 2>>said &
server=$!
for _ in $(seq 1 100); do
    [ -s address ] && break
    sleep 0.1
done

# asks and hangs up: "close" as a page that is shut, "reset" as a phone that is gone
cat >leave.py <<'END'
import socket, struct, sys, time
from urllib.parse import urlsplit
how, path = sys.argv[1:]
url = urlsplit(open("address").read().split()[0])
s = socket.create_connection((url.hostname, url.port))
s.sendall(f"GET {path} HTTP/1.1\r\nHost: {url.netloc}\r\n\r\n".encode())
s.settimeout(0.3)
try:
    got = s.recv(1)
except TimeoutError:
    got = None
assert got is None, "it was answered before anyone could leave"
if how == "reset":
    s.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
s.close()
END

# each of these burns some thousand candles; a server that does not notice is at it for minutes
for question in odds plan forecast; do
    for how in close reset; do
        : >said  # the server appends
        holds "a page asks for $question and leaves ($how)" python3 leave.py "$how" "/api/recipes/$recipe/$question?members=512&seed=9"
        holds "the server stops ($question, $how)" over "/$question" 409
    done
done
holds 'nothing half done is kept' test "$(kept)" -lt 4

cat >stay.py <<'END'
import json, sys, urllib.request
base = open("address").read().split()[0].rstrip("/")
with urllib.request.urlopen(base + sys.argv[1], timeout=100) as r:
    assert len(json.load(r)["sizes"]) == 4
END
holds 'a page that stays is answered' python3 stay.py "/api/recipes/$recipe/odds?members=8&seed=9"
holds 'and its answer is kept' test "$(kept)" -ge 4
holds 'the server is well' kill -0 "$server"
kill "$server"
wait "$server" || true
server=

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
