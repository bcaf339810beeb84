// Enthalpy finite volumes with RKL2 steps. See docs/physics/field.md for F1..F9.
//
// Main idea: temperature is a monotone, branch-free function of enthalpy, so melting needs no
// front tracking and the explicit update conserves energy to rounding. RKL2 makes the explicit
// step long: s stages reach (s^2 + s - 2)/4 explicit steps (Meyer, Balsara, Aslam 2012).
#include "burn/field.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "burn/field_int.h"

ep_enthalpy_law ep_enthalpy_law_make(double solidus_C, double liquidus_C, double cp_solid_J_kgK,
                                     double cp_liquid_J_kgK, double latent_J_kg)
{
    ep_enthalpy_law law = {.solidus_C = solidus_C,
                           .liquidus_C = liquidus_C,
                           .cp_solid_J_kgK = cp_solid_J_kgK,
                           .cp_liquid_J_kgK = cp_liquid_J_kgK,
                           .latent_J_kg = latent_J_kg};
    double range_K = liquidus_C - solidus_C;
    double mush_J_kg = latent_J_kg + 0.5 * (cp_solid_J_kgK + cp_liquid_J_kgK) * range_K;
    law.u_solidus_J_kg = cp_solid_J_kgK * solidus_C;
    law.u_liquidus_J_kg = law.u_solidus_J_kg + mush_J_kg;
    law.a = 1.0 / cp_solid_J_kgK;
    law.c = mush_J_kg > 0.0 ? range_K / mush_J_kg : 0.0;
    law.b = solidus_C - law.c * law.u_solidus_J_kg;
    law.e = 1.0 / cp_liquid_J_kgK;
    law.d = liquidus_C - law.e * law.u_liquidus_J_kg;
    return law;
}

double ep_law_T_C(const ep_enthalpy_law *law, double u_J_kg)
{
    double solid_C = u_J_kg * law->a, mush_C = law->b + u_J_kg * law->c;
    double liquid_C = law->d + u_J_kg * law->e;
    double low_C = solid_C < mush_C ? solid_C : mush_C;
    return low_C > liquid_C ? low_C : liquid_C;
}

double ep_law_u_J_kg(const ep_enthalpy_law *law, double T_C)
{
    if (T_C <= law->solidus_C) {
        return T_C * law->cp_solid_J_kgK;
    }
    if (T_C >= law->liquidus_C) {
        return law->u_liquidus_J_kg + (T_C - law->liquidus_C) * law->cp_liquid_J_kgK;
    }
    return (T_C - law->b) / law->c;
}

double ep_law_liquid_frac(const ep_enthalpy_law *law, double u_J_kg)
{
    double mush_J_kg = law->u_liquidus_J_kg - law->u_solidus_J_kg;
    if (!(mush_J_kg > 0.0)) {
        // melts at one temperature without heat: a plain case may ask for that
        return u_J_kg < law->u_solidus_J_kg ? 0.0 : 1.0;
    }
    double f = (u_J_kg - law->u_solidus_J_kg) / mush_J_kg;
    return f < 0.0 ? 0.0 : (f > 1.0 ? 1.0 : f);
}

enum { N_ARRAYS = 15 };

ep_status ep_field_create(int nx, int ny, int nz, const ep_enthalpy_law *law, ep_field **out)
{
    assert(nx > 0 && ny > 0 && nz > 0 && law && out);
    ep_field *f = calloc(1, sizeof *f);
    if (!f) {
        return EP_E_MEMORY;
    }
    f->nx = nx;
    f->ny = ny;
    f->nz = nz;
    f->stride = (nz + FIELD_LANES - 1) / FIELD_LANES * FIELD_LANES;
    f->n = (size_t)nx * (size_t)ny * (size_t)f->stride;
    f->law = *law;
    ep_arena_init(&f->arena);

    // every array has empty columns before and after, so neighbours always exist
    size_t pad = (size_t)f->stride * (size_t)(ny > 1 ? nx : 1) + FIELD_LANES;
    size_t len = f->n + 2 * pad;
    double **array[N_ARRAYS] = {&f->u,   &f->T,     &f->mass,  &f->G_x, &f->G_y,
                                &f->G_z, &f->G_out, &f->S,     &f->wax, &f->inv_mass,
                                &f->y1,  &f->y2,    &f->rate0, &f->T2,  &f->T3};
    // places of the arrays in a memory page are spread out: a load must not look like the store
    // a few loops before it
    enum { PAGE = 4096 / sizeof(double), SPREAD = 256 / sizeof(double) };
    const size_t apart = (len + PAGE - 1) / PAGE * PAGE + SPREAD;
    double *all = ep_arena_alloc(&f->arena, N_ARRAYS * apart, sizeof *all);
    if (!all) {
        ep_field_destroy(f);
        return EP_E_MEMORY;
    }
    for (int a = 0; a < N_ARRAYS; a++) {
        *array[a] = all + (size_t)a * apart + pad;
    }
    const size_t blocks = (size_t)nx * (size_t)ny + 1;
    int **list[] = {&f->edge, &f->run_from, &f->run_to, &f->block_run, &f->block_edge};
    for (size_t a = 0; a < sizeof list / sizeof *list; a++) {
        *list[a] = ep_arena_alloc(&f->arena, a < 3 ? f->n : blocks, sizeof **list[a]);
        if (!*list[a]) {
            ep_field_destroy(f);
            return EP_E_MEMORY;
        }
    }
    f->block_sum = ep_arena_alloc(&f->arena, blocks * FIELD_DEEPEST, sizeof *f->block_sum);
    if (!f->block_sum) {
        ep_field_destroy(f);
        return EP_E_MEMORY;
    }
    *out = f;
    return EP_OK;
}

