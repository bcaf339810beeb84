#!/bin/sh
# The program as a maker meets it: help of every command, refusals that say field, value and range,
# units, exit statuses, environment. EVENPOOL names the program. Ends with "N passed, N failed".
set -eu
. "$(dirname "$0")/../base/holds.sh"
evenpool=${EVENPOOL:-$(cd "$(dirname "$0")/../.." && pwd)/build/src/cli/evenpool}
source=$(cd "$(dirname "$0")/../.." && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cd "$scratch"
unset EVENPOOL_DB EVENPOOL_CLOCK EVENPOOL_CLOCK_SPEED EVENPOOL_LOG NO_COLOR COLUMNS LC_ALL LC_CTYPE LANG

# t STATUS TEXT COMMAND...: ends with that status, and says TEXT (a pattern) on either output
t() {
    want=$1 text=$2
    shift 2
    status=0
    "$@" >out 2>err </dev/null || status=$?
    if [ "$status" -eq "$want" ] && cat out err | grep -q -- "$text"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "not so: '$*' gave $status, wanted $want with '$text':"
        cat out err | head -n 8 | sed 's/^/    /'
    fi
}
json() { python3 -c 'import json, sys; d = json.load(sys.stdin); print(eval(sys.argv[1]))' "$1"; }

# --- help ---
t 2 'evenpool help' "$evenpool"
t 0 'describe jar, wax, scent' "$evenpool" help
t 0 'With every command' "$evenpool" --help
t 0 'evenpool 0' "$evenpool" version
t 0 'evenpool 0' "$evenpool" --version
t 0 'recipe weigh' "$evenpool" help recipe
t 0 'recipe weigh' "$evenpool" recipe --help
t 0 '--inner-diameter LENGTH' "$evenpool" help shelf add-container
t 2 "no command and no word 'recipes'" "$evenpool" help recipes
"$evenpool" help | sed -n 's/^  \([a-z][a-z-]*\( [a-z-]*\)\{0,1\}\)  .*/\1/p' | grep -v '^--' >commands
holds 'help lists at least 45 commands' test "$(wc -l <commands)" -ge 45
while read -r command; do
    # shellcheck disable=SC2086
    t 0 'With every command' "$evenpool" $command --help
    holds "help of '$command' stays within 80 columns" \
        test "$(awk 'length > m { m = length } END { print m }' out)" -le 80
done <commands
holds 'help makes no workshop' test ! -e workshop.evenpool

# --- words that are no command ---
t 2 "did you mean 'recipe'" "$evenpool" recip list
t 2 "did you mean 'recipe list'" "$evenpool" recipe lsit
t 2 'needs one of' "$evenpool" recipe
t 2 "did you mean '--inner-diameter'" "$evenpool" shelf add-container --inner-diametre 3
t 2 'in full: --inner-diameter' "$evenpool" shelf add-container --inner-dia 3
t 2 'needs a value' "$evenpool" shelf add-container --name
t 2 'one word too many' "$evenpool" recipe list all of them

# --- a container, in the units of the bench ---
glass=$("$evenpool" shelf materials --kind container --json 2>/dev/null |
    json '[m["id"] for m in d["materials"] if "lass" in m["name"]][0]')
holds 'the first command made a workshop' test -f workshop.evenpool
t 2 'material' "$evenpool" shelf add-container --name a --inner-diameter 74 --height 90 --wall 3
t 2 'name' "$evenpool" shelf add-container --material "$glass" --inner-diameter 74 --height 90 --wall 3
t 2 'inner_diameter: 7 mm is outside' "$evenpool" shelf add-container --name a --material "$glass" \
    --inner-diameter 7 --height 90 --wall 3
t 2 'inner_diameter' "$evenpool" shelf add-container --name a --material "$glass" \
    --inner-diameter wide --height 90 --wall 3
t 2 'inner_diameter' "$evenpool" shelf add-container --name a --material "$glass" \
    --inner-diameter '3 lb' --height 90 --wall 3
t 2 'inner_diameter' "$evenpool" shelf add-container --name a --material "$glass" \
    --inner-diameter 7,5 --height 90 --wall 3
t 2 'height' "$evenpool" shelf add-container --name a --material "$glass" --inner-diameter 74 \
    --height nan --wall 3
t 2 'material' "$evenpool" shelf add-container --name a --material 'no such glass' \
    --inner-diameter 74 --height 90 --wall 3
t 2 'name: a value is needed' "$evenpool" shelf add-container --inner-diameter 7 --height tall
cp err said
holds 'a form with five mistakes is refused once, with all of them' sh -c \
    'for f in material: "inner_diameter: 7 mm is outside 15 mm to 400 mm" "height:.*tall" wall:; do
        grep -q "^evenpool: $f" said || exit 1; done'
t 2 '"more":\[.*"field":"height"' "$evenpool" shelf add-container --name a --material "$glass" \
    --inner-diameter 7 --height tall --wall 3 --json
t 2 'waxes\[1\].id' "$evenpool" recipe add --name x --container nojar --waxes 'nowax: 100 %' \
    --series noseries --load '8 %'
cp err said
holds 'what is not on the shelf is told for every field' sh -c \
    'for f in container: "load: 8 % is given, but there is no fragrance" series:; do grep -q "^evenpool: $f" said || exit 1; done'
t 0 'no containers' "$evenpool" shelf containers
t 0 'Inch jar' "$evenpool" shelf add-container --name 'Inch jar' --material "$glass" \
    --inner-diameter '3 in' --height '3 1/2 in' --wall '1/8 in'
"$evenpool" shelf container 'Inch jar' --json >jar.json
holds 'three inches are 76.2 mm (NIST SP 811: 1 in = 25.4 mm exactly)' \
    test "$(json 'd["profile"][0]["inner_diameter_mm"]' <jar.json)" = 76.2
holds 'three and a half inches are 88.9 mm' test "$(json 'd["height_mm"]' <jar.json)" = 88.9
t 0 '3.5 in' "$evenpool" shelf container 'Inch jar' --units us
t 0 '88.9 mm' "$evenpool" shelf container 'Inch jar' --units metric
t 2 'neither metric nor us' "$evenpool" shelf container 'Inch jar' --units feet
t 0 'wall clearance' "$evenpool" shelf places 'Inch jar' --wick-count 3
t 2 'wick_count: 9 is outside 1 to 6' "$evenpool" shelf places 'Inch jar' --wick-count 9
# a jar that holds far less water than the tape says is a finding: status 1, and it was kept
t 1 '' "$evenpool" shelf add-container --name 'Odd jar' --material "$glass" --inner-diameter 76.2 \
    --height 88.9 --wall 3 --empty-mass '10 oz' --water-mass '150 g'
t 0 'Odd jar' "$evenpool" shelf containers
t 2 'Odd jar' "$evenpool" shelf container 'Odd jra'

# --- JSON in and out ---
t 0 '^{.*}$' "$evenpool" shelf containers --json
t 2 '^{"error":{"status":"EP_E_NOT_FOUND"' "$evenpool" shelf container nothing --json
holds 'a refusal leaves standard output alone' test ! -s out
printf '{"name": "From file", "material": "%s", "inner_diameter": "3 in", "height": 90, "wall": 3}' \
    "$glass" >in.json
t 0 'From file' "$evenpool" shelf add-container --input in.json
t 0 'Renamed' "$evenpool" shelf add-container --input in.json --name Renamed
t 2 'no JSON object' "$evenpool" shelf add-container --input /dev/null
t 2 'nonsense' "$evenpool" shelf add-container --input in.json --name x --nonsense 3

# --- which file, which time ---
t 0 'no containers' "$evenpool" --db other.evenpool shelf containers
t 0 'no containers' env EVENPOOL_DB=third.evenpool "$evenpool" shelf containers
holds 'and each is a file of its own' test -f other.evenpool -a -f third.evenpool
t 0 '2026-03-01 0' env TZ=UTC "$evenpool" about --clock 2026-03-01T08:00:00Z
t 0 '2026-03-01 0' env TZ=UTC EVENPOOL_CLOCK=2026-03-01T08:00:00Z "$evenpool" about
t 2 'clock' "$evenpool" about --clock yesterday
t 2 'clock-speed' "$evenpool" about --clock-speed -3
t 3 '' "$evenpool" --db /nonexistent/folder/w.evenpool about
printf 'this is no database, only text that is long enough to be looked at\n' >text.evenpool
t 3 '' "$evenpool" --db text.evenpool about
holds 'a file that is no workshop is left as it is' grep -q 'no database' text.evenpool
if [ -w /dev/full ]; then
    holds 'an answer that cannot be written ends with 3' \
        sh -c "'$evenpool' help >/dev/full 2>err; test \$? -eq 3"
fi

# --- tables in and out ---
printf 'series,construction,size,linear_density_g_m\nThin,std-wick-flat-braid,1,0.9\nThin,std-wick-flat-braid,2,30\n' >wrong.csv
sed 's/,30$/,1.3/' wrong.csv >right.csv
t 1 'linear_density_g_m  30 g/m is outside 0.1 g/m to 20 g/m' "$evenpool" --db csv.db csv check series --table wrong.csv
t 2 'line 3, linear_density_g_m: 30 g/m is outside' "$evenpool" --db csv.db csv import series --table wrong.csv
t 0 'added *1' "$evenpool" --db csv.db csv check series --table right.csv
t 0 'kept *yes' sh -c "'$evenpool' --db csv.db csv import series --table - <right.csv"
t 0 'there already *1' "$evenpool" --db csv.db csv import series --table right.csv
"$evenpool" --db csv.db csv export series >out.csv
t 0 'there already *1' "$evenpool" --db csv.db csv check series --table out.csv
t 3 'nothing.csv cannot be read' "$evenpool" --db csv.db csv check series --table nothing.csv
t 2 'there is no table' "$evenpool" --db csv.db csv export candles
printf 'lot,of\nA\000,b\n' >nul.csv
t 2 'no text in UTF-8' "$evenpool" --db csv.db csv check lots --table nul.csv

# --- photos ---
at() { when=$1; shift; "$evenpool" --db photo.db --clock "$when" "$@"; }
picture=$source/fuzz/corpus/photo/upright
at 2026-05-01T08:00Z shelf add-container --name jar --material std-container-soda-lime --inner-diameter 70 \
    --height 80 --wall 3 >out
at 2026-05-01T08:00Z shelf add-series --name flat --construction std-wick-flat-braid --sizes '1 = 1 g/m' >out
at 2026-05-01T08:00Z recipe add --name fig --container jar --waxes 'std-wax-soy: 100 %' --series flat \
    --fill-height 60 >out
code=$(at 2026-05-01T08:00Z --json pour add --recipe fig --set '1: 1' | json 'd["candles"][0]["code"]')
at 2026-05-20T18:00Z burn light --candles "$code" >out
t 0 'minute *60' at 2026-05-20T19:00Z photo add --candle "$code" --jpeg "$picture" --alt 'pool half way'
t 0 'pool half way' at 2026-05-20T19:00Z photo list --candle "$code"
id=$(at 2026-05-20T19:00Z --json photo list --candle "$code" | json 'd["photos"][0]["id"]')
at 2026-05-20T19:00Z photo show "$id" >shown.jpg
holds 'a photo comes out as JPEG' sh -c "test \"\$(head -c 3 shown.jpg | od -An -tx1)\" = ' ff d8 ff'"
holds 'and without its EXIF block' sh -c "! grep -aq -e Exif -e 'N 48' shown.jpg && grep -aq Exif '$picture'"
t 2 'this is no JPEG' at 2026-05-20T19:00Z photo add --candle "$code" --jpeg "$source/LICENSE"
t 0 'taken out *yes' at 2026-05-20T19:00Z photo take-out "$id" --why blurred
t 2 'there is no photo' at 2026-05-20T19:00Z photo show "$id"

# --- the commands outside the table ---
t 0 'complete -F _evenpool evenpool' "$evenpool" completion
"$evenpool" completion >out.completion
holds 'the completion script is sound' bash -n out.completion
cat >complete.sh <<'C'
. ./out.completion
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
_evenpool
echo "${COMPREPLY[@]}"
C
t 0 'recipe' bash complete.sh evenpool rec
t 0 'weigh' bash complete.sh evenpool recipe we
t 0 '--inner-diameter' bash complete.sh evenpool shelf add-container --inn
t 0 'of_total' bash complete.sh evenpool recipe add --load-basis of_t
t 0 'TH EVENPOOL' "$evenpool" man
"$evenpool" man >man.1
sed -n 's/^\.SS "\(.*\)"$/\1/p' man.1 | sed 's,\\,,g' | LC_ALL=C sort >in_manual
LC_ALL=C sort commands | sed 's/ *$//' >in_help
holds 'the manual names every command' cmp in_help in_manual
grep '^\.' man.1 | grep -vE '^\.(TH|SH|SS|TP|PP|B|I|RI|RB|IR)( |$)' >stray || true
holds 'no line of the manual is a stray request' test ! -s stray
t 2 'cannot open' "$evenpool" verify nothing.json
t 2 '' "$evenpool" verify in.json
t 2 'port' "$evenpool" serve --port 70000
t 2 'assets' "$evenpool" serve --assets
t 3 'assets' "$evenpool" serve --port 0 --assets /no/such/folder

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
