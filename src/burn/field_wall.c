// The wall's own conduction, apart from the wax. Thin metal and glass carry heat from wall cell to
// wall cell faster than anything else in the jar, and an explicit step is as short as the fastest
// cell asks. Here the wall's rate is found from (M + lag K) rate = power instead of M rate = power,
// K being the conduction between wall cells alone (Eq. F10): each cell drags its wall neighbours
// along, and what is slow does not notice. Heat is conserved as before, since the columns of K add
// up to nothing. K stands still during a step, so one factorisation serves all its stages.
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "burn/field_int.h"

// what stands in the place of an order
enum { NO_WALL = -1, NO_ORDER = -2 };

struct ep_field_wall {
    int n, band;     // cells, half width of the band; 0 cells = nothing to treat
    int *order;      // of each cell of the field, NO_WALL = none
    int *cell;       // by order: cell of the field
    int *from, *to;  // stretches of wall cells in the field
    int n_runs;
    double *power_W;      // by cell of the field
    double *mass_kg;      // by order
    double *to_x, *to_z;  // by order: W/K to the wall cell at i + 1 and to the one above, 0 = none
    band_system system;   // by order: power to rate
    double step_s;        // explicit limit without the wall's own conduction
    double lag_s;         // of the factors, 0 = none
    bool usable, on;
};

static bool is_wall(const ep_field *f, size_t c)
{
    return f->mass[c] > 0.0 && !(f->wax[c] > 0.0);
}

static void free_wall(struct ep_field_wall *w)
{
    if (w) {
        ep_band_free(&w->system);
        void *const list[] = {w->order,   w->cell,    w->from, w->to,
                              w->power_W, w->mass_kg, w->to_x, w->to_z};
        for (size_t n = 0; n < sizeof list / sizeof *list; n++) {
            free(list[n]);
        }
        free(w);
    }
}

void ep_field_wall_free(ep_field *f)
{
    free_wall(f->wall);
    f->wall = NULL;
}

enum { RIGHT, LEFT, ABOVE, BELOW, NEIGHBOURS };

// the wall cell beside one, -1 = none
static int beside(const ep_field *f, int cell, int side)
{
    const int *order = f->wall->order, k = cell % f->stride, column = cell / f->stride;
    const bool inside = side == RIGHT   ? column + 1 < f->nx
                        : side == LEFT  ? column > 0
                        : side == ABOVE ? k + 1 < f->nz
                                        : k > 0;
    const int step[NEIGHBOURS] = {f->stride, -f->stride, 1, -1};
    return inside && order[cell + step[side]] != NO_WALL ? cell + step[side] : -1;
}

// row by row from the top: the narrowest band of an upright wall
static void order_by_rows(ep_field *f)
{
    struct ep_field_wall *w = f->wall;
    int n = 0;
    for (int k = f->nz - 1; k >= 0; k--) {
        for (int i = 0; i < f->nx; i++) {
            const size_t c = ep_at(f, i, k);
            if (is_wall(f, c)) {
                w->cell[n] = (int)c;
                w->order[c] = n++;
            }
        }
    }
}

// neighbour after neighbour from the rim on (Cuthill and McKee 1969): follows the wall into the
// base
static void order_by_neighbours(ep_field *f)
{
    struct ep_field_wall *w = f->wall;
    for (int n = 0; n < w->n; n++) {
        w->order[w->cell[n]] = NO_ORDER;
    }
    int n = 0;
    for (size_t c = f->n; c-- > 0;) {
        if (w->order[c] != NO_ORDER) {
            continue;
        }
        w->cell[n] = (int)c;
        w->order[c] = n;
        for (int seen = n++; seen < n; seen++) {
            static const int TURN[NEIGHBOURS] = {RIGHT, BELOW, ABOVE, LEFT};
            for (int t = 0; t < NEIGHBOURS; t++) {
                const int next = beside(f, w->cell[seen], TURN[t]);
                if (next >= 0 && w->order[next] == NO_ORDER) {
                    w->cell[n] = next;
                    w->order[next] = n++;
                }
            }
        }
    }
}

