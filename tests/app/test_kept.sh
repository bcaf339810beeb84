#!/bin/sh
# What was learned is worked out once: asked again the odds are the same byte for byte and nothing is
# burned for them; without the kept answers they are the same too. A reading, a correction, a property,
# a limit, a seed change them; spoiled bytes are worked out anew; two that ask at once do no harm.
# EVENPOOL names the program. Ends with "N passed, N failed". All data are invented.
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
scratch=$(mktemp -d)
server=
trap '[ -z "$server" ] || kill "$server"; rm -rf "$scratch"' EXIT
cd "$scratch"
unset EVENPOOL_DB EVENPOOL_CLOCK_SPEED EVENPOOL_LOG
export TZ=UTC EVENPOOL_CLOCK=2026-01-05T08:00:00Z

ep() { # a command that must go well
    "$evenpool" "$@" --json 2>said || { echo "evenpool $*: $(cat said)"; exit 1; } >&2
}
json() { python3 -c 'import json, sys; d = json.load(sys.stdin); print(eval(sys.argv[1]))' "$1"; }
sql() { # one statement on the workshop's file; the first number it gives
    python3 -c 'import sqlite3, sys
db = sqlite3.connect("workshop.evenpool", timeout=20)
row = db.execute(sys.argv[1]).fetchone()
db.commit()
print(row[0] if row else "")' "$1"
}
odds() { ep odds trial --members 8; }
runs() { json 'd["learned"]["engine_runs"]' <"$1"; }

# --- a candle of which one session was burned ---
ep shelf add-material --kind wax --name house --based-on std-wax-soy >wax.json
ep shelf add-container --name glass --material std-container-soda-lime --inner-diameter '70 mm' \
    --height '85 mm' --wall '3 mm' --base '6 mm' --empty-mass '240 g' >/dev/null
ep shelf add-series --name flat --construction std-wick-flat-braid --sizes '1=1.0 g/m; 2=1.7 g/m' >/dev/null
ep recipe add --name trial --container glass --waxes 'house: 100 %' --series flat \
    --fill-height '60 mm' --trim '6 mm' --session '4 h' --stop-height '12 mm' >/dev/null

# from the tables alone: kept too
odds >tables-1.json
holds 'the odds of both sizes are kept' test "$(sql "select count(*) from kept where kind = 'odds'")" = 2
holds 'no belief is kept before a burn' test "$(sql "select count(*) from kept where kind = 'belief'")" = 0
kept_at=$(sql 'select max(created_ms) from kept')
export EVENPOOL_CLOCK=2026-01-05T09:00:00Z
odds >tables-2.json
holds 'odds of the tables are the same the second time' cmp tables-1.json tables-2.json
holds 'and were not worked out again' test "$(sql 'select max(created_ms) from kept')" = "$kept_at"

ep pour add --recipe trial --set '2: 1' --wax-mass '230 g' --wax-peak '80 C' --pour-temp '60 C' >pour.json
code=$(json 'd["candles"][0]["code"]' <pour.json)
full=$(json '240 + d["candles"][0]["wax_mass_g"]' <pour.json)
export EVENPOOL_CLOCK=2026-02-01T08:00:00Z
session=$(ep burn light --candles "$code" --masses "$code=$full g" --room-temp '21 C' --draught 0 | json 'd["id"]')
export EVENPOOL_CLOCK=2026-02-01T11:00:00Z
ep burn read "$code" pool_wide '52 mm' --minute 180 >/dev/null
after=$(python3 -c "print($full - 22)")
export EVENPOOL_CLOCK=2026-02-01T12:00:00Z
ep burn out "$session" --masses "$code=$after g" >/dev/null

# --- twice the same question ---
odds >first.json
holds 'a burn changes the odds' sh -c '! cmp -s tables-1.json first.json'
holds 'something was burned on the computer for it' test "$(runs first.json)" -gt 10
kept_at=$(sql 'select max(created_ms) from kept')
export EVENPOOL_CLOCK=2026-02-01T13:00:00Z
odds >second.json
holds 'asked again: the same byte for byte' cmp first.json second.json
ep explain trial >explain-1.json
ep plan trial --members 8 >plan-1.json
holds 'explain, plan and odds rest on one belief' test "$(runs explain-1.json)" = "$(runs first.json)" -a \
    "$(runs plan-1.json)" = "$(runs first.json)"