void ep_field_destroy(ep_field *f)
{
    if (f) {
        ep_field_unpair(f);
        ep_field_wall_free(f);
        ep_arena_destroy(&f->arena);
        free(f);
    }
}

void ep_field_set_T(ep_field *f, size_t cell, double T_C)
{
    f->u[cell] = f->wax[cell] > 0.0 ? ep_law_u_J_kg(&f->law, T_C) : T_C * f->law.cp_solid_J_kgK;
    f->T[cell] = T_C;
}

void ep_field_sync(ep_field *f)
{
    for (size_t c = 0; c < f->n; c++) {
        double solid_C = f->u[c] * f->law.a;
        f->T[c] = f->wax[c] > 0.0 ? ep_law_T_C(&f->law, f->u[c]) : solid_C;
    }
}

// greatest sum of conductances over mass: of all cells, and of wax alone; a lane at a time, so that
// vectors can do it
FIELD_WIDE static void find_speeds(ep_field *f)
{
    const ptrdiff_t up = f->stride, over = f->ny > 1 ? up * f->nx : 0;
    const double deep = f->ny > 1 ? 1.0 : 0.0;
    const double *restrict G_x = f->G_x, *restrict G_y = f->G_y, *restrict G_z = f->G_z;
    const double *restrict G_out = f->G_out, *restrict inv_mass = f->inv_mass;
    double all[FIELD_LANES] = {0.0}, wax[FIELD_LANES] = {0.0};
    for (size_t from = 0; from < f->n; from += FIELD_LANES) {
        for (int n = 0; n < FIELD_LANES; n++) {
            const ptrdiff_t c = (ptrdiff_t)from + n;
            double sum_W_K = G_x[c] + G_x[c - up] + G_z[c] + G_z[c - 1] + G_out[c] +
                             deep * (G_y[c] + G_y[c - over]);
            double speed = sum_W_K * inv_mass[c], of_wax = speed * f->wax[c];
            all[n] = speed > all[n] ? speed : all[n];
            wax[n] = of_wax > wax[n] ? of_wax : wax[n];
        }
    }
    f->fastest = f->fastest_wax = 0.0;
    for (int n = 0; n < FIELD_LANES; n++) {
        f->fastest = all[n] > f->fastest ? all[n] : f->fastest;
        f->fastest_wax = wax[n] > f->fastest_wax ? wax[n] : f->fastest_wax;
    }
}

void ep_field_ready(ep_field *f)
{
    for (size_t c = 0; c < f->n; c++) {
        f->inv_mass[c] = f->mass[c] > 0.0 ? 1.0 / f->mass[c] : 0.0;
    }
    ep_field_find_blocks(f);
    ep_field_wall_ready(f);
    find_speeds(f);
}

// the steepest line of the law is the solid or the liquid one
static double step_of(const ep_field *f, double fastest)
{
    double cp_J_kgK = f->law.cp_solid_J_kgK < f->law.cp_liquid_J_kgK ? f->law.cp_solid_J_kgK
                                                                     : f->law.cp_liquid_J_kgK;
    return fastest > 0.0 ? cp_J_kgK / fastest : FIELD_FAR;
}

double ep_field_explicit_step_s(const ep_field *f)
{
    return step_of(f, f->fastest);
}

static double rkl2_b(int stage)
{
    const double j = stage;  // its square may pass the largest int
    return stage < 2 ? 1.0 / 3.0 : (j * j + j - 2.0) / (2.0 * j * (j + 1.0));
}

