#!/bin/sh
# The whole shelf in one jar: every series that is not put away, the recipe's own odds the same as `odds` gives
# them, others the same as a recipe of them would have, one thing changed at a time unless asked otherwise.
# EVENPOOL names the program. Ends with "N passed, N failed". All data are invented.
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch"
unset EVENPOOL_DB EVENPOOL_CLOCK_SPEED EVENPOOL_LOG
export TZ=UTC EVENPOOL_CLOCK=2026-01-05T08:00:00Z

ep() { # a command that must go well
    "$evenpool" "$@" --json 2>said || { echo "evenpool $*: $(cat said)"; exit 1; } >&2
}
is() { # file, what must be true of it: d the answer, way(name, wicks) one of its ways, odds(file, size) of another
    python3 - "$1" "$2" <<'EOF'
import json, sys
d = json.load(open(sys.argv[1]))
def way(name, wicks=1):
    return next((w for w in d["ways"] if w["series"]["name"] == name and w["wick_count"] == wicks), None)
def odds(file, size):
    return next(s for s in json.load(open(file))["sizes"] if s["size_name"] == size)
def with_odds(w):
    return [s for s in w["sizes"] if s["odds"]]
if not eval(sys.argv[2]):
    print(json.dumps([{k: v for k, v in w.items() if k != "sizes"} for w in d["ways"]], indent=1))
    sys.exit(1)
EOF
}

ep shelf add-container --name glass --material std-container-soda-lime --inner-diameter '70 mm' \
    --height '85 mm' --wall '3 mm' --base '6 mm' >/dev/null
ep shelf add-series --name thread --construction std-wick-flat-braid --sizes 't1=0.3 g/m; t2=0.4 g/m' >/dev/null
ep shelf add-series --name braid --construction std-wick-flat-braid \
    --sizes 'b1=0.6 g/m; b2=1.0 g/m; b3=1.3 g/m; b4=1.7 g/m; b5=2.2 g/m; b6=3.5 g/m' >/dev/null
ep shelf add-series --name rope --construction std-wick-flat-braid --sizes 'r1=5 g/m; r2=7 g/m' >/dev/null
ep shelf add-series --name forgotten --construction std-wick-flat-braid --sizes 'f=1.4 g/m' >/dev/null
ep shelf archive --thing forgotten --archived >/dev/null
recipe() { # name, series
    ep recipe add --name "$1" --container glass --waxes 'std-wax-soy: 100 %' --series "$2" \
        --fill-height '60 mm' --trim '6 mm' --session '4 h' --stop-height '12 mm' >/dev/null
}
recipe trial thread
recipe other braid

ep candidates trial --members 16 >all.json
ep odds trial --members 16 >own.json
ep odds other --members 16 >braid.json
holds 'every series with sizes is there once, those put away are not' is all.json \
    'sorted(w["series"]["name"] for w in d["ways"]) == ["braid", "rope", "thread"]'
holds 'one is the own' is all.json '[w["series"]["name"] for w in d["ways"] if w["own"]] == ["thread"]'
holds 'the own odds are those of the odds command' is all.json \
    'len(with_odds(way("thread"))) > 0 and all(s["odds"] == odds("own.json", s["size_name"]) for s in with_odds(way("thread")))'
holds 'odds of another series are those of a recipe that has it' is all.json \
    'len(with_odds(way("braid"))) > 1 and all(s["odds"] == odds("braid.json", s["size_name"]) for s in with_odds(way("braid")))'
holds 'the likeliest comes first and is the one in the sentence' is all.json \
    'd["ways"][0]["series"]["name"] == "braid" and way("braid")["best_size"] + " (braid, one wick)" in d["sentence"]'
holds 'no size without odds would have been likelier' is all.json \
    'way("braid")["right_pct"] >= max(odds("braid.json", "b%d" % i)["right_pct"] for i in range(1, 7)) - 12'
holds 'a thread is too small' is all.json '"too small" in way("thread")["text"]'
holds 'a rope is too hot' is all.json '"too hot" in way("rope")["text"]'
holds 'sizes far from the step have none' is all.json 'way("braid")["sizes"][5]["odds"] is None and way("braid")["sizes"][5]["one_candle"] == "too_big"'
ep candidates trial --members 16 >again.json
holds 'asked again: the same byte for byte' cmp all.json again.json

ep candidates trial --members 8 --wicks-up-to 2 >two.json
holds 'more wicks of the own series, not of the others' is two.json 'way("thread", 2) and not way("braid", 2)'
holds 'two threads are not the own' is two.json 'way("thread", 2)["own"] is False'
ep candidates trial --members 8 --wicks-up-to 2 --together >both.json
holds 'together: of the others too' is both.json 'way("thread", 2) and way("braid", 2) and way("rope", 2)'

ep recipe add --name pair --container glass --waxes 'std-wax-soy: 100 %' --series thread --wick-count 2 \
    --fill-height '60 mm' --trim '6 mm' --session '4 h' --stop-height '12 mm' >/dev/null
ep candidates pair --members 8 >pair.json
holds 'left to itself only as many wicks as the recipe has' is pair.json \
    'len(d["ways"]) == 3 and all(w["wick_count"] == 2 for w in d["ways"])'

# a jar so narrow that six flames find no room
ep shelf add-container --name vial --material std-container-soda-lime --inner-diameter '24 mm' \
    --height '85 mm' --wall '2 mm' --base '3 mm' >/dev/null
ep recipe add --name narrow --container vial --waxes 'std-wax-soy: 100 %' --series thread \
    --fill-height '60 mm' --trim '6 mm' --session '4 h' --stop-height '12 mm' >/dev/null
ep candidates narrow --members 8 --wicks-up-to 6 >narrow.json
holds 'what finds no room is left out and said so' is narrow.json '"left out" in way("thread", 6)["text"] and way("thread", 6)["sizes"] == []'

holds 'seven wicks are refused with field and range' sh -c \
    '"$0" candidates trial --wicks-up-to 7 2>&1 | grep -q "wicks.up.to.*1.*6"' "$evenpool"
holds 'for reading: a table and the sentence' sh -c \
    '"$0" candidates trial --members 16 | grep -q "Likeliest on the shelf"' "$evenpool"
# once something was burned: another series' odds are its own affair, whatever else is on the shelf
ep pour add --recipe trial --set 't2: 1' --wax-mass '200 g' --wax-peak '80 C' --pour-temp '60 C' >pour.json
code=$(python3 -c 'import json; print(json.load(open("pour.json"))["candles"][0]["code"])')
export EVENPOOL_CLOCK=2026-02-01T08:00:00Z
session=$(ep burn light --candles "$code" --masses "$code=450 g" | python3 -c 'import json, sys; print(json.load(sys.stdin)["id"])')
export EVENPOOL_CLOCK=2026-02-01T12:00:00Z
ep burn out "$session" --masses "$code=442 g" >/dev/null
ep candidates trial --members 8 >burned.json
holds 'what was burned of the wax counts' is burned.json 'd["learned"]["sessions"] == 1'
python3 -c 'import sqlite3; b = sqlite3.connect("workshop.evenpool"); b.execute("delete from kept where kind = \"odds\""); b.commit()'
ep shelf archive --thing braid --archived >/dev/null
ep candidates trial --members 8 >without.json
holds 'a series that was put away changes nothing for the others' python3 -c 'import json
a, b = (json.load(open(f))["ways"] for f in ("burned.json", "without.json"))
assert len(b) == len(a) - 1 and [w for w in a if w["series"]["name"] != "braid"] == b'

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