holds 'none of them worked anything out again' test "$(sql 'select max(created_ms) from kept')" = "$kept_at"

# --- spoiled bytes ---
sql "update kept set body = zeroblob(length(body)) where kind = 'belief'" >/dev/null
odds >zero.json
holds 'a spoiled belief is worked out anew, to the same' cmp first.json zero.json
sql "update kept set body = substr(body, 1, length(body) - 9) where kind = 'odds'" >/dev/null
odds >cut.json
holds 'odds cut short too' cmp first.json cut.json
sql "update kept set body = x'' where kind = 'belief'" >/dev/null
odds >empty.json
holds 'and an empty belief' cmp first.json empty.json
holds 'one belief is kept of it' test "$(sql "select count(*) from kept where kind = 'belief'")" = 1

# what the engine says of the wick's readings is kept apart: without burns the same belief again
holds 'one look is kept of it' test "$(sql "select count(*) from kept where kind = 'look'")" = 1
look_at=$(sql "select max(rowid) from kept where kind = 'look'")
sql "delete from kept where kind <> 'look'" >/dev/null
odds >looked.json
holds 'from the kept look the same byte for byte' cmp first.json looked.json
holds 'and it was not looked at again' test "$(sql "select max(rowid) from kept where kind = 'look'")" = "$look_at"
sql "delete from kept where kind <> 'look'" >/dev/null
sql "update kept set body = substr(body, 1, length(body) - 9) where kind = 'look'" >/dev/null
odds >relooked.json
holds 'a spoiled look is burned anew, to the same' cmp first.json relooked.json

sql 'delete from kept' >/dev/null
odds >dropped.json
holds 'and without any kept answer the same again' cmp first.json dropped.json

# --- a new reading, a corrected one ---
flame=$(ep burn read "$code" flame '19 mm' --session "$session" --minute 180 | json 'd["id"]')
odds >read.json
holds 'a new reading changes the odds' sh -c '! cmp -s first.json read.json'
holds 'it counts' test "$(json 'd["learned"]["readings"]' <read.json)" -gt "$(json 'd["learned"]["readings"]' <first.json)"
flame=$(ep burn read "$code" flame '26 mm' --session "$session" --minute 180 --corrects "$flame" | json 'd["id"]')
odds >corrected.json
holds 'a corrected reading changes the odds' sh -c '! cmp -s read.json corrected.json'
holds 'and counts once' test "$(json 'd["learned"]["readings"]' <corrected.json)" -eq "$(json 'd["learned"]["readings"]' <read.json)"
ep burn read "$code" flame '19 mm' --session "$session" --minute 180 --corrects "$flame" >/dev/null
odds >back.json
holds 'corrected back, the first answer is found again' cmp read.json back.json
ep odds trial --members 8 --seed 2 >seed.json
holds 'another seed is another question' sh -c '! cmp -s read.json seed.json'
ep odds trial --members 12 >members.json
holds 'so are more members' test "$(json 'd["members"]' <members.json)" = 12
holds 'of the same belief' test "$(sql "select count(*) from kept where kind = 'belief' and seed = 1")" = 3

