"""Are the engine's bytes the same over threads, optimisation levels and compilers?

The rooms the engine needs are compiled anew, in a folder of their own, with each set of flags;
every build runs the same candles on one thread and on two and prints a fingerprint of every number.
"""
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

BUILDS = (("gcc", "-O1"), ("gcc", "-O2"), ("gcc", "-O3"), ("gcc", "-O3 -march=native"),
          ("clang", "-O1"), ("clang", "-O2"), ("clang", "-O3"))
# the flags that decide: no contraction into fused multiply-adds, no licence to reorder
FLAGS = ("-std=c17", "-D_GNU_SOURCE", '-DEP_VERSION="bench"', "-ffp-contract=off")
ROOMS = ("base", "vessel", "matter", "recipe", "burn")
LINE = re.compile(r"^hash (\S+) threads (\d) (\S+)$", re.M)


def prints(root, folder, compiler, level):
    sources = [str(s) for room in ROOMS for s in sorted((root / "src" / room).glob("*.c"))]
    program = Path(folder) / "engine"
    subprocess.run([compiler, *level.split(), *FLAGS, f"-I{root}/src", f"-I{root}/data", *sources,
                    str(root / "bench" / "engine.c"), "-o", str(program), "-lm", "-lpthread"],
                   check=True)
    said = subprocess.run([str(program), "-hash", "1"], stdout=subprocess.PIPE, text=True,
                          check=True).stdout
    return LINE.findall(said)


def rows(root):
    first = {}
    for compiler, level in BUILDS:
        if not shutil.which(compiler):
            continue
        with tempfile.TemporaryDirectory() as folder:
            found = prints(root, folder, compiler, level)
        for what, _, fingerprint in found:
            first.setdefault(what, fingerprint)
        other = sum(fingerprint != first[what] for what, _, fingerprint in found)
        yield "bytes", f"{compiler} {level}: fingerprints compared", float(len(found)), "", ""
        yield "bytes", f"{compiler} {level}: other than the first build's", float(other), "", "<=0"
