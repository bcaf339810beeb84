"""The plain case for the Python peers: arguments, the melting law, and the readings.

Arguments are `-name value` with the fields of a case file (docs/verify.md) as names.
"""
import sys
import time

import numpy as np


def arguments():
    words = sys.argv[1:]
    found = {}
    for name, value in zip(words[0::2], words[1::2]):
        try:
            found[name[1:]] = float(value)
        except ValueError:
            found[name[1:]] = value
    return found


class Law:
    """U: the wax's specific enthalpy over its heat capacity, K. T(U) is piecewise linear."""

    def __init__(self, a):
        self.latent = a["wax.latent_J_kg"] / a["wax.cp_J_kgK"]
        self.solidus, self.liquidus = a["wax.solidus_C"], a["wax.liquidus_C"]
        self.mush = 1 + self.latent / (self.liquidus - self.solidus)
        self.u_liquidus = self.solidus + (self.liquidus - self.solidus) * self.mush

    def temperature(self, u, wax):
        mush = self.solidus + (u - self.solidus) / self.mush
        melt = np.where(u < self.u_liquidus, mush, u - self.latent)
        return np.where(wax & (u >= self.solidus), melt, u)

    def slope(self, u, wax):
        """dT/dU"""
        return np.where(wax & (u >= self.solidus) & (u < self.u_liquidus), 1 / self.mush, 1.0)

    @property
    def middle(self):
        return 0.5 * (self.solidus + self.liquidus)


def crossing(x, v, level):
    """The last place where v falls through the level, 0 when there is none."""
    at = np.where((v[:-1] >= level) & (v[1:] < level))[0]
    if len(at) == 0:
        return 0.0
    i = at[-1]
    return x[i] + (v[i] - level) / (v[i] - v[i + 1]) * (x[i + 1] - x[i])


def tell(hour, radius_m, depth_m, melted_kg, wall_c, centre_c):
    print(f"hour {hour} R {1e3 * radius_m:.7g} D {1e3 * depth_m:.7g} melt {1e3 * melted_kg:.7g} "
          f"wall {wall_c:.8g} centre {centre_c:.8g}", flush=True)


class Clock:
    def __init__(self):
        self.wall, self.cpu = time.perf_counter(), time.process_time()

    def done(self, text):
        print(f"done {text} wall_s {time.perf_counter() - self.wall:.6f} "
              f"cpu_s {time.process_time() - self.cpu:.6f}")
