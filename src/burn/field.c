// Enthalpy finite volumes with RKL2 steps. See docs/physics/field.md for F1..F9.
//
// Main idea: temperature is a monotone, branch-free function of enthalpy, so melting needs no
// front tracking and the explicit update conserves energy to rounding. RKL2 makes the explicit
// step long: s stages reach (s^2 + s - 2)/4 explicit steps (Meyer, Balsara, Aslam 2012).
#include "burn/field.h"

#include <assert.h>
#include <math.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

// larger than any enthalpy: switches a line of the law off
static const double FAR = 1e30;

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

static void unpair(ep_field *f);

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
    f->stride = nz + 1;
    f->n = (size_t)nx * (size_t)ny * (size_t)f->stride;
    f->law = *law;
    ep_arena_init(&f->arena);

    // every array has empty columns before and after, so neighbours always exist
    size_t pad = (size_t)f->stride * (size_t)(ny > 1 ? nx : 1) + 8;
    size_t len = f->n + 2 * pad;
    double **array[N_ARRAYS] = {&f->u,   &f->T,     &f->mass,  &f->G_x, &f->G_y,
                                &f->G_z, &f->G_out, &f->S,     &f->wax, &f->inv_mass,
                                &f->y1,  &f->y2,    &f->rate0, &f->T2,  &f->T3};
    for (int a = 0; a < N_ARRAYS; a++) {
        double *p = ep_arena_alloc(&f->arena, len, sizeof *p);
        if (!p) {
            ep_field_destroy(f);
            return EP_E_MEMORY;
        }
        *array[a] = p + pad;
    }
    f->edge = ep_arena_alloc(&f->arena, f->n, sizeof *f->edge);
    f->run_from = ep_arena_alloc(&f->arena, f->n, sizeof *f->run_from);
    f->run_to = ep_arena_alloc(&f->arena, f->n, sizeof *f->run_to);
    if (!f->edge || !f->run_from || !f->run_to) {
        ep_field_destroy(f);
        return EP_E_MEMORY;
    }
    *out = f;
    return EP_OK;
}

