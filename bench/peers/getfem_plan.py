#!/usr/bin/python3
"""The plain case in a round vessel by finite elements in GetFEM: trilinear hexahedra, lumped
enthalpy, Newton, second order in time; discs anywhere on the wax, so three dimensions.

getfem_plan.py -wax.height_m 0.03 ... -n 1 -dt 60
  -n cells per mm where wax melts, -dt seconds
"""
import getfem as gf
import numpy as np

from plain_case import Clock, Law, arguments, crossing, tell

a = arguments()
law = Law(a)
n, dt = a.get("n", 1.0), a.get("dt", 60.0)
size = 1e-3 / n
R, wall = a["vessel.length_m"] / 2, a["wall.thickness_m"]
H, brim, base = a["wax.height_m"], a["vessel.height_m"], a["vessel.base_m"]
discs = [[a[f"heat.{i}.{key}"] for key in ("x_m", "y_m", "disc_radius_m", "power_W")]
         for i in range(6) if f"heat.{i}.power_W" in a]


def plan():
    """A square in the middle, and round it loops that turn into circles: points, quadrilaterals
    (corners counted x first, as GetFEM does), and which of those are wall."""
    m = max(4, round(2 * np.pi * R / size / 4))  # elements along a side of the square
    half = 0.5 * R
    line = np.linspace(-half, half, m + 1)
    x, y = np.meshgrid(line, line)
    points = np.c_[x.ravel(), y.ravel()]
    number = np.arange((m + 1) ** 2).reshape(m + 1, m + 1)
    quads = np.c_[number[:-1, :-1].ravel(), number[:-1, 1:].ravel(), number[1:, :-1].ravel(),
                  number[1:, 1:].ravel()]
    loop = np.r_[number[0, :-1], number[:-1, -1], number[-1, :0:-1], number[:0:-1, 0]]
    turn = -0.75 * np.pi + 2 * np.pi * np.arange(4 * m) / (4 * m)
    circle = np.c_[np.cos(turn), np.sin(turn)]
    square = points[loop]
    n_out, n_wall = max(2, round(0.42 * R / size)), max(2, round(wall / size))
    rings = [square + (R * circle - square) * j / n_out for j in range(1, n_out + 1)]
    rings += [circle * (R + wall * j / n_wall) for j in range(1, n_wall + 1)]
    is_wall = [np.zeros(len(quads), bool)]
    for j, ring in enumerate(rings):
        outer = len(points) + np.arange(4 * m)
        points = np.r_[points, ring]
        quads = np.r_[quads, np.c_[loop, outer, np.roll(loop, -1), np.roll(outer, -1)]]
        is_wall.append(np.full(4 * m, j >= n_out))
        loop = outer
    return points, quads, np.concatenate(is_wall)


def layers():
    """Even where wax melts, twice as thick at the floor; glass floor and free wall even."""
    down = [0.0]
    while down[-1] < H:
        down.append(down[-1] + size * (1 + 2 * max(0.0, down[-1] / H - 0.5)))
    wax = H - np.array(down[::-1]) * H / down[-1]
    floor = np.linspace(-base, 0, max(2, round(base / size)) + 1)
    free = np.linspace(H, brim, max(1, round((brim - H) / size)) + 1)
    return np.r_[floor[:-1], wax, free[1:]], len(floor) - 1, len(floor) - 1 + len(down) - 1


points, quads, wall_quad = plan()
z, floor_layer, top_layer = layers()
mesh = gf.Mesh("empty", 3)
cell_wax = []
for k in range(len(z) - 1):
    chosen = quads[wall_quad] if k >= top_layer else quads
    corner = np.concatenate([np.repeat(z[k], 4), np.repeat(z[k + 1], 4)])
    p = np.empty((3, 8, len(chosen)))
    p[:2] = np.tile(points[chosen].transpose(2, 1, 0), (1, 2, 1))
    p[2] = corner[:, None]
    mesh.add_convex(gf.GeoTrans("GT_QK(3,1)"), p)
    solid = wall_quad if k < top_layer else np.ones(len(chosen), bool)
    cell_wax.append(~solid & (floor_layer <= k))
cell_wax = np.concatenate(cell_wax)
cells = mesh.cvid()

space = gf.MeshFem(mesh, 1)
space.set_fem(gf.Fem("FEM_QK(3,1)"))
rule = gf.MeshIm(mesh, gf.Integ("IM_GAUSS_PARALLELEPIPED(3,3)"))
WAX, WALL, TOP, BASE, SIDE = 1, 2, 11, 12, 13
for region, inside in ((WAX, cell_wax), (WALL, ~cell_wax)):
    chosen = cells[inside]
    mesh.set_region(region, np.vstack([chosen, -np.ones(len(chosen), int)]))
faces = mesh.outer_faces()
middle = np.array([mesh.pts()[:, mesh.pid_in_faces(np.array([[c], [f]]))].mean(axis=1)
                   for c, f in faces.T])
low = abs(middle[:, 2] + base) < 1e-9
side = np.hypot(middle[:, 0], middle[:, 1]) > R + 0.9 * wall
side &= np.array([any(abs(middle[i, 2] - 0.5 * (z[1:] + z[:-1])) < 1e-9) for i in range(len(side))])
mesh.set_region(BASE, faces[:, low])
mesh.set_region(SIDE, faces[:, side & ~low])
mesh.set_region(TOP, faces[:, ~side & ~low])

