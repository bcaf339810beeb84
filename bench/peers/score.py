#!/usr/bin/env python3
"""Worst relative error of a solver's log over all hours, in per cent.

score.py REFERENCE.csv ROOM_C < LOG
reads lines "hour 1 R 14.07 D 13.81 melt 5.386 wall 24.65 ...": mm, mm, g, C.
Radius, depth and melted mass count relative to themselves, the wall relative to its rise.
"""
import csv
import re
import sys

LINE = re.compile(r"hour (\S+) R (\S+) D (\S+) melt (\S+) wall (\S+)")
NAMES = ("R", "D", "melt", "wall")


def reference(path):
    with open(path) as f:
        rows = csv.reader(line for line in f if not line.startswith("#"))
        next(rows)
        return {float(row[0]): [float(x) for x in row[1:]] for row in rows}


def errors(log, ref, room_c):
    """Worst per cent of R, D, melt, wall; all hours of the reference must be there."""
    seen, worst = set(), [0.0] * 4
    for line in log:
        m = LINE.match(line)
        if not m:
            continue
        hour, *got = map(float, m.groups())
        want = ref[hour]
        scale = [want[0], want[1], want[2], want[3] - room_c]
        off = [100 * abs(g - w) / s for g, w, s in zip(got, want, scale)]
        worst = [max(pair) for pair in zip(worst, off)]
        seen.add(hour)
    if seen != set(ref):
        raise ValueError(f"hours {sorted(set(ref) - seen)} are missing")
    return dict(zip(NAMES, worst))


if __name__ == "__main__":
    table = reference(sys.argv[1])
    room = float(sys.argv[2])
    found = errors(sys.stdin, table, room)
    print(*(f"{k} {v:.3f} %" for k, v in found.items()), f"worst {max(found.values()):.3f} %")
