// How near the field's stage comes to what this processor can do. Two lower bounds of its time are
// measured on the spot: moving its bytes at the bandwidth of a triad on a working set of the same
// size, and doing its arithmetic, in the same mix, out of registers. Prints CSV rows.
#include "bench.h"

#include <math.h>
#include <stdbool.h>

#include "burn/field.h"

#if defined(__x86_64__) && defined(__GNUC__)
#define HAS_X86 1
#else
#define HAS_X86 0
#endif

// What one cell costs in one later stage of src/burn/field.c on rings, counted by hand there:
// read u, y1, y2, rate0, G_x, G_z, inv_mass, wax, T; write y2, T_new. The second G_x and the
// neighbours' T are a column away (under 1 KB) and come from the first-level cache.
static const double FLAT_BYTES = 11.0 * 8.0;
// a plan grid reads G_y as well; its second G_y and T are a whole row of columns away, up to 50 KB
static const double DEEP_BYTES = 12.0 * 8.0;
// power: 4 sub, 4 mul, 3 add; per mass: 1 mul; step: 5 mul, 4 add; law: 3 mul, 2 add, min, max; wax
// or wall: 1 mul, 1 sub, 1 add
enum { FLAT_MULS = 14, FLAT_ADDS = 17 };
enum { DEEP_MULS = FLAT_MULS + 2, DEEP_ADDS = FLAT_ADDS + 4 };

