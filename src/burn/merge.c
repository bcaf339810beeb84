// Flames that burn as one. See docs/physics/burn.md for B24..B26.
#include "burn/merge.h"

#include <assert.h>
#include <math.h>

static const double PI = 3.14159265358979323846;
static const double TALLEST = 1.5;  // most that was seen (Fire 4 (2021) 51)
static const int BEATS_FROM = 3;    // flames in one (Manoj et al. 2018)

typedef struct group {
    double x_m[EP_MAX_WICKS], y_m[EP_MAX_WICKS];
    int n;
} group;

// is a to b an edge of the envelope: everything to its left, or on the line between the two?
static bool is_edge(const group *g, int a, int b)
{
    const double dx = g->x_m[b] - g->x_m[a], dy = g->y_m[b] - g->y_m[a], len2 = dx * dx + dy * dy;
    for (int i = 0; i < g->n; i++) {
        double ex = g->x_m[i] - g->x_m[a], ey = g->y_m[i] - g->y_m[a];
        double left = (dx * ey - dy * ex) / len2, along = (dx * ex + dy * ey) / len2;
        if (i != a && i != b && (left < -1e-9 || (left < 1e-9 && (along < 0.0 || along > 1.0)))) {
            return false;
        }
    }
    return true;
}

// envelope of round flames: the edges of their centres, and once round one flame
static double envelope_m(const group *g)
{
    double sum_m = PI * EP_FLAME_WIDE_M;
    for (int a = 0; a < g->n; a++) {
        for (int b = 0; b < g->n; b++) {
            if (a != b && is_edge(g, a, b)) {
                sum_m += hypot(g->x_m[b] - g->x_m[a], g->y_m[b] - g->y_m[a]);
            }
        }
    }
    return sum_m;
}

// twice the farthest axis from the middle, and a flame's own width
static double across_m(const group *g)
{
    double mid_x = 0.0, mid_y = 0.0, far_m = 0.0;
    for (int i = 0; i < g->n; i++) {
        mid_x += g->x_m[i] / g->n;
        mid_y += g->y_m[i] / g->n;
    }
    for (int i = 0; i < g->n; i++) {
        far_m = fmax(far_m, hypot(g->x_m[i] - mid_x, g->y_m[i] - mid_y));
    }
    return 2.0 * far_m + EP_FLAME_WIDE_M;
}

static ep_common_flame flame_of(const group *g)
{
    ep_common_flame f = {.flames = g->n, .stretch = 1.0, .across_m = across_m(g)};
    if (g->n > 1) {
        double outlines_m = g->n * PI * EP_FLAME_WIDE_M;
        f.stretch = fmin(TALLEST, fmax(1.0, outlines_m / envelope_m(g)));
    }
    f.flicker_Hz = g->n >= BEATS_FROM ? 1.5 / sqrt(f.across_m) : 0.0;
    return f;
}

void ep_flames_merge(const double *x_m, const double *y_m, const bool *lit, int n,
                     ep_common_flame *out)
{
    assert(n >= 0 && n <= EP_MAX_WICKS);
    // two envelopes of pi D each against one of pi D + 2 s
    const double near_m = 0.5 * PI * EP_FLAME_WIDE_M;
    int member[EP_MAX_WICKS];
    bool taken[EP_MAX_WICKS] = {false};
    for (int i = 0; i < n; i++) {
        if (!lit[i]) {
            out[i] = (ep_common_flame){0, 1.0, 0.0, 0.0};
        }
        if (!lit[i] || taken[i]) {
            continue;
        }
        group g = {.n = 0};
        int count = 1;
        member[0] = i;
        taken[i] = true;
        while (g.n < count) {
            int at = member[g.n];
            g.x_m[g.n] = x_m[at];
            g.y_m[g.n] = y_m[at];
            g.n++;
            for (int k = 0; k < n; k++) {
                bool near = hypot(x_m[k] - x_m[at], y_m[k] - y_m[at]) < near_m;
                if (lit[k] && !taken[k] && near) {
                    taken[k] = true;
                    member[count++] = k;
                }
            }
        }
        for (int m = 0; m < count; m++) {
            out[member[m]] = flame_of(&g);
        }
    }
}
