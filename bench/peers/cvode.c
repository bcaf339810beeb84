// The plain case by finite volumes and SUNDIALS CVODE: variable-order backward differences, the
// exact sparse Jacobian, KLU. Arguments `-name value` with the fields of a case file
// (docs/verify.md), then -n cells per mm, -rtol. Built by bench/run with -O3 -march=native.
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include "../bench.h"

// U: the wax's specific enthalpy over its heat capacity, K; T(U) is piecewise linear
typedef struct problem {
    int nr, nz, n_wax;
    double dz, latent, solidus, mush, u_liquidus, middle;
    double h_top, h_side, room, wax_heat, cp;
    double *dr, *mid, *k;         // by ring
    double *west, *east, *axial;  // conductance over capacity, 1/s, by ring
    double *top, *base, *side;    // outer faces likewise
    double *given, *flux;         // K/s in the top row; W/m2
    double *T;
} problem;

static void fill_temperatures(const problem *p, const double *restrict u, double *restrict T)
{
    for (int j = 0; j < p->nz; j++, u += p->nr, T += p->nr) {
        for (int i = 0; i < p->n_wax; i++) {
            double mush = p->solidus + (u[i] - p->solidus) / p->mush;
            double low = u[i] < mush ? u[i] : mush, liquid = u[i] - p->latent;
            T[i] = low > liquid ? low : liquid;
        }
        for (int i = p->n_wax; i < p->nr; i++) {
            T[i] = u[i];
        }
    }
}

static double slope(const problem *p, double u, int ring)
{
    return ring < p->n_wax && u >= p->solidus && u < p->u_liquidus ? 1.0 / p->mush : 1.0;
}

static int rate(realtype t, N_Vector y, N_Vector out, void *data)
{
    (void)t;
    const problem *p = data;
    const int nr = p->nr;
    double *restrict f = N_VGetArrayPointer(out);
    fill_temperatures(p, N_VGetArrayPointer(y), p->T);
    for (int j = 0; j < p->nz; j++, f += nr) {
        const double *T = p->T + (size_t)j * (size_t)nr;
        const double *up = j + 1 < p->nz ? T + nr : T, *down = j > 0 ? T - nr : T;
        f[0] = p->east[0] * (T[1] - T[0]) + p->axial[0] * (up[0] + down[0] - 2.0 * T[0]);
        for (int i = 1; i < nr - 1; i++) {
            f[i] = p->east[i] * (T[i + 1] - T[i]) + p->west[i] * (T[i - 1] - T[i]) +
                   p->axial[i] * (up[i] + down[i] - 2.0 * T[i]);
        }
        const int last = nr - 1;
        f[last] = p->west[last] * (T[last - 1] - T[last]) + p->side[last] * (p->room - T[last]) +
                  p->axial[last] * (up[last] + down[last] - 2.0 * T[last]);
        for (int i = 0; i < nr && j == p->nz - 1; i++) {
            f[i] += p->top[i] * (p->room - T[i]) + p->given[i];
        }
        for (int i = 0; i < nr && j == 0; i++) {
            f[i] += p->base[i] * (p->room - T[i]);
        }
    }
    return 0;
}

static int jacobian(realtype t, N_Vector y, N_Vector fy, SUNMatrix J, void *data, N_Vector a,
                    N_Vector b, N_Vector c)
{
    (void)t, (void)fy, (void)a, (void)b, (void)c;
    const problem *p = data;
    const double *u = N_VGetArrayPointer(y);
    const int nr = p->nr;
    sunindextype *column = SM_INDEXPTRS_S(J), *row = SM_INDEXVALS_S(J), n = 0;
    double *value = SM_DATA_S(J);
    for (int j = 0; j < p->nz; j++) {
        for (int i = 0; i < nr; i++) {
            const sunindextype q = (sunindextype)j * nr + i;
            const double s = slope(p, u[q], i);
            const int vertical = (j > 0) + (j < p->nz - 1);
            const double out = p->east[i] + p->west[i] + p->axial[i] * vertical + p->side[i] +
                               (j == p->nz - 1 ? p->top[i] : 0.0) + (j == 0 ? p->base[i] : 0.0);
            const struct {
                int there;
                sunindextype row;
                double value;
            } entry[5] = {{j > 0, q - nr, p->axial[i]},
                          {i > 0, q - 1, i > 0 ? p->east[i - 1] : 0.0},
                          {1, q, -out},
                          {i < nr - 1, q + 1, i < nr - 1 ? p->west[i + 1] : 0.0},
                          {j < p->nz - 1, q + nr, p->axial[i]}};
            column[q] = n;
            for (int e = 0; e < 5; e++) {
                if (entry[e].there) {
                    row[n] = entry[e].row;
                    value[n++] = entry[e].value * s;
                }
            }
        }
    }
    column[(size_t)nr * (size_t)p->nz] = n;
    return 0;
}

