"""Our field and general programs on the same cases: error measured, time on one core, ratio.

Every program tries settings from cheap to dear until its worst error stays within WITHIN_PCT; that
run counts. Ours runs before and after the others, so that a change of the machine's load is shared.
"""
import json
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import score

WITHIN_PCT = 0.5
CASES = ("glass", "tin")
PEER_BARS = {"freefem order 1": ">=1000", "freefem order 2": ">=1000", "cvode": ">=100"}
# -n cells per mm; the two finite-element meshes must have the disc's edge between elements, so theirs
# are whole or half. The rest is each program's own. From cheap to dear.
OURS = ({"n": 0.5}, {"n": 0.8}, {"n": 1}, {"n": 2})
SETTINGS = {
    "cvode": [{"n": n, "rtol": r}
              for n, r in ((0.8, 1e-3), (0.8, 5e-4), (1, 3e-3), (1, 1e-3), (1, 1e-4))],
    "scipy": [{"n": n, "rtol": r} for n, r in ((0.8, 1e-3), (0.8, 5e-4), (1, 1e-3), (1, 1e-4))],
    "getfem order 2": [{"n": n, "dt": dt, "order": 2}
                       for n, dt in ((1, 300), (1, 120), (1.5, 120))],
    "freefem order 2": [{"n": n, "dt": dt, "order": 2}
                        for n, dt in ((1, 300), (1, 120), (1.5, 300), (2, 300))],
    "freefem order 1": [{"n": n, "dt": dt, "order": 1}
                        for n, dt in ((1, 30), (1, 20), (1.5, 30))],
}
SHORT_S = 5.0  # runs below this are repeated, so that both sides show their least time
DONE = re.compile(r"^done (.*)$", re.M)
NUMBER = re.compile(r"(\w+) ([-+.\deE]+)")


def flags(case):
    """The fields of a case file as the arguments every program here understands."""
    words = []

    def add(name, value):
        if isinstance(value, (dict, list)):
            for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
                add(f"{name}.{key}", inner)
        else:
            words.extend([f"-{name}", value if isinstance(value, str) else repr(value)])

    for key, value in case.items():
        if key == "hours":
            assert value == list(range(1, len(value) + 1)), "peers report on whole hours"
            words.extend(["-hours", str(len(value))])
        elif key != "cells_per_mm":
            add(key, value)
    return words


def build_cvode(root, build):
    """The program, or None where the library is not installed."""
    program = build / "peer_cvode"
    if not Path("/usr/include/cvode/cvode.h").exists():
        return None
    source = root / "bench" / "peers" / "cvode.c"
    if not program.exists() or program.stat().st_mtime < source.stat().st_mtime:
        subprocess.run(
            ["cc", "-O3", "-march=native", "-ffast-math", "-std=gnu17", str(source),
             "-o", str(program), "-I/usr/include/suitesparse", "-lsundials_cvode",
             "-lsundials_nvecserial", "-lsundials_sunlinsolklu", "-lsundials_sunmatrixsparse", "-lm"],
            check=True)
    return program


def commands(root, build):
    peers = root / "bench" / "peers"
    freefem = ["FreeFem++-nw", "-nw", "-ns", "-v", "0", str(peers / "freefem.edp")]
    freefem_plan = [*freefem[:-1], str(peers / "freefem_plan.edp")]
    return {
        "cvode": [str(build_cvode(root, build) or "cvode, which is not installed")],
        # the system's Python, which sees Debian's packages
        "scipy": ["/usr/bin/python3", str(peers / "scipy_plain.py")],
        "getfem order 2": ["/usr/bin/python3", str(peers / "getfem_plain.py")],
        "freefem order 2": freefem,
        "freefem order 1": freefem,
        # three dimensions, for cases in a vessel; second order only
        "getfem plan": ["/usr/bin/python3", str(peers / "getfem_plan.py")],
        "freefem plan": freefem_plan,
    }


def environment():
    one = {name: "1" for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")}
    return {**os.environ, **one, "FF_LOADPATH": "/usr/lib/freefem++",
            "PYTHONDONTWRITEBYTECODE": "1"}


def solve(command, core, case_flags, settings, ref, room_c):
    """One run: worst error per cent, processor and wall-clock seconds of the solution."""
    words = [w for key, value in settings.items() for w in (f"-{key}", f"{value:g}")]
    start = time.monotonic()
    run = subprocess.run(["taskset", "-c", str(core), *command, *case_flags, *words],
                         stdout=subprocess.PIPE, text=True, check=True, env=environment())
    whole_s = time.monotonic() - start
    said = dict(NUMBER.findall(DONE.search(run.stdout)[1]))
    worst = max(score.errors(run.stdout.splitlines(), ref, room_c).values())
    # a program that does not time itself by the wall is timed as a whole, start included
    return worst, float(said["cpu_s"]), float(said.get("wall_s", whole_s))


def until_good(run, settings):
    """Runs from cheap to dear, ending with the first that is good."""
    done = []
    for one in settings:
        done.append(run(one))
        if done[-1][1] <= WITHIN_PCT:
            if done[-1][2] < SHORT_S:
                again = [done[-1], run(one), run(one)]
                done[-1] = (*done[-1][:2], min(r[2] for r in again), min(r[3] for r in again))
            break
    return done


def good(runs):
    return next((r for r in runs if r[1] <= WITHIN_PCT), None)


def say(case, name, run):
    settings, worst, cpu_s, wall_s = run
    text = " ".join(f"{k} {v:g}" for k, v in settings.items() if k != "order")
    yield "peers", f"{case}: {name} {text}: worst error", worst, "%", ""
    yield "peers", f"{case}: {name} {text}: processor time", cpu_s, "s", ""
    yield "peers", f"{case}: {name} {text}: wall clock", wall_s, "s", ""


def rows(root, build, core):
    subprocess.run([str(root / "tools" / "need"), "bench"], check=True)
    command = {}
    for peer, program in commands(root, build).items():
        if shutil.which(program[0]):
            command[peer] = program
        else:
            print(f"left out: {peer}; {program[0]} cannot be run here", file=sys.stderr)
    ours = [str(build / "tests" / "burn" / "bench_plain"), "-repeat", "12"]
    for name in CASES:
        case = json.loads((root / "bench" / "cases" / f"{name}.json").read_text())
        ref = score.reference(root / "bench" / "reference" / f"{name}.csv")
        room_c, words = case["film"]["ambient_C"], flags(case)

        def run(what, settings):
            return (settings, *solve(what, core, words, settings, ref, room_c))

        before = [run(ours, s) for s in OURS]
        theirs = {peer: until_good(lambda s, c=command[peer]: run(c, s), SETTINGS[peer])
                  for peer in SETTINGS if peer in command}
        after = [run(ours, s) for s in OURS]
        # least of both times at each setting; the error is the same
        mine = [(a[0], a[1], min(a[2], b[2]), min(a[3], b[3])) for a, b in zip(before, after)]
        for one in mine:
            yield from say(name, "evenpool", one)
        best = good(mine)
        for peer, runs in theirs.items():
            for one in runs:
                yield from say(name, peer, one)
            it = good(runs)
            if it and best:
                title = f"{name}: ratio to {peer} within {WITHIN_PCT} %"
                # the bars were set for the cup of glass
                bar = PEER_BARS.get(peer, "") if name == "glass" else ""
                yield "peers", f"{title}: processor time", it[2] / best[2], "x", bar
                yield "peers", f"{title}: wall clock", it[3] / best[3], "x", ""
