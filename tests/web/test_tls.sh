#!/bin/sh
# serve --lan --tls as other programs see it: openssl and curl share no code with the library the door
# uses. In a network and host name of its own, where the system lets us make them (root, or user
# namespaces). EVENPOOL names the program. Ends with "N passed, N failed".
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
if [ "${1:-}" != inside ]; then
    EVENPOOL=$evenpool
    export EVENPOOL
    if [ "$(id -u)" = 0 ] && unshare -n -u true 2>/dev/null; then
        exec unshare -n -u sh "$0" inside
    elif unshare -r -n -u true 2>/dev/null; then
        exec unshare -r -n -u sh "$0" inside
    fi
    echo 'no namespaces here: by the name of this machine'
fi
# a proxy of the surroundings is no business of ours
unset http_proxy https_proxy HTTP_PROXY HTTPS_PROXY all_proxy ALL_PROXY 2>/dev/null || true
scratch=$(mktemp -d)
server=''
tidy() {
    [ -z "$server" ] || kill "$server" 2>/dev/null || true
    rm -rf "$scratch"
}
trap tidy EXIT
cd "$scratch"
mkdir pages
echo '<!doctype html>first page' >pages/index.html
# the command prints a line of which the pattern is a part
says() { # pattern, command...
    pattern=$1
    shift
    "$@" >said.out 2>&1 </dev/null || true
    grep -q -- "$pattern" said.out || { head -n 12 said.out; false; }
}
fails_with() { # exit status, command...
    want=$1
    shift
    status=0
    "$@" >said.out 2>&1 </dev/null || status=$?
    [ "$status" = "$want" ] || { echo "exit $status"; head -n 12 said.out; false; }
}

name=$(hostname | sed 's/\..*//').local
cabled=no
if [ "${1:-}" = inside ]; then
    hostname bench
    name=bench.local
    ip link set lo up
    if ip link add desk0 type veth peer name hand0 2>err; then
        cabled=yes
        ip addr add 192.168.77.1/24 dev desk0
        ip link set desk0 up
        ip link set hand0 up
    fi
fi

start() { # database, more options of serve
    db=$1
    shift
    : >address
    "$evenpool" serve --db "$db" --port 8377 --open no --assets pages "$@" >address 2>said &
    server=$!
    n=0
    while [ ! -s address ] && kill -0 "$server" 2>/dev/null && [ $n -lt 100 ]; do
        n=$((n + 1))
        sleep 0.1
    done
}
stop() {
    kill "$server"
    wait "$server" || true
    server=''
}
# by its name, over loopback: whoever calls us by a name of the network is a device
at="--resolve $name:8377:127.0.0.1 --resolve $name:8378:127.0.0.1 --max-time 20 -s -S"
plain() { # path, more
    path=$1
    shift
    # shellcheck disable=SC2086
    curl $at "$@" "http://$name:8377$path"
}
https() { # path, more
    path=$1
    shift
    # shellcheck disable=SC2086
    curl $at --cacert "${ca:-w.evenpool.authority.pem}" "$@" "https://$name:8378$path"
}
here() { # path, more
    path=$1
    shift
    curl -s -S --max-time 20 "$@" "http://127.0.0.1:8377$path"
}
code() { "$@" -o body -w '%{http_code}\n'; }
hello() { # more options of s_client
    openssl s_client -connect 127.0.0.1:8378 -servername "$name" -CAfile w.evenpool.authority.pem "$@"
}
field() { python3 -c 'import json, sys; print(eval(sys.argv[1], {"o": json.load(sys.stdin)}))' "$1"; }

# --- options that do not go together
holds 'tls without lan is refused' fails_with 2 "$evenpool" serve --db no.evenpool --tls --open no
holds 'and makes nothing' test ! -e no.evenpool
holds 'its port without it is refused' fails_with 2 "$evenpool" serve --db no.evenpool --lan --tls-port 9 --open no

