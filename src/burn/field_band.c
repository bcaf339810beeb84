// A narrow band solved from both ends. Elimination waits for the cell before; two eliminations,
// from either end towards the middle, wait half as long. What is left between them is as wide as
// the band and is done last (a twisted factorisation).
#include <stdlib.h>

#include "burn/field_int.h"

static int at_least(int a, int b)
{
    return a > b ? a : b;
}

static int at_most(int a, int b)
{
    return a < b ? a : b;
}

void ep_band_free(band_system *s)
{
    free(s->a);
    *s = (band_system){.n = 0};
}

bool ep_band_take(band_system *s, int n, int band)
{
    ep_band_free(s);
    const size_t rows = (size_t)n, wide = (size_t)band;
    // the solution has room for a band of nothing at either end
    s->a = calloc(rows * (4 * wide + 2) + rows + 2 * wide, sizeof *s->a);
    if (!s->a) {
        return false;
    }
    s->n = n;
    s->band = band;
    s->before = s->a + rows * (wide + 1);
    s->behind = s->before + rows * wide;
    s->cross = s->behind + rows * wide;
    s->inv_d = s->cross + rows * wide;
    s->x = s->inv_d + rows + wide;
    // too short for two sides: one elimination from the first to the last
    const bool two_sides = n > 4 * band;
    s->middle = two_sides ? (n - band) / 2 : n;
    s->end = two_sides ? s->middle + band : n;
    return true;
}

static double *entry(const band_system *s, double *table, int i, int apart)
{
    return &table[(ptrdiff_t)i * s->band + apart - 1];
}

static double matrix(const band_system *s, int i, int j)
{
    const int row = at_least(i, j);
    return s->a[(ptrdiff_t)row * (s->band + 1) + abs(i - j)];
}

// L of cell i towards cells j > i that were eliminated before it
static double beyond(const band_system *s, int i, int j)
{
    return j - i > s->band ? 0.0 : *entry(s, i < s->end ? s->cross : s->before, i, j - i);
}

// from the last cell to the middle
static void eliminate_far(band_system *s)
{
    double product[FIELD_WIDEST_BAND + 1];
    for (int i = s->n - 1; i >= s->middle; i--) {
        const int last = at_most(s->n - 1, i + s->band);
        double d = matrix(s, i, i);
        for (int j = last; j > i && j >= s->end; j--) {
            double sum = matrix(s, i, j);
            for (int k = last; k > j; k--) {
                sum -= product[k - i] * beyond(s, j, k);
            }
            product[j - i] = sum;
            const double l = sum * s->inv_d[j];
            d -= l * sum;
            *entry(s, i < s->end ? s->cross : s->before, i, j - i) = l;
            *entry(s, s->behind, j, j - i) = l;
        }
        if (i >= s->end) {
            s->inv_d[i] = 1.0 / d;
        }
    }
}

// what the far side leaves between two cells of the middle
static double left_by_far(const band_system *s, int i, int j)
{
    double sum = 0.0;
    if (j >= s->middle) {
        for (int k = s->end; k <= at_most(s->n - 1, j + s->band); k++) {
            sum += beyond(s, i, k) * beyond(s, j, k) / s->inv_d[k];
        }
    }
    return sum;
}

void ep_band_factor(band_system *s)
{
    double product[FIELD_WIDEST_BAND + 1];
    eliminate_far(s);
    for (int i = 0; i < s->end; i++) {
        const int first = at_least(0, i - s->band);
        double d = matrix(s, i, i) - left_by_far(s, i, i);
        for (int j = first; j < i; j++) {
            double sum = matrix(s, i, j) - left_by_far(s, i, j);
            for (int k = at_least(first, j - s->band); k < j; k++) {
                sum -= product[i - k] * *entry(s, s->before, j, j - k);
            }
            product[i - j] = sum;
            const double l = sum * s->inv_d[j];
            d -= l * sum;
            *entry(s, s->before, i, i - j) = l;
            *entry(s, s->behind, j, i - j) = l;
        }
        s->inv_d[i] = 1.0 / d;
    }
}

// one side of a sweep: where it is, and what the cells just behind it hold
typedef struct side {
    const double *factor;
    double *x;
    double last[FIELD_WIDEST_BAND];
} side;

#define UNROLLED __attribute__((always_inline)) static inline

// The latest comes last, so that little is waited for, and stays out of memory
UNROLLED void one_cell(side *s, int way, int band)
{
    double sum = *s->x;
    for (int b = band - 1; b >= 0; b--) {
        sum -= s->factor[b] * s->last[b];
    }
    for (int b = band - 1; b > 0; b--) {
        s->last[b] = s->last[b - 1];
    }
    *s->x = s->last[0] = sum;
    s->x += way;
    s->factor += way * band;
}

UNROLLED side begin(const band_system *s, const double *table, int cell, int way, int band)
{
    side at = {.factor = table + (ptrdiff_t)cell * band, .x = s->x + cell};
    for (int b = 0; b < band; b++) {
        at.last[b] = at.x[-way * (b + 1)];
    }
    return at;
}

// both sides in one loop; a known band lets the compiler unroll what is inside
UNROLLED void sweep(const band_system *s, const double *table, int near, int far, int way, int band)
{
    side a = begin(s, table, near, way, band), b = begin(s, table, far, -way, band);
    const int n_a = s->middle, n_b = s->n - s->end;
    int n = 0;
    for (; n < n_a && n < n_b; n++) {
        one_cell(&a, way, band);
        one_cell(&b, -way, band);
    }
    for (int k = n; k < n_a; k++) {
        one_cell(&a, way, band);
    }
    for (int k = n; k < n_b; k++) {
        one_cell(&b, -way, band);
    }
}

UNROLLED void solve(const band_system *s, int band)
{
    double *x = s->x;
    sweep(s, s->before, 0, s->n - 1, 1, band);
    for (int i = s->middle; i < s->end; i++) {
        for (int b = band; b > 0; b--) {
            x[i] -= *entry(s, s->cross, i, b) * x[i + b];
        }
        for (int b = band; b > 0; b--) {
            x[i] -= *entry(s, s->before, i, b) * x[i - b];
        }
    }
    for (int i = 0; i < s->n; i++) {
        x[i] *= s->inv_d[i];
    }
    for (int i = s->end - 1; i >= s->middle; i--) {
        for (int b = s->end - 1 - i; b > 0; b--) {
            x[i] -= *entry(s, s->behind, i, b) * x[i + b];
        }
    }
    sweep(s, s->behind, s->middle - 1, s->end, -1, band);
}

void ep_band_solve(const band_system *s)
{
    switch (s->band) {
    case 1:
        solve(s, 1);
        break;
    case 2:
        solve(s, 2);
        break;
    case 3:
        solve(s, 3);
        break;
    case 4:
        solve(s, 4);
        break;
    case 5:
        solve(s, 5);
        break;
    default:
        solve(s, s->band);
        break;
    }
}