# --- a second wick: the first is not looked at again, and the order of asking does not matter ---
export EVENPOOL_CLOCK=2026-02-02T08:00:00Z
ep pour add --recipe trial --set '1: 1' --wax-mass '230 g' --wax-peak '80 C' --pour-temp '60 C' >pour-2.json
code_2=$(json 'd["candles"][0]["code"]' <pour-2.json)
full_2=$(json '240 + d["candles"][0]["wax_mass_g"]' <pour-2.json)
export EVENPOOL_CLOCK=2026-03-01T08:00:00Z
session_2=$(ep burn light --candles "$code_2" --masses "$code_2=$full_2 g" --room-temp '21 C' --draught 0 | json 'd["id"]')
export EVENPOOL_CLOCK=2026-03-01T12:00:00Z
ep burn out "$session_2" --masses "$code_2=$(python3 -c "print($full_2 - 16)") g" >/dev/null
look_at=$(sql "select max(rowid) from kept where kind = 'look'")
odds >both.json
holds 'two wicks are learned from' test "$(json 'd["learned"]["wicks"]' <both.json)" = 2
holds 'of which one was looked at' test "$(sql "select count(*) from kept where kind = 'look' and rowid > $look_at")" = 1
sql 'delete from kept' >/dev/null
odds >both-anew.json
holds 'whoever asks for the first time now is told the same' cmp both.json both-anew.json

# --- a limit of the house: other odds of the same belief ---
beliefs=$(sql "select count(*) from kept where kind = 'belief'")
ep limits set --key wall_temp_stop --value '60 C' >/dev/null
odds >limit-odds.json
holds 'another limit changes the odds' sh -c '! cmp -s read.json limit-odds.json'
holds 'and not the belief' test "$(sql "select count(*) from kept where kind = 'belief'")" = "$beliefs"

# --- a material described anew ---
ep shelf set-property "$(json 'd["id"]' <wax.json)" --key liquidus --value '55 C' >/dev/null
odds >wax-odds.json
holds 'a property of the wax changes the odds' sh -c '! cmp -s limit-odds.json wax-odds.json'
holds 'and the belief' test "$(sql "select count(*) from kept where kind = 'belief'")" -gt "$beliefs"

# --- two at once ---
ep burn read "$code" flame '20 mm' --session "$session" --minute 200 >/dev/null
odds >one.json &
one=$!
odds >two.json
holds 'both of two that ask at once are answered' wait "$one"
holds 'with the same' cmp one.json two.json
odds >three.json
holds 'and so is the next' cmp one.json three.json
holds 'each answer is kept once' test "$(sql 'select count(*) - count(distinct inputs || kind || seed) from kept')" = 0

# --- two pages of one server at once ---
ep burn read "$code" flame '20 mm' --session "$session" --minute 203 >/dev/null
"$evenpool" serve --db workshop.evenpool --port 0 --open no >address 2>said &
server=$!
for _ in 1 2 3 4 5 6 7 8 9 10; do
    [ -s address ] && break
    sleep 0.3
done
cat >ask.py <<'END'
import json, sys, urllib.request
from threading import Thread
base, recipe = open("address").read().split()[0].rstrip("/"), sys.argv[1]
answers = {}
def ask(n, what):
    with urllib.request.urlopen(f"{base}/api/recipes/{recipe}/{what}", timeout=100) as r:
        answers[n] = json.load(r)
asks = [Thread(target=ask, args=(n, w)) for n, w in enumerate(["odds?members=8"] * 3 + ["plan?members=8"] * 2)]
[t.start() for t in asks]
[t.join() for t in asks]
assert len(answers) == 5, answers
assert answers[0] == answers[1] == answers[2] and answers[3] == answers[4]
assert answers[0]["sizes"] == answers[3]["sizes"] and answers[0]["learned"] == answers[3]["learned"]
json.dump(answers[0]["sizes"], open("served.json", "w"))
END
holds 'five pages that ask at once are told the same' python3 ask.py "$(ep recipe show trial | json 'd["id"]')"
kill "$server"
wait "$server" || true
server=
odds >after.json
holds 'a command finds what the server kept' python3 -c 'import json
assert json.load(open("after.json"))["sizes"] == json.load(open("served.json"))'
holds 'the file is whole' test "$(sql 'pragma integrity_check')" = ok

# --- room for each other ---
for minute in 205 210 215 220 225 230 235; do
    ep burn read "$code" flame '20 mm' --session "$session" --minute "$minute" >/dev/null
    ep explain trial >/dev/null
done
holds 'old beliefs make room' test "$(sql "select count(*) from kept where kind = 'belief'")" = 6

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