// stages for a step of tau, odd so that no eigenvalue sits on the stability boundary (Eq. F8)
static int stage_count(double tau_s, double dt_s)
{
    int s = (int)ceil(0.5 * (sqrt(9.0 + 16.0 * tau_s / dt_s) - 1.0));
    s = s < 3 ? 3 : s;
    return s % 2 ? s : s + 1;
}

// share of a step that one explicit step may be
static double first_part(int stages)
{
    const double s = stages;  // its square may pass the largest int
    return 4.0 / (s * s + s - 2.0);
}

// Is it cheaper to treat the wall's conduction apart? Its solution costs a cell of wall as much as
// some stages of the stencil. Sets the number of stages.
static bool wall_apart(const ep_field *f, double tau_s, int *stages)
{
    enum { SOLUTION = 4 };
    *stages = stage_count(tau_s, ep_field_explicit_step_s(f));
    const int wall = ep_field_wall_cells(f);
    if (wall == 0) {
        return false;
    }
    const double wall_s = ep_field_wall_step_s(f), wax_s = step_of(f, f->fastest_wax);
    const int apart = stage_count(tau_s, wall_s < wax_s ? wall_s : wax_s);
    const double cells = (double)f->nx * f->nz;
    if (apart * (cells + SOLUTION * wall) > *stages * cells) {
        return false;
    }
    *stages = apart;
    return true;
}

// the ledger rides through the same recursion as the field, so it closes to rounding
typedef struct ledger {
    edge_sum before, now, first;  // J, J, W
} ledger;

static void count_stage(ledger *l, const stage_work *s, edge_sum p)
{
    const stage_coef *k = &s->k;
    if (s->first) {
        l->first = p;
        l->before = (edge_sum){0.0, 0.0};
        l->now = (edge_sum){k->mut_tau_s * p.net_W, k->mut_tau_s * p.all_W};
        return;
    }
    const edge_sum next = {k->mu * l->now.net_W + k->nu * l->before.net_W + k->mut_tau_s * p.net_W +
                               k->gat_tau_s * l->first.net_W,
                           k->mu * l->now.all_W + k->nu * l->before.all_W + k->mut_tau_s * p.all_W +
                               k->gat_tau_s * l->first.all_W};
    l->before = l->now;
    l->now = next;
}

static stage_coef coef_of(int j, int stages, double tau_s)
{
    const double w1 = first_part(stages);
    if (j == 1) {
        return (stage_coef){.mut_tau_s = rkl2_b(1) * w1 * tau_s};
    }
    const double mu = (2.0 * j - 1.0) / j * rkl2_b(j) / rkl2_b(j - 1);
    const double nu = -(j - 1.0) / j * rkl2_b(j) / rkl2_b(j - 2);
    const double mut = mu * w1, gat = -(1.0 - rkl2_b(j - 1)) * mut;
    return (stage_coef){mu, nu, 1.0 - mu - nu, mut * tau_s, gat * tau_s};
}

void ep_field_step(ep_field *f, double tau_s)
{
    int n = 0;
    const bool apart = wall_apart(f, tau_s, &n);
    if (apart) {
        ep_field_wall_begin(f, 0.5 * first_part(n) * tau_s);
    }
    // y[j % 2] holds stage j, T[j % 2] its temperature
    double *y[2] = {f->y2, f->y1}, *T[2] = {f->T3, f->T2};
    const int depth = ep_field_depth(f);
    ledger l = {0};
    memcpy(y[0], f->u, f->n * sizeof *y[0]);
    for (int j = 1; j <= n;) {
        stage_group g = {.n = 0};
        for (; j <= n && g.n < depth; j++) {
            g.stage[g.n++] = (stage_work){.k = coef_of(j, n, tau_s),
                                          .first = j == 1,
                                          .T = j == 1 ? f->T : T[(j - 1) % 2],
                                          .y_1 = y[(j - 1) % 2],
                                          .y = y[j % 2],
                                          .T_new = T[j % 2]};
        }
        ep_field_stages(f, &g);
        for (int s = 0; s < g.n; s++) {
            count_stage(&l, &g.stage[s], g.sum[s]);
        }
    }
    if (apart) {
        ep_field_wall_end(f);
    }
    // the last stage becomes the state, the old state becomes work space
    f->y1 = f->u;
    f->y2 = y[(n - 1) % 2];
    f->u = y[n % 2];
    f->T2 = f->T;
    f->T3 = T[(n - 1) % 2];
    f->T = T[n % 2];
    f->in_J += l.now.net_W;
    f->through_J += fabs(l.now.all_W);
    f->stages += n;
}

double ep_field_energy_J(const ep_field *f)
{
    double sum_J = 0.0;
    for (size_t c = 0; c < f->n; c++) {
        sum_J += f->mass[c] * f->u[c];
    }
    return sum_J;
}
