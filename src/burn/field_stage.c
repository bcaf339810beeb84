// One stage of the field over its blocks. A block is a few rings or one row of the plan; the
// stencil reaches no farther than the blocks beside it. Stage d + 1 may therefore run one block
// behind stage d: what several stages in a row need of a block is fetched once, and stays near.
#include <assert.h>
#include <math.h>
#include <pthread.h>
#include <stdlib.h>

#include "burn/field_int.h"

// What comes from outside concerns few cells and is added to them afterwards, which keeps two
// streams out of the loops.
#define FLAT_POWER(T) FIELD_FLAT_POWER(T)
#define DEEP_POWER(T)                                                                              \
    (FIELD_FLAT_POWER(T) + G_y[c] * (T[c + over] - T[c]) + G_y[c - over] * (T[c - over] - T[c]))

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

// first stage over runs from..to: y = u + mut tau rate(u), keeps rate(u) for the later stages
#define FIRST_STAGE(name, POWER)                                                                   \
    FIELD_WIDE static void name(const ep_field *f, int from, int to, double mut_tau_s,             \
                                const double *restrict T, double *restrict rate0,                  \
                                double *restrict y, double *restrict T_new)                        \
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
    FIELD_WIDE static void name(const ep_field *f, int from, int to, stage_coef k,                 \
                                const double *restrict T, const double *restrict rate0,            \
                                const double *restrict y_1, double *restrict y_2,                  \
                                double *restrict T_new)                                            \
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

// columns of a block: a row of the plan, or enough rings to make a loop worth starting
static int block_columns(const ep_field *f)
{
    enum { LEAST_CELLS = 64 };
    return f->ny > 1 ? f->nx : (LEAST_CELLS + f->stride - 1) / f->stride;
}

// stretches are whole vectors; the empty cells in them are carried along and stay as they are
static void add_to_runs(ep_field *f, int first_run, int cell)
{
    const int from = cell / FIELD_LANES * FIELD_LANES;
    if (f->n_runs > first_run && from <= f->run_to[f->n_runs - 1]) {
        f->run_to[f->n_runs - 1] = from + FIELD_LANES;
    } else {
        f->run_from[f->n_runs] = from;
        f->run_to[f->n_runs++] = from + FIELD_LANES;
    }
}

void ep_field_find_blocks(ep_field *f)
{
    const size_t block_cells = (size_t)(block_columns(f) * f->stride);
    f->n_edge = f->n_runs = f->n_blocks = 0;
    f->wall_block = -1;
    for (size_t from = 0; from < f->n; from += block_cells) {
        const size_t to = from + block_cells < f->n ? from + block_cells : f->n;
        const int first_run = f->n_runs;
        bool wall = false;
        f->block_run[f->n_blocks] = first_run;
        f->block_edge[f->n_blocks] = f->n_edge;
        for (size_t c = from; c < to; c++) {
            if (!(f->mass[c] > 0.0)) {
                continue;
            }
            add_to_runs(f, first_run, (int)c);
            wall = wall || !(f->wax[c] > 0.0);
            if (f->G_out[c] > 0.0 || f->S[c] < 0.0 || f->S[c] > 0.0) {
                f->edge[f->n_edge++] = (int)c;
            }
        }
        f->n_blocks++;
        f->wall_block = wall && f->wall_block < 0 ? f->n_blocks - 1 : f->wall_block;
    }
    f->block_run[f->n_blocks] = f->n_runs;
    f->block_edge[f->n_blocks] = f->n_edge;
    // two threads part the blocks by cells
    int cells = 0, seen = 0, run = 0;
    for (int r = 0; r < f->n_runs; r++) {
        cells += f->run_to[r] - f->run_from[r];
    }
    for (f->half_block = 0; f->half_block < f->n_blocks && 2 * seen < cells; f->half_block++) {
        for (; run < f->block_run[f->half_block + 1]; run++) {
            seen += f->run_to[run] - f->run_from[run];
        }
    }
}

int ep_field_depth(const ep_field *f)
{
    // what a stage touches of a block, and what should stay in the second-level cache
    const size_t block_B = (size_t)(block_columns(f) * f->stride) * 12 * sizeof(double);
    const size_t near_B = 1024 * 1024;
    // at work: one block a stage, and one on either side
    const size_t depth = near_B / block_B;
    return depth >= FIELD_DEEPEST + 2 ? FIELD_DEEPEST : (depth > 4 ? (int)depth - 2 : 2);
}

