#!/usr/bin/python3
"""The plain case by finite elements in GetFEM: bilinear quadrilaterals, lumped enthalpy, Newton.

getfem_plain.py -wax.radius_m 0.036 ... -n 1 -dt 60 -order 1
  -n cells per mm, -dt seconds, -order 1 backward Euler or 2 backward differences
"""
import getfem as gf
import numpy as np

from plain_case import Clock, Law, arguments, crossing, tell

a = arguments()
law = Law(a)
n, dt, order = a.get("n", 1.0), a.get("dt", 60.0), int(a.get("order", 1))
R, H, wall = a["wax.radius_m"], a["wax.height_m"], a["wall.thickness_m"]
n_wax, n_wall = round(R * 1e3 * n), max(1, int(wall * 1e3 * n + 0.5))
xs = np.r_[np.linspace(0, R, n_wax + 1), R + wall * np.arange(1, n_wall + 1) / n_wall]
ys = np.linspace(0, H, round(H * 1e3 * n) + 1)

mesh = gf.Mesh("cartesian", xs, ys)
space = gf.MeshFem(mesh, 1)
space.set_fem(gf.Fem("FEM_QK(2,1)"))
rule = gf.MeshIm(mesh, gf.Integ("IM_GAUSS_PARALLELEPIPED(2,4)"))
WAX, WALL, TOP, BASE, SIDE, DISC = 1, 2, 11, 12, 13, 14
cells = mesh.cvid()
middle = np.array([mesh.pts_from_cvid(int(c))[0][0].mean() for c in cells])
for region, inside in ((WAX, middle < R), (WALL, middle > R)):
    chosen = cells[inside]
    mesh.set_region(region, np.vstack([chosen, -np.ones(len(chosen), int)]))
faces = mesh.outer_faces()
normal = np.array([mesh.normal_of_face(int(c), int(f)) for c, f in faces.T])
face_x = np.array([mesh.pts()[0, mesh.pid_in_faces(np.array([[c], [f]]))].mean()
                   for c, f in faces.T])
mesh.set_region(TOP, faces[:, normal[:, 1] > 0.5])
mesh.set_region(BASE, faces[:, normal[:, 1] < -0.5])
mesh.set_region(SIDE, faces[:, normal[:, 0] > 0.5])
mesh.set_region(DISC, faces[:, (normal[:, 1] > 0.5) & (face_x < a["heat.disc_radius_m"])])

# everything per radian, hence the weight X(1)
zero = np.zeros(space.nbdof())


def matrix(expression, region):
    return gf.asm("generic", rule, 2, expression, region, "u", 1, space, zero)


def vector(factor, region):
    return gf.asm("generic", rule, 1, f"{factor:.17g}*X(1)*Test_u", region, "u", 1, space, zero)


room = a["film.ambient_C"]
films = ((a["film.top_W_m2K"], TOP), (a["film.base_W_m2K"], BASE), (a["film.side_W_m2K"], SIDE))
K = matrix(f"{a['wax.k_W_mK']}*X(1)*Grad_u.Grad_Test_u", WAX)
every = range(space.nbdof())
K.add(every, every, matrix(f"{a['wall.k_W_mK']}*X(1)*Grad_u.Grad_Test_u", WALL))
b = vector(a["heat.power_W"] / np.pi / a["heat.disc_radius_m"] ** 2, DISC)
for film, region in films:
    K.add(every, every, matrix(f"{film}*X(1)*u*Test_u", region))
    b = b + vector(film * room, region)
m_wax = vector(a["wax.rho_kg_m3"] * a["wax.cp_J_kgK"], WAX)
m_wall = vector(a["wall.rho_kg_m3"] * a["wall.cp_J_kgK"], WALL)
wax = m_wax > 0
# heat of a node = m_u U + m_t T
m_u, m_t = np.where(wax, m_wax, m_wall), np.where(wax, m_wall, 0.0)

place = space.basic_dof_nodes()
top = np.where(abs(place[1] - H) < 1e-9)[0]
top = top[np.argsort(place[0, top])]
axis = np.where(abs(place[0]) < 1e-9)[0]
axis = axis[np.argsort(-place[1, axis])]
outer = np.where(abs(place[0] - R - wall) < 1e-9)[0]


def readings(hour, u, t):
    melted = (m_wax * (u - t)).sum() / law.latent / a["wax.cp_J_kgK"]
    tell(hour, crossing(place[0, top], t[top], law.middle),
         crossing(H - place[1, axis], t[axis], law.middle), 2 * np.pi * melted, t[outer].max(),
         t[axis[0]])


clock = Clock()
per_hour = round(3600 / dt)
dt = 3600 / per_hour
u = np.full(space.nbdof(), a["start_C"])
t = u.copy()
k_diagonal = np.array(K.diag()).ravel()
old = older = m_u * u + m_t * t
newton = 0
for hour in range(1, int(a["hours"]) + 1):
    for step in range(per_hour):
        second = order == 2 and (hour > 1 or step > 0)
        now = (1.5 if second else 1.0) / dt
        before = (2 * old - 0.5 * older) / dt if second else old / dt
        for iteration in range(20):
            slope = 1 / law.slope(u, wax)
            residual = K.mult(t) - b + now * (m_u * u + m_t * t) - before
            A = gf.Spmat("copy", K)
            A.set_diag(k_diagonal + now * (m_u * slope + m_t))
            d = slope * np.ravel(gf.linsolve("mumps", A, residual))
            newton += 1
            # the step is taken in enthalpy, then damped: T(U) has corners, and plain Newton cycles
            d = d if iteration < 5 else 0.6 * d
            u = u - d
            t = law.temperature(u, wax)
            if abs(d).max() < 1e-4:
                break
        older, old = old, m_u * u + m_t * t
    readings(hour, u, t)
clock.done(f"getfem n {n:g} dt {dt:g} order {order} unknowns {len(u)} newton {newton}")