// last place where v falls through the level
static double crossing(const double *x, const double *v, int n, double level)
{
    double at = 0.0;
    for (int i = 0; i + 1 < n; i++) {
        if (v[i] >= level && v[i + 1] < level) {
            at = x[i] + (v[i] - level) / (v[i] - v[i + 1]) * (x[i + 1] - x[i]);
        }
    }
    return at;
}

static double *numbers(int n)
{
    double *p = calloc((size_t)n, sizeof *p);
    if (!p) {
        exit(3);
    }
    return p;
}

static void readings(const problem *p, int hour, const double *u)
{
    const int nr = p->nr, nz = p->nz;
    double *surface = numbers(nr), *depth = numbers(nz + 1), *axis = numbers(nz + 1);
    fill_temperatures(p, u, p->T);
    for (int i = 0; i < nr; i++) {
        double half = 2.0 * p->k[i] / p->dz;
        surface[i] = (half * p->T[(size_t)(nz - 1) * (size_t)nr + (size_t)i] + p->h_top * p->room +
                      p->flux[i]) /
                     (half + p->h_top);
    }
    depth[0] = 0.0;
    axis[0] = (9.0 * surface[0] - surface[1]) / 8.0;
    double hottest = -1e9, face = 0.0, before = 0.0, melted = 0.0;
    for (int j = 0; j < nz; j++) {
        const double *T = p->T + (size_t)j * (size_t)nr, *h = u + (size_t)j * (size_t)nr;
        depth[nz - j] = (nz - j - 0.5) * p->dz;
        axis[nz - j] = (9.0 * T[0] - T[1]) / 8.0;
        double g = 2.0 * p->k[nr - 1] / p->dr[nr - 1];
        before = face;
        face = (g * T[nr - 1] + p->h_side * p->room) / (g + p->h_side);
        hottest = fmax(hottest, face);
        for (int i = 0; i < p->n_wax; i++) {
            melted += p->mid[i] * p->dr[i] * p->dz * p->wax_heat * (h[i] - T[i]) / p->latent;
        }
    }
    hottest = fmax(hottest, 1.5 * face - 0.5 * before);
    printf("hour %d R %.7g D %.7g melt %.7g wall %.8g centre %.8g\n", hour,
           1e3 * crossing(p->mid, surface, nr, p->middle),
           1e3 * crossing(depth, axis, nz + 1, p->middle), 2e3 * M_PI * melted / p->cp, hottest,
           axis[0]);
    free(surface);
    free(depth);
    free(axis);
}

