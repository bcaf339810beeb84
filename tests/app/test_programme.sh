#!/bin/sh
# A maker's test programme as a shell script, in an empty folder, in inches and ounces: describe,
# foresee, plan, pour, burn a bracket of two wicks and then the better one to the end, judge, decide.
# Between the steps the slips makers make: each must be refused with field, value and range, and leave
# nothing behind. EVENPOOL names the program. Ends with "N passed, N failed". All data are invented.
set -u
EVENPOOL=${EVENPOOL:-$(dirname "$0")/../../build/src/cli/evenpool}
case $EVENPOOL in /*) ;; *) EVENPOOL=$PWD/$EVENPOOL ;; esac
folder=$(mktemp -d) || exit 2
trap 'rm -rf "$folder"' EXIT INT TERM
cd "$folder" || exit 2
unset EVENPOOL_DB EVENPOOL_CLOCK_SPEED
export TZ=UTC
passed=0 failed=0 out='' status=0

now() { # "2026-05-01T08:00": what every command takes for the present
    EVENPOOL_CLOCK="$1:00Z"
    export EVENPOOL_CLOCK
}

day() { # number of a day of the programme, hour: sets the clock
    now "$(node -e 'process.stdout.write(new Date(Date.UTC(2026, 3, 30 + +process.argv[1])).toISOString().slice(0, 11))' "$1")$2"
}

ok() { # name, exit status of a check
    if [ "$2" -eq 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'not so: %s\n    %s\n' "$1" "$(printf '%s' "$out" | head -c 600)"
    fi
}

# run a command with --json; the answer is in $out, errors too
ep() {
    out=$("$EVENPOOL" "$@" --json 2>said)
    status=$?
    [ "$status" -eq 0 ] || out=$out$(grep '^{' said)
}

go() { # a command that must go well
    ep "$@"
    [ "$status" -eq 0 ]
    ok "evenpool $*" $?
}

finding() { # a command that goes well and has something to say: ends with 1
    out=$("$EVENPOOL" "$@" --json 2>said)
    status=$?
    [ "$status" -eq 1 ]
    ok "a finding: evenpool $*" $?
}

# what a JavaScript expression of the answer `v` gives
get() {
    printf '%s' "$out" | node -e '
        const v = JSON.parse(require("fs").readFileSync(0, "utf8"));
        const r = new Function("v", "return " + process.argv[1])(v);
        process.stdout.write(typeof r === "object" ? JSON.stringify(r) : String(r));' "$1" 2>/dev/null
}

is() { # name, expression that must be true
    [ "$(get "$2")" = true ]
    ok "$1" $?
}

near() { # name, expression, value, tolerance
    is "$1" "Math.abs(($2) - ($3)) <= ($4)"
}

refused() { # field, part of the text, command...
    field=$1 part=$2
    shift 2
    ep "$@"
    [ "$status" -eq 2 ] && [ "$(get 'v.error.field')" = "$field" ] &&
        case $(get 'v.error.text') in *"$part"*) true ;; *) false ;; esac
    ok "refused on $field ($part): evenpool $*" $?
}

# --- describe -------------------------------------------------------------------------------------
day 1 08:00
go about
is 'an empty folder is an empty workshop' 'v.demo === false'
[ -f workshop.evenpool ]
ok 'its file is made here' $?

refused inner_diameter '15 mm to 400 mm' shelf add-container --name jar \
    --material std-container-soda-lime --inner-diameter '0.3 in' --height '3.5 in' --wall '1/8 in'
refused inner_diameter 'inner_diameter' shelf add-container --name jar \
    --material std-container-soda-lime --inner-diameter '3 oz' --height '3.5 in' --wall '1/8 in'
go shelf containers
is 'a refused jar is nowhere' 'v.containers.length === 0'
go shelf add-container --name jar --material std-container-soda-lime --inner-diameter '2 3/4 in' \
    --height '3 1/2 in' --wall '1/8 in' --base '1/4 in' --empty-mass '8 oz' --water-mass '11.9 oz' \
    --water-temp '68 F'
near '2 3/4 in of width' 'v.profile[0].inner_diameter_mm' 69.85 1e-6
near '11.9 oz of water, and its volume' 'v.water.mass_g' 337.359 0.001
is 'tape and water agree' 'v.water.mismatch === false'
finding shelf add-container --name 'wrong tape' --material std-container-soda-lime \
    --inner-diameter '3 in' --height '3 1/2 in' --wall '1/8 in' --water-mass '11.9 oz'
is 'an outside diameter is noticed by the water' 'v.water.mismatch === true'

go shelf add-material --kind wax --name 'our soy' --based-on std-wax-soy --props 'liquidus: 124 F'
near '124 F is 51.1 C' 'v.props.liquidus.value' 51.1111 0.001
refused props.liquidus 'liquidus' shelf add-material --kind wax --name 'x' --based-on std-wax-soy --props 'liquidus: 424 F'
go shelf add-series --name cotton --construction std-wick-flat-braid \
    --sizes 'thin = 600 yd/lb; middle = 400 yd/lb; thick = 280 yd/lb'
# ASTM D2260 table 1: g/m = 496.054648 / (yd/lb)
near '400 yd/lb' 'v.sizes[1].linear_density_g_m' '496.054648 / 400' 1e-6
go shelf add-lot --material 'our soy' --code W-7 --quantity '22 lb'


# --- describe: the recipe ---
refused load "10 oz" recipe add --name kitchen --container jar --waxes 'our soy: 100 %' \
    --series cotton --fragrance std-fragrance-resin --load '10 oz'
refused load '0 % to 30 %' recipe add --name kitchen --container jar --waxes 'our soy: 100 %' \
    --series cotton --fragrance std-fragrance-resin --load '60 %'
refused container 'nojar' recipe add --name kitchen --container nojar --waxes 'our soy: 100 %' --series cotton
refused waxes 'needed' recipe add --name kitchen --container jar --series cotton
go recipe list
is 'nothing of the refused recipes is left' 'v.recipes.length === 0'
go recipe add --name kitchen --container jar --waxes 'our soy: 100 %' --series cotton \
    --fragrance std-fragrance-resin --load '8 %' --load-basis of_wax --fill-height '2.4 in' \
    --trim '1/4 in' --stop-height '1/2 in'
is 'described' 'v.state === "described"'
near 'filled to 2.4 in' 'v.revision.fill_height_mm' 60.96 1e-6
go recipe weigh kitchen --candles 4 --resolution '1 g'
fill=$(get 'v.fill_mass_g')
is 'the sheet names wax and fragrance with their grams' 'v.lines.length === 2 && v.lines.every(l => l.mass_g > 0)'

# --- foresee and plan -----------------------------------------------------------------------------
go predict kitchen --wick middle --grid '3 mm'
is 'a forecast to the end of the jar' 'v.sessions.length > 3 && Math.abs(v.ledger.energy_rel) < 1e-6'
go odds kitchen --members 8
is 'odds of every size' 'v.sizes.length === 3'
go plan kitchen --members 8
is 'a first set with its cost' 'v.set.length >= 1 && v.set.length <= 3 && v.candles > 0 && v.days > 0'

# --- pour -----------------------------------------------------------------------------------------
day 1 10:00
refused pour_temp '20 C to 200 C' pour add --recipe kitchen --set 'middle: 1' --pour-temp '500 F'
refused set 'huge' pour add --recipe kitchen --set 'huge: 1'
refused lots 'W-8' pour add --recipe kitchen --set 'middle: 1' --lots W-8
go pour list
is 'nothing of the refused pours is left' 'v.pours.length === 0'
go pour add --id 01968000-0000-7000-8000-000000000001 --recipe kitchen --set 'thin: 1, middle: 3' \
    --wax-mass '2 lb' --fragrance-mass '2.56 oz' --wax-peak '185 F' --add-temp '170 F' \
    --pour-temp '135 C' --room-temp '70 F' --lots W-7
near '2.56 oz in 2 lb are 8 %' 'v.load_of_wax_pct' 8 1e-9
is 'C typed for F is noticed' 'v.warnings.some(w => w.includes("did you mean 135 F (57 C)"))'
near 'each candle filled to the line' 'v.candles[0].wax_mass_g' "$fill" 0.001
thin=$(get 'v.candles.find(c => c.size_name === "thin").code')
one=$(get 'v.candles.filter(c => c.size_name === "middle")[0].code')
two=$(get 'v.candles.filter(c => c.size_name === "middle")[1].code')
three=$(get 'v.candles.filter(c => c.size_name === "middle")[2].code')
first=$out
day 1 11:00
ep pour add --id 01968000-0000-7000-8000-000000000001 --recipe kitchen --set 'thin: 1, middle: 3' \
    --wax-mass '2 lb' --fragrance-mass '2.56 oz' --wax-peak '185 F' --add-temp '170 F' \
    --pour-temp '135 C' --room-temp '70 F' --lots W-7
[ "$out" = "$first" ]
ok 'the same pour sent again gets the same answer' $?
ep pour add --id 01968000-0000-7000-8000-000000000001 --recipe kitchen --set 'thin: 2'
[ "$status" -ne 0 ] && [ "$(get 'v.error.status')" = EP_E_CONFLICT ]
ok 'another pour under its id is refused' $?
go pour candles
is 'four candles, all curing' 'v.candles.length === 4 && v.candles.every(c => c.state === "curing")'

# --- burn: a bracket of two -----------------------------------------------------------------------
empty=226.8
mass() { # grams burned so far: mass with the jar
    node -e 'process.stdout.write((+process.argv[1] + +process.argv[2] - +process.argv[3]).toFixed(1))' "$empty" "$fill" "$1"
}

read_all() { # candle, pool mm, depth mm, flame mm, wall C
    go burn read-many --readings "[
        {\"candle\": \"$1\", \"kind\": \"pool_wide\", \"value\": $2},
        {\"candle\": \"$1\", \"kind\": \"pool_narrow\", \"value\": $2},
        {\"candle\": \"$1\", \"kind\": \"pool_depth\", \"value\": $3},
        {\"candle\": \"$1\", \"kind\": \"flame\", \"value\": $4},
        {\"candle\": \"$1\", \"kind\": \"wall_temp\", \"value\": \"$5 C\"},
        {\"candle\": \"$1\", \"kind\": \"soot\", \"value\": 0}]"
    is "readings of $1 were taken" 'v.readings.length === 6 && v.readings.every(r => !r.error) && v.stop.length === 0'
}

n=0
while [ $n -lt 4 ]; do
    day $((20 + n)) 09:00
    go burn light --candles "$thin, $one" --room-temp '70 F' --draught 0 --trim '1/4 in' \
        --masses "$thin: $(mass $((n * 11))) g, $one: $(mass $((n * 18))) g"
    session=$(get 'v.id')
    is 'no warnings' 'v.warnings.length === 0'
    if [ $n -eq 0 ]; then
        ep burn light --candles "$one"
        [ "$status" -ne 0 ] && [ "$(get 'v.error.status')" = EP_E_STATE ]
        ok 'a lit candle is not lit again' $?
        refused pool_wide '69.85 mm' burn read --candle "$one" --kind pool_wide --value '3 in'
        refused kind 'pool_wide' burn read --candle "$one" --kind pool --value '2 in'
        day 20 09:40
        go today
        is 'today says what is late' 'v.lit.length === 1 && v.due.length === 2 && v.due[0].overdue_min > 0'
        finding burn read --candle "$one" --kind flame --value '9 in'
        wrong=$(get 'v.id')
        is 'a flame of 9 in means put it out' 'v.stop.length > 0'
        go burn read --candle "$one" --kind flame --value '0.9 in' --corrects "$wrong"
        is 'corrected, it does not' 'v.stop === undefined'
        go burn read "$thin" flame 0.6 in
        near 'a code, a kind, a number and its unit are enough' 'v.value' 15.24 1e-9
        is 'it went to the session the candle is lit in' "v.session_id === \"$session\""
        go burn read "$thin" flicker 1 --corrects "$(get 'v.id')"
        is 'and a slip of the kind is corrected' 'v.kind === "flicker" && v.value === 1'
        refused id 'no candle “NONE”' burn out NONE
        refused minutes 'each above the one before' recipe due kitchen --minutes '30, 5'
        go recipe due kitchen --minutes '10, 45'
        is 'a recipe may have its own minutes' 'v.due_own && v.due_minutes === "10, 45"'
        go today
        is 'and its sessions follow them' 'v.lit[0].due_minutes.join() === "10,45,240"'
        go recipe due kitchen
        is 'left out, the workshop'"'"'s hold again' '!v.due_own && v.due_minutes === "5, 30, 60, 120, 180, 240"'
        go burn show "$thin"
        is 'a session is found by a candle' "v.id === \"$session\" && v.candles.length === 2"
        go burn readings --candle "$one"
        is 'both stand in the book' 'v.readings.length === 2 && v.readings.some(r => r.corrected_by)'
    fi
    day $((20 + n)) 13:00
    read_all "$thin" 43 3 15 38
    read_all "$one" $((64 + n * 2)) 7 24 50
    refused "masses.$one" 'at most' burn out "$session" --masses "$one: 600 g"
    go burn out "$thin" --masses "$thin: $(mass $((n * 11 + 11))) g"
    is 'by its code one candle is put out, the other burns on' 'v.open && v.candles.filter(c => c.ended_at).length === 1'
    go burn out "$session" --masses "$one: $(mass $((n * 18 + 18))) g"
    near 'grams an hour' "v.candles.find(c => c.code === \"$one\").rate_g_h" 4.5 0.03
    n=$((n + 1))
done
go judge kitchen
is 'the thin wick is too small after four' 'v.wicks.find(w => w.size_name === "thin").verdict.kind === "too_small"'
is 'the middle one is not yet known, and why' 'v.wicks.find(w => w.size_name === "middle").verdict.missing.length > 0'
ep decide kitchen --size middle --decision proven
[ "$status" -ne 0 ] && [ "$(get 'v.error.status')" = EP_E_STATE ]
ok 'proven is refused before its time' $?
go decide kitchen --size thin --decision rejected --note 'the ring stays'
go pour finish "$thin" --reason given_up

# --- burn the middle one and its two sisters to the end ---------------------------------------------
burned=72 sisters=0
while [ "$(node -e 'process.stdout.write(String(+process.argv[1] < 0.84 * +process.argv[2]))' "$sisters" "$fill")" = true ]; do
    day $((20 + n)) 09:00
    lit="$two, $three" before="$two: $(mass $sisters) g, $three: $(mass $sisters) g"
    after="$two: $(mass $((sisters + 18))) g, $three: $(mass $((sisters + 18))) g"
    if [ "$(node -e 'process.stdout.write(String(+process.argv[1] < 0.84 * +process.argv[2]))' "$burned" "$fill")" = true ]; then
        lit="$one, $lit" before="$one: $(mass $burned) g, $before"
        after="$one: $(mass $((burned + 18))) g, $after"
        burned=$((burned + 18))
    fi
    go burn light --candles "$lit" --room-temp 21 --draught 0 --trim 6 --masses "$before"
    session=$(get 'v.id')
    day $((20 + n)) 13:00
    case $lit in *"$one"*) read_all "$one" 69 8 25 52 ;; esac
    read_all "$two" 68 8 25 52
    read_all "$three" 69 8.5 26 53
    go burn out "$session" --masses "$after"
    sisters=$((sisters + 18))
    n=$((n + 1))
done
is 'the stop height is said' 'v.warnings.some(w => w.includes("stop height"))'
for code in "$one" "$two" "$three"; do
    go pour finish "$code" --reason end
done

# --- judge and decide -----------------------------------------------------------------------------
go judge kitchen --size middle
is 'right, by three candles' 'v.wicks[0].verdict.kind === "right" && v.wicks[0].verdict.candles_right === 3'
# zero failures in three: 1 - 0.05^(1/3), 95 % confidence
near 'and what three can prove' 'v.wicks[0].verdict.failure_bound_pct' '100 * (1 - Math.cbrt(0.05))' 1e-6
go decide kitchen --size middle --decision proven
is 'proven, and the next revision names the wick' 'v.state === "proven" && v.revision.number === 2 && v.revision.size.name === "middle"'
ep recipe diff kitchen
is 'nothing else changed' 'v.factors.length === 1 && v.factors[0].key === "size"'
go today
is 'nothing is lit any more' 'v.lit.length === 0 && v.due.length === 0'
"$EVENPOOL" judge kitchen --size middle >text 2>&1
grep -q right text
ok 'and a person can read it' $?

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