static int band_of(const ep_field *f)
{
    const struct ep_field_wall *w = f->wall;
    int band = 1;
    for (int n = 0; n < w->n; n++) {
        for (int side = 0; side < NEIGHBOURS; side++) {
            const int next = beside(f, w->cell[n], side);
            const int apart = next >= 0 ? abs(w->order[next] - n) : 0;
            band = apart > band ? apart : band;
        }
    }
    return band;
}

static bool take_factors(struct ep_field_wall *w)
{
    double **list[] = {&w->mass_kg, &w->to_x, &w->to_z};
    bool ok = true;
    for (size_t r = 0; r < sizeof list / sizeof *list; r++) {
        free(*list[r]);
        *list[r] = calloc((size_t)w->n, sizeof **list[r]);
        ok = ok && *list[r];
    }
    return ok && ep_band_take(&w->system, w->n, w->band);
}

static void find_wall_runs(const ep_field *f, struct ep_field_wall *w)
{
    w->n_runs = 0;
    for (size_t c = 0; c < f->n; c++) {
        if (w->order[c] >= 0) {
            if (w->n_runs > 0 && w->to[w->n_runs - 1] == (int)c) {
                w->to[w->n_runs - 1]++;
            } else {
                w->from[w->n_runs] = (int)c;
                w->to[w->n_runs++] = (int)c + 1;
            }
        }
    }
}

static struct ep_field_wall *take_wall(const ep_field *f)
{
    struct ep_field_wall *w = calloc(1, sizeof *w);
    if (!w) {
        return NULL;
    }
    int **list[] = {&w->order, &w->cell, &w->from, &w->to};
    bool ok = true;
    for (size_t n = 0; n < sizeof list / sizeof *list; n++) {
        *list[n] = calloc(f->n, sizeof **list[n]);
        ok = ok && *list[n];
    }
    w->power_W = calloc(f->n, sizeof *w->power_W);
    if (!ok || !w->power_W) {
        free_wall(w);
        return NULL;
    }
    for (size_t c = 0; c < f->n; c++) {
        w->order[c] = NO_WALL;
    }
    return w;
}

// lays down which cells are wall; without memory there is nothing to treat apart
static void lay_wall(ep_field *f)
{
    struct ep_field_wall *w = f->wall;
    size_t wall = 0, held = 0;
    for (size_t c = 0; c < f->n; c++) {
        w->order[c] = NO_WALL;
        wall += is_wall(f, c);
        held += f->mass[c] > 0.0;
    }
    w->n = (int)wall;
    w->lag_s = 0.0;
    order_by_rows(f);
    w->band = band_of(f);
    if (w->band > 1) {
        order_by_neighbours(f);
        const int band = band_of(f);
        if (band < w->band) {
            w->band = band;
        } else {
            order_by_rows(f);
        }
    }
    find_wall_runs(f, w);
    // the lag is measured by the wax; a body that is mostly wall keeps its own steps
    w->usable = w->n > 0 && 2 * wall <= held && w->band <= FIELD_WIDEST_BAND && take_factors(w);
}

// to the last bit; copied out because a call of memcmp per cell took a twelfth of a burn
static bool same_bits(double a, double b)
{
    uint64_t x, y;
    memcpy(&x, &a, sizeof x);
    memcpy(&y, &b, sizeof y);
    return x == y;
}

static bool keep(double *place, double value)
{
    const bool same = same_bits(*place, value);
    *place = value;
    return same;
}

// masses and conductances as they are now
static void gather(ep_field *f)
{
    struct ep_field_wall *w = f->wall;
    bool same = true;
    double worst = 0.0;
    for (int n = 0; n < w->n; n++) {
        const int c = w->cell[n];
        const double *g_x = f->G_x + c, *g_z = f->G_z + c;
        const double link[NEIGHBOURS] = {g_x[0], g_x[-f->stride], g_z[0], g_z[-1]};
        double other_W_K = f->G_out[c];
        for (int side = 0; side < NEIGHBOURS; side++) {
            other_W_K += beside(f, c, side) >= 0 ? 0.0 : link[side];
        }
        same &= keep(&w->mass_kg[n], f->mass[c]);
        same &= keep(&w->to_x[n], beside(f, c, RIGHT) >= 0 ? g_x[0] : 0.0);
        same &= keep(&w->to_z[n], beside(f, c, ABOVE) >= 0 ? g_z[0] : 0.0);
        double speed = other_W_K / f->mass[c];
        worst = speed > worst ? speed : worst;
    }
    w->step_s = worst > 0.0 ? f->law.cp_solid_J_kgK / worst : FIELD_FAR;
    w->lag_s = same ? w->lag_s : 0.0;
}

