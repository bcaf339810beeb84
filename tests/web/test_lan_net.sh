#!/bin/sh
# The program with --lan between two machines: two network namespaces joined by a cable, where the
# system lets us make them (root, or user namespaces); without that only what one machine shows.
# EVENPOOL names the program. Ends with "N passed, N failed".
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
if [ "${1:-}" != inside ]; then
    EVENPOOL=$evenpool
    export EVENPOOL
    if [ "$(id -u)" = 0 ] && unshare -n true 2>/dev/null; then
        exec unshare -n sh "$0" inside
    elif unshare -rn true 2>/dev/null; then
        exec unshare -rn sh "$0" inside
    fi
    echo 'no namespaces here: the cable is left out'
fi
scratch=$(mktemp -d)
server='' phone=''
tidy() {
    for p in $server $phone; do
        kill "$p" 2>/dev/null || true
    done
    rm -rf "$scratch"
}
trap tidy EXIT
cd "$scratch"

start() { # more options of serve
    : >address
    "$evenpool" serve --db w.evenpool --port 8377 --open no "$@" >address 2>said &
    server=$!
    n=0
    while [ ! -s address ] && [ $n -lt 100 ]; do
        n=$((n + 1))
        sleep 0.1
    done
}

# one request; prints "STATUS field who"; run by whoever calls it
cat >ask.py <<'PY'
import http.client, json, sys
host, path, method, name = sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4]
headers = {"Host": name}
body = None
for extra in sys.argv[5:]:
    if extra.startswith("{"):
        body, headers["Content-Type"] = extra, "application/json"
    else:
        headers["Cookie"] = extra
try:
    c = http.client.HTTPConnection(host, 8377, timeout=5)
    c.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    if body is not None:
        headers["Content-Length"] = str(len(body))
    for k, v in headers.items():
        c.putheader(k, v)
    c.endheaders(body.encode() if body else None)
    r = c.getresponse()
    text = r.read().decode()
except OSError as e:
    print("none", type(e).__name__)
    sys.exit(0)
try:
    o = json.loads(text)
except ValueError:
    o = {}
json.dump({"status": r.status, "cookie": r.getheader("Set-Cookie") or "", "body": o}, open("last.json", "w"))
print(r.status, o.get("error", {}).get("field", "-"), o.get("door", {}).get("who", "-"))
PY
answers() { # wanted, command...
    want=$1
    shift
    got=$("$@")
    test "$got" = "$want" || { echo "$got"; false; }
}
last() { python3 -c 'import json, sys; o = json.load(open("last.json")); print(eval(sys.argv[1]))' "$1"; }
here() { python3 ask.py 127.0.0.1 "$1" "${2:-GET}" 127.0.0.1:8377 ${3:+"$3"}; }

cabled=no
if [ "${1:-}" = inside ]; then
    ip link set lo up
    unshare -n sleep 120 &
    phone=$!
    n=0
    # the phone's namespace is there once it differs from ours
    while [ "$(readlink "/proc/$phone/ns/net")" = "$(readlink /proc/self/ns/net)" ] && [ $n -lt 50 ]; do
        n=$((n + 1))
        sleep 0.1
    done
    # 192.0.2.0/24 and 203.0.113.0/24 are for documents (RFC 5737): home network, and somewhere else
    if ip link add desk0 type veth peer name hand0 2>err && ip link set hand0 netns "$phone"; then
        cabled=yes
        ip addr add 192.0.2.1/24 dev desk0
        ip link set desk0 up
        nsenter -t "$phone" -n sh -c 'ip link set lo up; ip addr add 192.0.2.9/24 dev hand0
            ip addr add 203.0.113.9/32 dev hand0; ip link set hand0 up'
        ip route add 203.0.113.9/32 dev desk0
    fi
fi
phone() { # path, method, more
    path=$1 method=${2:-GET}
    if [ $# -ge 2 ]; then shift 2; else shift; fi
    nsenter -t "$phone" -n python3 ask.py 192.0.2.1 "$path" "$method" "${name:-192.0.2.1:8377}" "$@"
}

start
holds 'loopback answers' answers '200 - here' here /api/meta
if [ $cabled = yes ]; then
    holds 'without --lan nobody answers in the network' answers 'none ConnectionRefusedError' phone /api/meta
fi
kill "$server"
wait "$server" || true

start --lan
holds 'the first line is one loopback address' grep -qx 'http://127.0.0.1:8377/' address
holds 'plain http is said' grep -q 'unencrypted' said
holds 'the computer answers itself' answers '200 - here' here /api/meta
if [ $cabled = yes ]; then
    holds 'the address to type is said' grep -q 'http://192.0.2.1:8377/' said
    holds 'the pages are open' answers '200 - -' phone /pair
    holds 'their data is not' answers '403 device -' phone /api/today
    name=evil.example
    holds 'a foreign name is refused' answers '403 host -' phone /api/today
    name=
    holds 'who comes from another network is refused' answers '403 network -' \
        nsenter -t "$phone" -n python3 -c '
import socket
s = socket.create_connection(("192.0.2.1", 8377), 5, ("203.0.113.9", 0))
s.sendall(b"GET / HTTP/1.1\r\nHost: 192.0.2.1:8377\r\n\r\n")
text = s.recv(4096).decode()
print(text.split()[1], "network" if "\"field\":\"network\"" in text + s.recv(4096).decode() else "?", "-")'
    here /api/devices/invite POST '{}' >said2
    code=$(last 'o["body"]["code"]')
    holds 'the picture leads to that address' answers "http://192.0.2.1:8377/pair#$code" \
        last 'o["body"]["urls"][0]["url"]'
    phone /api/pair POST "{\"code\":\"$code\",\"name\":\"bench phone\"}" >said2
    id=$(last 'o["body"]["id"]') number=$(last 'o["body"]["number"]') ticket=$(last 'o["body"]["ticket"]')
    holds 'the number lets it in' answers '200 - -' here "/api/devices/$id/confirm" POST "{\"number\":\"$number\"}"
    phone /api/pair/wait POST "{\"ticket\":\"$ticket\"}" >said2
    cookie=$(last 'o["cookie"].split(";")[0]')
    holds 'its cookie opens' answers '200 - bench' phone /api/meta GET "$cookie"
    holds 'for the bench' answers '403 role -' phone /api/settings POST "$cookie" '{"key":"units","value":"us"}'
    # the command line shuts it out, beside the running door
    holds 'a command revokes' "$evenpool" devices revoke "$id" --db w.evenpool
    holds 'and it is out' answers '403 device -' phone /api/meta GET "$cookie"
fi
kill "$server"
wait "$server" || true
server=
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