// what the surroundings and sources give to the outer cells of a block, added to a stage
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

static void do_block(ep_field *f, stage_group *g, int d, int block)
{
    const bool deep = f->ny > 1;
    const int from = f->block_run[block], to = f->block_run[block + 1];
    const stage_work *s = &g->stage[d];
    if (s->first) {
        (deep ? first_stage_deep : first_stage_flat)(f, from, to, s->k.mut_tau_s, s->T, f->rate0,
                                                     s->y, s->T_new);
    } else {
        (deep ? later_stage_deep : later_stage_flat)(f, from, to, s->k, s->T, f->rate0, s->y_1,
                                                     s->y, s->T_new);
    }
    f->block_sum[FIELD_DEEPEST * block + d] =
        add_edges(f, f->block_edge[block], f->block_edge[block + 1], s);
}

// a wall treated apart is one piece with all blocks it stands in
static int pieces(const ep_field *f)
{
    return ep_field_wall_on(f) ? f->wall_block + 1 : f->n_blocks;
}

static int half_of(const ep_field *f)
{
    return ep_field_wall_on(f) ? f->wall_block + 1 : f->half_block;
}

static void do_piece(ep_field *f, stage_group *g, int d, int piece)
{
    if (!ep_field_wall_on(f) || piece < f->wall_block) {
        do_block(f, g, d, piece);
        return;
    }
    for (int block = f->wall_block; block < f->n_blocks; block++) {
        do_block(f, g, d, block);
    }
    ep_field_wall_stage(f, &g->stage[d]);
}

// the pieces on one side of the middle, from the far end towards it: stage d stops d pieces short,
// for it needs what stage d - 1 leaves beyond
static void do_side(ep_field *f, stage_group *g, bool after)
{
    const int half = half_of(f), all = pieces(f), here = after ? all - half : half;
    for (int b = 0; b < here; b++) {
        for (int d = 0; d < g->n && d <= b; d++) {
            do_piece(f, g, d, after ? all - 1 - b + d : b - d);
        }
    }
}

// what both sides left between them
static void do_middle(ep_field *f, stage_group *g)
{
    const int half = half_of(f), all = pieces(f);
    for (int d = 1; d < g->n; d++) {
        const int from = half - d > 0 ? half - d : 0, to = half + d < all ? half + d : all;
        for (int piece = from; piece < to; piece++) {
            do_piece(f, g, d, piece);
        }
    }
}

// the second thread: waits for stages, does its side, says so
struct ep_field_helper {
    pthread_t thread;
    pthread_barrier_t start, done;
    stage_group *group;  // NULL = go home
    ep_field *f;
};

static void *help(void *arg)
{
    struct ep_field_helper *h = arg;
    for (;;) {
        pthread_barrier_wait(&h->start);
        if (!h->group) {
            return NULL;
        }
        do_side(h->f, h->group, true);
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

void ep_field_unpair(ep_field *f)
{
    struct ep_field_helper *h = f->helper;
    if (h) {
        h->group = NULL;
        pthread_barrier_wait(&h->start);
        pthread_join(h->thread, NULL);
        pthread_barrier_destroy(&h->start);
        pthread_barrier_destroy(&h->done);
        free(h);
        f->helper = NULL;
    }
}

void ep_field_stages(ep_field *f, stage_group *g)
{
    assert(g->n >= 1 && g->n <= FIELD_DEEPEST);
    if (f->helper) {
        f->helper->group = g;
        pthread_barrier_wait(&f->helper->start);
        do_side(f, g, false);
        pthread_barrier_wait(&f->helper->done);
    } else {
        do_side(f, g, false);
        do_side(f, g, true);
    }
    do_middle(f, g);
    // block by block, so that neither threads nor depth show in the ledger
    for (int d = 0; d < g->n; d++) {
        g->sum[d] = (edge_sum){0.0, 0.0};
        for (int block = 0; block < f->n_blocks; block++) {
            g->sum[d].net_W += f->block_sum[FIELD_DEEPEST * block + d].net_W;
            g->sum[d].all_W += f->block_sum[FIELD_DEEPEST * block + d].all_W;
        }
    }
}
