// Misfits beside a draw's own, from the bell.
#include "learn/ways.h"

#include <stdlib.h>
#include <string.h>

#include "base/rng.h"
#include "learn/lines.h"
#include "learn/lower.h"

void ep_way_normals(uint64_t seed, int draw, int way, double *z, int n)
{
    ep_rng r = ep_rng_make(seed, 20000 + 16 * (uint64_t)draw + (uint64_t)way);
    for (int k = 0; k < n; k++) {
        z[k] = ep_rng_normal(&r);
    }
}

// row k of X, upper triangle, times z
static double row_times(const double *X, int n, int k, const double *z)
{
    double sum = 0.0;
    for (int j = k; j < n; j++) {
        sum += X[(size_t)k * (size_t)n + (size_t)j] * z[j];
    }
    return sum;
}

// work space of one call
typedef struct bench {
    const double *X, *mode;
    int n, outer;
    double *L;                // root of the outer unknowns' covariance
    double *z, *missed, *on;  // n, outer, n
} bench;

// z as it must be for the outer unknowns to come out at `x`
static void lead(const bench *w, const double *x)
{
    for (int k = 0; k < w->outer; k++) {
        w->missed[k] = x[k] - w->mode[k] - row_times(w->X, w->n, k, w->z);
    }
    ep_lower_forward(w->L, w->outer, w->missed, w->missed);
    ep_lower_back(w->L, w->outer, w->missed, w->missed);
    memset(w->on, 0, (size_t)w->n * sizeof *w->on);
    for (int k = 0; k < w->outer; k++) {
        for (int j = k; j < w->n; j++) {
            w->on[j] += w->X[(size_t)k * (size_t)w->n + (size_t)j] * w->missed[k];
        }
    }
    for (int j = 0; j < w->n; j++) {
        w->z[j] += w->on[j];
    }
}

ep_status ep_ways_bell(const ep_belief *b, const double *X, int at, uint64_t seed)
{
    const int n = b->n_unknowns, outer = b->n_outer;
    double *room =
        malloc((2 * (size_t)n + (size_t)outer + (size_t)outer * (size_t)outer + 1) * sizeof *room);
    if (!room) {
        return EP_E_MEMORY;
    }
    bench w = {.X = X, .mode = b->mode, .n = n, .outer = outer, .z = room, .on = room + n};
    w.missed = w.on + n;
    w.L = w.missed + outer;
    ep_lines_covariance(X, n, outer, w.L);
    ep_lower_root(w.L, outer, 1e-12);
    for (int i = 0; i < b->n_draws; i++) {
        for (int k = 1; k < b->n_ways; k++) {
            double *out = ep_belief_way(b, i, k);
            ep_way_normals(seed, i, k, w.z, n);
            lead(&w, b->draw + (size_t)i * (size_t)n);
            for (int q = 0; q < EP_BIAS_COUNT; q++) {
                out[q] = b->mode[at + q] + row_times(X, n, at + q, w.z);
            }
        }
    }
    free(room);
    return EP_OK;
}
