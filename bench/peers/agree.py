#!/usr/bin/env python3
"""Two general finite-element programs and our field on one plain case, none of them the judge.

agree.py CASE [PLAIN]      CASE: glass, tin or pair (bench/cases); PLAIN: the program bench_plain
                           (default build/tests/burn/bench_plain)
FreeFEM and GetFEM (linear triangles, bilinear quadrilaterals; in a vessel tetrahedra, hexahedra;
enthalpy, second order in time) run on several meshes each. Both are asked first whether they agree
with each other; the middle of the two on the finest mesh is then what ours is held to. Prints tables
ready for docs/validation.md: per cent, worst of all hours, of the half-molten radius and depth,
melted mass, and the wall's rise. Ends with 1 when the programs do not agree within `agree_pct`.
"""
import json
import subprocess
import sys
from pathlib import Path

import compare
import score

ROOT = Path(__file__).resolve().parent.parent.parent
# cells per mm of the peers, theirs from coarse to fine, and of ours; on rings the disc's edge must
# lie between two elements
RINGS = {"peers": ("freefem order 2", "getfem order 2"), "cells": (1, 1.5, 2), "step_s": 60,
         "ours": (0.8, 1, 2, 4), "agree_pct": 0.15}
PLAN = {"peers": ("freefem plan", "getfem plan"), "cells": (0.5, 0.75), "step_s": 240,
        "ours": (0.5, 1, 1.5), "agree_pct": 0.9}
WORDS = {"R": "radius", "D": "depth", "melt": "melted mass", "wall": "rise of the wall"}


def lines(command, words):
    run = subprocess.run([*command, *words], stdout=subprocess.PIPE, text=True, check=True,
                         env=compare.environment())
    return run.stdout.splitlines()


def table(log):
    """hour -> [R, D, melt, wall] as a program printed them"""
    return {float(m[1]): [float(x) for x in m.groups()[1:]]
            for m in map(score.LINE.match, log) if m}


def middle(a, b):
    return {hour: [0.5 * (x + y) for x, y in zip(a[hour], b[hour])] for hour in a}


def as_log(values):
    return [f"hour {h:g} R {r!r} D {d!r} melt {m!r} wall {w!r}" for h, (r, d, m, w) in values.items()]


def row(name, off):
    print(f"| {name} | " + " | ".join(f"{off[k]:.3f}" for k in score.NAMES) +
          f" | {max(off.values()):.3f} |", flush=True)


def main():
    name = sys.argv[1] if len(sys.argv) > 1 else "tin"
    plain = sys.argv[2] if len(sys.argv) > 2 else ROOT / "build" / "tests" / "burn" / "bench_plain"
    case = json.loads((ROOT / "bench" / "cases" / f"{name}.json").read_text())
    how = PLAN if "vessel" in case else RINGS
    room_c, words = case["film"]["ambient_C"], compare.flags(case)
    command = compare.commands(ROOT, Path(plain).resolve().parents[2])
    found = {}
    for peer in how["peers"]:
        for n in how["cells"]:
            extra = ["-n", f"{n:g}", "-dt", f"{how['step_s']:g}", "-order", "2"]
            found[peer, n] = table(lines(command[peer], words + extra))
    finest = how["cells"][-1]
    a, b = (found[peer, finest] for peer in how["peers"])
    judge = middle(a, b)

    print(f"{name}, {how['step_s']} s steps of the two programs; per cent, worst of all hours\n\n"
          "| | " + " | ".join(WORDS[k] for k in score.NAMES) + " | worst |\n|---|---|---|---|---|---|")
    apart = score.errors(as_log(a), b, room_c)
    row(f"FreeFEM against GetFEM, both on {1 / finest:.2g} mm", apart)
    for peer in how["peers"]:
        for n in how["cells"][:-1]:
            row(f"{peer.split()[0]} on {1 / n:.2g} mm against the middle of both on the finest",
                score.errors(as_log(found[peer, n]), judge, room_c))
    for n in how["ours"]:
        log = lines([str(plain), "-repeat", "1"], words + ["-n", f"{n:g}"])
        row(f"ours on {1 / n:.3g} mm against the same", score.errors(log, judge, room_c))
    print("\n| at | FreeFEM | GetFEM | ours, finest |\n|---|---|---|---|")
    ours = table(log)
    for hour in sorted(a):
        text = ["{:.3f} mm, {:.3f} mm, {:.3f} g, {:.3f} °C".format(*t[hour]) for t in (a, b, ours)]
        print(f"| {hour:g} h | " + " | ".join(text) + " |")
    return max(apart.values()) > how["agree_pct"]


if __name__ == "__main__":
    sys.exit(main())