# numbers of the unknowns by layer and place of the plan; -1 where there is none
place = space.basic_dof_nodes()
known = {tuple(q): i for i, q in enumerate(np.round(place.T * 1e7).astype(int))}
node = np.array([[known.get((*np.round(p * 1e7).astype(int), round(height * 1e7)), -1)
                  for p in points] for height in z])
assert (node >= 0).sum() == space.nbdof()
zero = np.zeros(space.nbdof())


def matrix(expression, region):
    return gf.asm("generic", rule, 2, expression, region, "u", 1, space, zero)


def vector(factor, region):
    return gf.asm("generic", rule, 1, f"{factor:.17g}*Test_u", region, "u", 1, space, zero)


# a grid of places within every quadrilateral of the wax's surface: shape functions there, and the
# area each place stands for
GRID = 12
surface = quads[~wall_quad]
s, t = np.meshgrid((np.arange(GRID) + 0.5) / GRID, (np.arange(GRID) + 0.5) / GRID)
s, t = s.ravel(), t.ravel()
shape = np.c_[(1 - s) * (1 - t), s * (1 - t), (1 - s) * t, s * t]
along, over = np.c_[t - 1, 1 - t, -t, t], np.c_[s - 1, -s, 1 - s, s]
at = np.einsum("pi,qix->qpx", shape, points[surface])
ds, dt_ = (np.einsum("pi,qix->qpx", d, points[surface]) for d in (along, over))
area = abs(ds[..., 0] * dt_[..., 1] - ds[..., 1] * dt_[..., 0]) / GRID ** 2


def disc_load(x, y, radius, power):
    covered = area * (np.hypot(at[..., 0] - x, at[..., 1] - y) < radius)
    load = np.zeros(space.nbdof())
    np.add.at(load, node[top_layer][surface], np.einsum("qp,pi->qi", covered, shape))
    return load * power / load.sum()


def under_first_disc():
    """The quadrilateral the middle of the first disc lies in, and the weights of its corners."""
    x, y = discs[0][:2]
    q, p = np.unravel_index(np.argmin(np.hypot(at[..., 0] - x, at[..., 1] - y)), at.shape[:2])
    u, v, corner = s[p], t[p], points[surface[q]]
    for _ in range(20):
        w = np.array([(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v])
        step = np.linalg.solve(
            np.c_[np.array([v - 1, 1 - v, -v, v]) @ corner, np.array([u - 1, -u, 1 - u, u]) @ corner],
            np.array([x, y]) - w @ corner)
        u, v = u + step[0], v + step[1]
    return surface[q], w


room = a["film.ambient_C"]
films = ((a["film.top_W_m2K"], TOP), (a["film.base_W_m2K"], BASE), (a["film.side_W_m2K"], SIDE))
every = range(space.nbdof())
K = matrix(f"{a['wax.k_W_mK']}*Grad_u.Grad_Test_u", WAX)
K.add(every, every, matrix(f"{a['wall.k_W_mK']}*Grad_u.Grad_Test_u", WALL))
b = sum(disc_load(*d) for d in discs)
for film, region in films:
    K.add(every, every, matrix(f"{film}*u*Test_u", region))
    b = b + vector(film * room, region)
m_wax = vector(a["wax.rho_kg_m3"] * a["wax.cp_J_kgK"], WAX)
m_wall = vector(a["wall.rho_kg_m3"] * a["wall.cp_J_kgK"], WALL)
wax = m_wax > 0
# heat of a node = m_u U + m_t T
m_u, m_t = np.where(wax, m_wax, m_wall), np.where(wax, m_wall, 0.0)
outer = np.hypot(place[0], place[1]) > R + wall - 1e-7
corner, weight = under_first_disc()


def readings(hour, u, t):
    melted = (m_wax * (u - t)).sum() / law.latent / a["wax.cp_J_kgK"]
    top = t[node[top_layer][surface]] @ shape.T
    below = t[node[floor_layer:top_layer + 1][::-1][:, corner]] @ weight
    tell(hour, np.sqrt((area * (top > law.middle)).sum() / np.pi),
         crossing(H - z[floor_layer:top_layer + 1][::-1], below, law.middle), melted,
         t[outer].max(), below[0])


clock = Clock()
per_hour = round(3600 / dt)
dt = 3600 / per_hour
u = np.full(space.nbdof(), a["start_C"])
t = u.copy()
K.to_csc()
k_diagonal = np.array(K.diag()).ravel()
old = older = m_u * u + m_t * t
newton = 0
for hour in range(1, int(a["hours"]) + 1):
    for step in range(per_hour):
        second = hour > 1 or step > 0
        now = (1.5 if second else 1.0) / dt
        before = (2 * old - 0.5 * older) / dt if second else old / dt
        for iteration in range(20):
            slope = 1 / law.slope(u, wax)
            residual = K.mult(t) - b + now * (m_u * u + m_t * t) - before
            A = gf.Spmat("copy", K)
            A.set_diag(k_diagonal + now * (m_u * slope + m_t))
            A.to_csc()
            d = slope * np.ravel(gf.linsolve("cg", A, residual, gf.Precond("diagonal", A),
                                             "res", 1e-8))
            newton += 1
            # the step is taken in enthalpy, then damped: T(U) has corners, and plain Newton cycles
            d = d if iteration < 5 else 0.6 * d
            u = u - d
            t = law.temperature(u, wax)
            if abs(d).max() < 1e-3:
                break
        older, old = old, m_u * u + m_t * t
    readings(hour, u, t)
clock.done(f"getfem n {n:g} dt {dt:g} unknowns {len(u)} newton {newton}")
