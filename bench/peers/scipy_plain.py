#!/usr/bin/python3
"""The plain case by finite volumes and SciPy's backward differences with a sparse Jacobian.

scipy_plain.py -wax.radius_m 0.036 ... -n 1 -rtol 1e-3
"""
import numpy as np
import scipy.sparse as sp
from scipy.integrate import solve_ivp

from plain_case import Clock, Law, arguments, crossing, tell

a = arguments()
law = Law(a)
n, rtol = a.get("n", 1.0), a.get("rtol", 1e-3)
R, H, wall_m = a["wax.radius_m"], a["wax.height_m"], a["wall.thickness_m"]
n_wax, n_wall = round(R * 1e3 * n), max(1, int(wall_m * 1e3 * n + 0.5))
nz = round(H * 1e3 * n)
nr = n_wax + n_wall
dr = np.r_[np.full(n_wax, R / n_wax), np.full(n_wall, wall_m / n_wall)]
dz = H / nz
out = np.cumsum(dr)
middle = out - dr / 2
area = middle * dr  # per radian
wax = np.arange(nr) < n_wax
k = np.where(wax, a["wax.k_W_mK"], a["wall.k_W_mK"])
heat = np.where(wax, a["wax.rho_kg_m3"] * a["wax.cp_J_kgK"],
                a["wall.rho_kg_m3"] * a["wall.cp_J_kgK"])
capacity = np.repeat(area * dz * heat, nz)
number = np.arange(nr * nz).reshape(nr, nz)

# conductances between neighbours, W/K per radian; unknowns column by column
radial = out[:-1] * dz / (dr[:-1] / 2 / k[:-1] + dr[1:] / 2 / k[1:])
pairs = [(number[:-1].ravel(), number[1:].ravel(), np.repeat(radial, nz)),
         (number[:, :-1].ravel(), number[:, 1:].ravel(), np.repeat(area * k / dz, nz - 1))]
rows, cols, vals = [], [], []
for one, two, g in pairs:
    rows += [one, two, one, two]
    cols += [two, one, one, two]
    vals += [g, g, -g, -g]
A = sp.csr_matrix((np.concatenate(vals), (np.concatenate(rows), np.concatenate(cols))))

# films and the disc
room, h_top = a["film.ambient_C"], a["film.top_W_m2K"]
half = 2 * k / dz
inside = np.r_[0.0, out[:-1]]
disc = a["heat.disc_radius_m"]
covered = np.clip((np.minimum(out, disc) ** 2 - inside**2) / (out**2 - inside**2), 0, 1)
flux = a["heat.power_W"] / np.pi / disc**2 * covered
g_out, given = np.zeros((nr, nz)), np.zeros((nr, nz))
g_out[:, -1] += area * half * h_top / (half + h_top)
g_out[:, 0] += area * half * a["film.base_W_m2K"] / (half + a["film.base_W_m2K"])
g_out[-1] += out[-1] * dz / (dr[-1] / 2 / k[-1] + 1 / a["film.side_W_m2K"])
given[:, -1] = area * flux * half / (half + h_top)
per_capacity = sp.diags(1 / capacity)
A = (per_capacity @ (A - sp.diags(g_out.ravel()))).tocsr()
b = (g_out.ravel() * room + given.ravel()) / capacity
is_wax = np.repeat(wax, nz)


def readings(hour, u):
    t = law.temperature(u, is_wax).reshape(nr, nz)
    surface = (half * t[:, -1] + h_top * room + flux) / (half + h_top)
    axis = np.r_[(9 * surface[0] - surface[1]) / 8, ((9 * t[0] - t[1]) / 8)[::-1]]
    h_side, g = a["film.side_W_m2K"], 2 * k[-1] / dr[-1]
    face = (g * t[-1] + h_side * room) / (g + h_side)
    liquid = (u - law.temperature(u, is_wax)) / law.latent
    melted = 2 * np.pi * (liquid * capacity)[is_wax].sum() / a["wax.cp_J_kgK"]
    tell(hour, crossing(middle, surface, law.middle),
         crossing(np.r_[0, (np.arange(nz) + 0.5) * dz], axis, law.middle), melted,
         max(face.max(), 1.5 * face[-1] - 0.5 * face[-2]), axis[0])


clock = Clock()
u = np.full(nr * nz, a["start_C"])
factorizations = 0
for hour in range(1, int(a["hours"]) + 1):
    s = solve_ivp(lambda t, u: A @ law.temperature(u, is_wax) + b, (0, 3600), u, method="BDF",
                  jac=lambda t, u: (A @ sp.diags(law.slope(u, is_wax))).tocsc(), rtol=rtol,
                  atol=10 * rtol, first_step=0.1 if hour == 1 else None)
    u = s.y[:, -1]
    factorizations += s.nlu
    readings(hour, u)
clock.done(f"scipy n {n:g} rtol {rtol:g} unknowns {len(u)} factorizations {factorizations}")
