#!/bin/sh
# tools/pack-assets: every byte of the pages is in the program, in the order of the table; nothing is
# touched when nothing changed; no pages, no failure. Ends with "N passed, N failed".
set -eu
cd "$(dirname "$0")/../.."
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0
check() { # what it says, command...
    what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "not so: $what"; fi
}

mkdir -p "$scratch/dist/fonts" "$scratch/out"
printf '<title>first</title>' >"$scratch/dist/index.html"
awk 'BEGIN { for (i = 0; i < 500; i++) print "let a" i " = " i ";" }' >"$scratch/dist/app.js"
printf 'source map' >"$scratch/dist/app.js.map"
head -c 3000 /dev/urandom >"$scratch/dist/fonts/t.woff2"
: >"$scratch/dist/empty.txt"
pack() { tools/pack-assets "$scratch/dist" "$scratch/out/a.S" "$scratch/out/a.c"; }

cat >"$scratch/dump.c" <<'C'
#include <stdio.h>
#include <string.h>
#include "web/assets.h"
int main(int argc, char **argv)
{
    for (int i = 0; i < ep_assets_packed_n; i++) {
        const ep_asset *a = &ep_assets_packed[i];
        if (argc < 3) {
            puts(a->path);
        } else if (strcmp(a->path, argv[2]) == 0) {
            const unsigned char *p = argv[1][0] == 'g' ? a->gz : a->raw;
            const unsigned char *e = argv[1][0] == 'g' ? a->gz_end : a->raw_end;
            fwrite(p, 1, (size_t)(e - p), stdout);
        }
    }
    return 0;
}
C
build() { gcc -std=c17 -Isrc "$scratch/dump.c" "$scratch/out/a.c" "$scratch/out/a.S" -o "$scratch/dump"; }
same() { "$scratch/dump" "$1" "$2" | cmp -s - "$scratch/dist/$2"; }

pack
check 'the outputs compile' build
check 'the table names the files, maps left out' test "$("$scratch/dump" | tr '\n' ' ')" = \
    'app.js empty.txt fonts/t.woff2 index.html '
check 'a script is packed byte for byte' same raw app.js
check 'a font is packed byte for byte' same raw fonts/t.woff2
check 'an empty file is packed' same raw empty.txt
check 'the compressed script is the script' sh -c \
    "'$scratch/dump' gz app.js | gzip -dc | cmp -s - '$scratch/dist/app.js'"
check 'what does not shrink is not compressed' test -z "$("$scratch/dump" gz fonts/t.woff2 | tr -d '\0')"

touch -d '2020-01-01' "$scratch/out/a.S" "$scratch/out/a.c"
pack
check 'nothing is touched when nothing changed' test -z "$(find "$scratch/out" -name 'a.*' -newermt 2021-01-01)"
printf 'let b = 2;' >"$scratch/dist/app.js"
pack
check 'a changed file changes the source' test -n "$(find "$scratch/out" -name a.S -newermt 2021-01-01)"

rm -r "$scratch/dist"
pack
check 'no pages, no failure' build
check 'and an empty table' test -z "$("$scratch/dump")"

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