void ep_field_wall_ready(ep_field *f)
{
    // a plan grid's wall is a sheet, whose band is as wide as the jar is round
    if (f->ny > 1 || (!f->wall && !(f->wall = take_wall(f)))) {
        return;
    }
    bool same = true;
    for (size_t c = 0; c < f->n; c++) {
        same &= is_wall(f, c) == (f->wall->order[c] >= 0);
    }
    if (!same) {
        lay_wall(f);
    }
    if (f->wall->usable) {
        gather(f);
    }
}

bool ep_field_wall_on(const ep_field *f)
{
    return f->wall && f->wall->on;
}

int ep_field_wall_cells(const ep_field *f)
{
    return f->wall && f->wall->usable ? f->wall->n : 0;
}

double ep_field_wall_step_s(const ep_field *f)
{
    return f->wall->step_s;
}

// mass + lag x conduction
static void factor(const ep_field *f, struct ep_field_wall *w, double lag_s)
{
    const double slope_lag = lag_s * f->law.a;
    const int wide = w->band + 1;
    memset(w->system.a, 0, (size_t)(w->n * wide) * sizeof *w->system.a);
    for (int i = 0; i < w->n; i++) {
        double *row = &w->system.a[i * wide];
        row[0] += w->mass_kg[i];
        for (int side = RIGHT; side < NEIGHBOURS; side += ABOVE - RIGHT) {
            const int next = beside(f, w->cell[i], side), j = next >= 0 ? w->order[next] : i;
            const double link = slope_lag * (side == RIGHT ? w->to_x : w->to_z)[i];
            if (j != i) {
                row[0] += link;
                w->system.a[j * wide] += link;
                w->system.a[(i > j ? i : j) * wide + abs(i - j)] = -link;
            }
        }
    }
    ep_band_factor(&w->system);
    w->lag_s = lag_s;
}

void ep_field_wall_begin(ep_field *f, double lag_s)
{
    struct ep_field_wall *w = f->wall;
    if (!same_bits(w->lag_s, lag_s)) {
        factor(f, w, lag_s);
    }
    // the stencil leaves these cells alone
    for (int n = 0; n < w->n; n++) {
        f->inv_mass[w->cell[n]] = 0.0;
    }
    w->on = true;
}

void ep_field_wall_end(ep_field *f)
{
    struct ep_field_wall *w = f->wall;
    for (int n = 0; n < w->n; n++) {
        f->inv_mass[w->cell[n]] = 1.0 / w->mass_kg[n];
    }
    w->on = false;
}

FIELD_WIDE static void wall_power(const ep_field *f, const struct ep_field_wall *w,
                                  const double *restrict T)
{
    const ptrdiff_t up = f->stride;
    const double *restrict G_x = f->G_x, *restrict G_z = f->G_z;
    const double *restrict G_out = f->G_out, *restrict S = f->S;
    double *restrict power_W = w->power_W;
    for (int run = 0; run < w->n_runs; run++) {
        const ptrdiff_t end = w->to[run];
        for (ptrdiff_t c = w->from[run]; c < end; c++) {
            power_W[c] = FIELD_FLAT_POWER(T) + (S[c] - G_out[c] * T[c]);
        }
    }
}

void ep_field_wall_stage(ep_field *f, const stage_work *s)
{
    const struct ep_field_wall *w = f->wall;
    double *rate = w->system.x;
    wall_power(f, w, s->T);
    for (int n = 0; n < w->n; n++) {
        rate[n] = w->power_W[w->cell[n]];
    }
    ep_band_solve(&w->system);
    for (int n = 0; n < w->n; n++) {
        const int c = w->cell[n];
        s->y[c] += s->k.mut_tau_s * rate[n];
        s->T_new[c] = s->y[c] * f->law.a;
    }
    for (int n = 0; n < w->n && s->first; n++) {
        f->rate0[w->cell[n]] = rate[n];
    }
}