# --- the authority's file
start w.evenpool --lan --tls
holds 'the first line is one loopback address by http' grep -qx 'http://127.0.0.1:8377/' address
holds 'the authority is made' test -s w.evenpool.authority.pem
holds 'for its owner alone' test "$(stat -c %a w.evenpool.authority.pem)" = 600
before=$(cat w.evenpool.authority.pem)
number=$(openssl x509 -in w.evenpool.authority.pem -noout -fingerprint -sha256 | sed 's/.*=//')
holds 'its number is said' grep -q "SHA-256 $number" said
openssl x509 -in w.evenpool.authority.pem -noout -text >authority.txt
holds 'it may sign certificates of servers, no further authority' grep -q 'CA:TRUE, pathlen:0' authority.txt
holds 'its limits are critical' grep -q 'Name Constraints: critical' authority.txt
hello </dev/null 2>/dev/null | openssl x509 >leaf.pem
holds 'a server certificate follows from it' openssl verify -x509_strict -purpose sslserver -verify_hostname "$name" \
    -CAfile w.evenpool.authority.pem leaf.pem
# 397 days and not a second more; browsers refuse from 399 days on (CA/Browser Forum baseline requirements 6.3.2: 398)
holds 'it holds for 397 days at most' python3 -c '
import calendar, re, subprocess, time
t = subprocess.run(["openssl", "x509", "-in", "leaf.pem", "-noout", "-dates"], capture_output=True, text=True).stdout
a, b = (calendar.timegm(time.strptime(x, "%b %d %H:%M:%S %Y GMT")) for x in re.findall(r"=(.*)", t))
assert 396 * 86400 < b + 1 - a <= 398 * 86400, (a, b)'
later=$(($(date +%s) + 400 * 86400))
holds 'later it is refused' says 'certificate has expired' openssl verify -attime "$later" \
    -CAfile w.evenpool.authority.pem leaf.pem
holds 'earlier too' says 'not yet valid' openssl verify -attime 1600000000 -CAfile w.evenpool.authority.pem leaf.pem

# --- what it may not vouch for, signed with its own key (RFC 5280 4.2.1.10; error 47 of openssl verify)
foreign() { # subjectAltName
    openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout f.key -subj /O=x -out f.csr 2>/dev/null
    printf 'subjectAltName=%s\nextendedKeyUsage=serverAuth\n' "$1" >f.ext
    openssl x509 -req -in f.csr -CA w.evenpool.authority.pem -CAkey w.evenpool.authority.pem -set_serial 7 -days 2 \
        -extfile f.ext -out f.pem 2>/dev/null
    openssl verify -CAfile w.evenpool.authority.pem f.pem
}
for san in DNS:bank.example DNS:local.example IP:203.0.113.5 IP:2001:db8::1; do
    holds "it cannot vouch for $san" says 'permitted subtree violation' foreign "$san"
done
holds 'it can for an address at home' says ': OK' foreign IP:192.168.1.20

# --- the handshake
for v in 1_2 1_3; do
    holds "TLS $v is spoken" says 'Verification: OK' hello "-tls$v" -verify_return_error -verify_hostname "$name"
done
for v in 1 1_1; do
    holds "TLS $v is not" says 'Cipher is (NONE)' \
        hello "-tls$v" -cipher 'ALL:@SECLEVEL=0'
done
holds 'no cipher without a check of what arrives' says 'Cipher is (NONE)' hello -tls1_2 -cipher 'ECDHE-ECDSA-AES128-SHA256'

# --- what every phone trusts is not in the program's memory: neither as bytes nor as a number of the machine's
# words (the certificate is, so the search can find). /proc/PID/mem: proc(5)
cat >search.py <<'PY'
import re, subprocess, sys
pid, pem = sys.argv[1:]
text = subprocess.run(["openssl", "ec", "-in", pem, "-noout", "-text"], capture_output=True, text=True).stdout
key, public = (bytes.fromhex(re.sub(r"[^0-9a-f]", "", re.search(p, text, re.S).group(1)))
               for p in (r"priv:(.*?)pub:", r"pub:(.*?)ASN1"))