static problem make(int argc, char **argv)
{
#define ARG(name) bench_number(argc, argv, "-" name, (double)NAN)
    const double per_m = 1e3 * bench_number(argc, argv, "-n", 1.0);
    const double R = ARG("wax.radius_m"), H = ARG("wax.height_m"), wall = ARG("wall.thickness_m");
    const double wall_heat = ARG("wall.rho_kg_m3") * ARG("wall.cp_J_kgK");
    const double disc = ARG("heat.disc_radius_m"), h_base = ARG("film.base_W_m2K");
    problem p = {.n_wax = (int)lround(R * per_m), .nz = (int)lround(H * per_m)};
    const int n_wall = wall * per_m < 1.0 ? 1 : (int)lround(wall * per_m);
    p.nr = p.n_wax + n_wall;
    p.dz = H / p.nz;
    p.cp = ARG("wax.cp_J_kgK");
    p.latent = ARG("wax.latent_J_kg") / p.cp;
    p.solidus = ARG("wax.solidus_C");
    const double range = ARG("wax.liquidus_C") - p.solidus;
    p.mush = 1.0 + p.latent / range;
    p.u_liquidus = p.solidus + range * p.mush;
    p.middle = p.solidus + 0.5 * range;
    p.h_top = ARG("film.top_W_m2K");
    p.h_side = ARG("film.side_W_m2K");
    p.room = ARG("film.ambient_C");
    p.wax_heat = ARG("wax.rho_kg_m3") * p.cp;
    double **list[] = {&p.dr,  &p.mid,  &p.k,    &p.west,  &p.east, &p.axial,
                       &p.top, &p.base, &p.side, &p.given, &p.flux};
    for (size_t n = 0; n < sizeof list / sizeof *list; n++) {
        *list[n] = numbers(p.nr);
    }
    p.T = numbers(p.nr * p.nz);
    for (int i = 0; i < p.nr; i++) {
        p.dr[i] = i < p.n_wax ? R / p.n_wax : wall / n_wall;
        p.k[i] = i < p.n_wax ? ARG("wax.k_W_mK") : ARG("wall.k_W_mK");
    }
    double in = 0.0;
    for (int i = 0; i < p.nr; i++) {
        const double out = in + p.dr[i], heat = i < p.n_wax ? p.wax_heat : wall_heat;
        const double half = 2.0 * p.k[i] / p.dz;
        p.mid[i] = 0.5 * (in + out);
        const double volume = p.mid[i] * p.dr[i] * p.dz * heat;  // J/K per radian
        if (i + 1 < p.nr) {
            p.east[i] =
                out * p.dz / (p.dr[i] / 2.0 / p.k[i] + p.dr[i + 1] / 2.0 / p.k[i + 1]) / volume;
        } else {
            p.side[i] = out * p.dz / (p.dr[i] / 2.0 / p.k[i] + 1.0 / p.h_side) / volume;
        }
        if (i > 0) {
            p.west[i] =
                in * p.dz / (p.dr[i] / 2.0 / p.k[i] + p.dr[i - 1] / 2.0 / p.k[i - 1]) / volume;
        }
        p.axial[i] = p.k[i] / (p.dz * p.dz * heat);
        p.top[i] = half * p.h_top / (half + p.h_top) / (p.dz * heat);
        p.base[i] = half * h_base / (half + h_base) / (p.dz * heat);
        const double edge = fmin(fmax(disc, in), out);
        p.flux[i] = ARG("heat.power_W") / (M_PI * disc * disc) * (edge * edge - in * in) /
                    (out * out - in * in);
        p.given[i] = p.flux[i] * half / (half + p.h_top) / (p.dz * heat);
        in = out;
    }
#undef ARG
    return p;
}

int main(int argc, char **argv)
{
    problem p = make(argc, argv);
    const double rtol = bench_number(argc, argv, "-rtol", 1e-3);
    const int hours = (int)bench_number(argc, argv, "-hours", 4.0);
    const sunindextype n = (sunindextype)p.nr * p.nz;
    SUNContext context;
    SUNContext_Create(NULL, &context);
    N_Vector y = N_VNew_Serial(n, context);
    N_VConst(bench_number(argc, argv, "-start_C", 20.0), y);
    const bench_time start = bench_now();
    void *solver = CVodeCreate(CV_BDF, context);
    CVodeInit(solver, rate, 0.0, y);
    CVodeSetUserData(solver, &p);
    CVodeSStolerances(solver, rtol, 10.0 * rtol);
    CVodeSetMaxNumSteps(solver, 2000000);
    SUNMatrix J = SUNSparseMatrix(n, n, 5 * n, CSC_MAT, context);
    SUNLinearSolver klu = SUNLinSol_KLU(y, J, context);
    CVodeSetLinearSolver(solver, klu, J);
    CVodeSetJacFn(solver, jacobian);
    for (int h = 1; h <= hours; h++) {
        realtype t = 0.0;
        CVodeSetStopTime(solver, 3600.0 * h);
        if (CVode(solver, 3600.0 * h, y, &t, CV_NORMAL) < 0) {
            return 3;
        }
        readings(&p, h, N_VGetArrayPointer(y));
    }
    const bench_time took = bench_since(start);
    long steps = 0, set_ups = 0;
    CVodeGetNumSteps(solver, &steps);
    CVodeGetNumLinSolvSetups(solver, &set_ups);
    printf("done cvode n %g rtol %g unknowns %ld steps %ld factorizations %ld wall_s %.6f cpu_s "
           "%.6f\n",
           bench_number(argc, argv, "-n", 1.0), rtol, (long)n, steps, set_ups, took.wall_s,
           took.cpu_s);
    return 0;
}