// One set of loops per vector width; the engine's own loops are chosen the same way.
// Chains are long enough to hide latency; their operands come from volatile memory, so that nothing
// can be worked out beforehand.
#define LOOPS(width, lanes, attr)                                                                  \
    typedef double vec_##width __attribute__((vector_size(8 * (lanes)), may_alias));               \
    attr static void triad_##width(double *a, const double *b, const double *c, size_t n,          \
                                   double s)                                                       \
    {                                                                                              \
        for (size_t i = 0; i < n; i += (lanes)) {                                                  \
            *(vec_##width *)(a + i) =                                                              \
                *(const vec_##width *)(b + i) + s * *(const vec_##width *)(c + i);                 \
        }                                                                                          \
    }                                                                                              \
    attr static double fma_##width(long turns, double one, double zero)                            \
    {                                                                                              \
        enum { CHAINS = 12 };                                                                      \
        vec_##width x[CHAINS], m = zero + (vec_##width){0} + one;                                  \
        for (int k = 0; k < CHAINS; k++) {                                                         \
            x[k] = m * (k + 1.0);                                                                  \
        }                                                                                          \
        for (long t = 0; t < turns; t++) {                                                         \
            for (int k = 0; k < CHAINS; k++) {                                                     \
                x[k] = x[k] * m + zero;                                                            \
            }                                                                                      \
        }                                                                                          \
        double sum = 0.0;                                                                          \
        for (int k = 0; k < CHAINS; k++) {                                                         \
            sum += x[k][0];                                                                        \
        }                                                                                          \
        return sum;                                                                                \
    }                                                                                              \
    attr static double mix_##width(long turns, int muls, int adds, double one, double zero)        \
    {                                                                                              \
        /* the two kinds go to different units, so each kind has chains of its own */              \
        vec_##width p[6], q[7], m = zero + (vec_##width){0} + one, z = m - one;                    \
        for (int k = 0; k < 7; k++) {                                                              \
            q[k] = m * (k + 1.0);                                                                  \
            p[k < 6 ? k : 0] = q[k];                                                               \
        }                                                                                          \
        long mul_left = turns * muls, add_left = turns * adds;                                     \
        /* 12 products and 14 sums a turn; what is over of one kind is done alone */               \
        for (; mul_left >= 12 && add_left >= 14; mul_left -= 12, add_left -= 14) {                 \
            for (int twice = 0; twice < 2; twice++) {                                              \
                for (int k = 0; k < 6; k++) {                                                      \
                    p[k] *= m;                                                                     \
                    q[k] += z;                                                                     \
                }                                                                                  \
                q[6] += z;                                                                         \
            }                                                                                      \
        }                                                                                          \
        for (; mul_left > 0; mul_left -= 6) {                                                      \
            for (int k = 0; k < 6; k++) {                                                          \
                p[k] *= m;                                                                         \
            }                                                                                      \
        }                                                                                          \
        for (; add_left > 0; add_left -= 7) {                                                      \
            for (int k = 0; k < 7; k++) {                                                          \
                q[k] += z;                                                                         \
            }                                                                                      \
        }                                                                                          \
        double sum = 0.0;                                                                          \
        for (int k = 0; k < 7; k++) {                                                              \
            sum += q[k][0] + p[k < 6 ? k : 0][0];                                                  \
        }                                                                                          \
        return sum;                                                                                \
    }

LOOPS(plain, 2, )
#if HAS_X86
LOOPS(avx2, 4, __attribute__((target("avx2,fma"))))
LOOPS(avx512, 8, __attribute__((target("avx512f"))))
#endif

typedef struct loops {
    const char *name;
    int lanes;
    void (*triad)(double *, const double *, const double *, size_t, double);
    double (*fma)(long, double, double);
    double (*mix)(long, int, int, double, double);
} loops;

static loops pick(void)
{
#if HAS_X86
    __builtin_cpu_init();
    if (__builtin_cpu_supports("avx512f")) {
        return (loops){"avx512", 8, triad_avx512, fma_avx512, mix_avx512};
    }
    if (__builtin_cpu_supports("avx2")) {
        return (loops){"avx2", 4, triad_avx2, fma_avx2, mix_avx2};
    }
#endif
    return (loops){"plain", 2, triad_plain, fma_plain, mix_plain};
}

static volatile double ONE = 1.0, ZERO = 0.0, sink;

// GB/s of a[i] = b[i] + s c[i], 24 B an element, on three arrays that together hold `bytes`
typedef struct triad {
    size_t n;
    double *a, *b, *c;
    bench_time best;
    long turns;
} triad;

static triad triad_make(size_t bytes)
{
    triad t = {.n = bytes / 24 / 64 * 64, .best = BENCH_NEVER};
    t.n = t.n < 64 ? 64 : t.n;
    t.turns = (long)(2e7 / (double)t.n) + 2;
    t.a = aligned_alloc(64, t.n * 8);
    t.b = aligned_alloc(64, t.n * 8);
    t.c = aligned_alloc(64, t.n * 8);
    if (!t.a || !t.b || !t.c) {
        exit(3);
    }
    for (size_t i = 0; i < t.n; i++) {
        t.a[i] = 0.0;
        t.b[i] = 1.0;
        t.c[i] = 2.0;
    }
    return t;
}

static void triad_time(triad *t, const loops *l)
{
    bench_time start = bench_now();
    for (long turn = 0; turn < t->turns; turn++) {
        l->triad(t->a, t->b, t->c, t->n, 0.5);
        sink = t->a[0];
    }
    bench_keep_least(&t->best, bench_since(start));
}

static double triad_end_GB_s(triad *t)
{
    free(t->a);
    free(t->b);
    free(t->c);
    return 24.0 * (double)t->n * (double)t->turns / t->best.cpu_s / 1e9;
}

static double fma_Gflop_s(const loops *l)
{
    const long turns = 4000000;
    bench_time best = BENCH_NEVER;
    for (int run = 0; run < 7; run++) {
        bench_time start = bench_now();
        sink = l->fma(turns, ONE, ZERO);
        bench_keep_least(&best, bench_since(start));
    }
    return 12.0 * 2.0 * l->lanes * (double)turns / best.cpu_s / 1e9;
}

// cells a second if nothing but the arithmetic had to be done
static double port_cells_s(const loops *l, int muls, int adds)
{
    const long turns = 2000000;
    bench_time best = BENCH_NEVER;
    for (int run = 0; run < 7; run++) {
        bench_time start = bench_now();
        sink = l->mix(turns, muls, adds, ONE, ZERO);
        bench_keep_least(&best, bench_since(start));
    }
    return (double)l->lanes * (double)turns / best.cpu_s;
}

// a block of wax: nx rings, or nx by ny places, heated on top, cooled all round
static ep_field *make_field(int nx, int ny, int nz)
{
    ep_enthalpy_law law = ep_enthalpy_law_make(46.0, 52.0, 2200.0, 2200.0, 180e3);
    ep_field *f = NULL;
    if (ep_field_create(nx, ny, nz, &law, &f) != EP_OK) {
        exit(3);
    }
    for (int c = 0; c < nx * ny; c++) {
        const int i = c % nx, j = c / nx;
        const double area_mm2 = ny > 1 ? 1.0 : 3.14159265 * (2.0 * i + 1.0);
        const double face_mm2 = ny > 1 ? 1.0 : 2.0 * 3.14159265 * (i + 1.0);
        for (int k = 0; k < nz; k++) {
            size_t cell = ep_at(f, c, k);
            f->wax[cell] = 1.0;
            f->mass[cell] = 850e-9 * area_mm2;
            f->G_x[cell] = i + 1 < nx ? 0.2e-3 * face_mm2 : 0.0;
            f->G_y[cell] = j + 1 < ny ? 0.2e-3 * face_mm2 : 0.0;
            f->G_z[cell] = k + 1 < nz ? 0.2e-3 * area_mm2 : 0.0;
            f->G_out[cell] = i + 1 == nx || k == 0 || k + 1 == nz ? 8e-6 * area_mm2 : 0.0;
            f->S[cell] = f->G_out[cell] * (k + 1 == nz ? 90.0 : 22.0);
            ep_field_set_T(f, cell, 22.0);
        }
    }
    ep_field_ready(f);
    return f;
}

// cells a second through one stage, everything a step does included
static double stage_cells_s(ep_field *f)
{
    const double cells = (double)f->nx * f->ny * f->nz;
    const int steps = 1 + (int)(2e7 / cells / 13.0);
    const long before = f->stages;
    bench_time start = bench_now();
    for (int s = 0; s < steps; s++) {
        ep_field_step(f, 60.0);
    }
    return cells * (double)(f->stages - before) / bench_since(start).cpu_s;
}

static void row(const char *what, double value, const char *unit, const char *bar)
{
    printf("roofline,%s,%.4g,%s,%s\n", what, value, unit, bar);
    fflush(stdout);
}

static void kernel(const loops *l, int nx, int ny, int nz, const char *bar)
{
    char what[96], name[64];
    const bool deep = ny > 1;
    const double bytes = deep ? DEEP_BYTES : FLAT_BYTES;
    // what a stage touches: ten arrays on rings, eleven on a plan grid
    const double set_B = 8.0 * nx * ny * (nz + 1) * (deep ? 11.0 : 10.0);
    if (deep) {
        snprintf(name, sizeof name, "%d x %d x %d", nx, ny, nz);
    } else {
        snprintf(name, sizeof name, "%d x %d rings", nx, nz);
    }
    // by turns, so that what else runs on the machine disturbs stage and triad alike
    ep_field *f = make_field(nx, ny, nz);
    triad t = triad_make((size_t)set_B);
    double rate = 0.0;
    for (int run = 0; run < 12; run++) {
        rate = fmax(rate, stage_cells_s(f));
        triad_time(&t, l);
    }
    ep_field_destroy(f);
    const double band = triad_end_GB_s(&t), by_band = band * 1e9 / bytes;
    const double by_port =
        port_cells_s(l, deep ? DEEP_MULS : FLAT_MULS, deep ? DEEP_ADDS : FLAT_ADDS);
#define ROW(text, value, unit, the_bar)                                                            \
    (snprintf(what, sizeof what, "%s: " text, name), row(what, value, unit, the_bar))
    ROW("working set", set_B / 1024.0, "KiB", "");
    ROW("cell-stages", rate / 1e9, "G/s", "");
    ROW("bytes moved", rate * bytes / 1e9, "GB/s", "");
    ROW("triad on that set", band, "GB/s", "");
    ROW("bound by bytes", by_band / 1e9, "G/s", "");
    ROW("bound by arithmetic", by_port / 1e9, "G/s", "");
    ROW("share of the lower bound", 100.0 * rate / fmin(by_band, by_port), "%", bar);
#undef ROW
}

int main(void)
{
    const loops l = pick();
    printf("roofline,vector width,%d,doubles,\n", l.lanes);
    row("bytes per cell-stage on rings", FLAT_BYTES, "B", "");
    row("floating-point operations per cell-stage on rings", FLAT_MULS + FLAT_ADDS, "flop", "");
    row("bytes per cell-stage on a plan grid", DEEP_BYTES, "B", "");
    row("floating-point operations per cell-stage on a plan grid", DEEP_MULS + DEEP_ADDS, "flop",
        "");
    row("fused multiply-add peak", fma_Gflop_s(&l), "Gflop/s", "");
    const size_t kib[] = {24, 96, 384, 768, 3072, 12288, 98304};
    for (size_t n = 0; n < sizeof kib / sizeof *kib; n++) {
        char what[64];
        snprintf(what, sizeof what, "triad on %zu KiB", kib[n]);
        triad t = triad_make(kib[n] * 1024);
        for (int run = 0; run < 9; run++) {
            triad_time(&t, &l);
        }
        row(what, triad_end_GB_s(&t), "GB/s", "");
    }
    kernel(&l, 39, 1, 80, ">=60");
    kernel(&l, 78, 1, 160, ">=60");
    kernel(&l, 156, 1, 320, "");
    kernel(&l, 312, 1, 640, "");
    kernel(&l, 24, 24, 32, ">=60");
    kernel(&l, 78, 78, 80, "");
    return 0;
}