key, public, found = key[-32:], public[1:33], {}
with open(f"/proc/{pid}/maps") as maps, open(f"/proc/{pid}/mem", "rb") as mem:
    for line in maps:
        where, rights = line.split()[:2]
        a, b = (int(x, 16) for x in where.split("-"))
        if rights.startswith("rw") and b - a < 1 << 30:
            try:
                mem.seek(a)
                held = mem.read(b - a)
            except OSError:
                continue
            for name, wanted in (("key", key), ("key", key[::-1]), ("public", public)):
                found[name] = found.get(name, 0) + held.count(wanted)
print(found)
sys.exit(found["key"] > 0 or found["public"] == 0)
PY
if [ -r "/proc/$server/mem" ]; then
    holds "the authority's key is not kept in memory" python3 search.py "$server" w.evenpool.authority.pem
fi

# --- who checks is let through, who is shown something else is not (60: curl's "peer certificate cannot be authenticated")
holds 'curl believes the authority' test "$(code https /)" = 200
holds 'and gets the pages' grep -q 'first page' body
ca=/etc/ssl/certs/ca-certificates.crt
holds 'without it curl refuses' fails_with 60 https /
# shellcheck disable=SC2086
holds 'a name it does not have is refused' fails_with 60 curl $at --resolve "other.local:8378:127.0.0.1" \
    --cacert w.evenpool.authority.pem https://other.local:8378/
ca=

# --- plain http beside it
holds 'plain http gives the page that says how' test "$(code plain /recipes)" = 200
holds 'with the certificate' grep -q 'href="/evenpool-authority.crt"' body
holds 'and the address to go to' grep -q "https://$name:8378/" body
holds 'without a script' test "$(grep -ci '<script' body)" = 0
holds 'the certificate is the authority' test "$(plain /evenpool-authority.crt | openssl x509 -inform DER -noout \
    -fingerprint -sha256 | sed 's/.*=//')" = "$number"
holds 'and no key is in it' test "$(plain /evenpool-authority.crt | grep -c 'PRIVATE')" = 0
holds 'as the type phones install' says 'application/x-x509-ca-cert' plain /evenpool-authority.crt -I
holds 'no data by plain http' test "$(code plain /api/meta)" = 403
holds 'which says where to go' grep -q "https://$name:8378/" body
holds 'nor a way in' test "$(code plain /api/pair -H 'Content-Type: application/json' -d '{}')" = 403
holds 'what only answers is not written to' test "$(code here /trust -H 'Content-Type: application/json' -d '{}')" = 405
holds 'another page may not start anything, escaped or not' test "$(code here /%61pi/today -H 'Sec-Fetch-Site: cross-site')" = 403
holds 'the computer itself goes on by http' test "$(code here /api/today)" = 200

# shellcheck disable=SC2086
holds 'plain http on the https port is told where to go' says 'https://127.0.0.1:8378/' curl $at "http://$name:8378/"

# --- a phone is let in
json='Content-Type: application/json'
holds 'no data by https for a stranger' test "$(code https /api/today)" = 403
invite=$(here /api/devices/invite -H "$json" -d '{}')
word=$(echo "$invite" | field 'o["code"]')
url=$(echo "$invite" | field '[u["url"] for u in o["urls"] if "'"$name"'" in u["url"]][0]')
holds 'the picture leads to https' test "$url" = "https://$name:8378/pair#$word"
ask=$(https /api/pair -H "$json" -H "Origin: https://$name:8378" -d "{\"code\":\"$word\",\"name\":\"phone\"}")
id=$(echo "$ask" | field 'o["id"]')
holds 'its number opens' test "$(code here "/api/devices/$id/confirm" -H "$json" -d \
    "{\"number\":\"$(echo "$ask" | field 'o["number"]')\"}")" = 200
ticket=$(echo "$ask" | field 'o["ticket"]')
https /api/pair/wait -H "$json" -d "{\"ticket\":\"$ticket\"}" -c jar -D heads >out
cookie=$(sed -n 's/^[Ss]et-[Cc]ookie: \([^;]*\).*/\1/p' heads | tr -d '\r')
holds 'the cookie is Secure, HttpOnly, Strict, of this host alone' grep -qi \
    '^set-cookie: __Host-evenpool_device_8378=.*; Path=/; .*HttpOnly; SameSite=Strict; Secure' heads
