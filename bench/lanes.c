// Would an ensemble gain from its members side by side, innermost in memory? The bare later stage
// of src/burn/field_stage.c, the same arithmetic per cell, in two layouts: each member's cells
// column by column, member after member (as the engine has it), and eight or sixteen members
// innermost. No members part company here and nothing but the stencil is timed, so this is the most
// lanes can give.
//   bench_lanes      rows: group, what, value, unit, bar
#include "bench.h"

#include <math.h>
#include <stddef.h>

#if defined(__x86_64__) && defined(__GNUC__)
#define WIDE __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define WIDE
#endif

enum { STAGES = 15, MOST_LANES = 16 };

// ten arrays of n numbers and a margin on both sides that the stencil may read
typedef struct block {
    ptrdiff_t n, up, on;  // cells; to the next column; to the next cell of a column
    double *T, *T_new, *u, *y_1, *y_2, *rate0, *G_x, *G_z, *inv_mass, *wax, *room;
} block;

static block block_make(int columns, int stride, int lanes)
{
    block b = {
        .n = (ptrdiff_t)columns * stride * lanes, .up = (ptrdiff_t)stride * lanes, .on = lanes};
    const size_t each = ((size_t)(b.n + 2 * b.up) + 15) / 8 * 8;
    double **array[] = {&b.T,     &b.T_new, &b.u,   &b.y_1,      &b.y_2,
                        &b.rate0, &b.G_x,   &b.G_z, &b.inv_mass, &b.wax};
    b.room = aligned_alloc(64, each * 10 * sizeof(double) + 64 * 16);
    if (!b.room) {
        exit(3);
    }
    for (int k = 0; k < 10; k++) {
        // arrays begin on different lines, so that they do not push each other out
        double *from = b.room + (size_t)k * (each + 8);
        for (size_t i = 0; i < each; i++) {
            from[i] = k < 6 ? 30.0 + 0.01 * (double)(i % 97) : 1e-3;
        }
        *array[k] = from + (b.up + 7) / 8 * 8;
    }
    return b;
}

WIDE static void stage(const block *b, double mu, double nu, double *restrict y_2,
                       double *restrict T_new)
{
    const ptrdiff_t up = b->up, on = b->on, n = b->n;
    const double *restrict T = b->T, *restrict u = b->u, *restrict y_1 = b->y_1;
    const double *restrict rate0 = b->rate0, *restrict G_x = b->G_x, *restrict G_z = b->G_z;
    const double *restrict inv_mass = b->inv_mass, *restrict wax = b->wax;
    for (ptrdiff_t c = 0; c < n; c++) {
        const double power = G_x[c] * (T[c + up] - T[c]) + G_x[c - up] * (T[c - up] - T[c]) +
                             G_z[c] * (T[c + on] - T[c]) + G_z[c - on] * (T[c - on] - T[c]);
        const double y =
            mu * y_1[c] + nu * y_2[c] + 0.1 * u[c] + 0.2 * (power * inv_mass[c]) + 1e-9 * rate0[c];
        const double solid = y * 0.9, mush = 3.0 + y * 0.2, liquid = 1.0 + y * 0.5;
        const double low = solid < mush ? solid : mush, of_wax = low > liquid ? low : liquid;
        y_2[c] = y;
        T_new[c] = solid + wax[c] * (of_wax - solid);
    }
}

static void some_stages(block *b)
{
    for (int s = 0; s < STAGES; s++) {
        stage(b, 0.5, 0.3, b->y_2, b->T_new);
        double *y = b->y_1, *T = b->T;
        b->y_1 = b->y_2;
        b->y_2 = y;
        b->T = b->T_new;
        b->T_new = T;
    }
}

// cell-stages a second: `blocks` of `lanes` members, STAGES of one and then of the next
static double rate_of(int columns, int rows, int lanes)
{
    enum { MEMBERS = 16 };
    block b[MEMBERS];
    const int blocks = MEMBERS / lanes, turns = 400;
    bench_time best = BENCH_NEVER;
    for (int k = 0; k < blocks; k++) {
        // columns begin on whole vectors; lanes are whole vectors by themselves
        b[k] = block_make(columns, lanes > 1 ? rows + 1 : (rows + 1 + 7) / 8 * 8, lanes);
    }
    for (int run = 0; run < 15; run++) {
        const bench_time start = bench_now();
        for (int t = 0; t < turns / lanes; t++) {
            for (int k = 0; k < blocks; k++) {
                some_stages(&b[k]);
            }
        }
        bench_keep_least(&best, bench_since(start));
    }
    for (int k = 0; k < blocks; k++) {
        free(b[k].room);
    }
    // a column's cells alone count, not what pads it to whole vectors
    return (double)columns * rows * MEMBERS * STAGES * (turns / lanes) / best.cpu_s;
}

int main(void)
{
    static const struct {
        const char *name;
        int columns, rows;
    } grid[] = {{"3 mm, 13 x 27", 13, 27}, {"2 mm, 20 x 41", 20, 41}, {"1 mm, 39 x 80", 39, 80}};
    for (size_t g = 0; g < sizeof grid / sizeof *grid; g++) {
        for (int lanes = 1; lanes <= MOST_LANES; lanes = lanes == 1 ? 8 : 2 * lanes) {
            printf("lanes,%s: %s,%.4g,G cell-stages/s,\n", grid[g].name,
                   lanes == 1   ? "member after member"
                   : lanes == 8 ? "eight members innermost"
                                : "sixteen members innermost",
                   rate_of(grid[g].columns, grid[g].rows, lanes) / 1e9);
            fflush(stdout);
        }
    }
    return 0;
}