void ep_field_destroy(ep_field *f)
{
    if (f) {
        unpair(f);
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

// stretches of cells that hold something; gaps shorter than a vector or two are carried along
static void find_runs(ep_field *f)
{
    enum { SHORT_GAP = 12 };
    f->n_runs = 0;
    for (size_t c = 0; c < f->n; c++) {
        if (!(f->mass[c] > 0.0)) {
            continue;
        }
        int cell = (int)c;
        if (f->n_runs > 0 && cell - f->run_to[f->n_runs - 1] <= SHORT_GAP) {
            f->run_to[f->n_runs - 1] = cell + 1;
        } else {
            f->run_from[f->n_runs] = cell;
            f->run_to[f->n_runs++] = cell + 1;
        }
    }
}

void ep_field_ready(ep_field *f)
{
    f->n_edge = 0;
    find_runs(f);
    for (size_t c = 0; c < f->n; c++) {
        f->inv_mass[c] = f->mass[c] > 0.0 ? 1.0 / f->mass[c] : 0.0;
        if (f->mass[c] > 0.0 && (f->G_out[c] > 0.0 || f->S[c] < 0.0 || f->S[c] > 0.0)) {
            f->edge[f->n_edge++] = (int)c;
        }
    }
    // halves by cells; sums are always taken half by half, so that one thread or two give the same
    int cells = 0, seen = 0;
    for (int run = 0; run < f->n_runs; run++) {
        cells += f->run_to[run] - f->run_from[run];
    }
    for (f->half_run = 0; f->half_run < f->n_runs && 2 * seen < cells; f->half_run++) {
        seen += f->run_to[f->half_run] - f->run_from[f->half_run];
    }
    int border = f->half_run < f->n_runs ? f->run_from[f->half_run] : (int)f->n;
    for (f->half_edge = 0; f->half_edge < f->n_edge && f->edge[f->half_edge] < border;) {
        f->half_edge++;
    }
}

double ep_field_explicit_step_s(const ep_field *f)
{
    // the steepest line of the law is the solid or the liquid one
    double cp_J_kgK = f->law.cp_solid_J_kgK < f->law.cp_liquid_J_kgK ? f->law.cp_solid_J_kgK
                                                                     : f->law.cp_liquid_J_kgK;
    double worst = 0.0;
    const ptrdiff_t up = f->stride, over = up * f->nx;
    for (size_t c = 0; c < f->n; c++) {
        const double *g_x = f->G_x + c, *g_y = f->G_y + c;
        double sum_W_K = g_x[0] + g_x[-up] + f->G_z[c] + (f->G_z + c)[-1] + f->G_out[c];
        sum_W_K += f->ny > 1 ? g_y[0] + g_y[-over] : 0.0;
        double speed = sum_W_K * f->inv_mass[c];
        worst = speed > worst ? speed : worst;
    }
    return worst > 0.0 ? cp_J_kgK / worst : FAR;
}

// The stencil loops are compiled once per vector width and chosen at start-up. Every width does the
// same operations in the same order per cell (contraction is off), so the bytes do not change.
#if defined(__x86_64__) && defined(__GNUC__)
#define EP_WIDE __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define EP_WIDE
#endif

// Power that comes in from the neighbours, W (Eq. F4); T is read at neighbours. What comes from
// outside concerns few cells and is added to them afterwards, which keeps two streams out of the
// loop.
#define FLAT_POWER(T)                                                                              \
    (G_x[c] * (T[c + up] - T[c]) + G_x[c - up] * (T[c - up] - T[c]) + G_z[c] * (T[c + 1] - T[c]) + \
     G_z[c - 1] * (T[c - 1] - T[c]))
#define DEEP_POWER(T)                                                                              \
    (FLAT_POWER(T) + G_y[c] * (T[c + over] - T[c]) + G_y[c - over] * (T[c - over] - T[c]))

static double law_select(const ep_enthalpy_law *law, double u, double wax)
{
    double solid_C = u * law->a, mush_C = law->b + u * law->c, liquid_C = law->d + u * law->e;
    double low_C = solid_C < mush_C ? solid_C : mush_C;
    double wax_C = low_C > liquid_C ? low_C : liquid_C;
    return solid_C + wax * (wax_C - solid_C);
}

// local names of everything the stencil reads
#define STENCIL_VIEW(f)                                                                            \
    const ptrdiff_t up = (f)->stride, over = up * (f)->nx;                                         \
    const double *restrict u = (f)->u, *restrict G_x = (f)->G_x, *restrict G_y = (f)->G_y;         \
    const double *restrict G_z = (f)->G_z;                                                         \
    const double *restrict inv_mass = (f)->inv_mass, *restrict wax = (f)->wax;                     \
    const ep_enthalpy_law law = (f)->law;                                                          \
    (void)over;                                                                                    \
    (void)G_y

typedef struct stage_coef {
    double mu, nu, rest, mut_tau_s, gat_tau_s;
} stage_coef;

// first stage over runs from..to: y = u + mut tau rate(u), keeps rate(u) for the later stages
#define FIRST_STAGE(name, POWER)                                                                   \
    EP_WIDE static void name(const ep_field *f, int from, int to, double mut_tau_s,                \
                             const double *restrict T, double *restrict rate0, double *restrict y, \
                             double *restrict T_new)                                               \
    {                                                                                              \
        STENCIL_VIEW(f);                                                                           \
        for (int run = from; run < to; run++) {                                                    \
            const ptrdiff_t end = f->run_to[run];                                                  \
            for (ptrdiff_t c = f->run_from[run]; c < end; c++) {                                   \
                double r = POWER(T) * inv_mass[c];                                                 \
                rate0[c] = r;                                                                      \
                y[c] = u[c] + mut_tau_s * r;                                                       \
                T_new[c] = law_select(&law, y[c], wax[c]);                                         \
            }                                                                                      \
        }                                                                                          \
    }
FIRST_STAGE(first_stage_flat, FLAT_POWER)
FIRST_STAGE(first_stage_deep, DEEP_POWER)

// y_j from y_{j-1} and y_{j-2}; y_j overwrites y_{j-2} (Eq. F7)
#define LATER_STAGE(name, POWER)                                                                   \
    EP_WIDE static void name(const ep_field *f, int from, int to, stage_coef k,                    \
                             const double *restrict T, const double *restrict rate0,               \
                             const double *restrict y_1, double *restrict y_2,                     \
                             double *restrict T_new)                                               \
    {                                                                                              \
        STENCIL_VIEW(f);                                                                           \
        for (int run = from; run < to; run++) {                                                    \
            const ptrdiff_t end = f->run_to[run];                                                  \
            for (ptrdiff_t c = f->run_from[run]; c < end; c++) {                                   \
                double y = k.mu * y_1[c] + k.nu * y_2[c] + k.rest * u[c] +                         \
                           k.mut_tau_s * (POWER(T) * inv_mass[c]) + k.gat_tau_s * rate0[c];        \
                y_2[c] = y;                                                                        \
                T_new[c] = law_select(&law, y, wax[c]);                                            \
            }                                                                                      \
        }                                                                                          \
    }
LATER_STAGE(later_stage_flat, FLAT_POWER)
LATER_STAGE(later_stage_deep, DEEP_POWER)

// power through outer faces and from sources, W: what the ledger integrates
typedef struct edge_sum {
    double net_W, all_W;
} edge_sum;

// one stage's work on one half of the cells
typedef struct stage {
    stage_coef k;
    bool first;
    const double *T, *y_1;
    double *y, *T_new;
} stage_work;

// what the surroundings and sources give to some cells, added to a stage
static edge_sum add_edges(ep_field *f, int from, int to, const stage_work *s)
{
    edge_sum sum = {0.0, 0.0};
    for (int e = from; e < to; e++) {
        const int c = f->edge[e];
        double p_W = f->S[c] - f->G_out[c] * s->T[c];
        double r = p_W * f->inv_mass[c];
        sum.net_W += p_W;
        sum.all_W += fabs(p_W);
        s->y[c] += s->k.mut_tau_s * r;
        s->T_new[c] = law_select(&f->law, s->y[c], f->wax[c]);
        if (s->first) {
            f->rate0[c] += r;
        }
    }
    return sum;
}

static edge_sum do_half(ep_field *f, const stage_work *s, int half)
{
    const bool deep = f->ny > 1;
    const int from = half ? f->half_run : 0, to = half ? f->n_runs : f->half_run;
    if (s->first) {
        (deep ? first_stage_deep : first_stage_flat)(f, from, to, s->k.mut_tau_s, s->T, f->rate0,
                                                     s->y, s->T_new);
    } else {
        (deep ? later_stage_deep : later_stage_flat)(f, from, to, s->k, s->T, f->rate0, s->y_1,
                                                     s->y, s->T_new);
    }
    return add_edges(f, half ? f->half_edge : 0, half ? f->n_edge : f->half_edge, s);
}

// the second thread: waits for a stage, does its half, says so
struct ep_field_helper {
    pthread_t thread;
    pthread_barrier_t start, done;
    const stage_work *stage;  // NULL = go home
    edge_sum sum;
    ep_field *f;
};

static void *help(void *arg)
{
    struct ep_field_helper *h = arg;
    for (;;) {
        pthread_barrier_wait(&h->start);
        if (!h->stage) {
            return NULL;
        }
        h->sum = do_half(h->f, h->stage, 1);
        pthread_barrier_wait(&h->done);
    }
}

ep_status ep_field_pair(ep_field *f)
{
    struct ep_field_helper *h = calloc(1, sizeof *h);
    if (!h) {
        return EP_E_MEMORY;
    }
    h->f = f;
    pthread_barrier_init(&h->start, NULL, 2);
    pthread_barrier_init(&h->done, NULL, 2);
    if (pthread_create(&h->thread, NULL, help, h) != 0) {
        pthread_barrier_destroy(&h->start);
        pthread_barrier_destroy(&h->done);
        free(h);
        return EP_E_MEMORY;
    }
    f->helper = h;
    return EP_OK;
}

static void unpair(ep_field *f)
{
    struct ep_field_helper *h = f->helper;
    if (h) {
        h->stage = NULL;
        pthread_barrier_wait(&h->start);
        pthread_join(h->thread, NULL);
        pthread_barrier_destroy(&h->start);
        pthread_barrier_destroy(&h->done);
        free(h);
        f->helper = NULL;
    }
}

static edge_sum do_stage(ep_field *f, const stage_work *s)
{
    edge_sum second;
    if (f->helper) {
        f->helper->stage = s;
        pthread_barrier_wait(&f->helper->start);
    }
    edge_sum sum = do_half(f, s, 0);
    if (f->helper) {
        pthread_barrier_wait(&f->helper->done);
        second = f->helper->sum;
    } else {
        second = do_half(f, s, 1);
    }
    return (edge_sum){sum.net_W + second.net_W, sum.all_W + second.all_W};
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

void ep_field_step(ep_field *f, double tau_s)
{
    const int n = stage_count(tau_s, ep_field_explicit_step_s(f));
    const double w1 = 4.0 / (double)(n * n + n - 2);
    double *y_1 = f->y1, *y_2 = f->y2, *T_old = f->T2, *T_new = f->T3;
    stage_work s = {.k = {.mut_tau_s = rkl2_b(1) * w1 * tau_s},
                    .first = true,
                    .T = f->T,
                    .y = y_1,
                    .T_new = T_old};
    const edge_sum p0 = do_stage(f, &s);

    // the ledger rides through the same recursion, so it closes to rounding
    double q2_J = 0.0, q1_J = s.k.mut_tau_s * p0.net_W;
    double x2_J = 0.0, x1_J = s.k.mut_tau_s * p0.all_W;
    memcpy(y_2, f->u, f->n * sizeof *y_2);
    for (int j = 2; j <= n; j++) {
        double mu = (2.0 * j - 1.0) / j * rkl2_b(j) / rkl2_b(j - 1);
        double nu = -(j - 1.0) / j * rkl2_b(j) / rkl2_b(j - 2);
        double mut = mu * w1, gat = -(1.0 - rkl2_b(j - 1)) * mut;
        stage_coef k = {mu, nu, 1.0 - mu - nu, mut * tau_s, gat * tau_s};
        s = (stage_work){.k = k, .T = T_old, .y_1 = y_1, .y = y_2, .T_new = T_new};
        const edge_sum p = do_stage(f, &s);
        double q_J = mu * q1_J + nu * q2_J + k.mut_tau_s * p.net_W + k.gat_tau_s * p0.net_W;
        double x_J = mu * x1_J + nu * x2_J + k.mut_tau_s * p.all_W + k.gat_tau_s * p0.all_W;
        q2_J = q1_J;
        q1_J = q_J;
        x2_J = x1_J;
        x1_J = x_J;
        double *swap = y_1;
        y_1 = y_2;
        y_2 = swap;
        swap = T_old;
        T_old = T_new;
        T_new = swap;
    }
    // the last stage becomes the state, the old state becomes work space
    f->y1 = f->u;
    f->y2 = y_2;
    f->u = y_1;
    f->T2 = f->T;
    f->T3 = T_new;
    f->T = T_old;
    f->in_J += q1_J;
    f->through_J += fabs(x1_J);
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