holds 'the token is not in the answer' test "$(grep -c token out)" = 0
holds 'curl gives it back by https' test "$(code https /api/meta -b jar)" = 200
holds 'as the bench' test "$(field 'o["door"]["who"]' <body)" = bench
holds 'encrypted' test "$(field 'o["door"]["encrypted"]' <body)" = True
holds 'the bench may not decide' test "$(code https /api/settings -b jar -H "$json" -d '{"key":"units","value":"us"}')" = 403
value=${cookie#*=}
holds 'its cookie opens nothing by plain http' test "$(code plain /api/meta -H "Cookie: evenpool_device_8377=${value%%.*}")" = 403
holds 'nor by https without its mark' test "$(code https /api/meta -H "Cookie: __Host-evenpool_device_8378=${value%%.*}")" = 403
holds 'nor with a wrong one' test "$(code https /api/meta -H \
    "Cookie: __Host-evenpool_device_8378=${value%%.*}.00000000000000000000000000000000")" = 403
holds 'a page of another site is refused' test "$(code https /api/meta -b jar -H 'Origin: https://evil.example')" = 403
holds 'also when it is our own without encryption' test "$(code https /api/meta -b jar -H "Origin: http://$name:8378")" = 403
holds 'a foreign name is refused' test "$(code https /api/meta -b jar -H 'Host: evil.example')" = 403

# --- a new start, a changed address
stop
start w.evenpool --lan --tls
holds 'the authority stays over a new start' test "$before" = "$(cat w.evenpool.authority.pem)"
holds 'and so does the phone' test "$(code https /api/meta -b jar)" = 200
hello </dev/null 2>/dev/null | openssl x509 >leaf2.pem
holds 'with a new server certificate' test "$(cat leaf.pem)" != "$(cat leaf2.pem)"
if [ $cabled = yes ]; then
    holds 'the address is in it' openssl verify -verify_ip 192.168.77.1 -CAfile w.evenpool.authority.pem leaf2.pem
    ip addr del 192.168.77.1/24 dev desk0
    ip addr add 192.168.78.5/24 dev desk0
    holds 'a changed address is trusted without a new start' test "$(curl -s -S --max-time 20 -o body -w '%{http_code}' \
        --cacert w.evenpool.authority.pem https://192.168.78.5:8378/)" = 200
fi
holds 'the device is shut out' "$evenpool" devices revoke "$id" --db w.evenpool
holds 'at once' test "$(code https /api/meta -b jar)" = 403
holds 'no key in the workshop file' test "$(grep -c 'PRIVATE KEY' w.evenpool)" = 0
stop

# --- files that are not what they should be: told, and left as they are
refused() { # pattern: the start fails with 3 and says so
    status=0
    timeout 20 "$evenpool" serve --db w.evenpool --port 8377 --open no --lan --tls >said.out 2>&1 </dev/null || status=$?
    [ "$status" = 3 ] && grep -q "$1" said.out || { echo "exit $status"; cat said.out; false; }
}
chmod 644 w.evenpool.authority.pem
holds 'a key others may read is refused' refused 'others on this computer may read'
chmod 600 w.evenpool.authority.pem
cp w.evenpool.authority.pem kept
head -c 700 kept >w.evenpool.authority.pem
holds 'half a file is refused' refused 'damaged'
holds 'and left alone' test "$(stat -c %s w.evenpool.authority.pem)" = 700
rm w.evenpool.authority.pem
openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout k -subj /CN=other -days 9 -out c 2>/dev/null
(umask 077 && cat c k >w.evenpool.authority.pem)
holds 'an authority without limits is refused' refused 'no authority of a workshop'
rm w.evenpool.authority.pem
ln -s kept w.evenpool.authority.pem
holds 'a link is refused' refused 'cannot be read'
rm w.evenpool.authority.pem

# --- another authority: phones that trust the first do not believe it
start w.evenpool --lan --tls
ca=kept
holds 'who trusts the authority before refuses the new one' fails_with 60 https /
ca=
stop
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
