// The plain case in a vessel: a jar laid out as a candle's is (jar.c, plan_grid.c, wall_faces.c,
// conduct.c), whole and without wicks, with the films and discs of the case on its faces.
#include <math.h>
#include <stdlib.h>

#include "burn/jar_int.h"
#include "burn/plain_int.h"

typedef struct plan_grid {
    ep_material wall;
    ep_burn_case candle;
    ep_jar *jar;
    double *flux_W_m2;  // columns: of their plan area
} plan_grid;

static ep_prop exactly(double value)
{
    return (ep_prop){.value = value, .lo = value, .hi = value};
}

// the jar's own terms for the case; factors all nominal
static void say_candle(const ep_plain_case *c, plan_grid *g)
{
    g->wall = (ep_material){.kind = EP_MAT_CONTAINER};
    g->wall.prop[EP_CONTAINER_K] = exactly(c->wall_k_W_mK);
    g->wall.prop[EP_CONTAINER_RHO] = exactly(c->wall_rho_kg_m3);
    g->wall.prop[EP_CONTAINER_CP] = exactly(c->wall_cp_J_kgK);
    g->candle = ep_burn_case_default();
    g->candle.vessel = c->vessel;
    g->candle.wall = &g->wall;
    g->candle.n_wicks = 0;
    g->candle.whole_plan = true;
    g->candle.fill_height_m = c->wax_height_m;
    g->candle.ambient_C = c->start_C;
    g->candle.grid_m = 1e-3 / c->cells_per_mm;
    ep_melt *m = &g->candle.melt;
    m->solidus_K = exactly(c->solidus_C + 273.15);
    m->liquidus_K = exactly(c->liquidus_C + 273.15);
    m->latent_J_kg = exactly(c->latent_J_kg);
    m->cp_solid_J_kgK = m->cp_liquid_J_kgK = exactly(c->cp_J_kgK);
    m->k_solid_W_mK = m->k_liquid_W_mK = exactly(c->k_W_mK);
    m->rho_solid_kg_m3 = exactly(c->rho_kg_m3);
}

// area under the upper half of a circle about 0, from 0 to x
static double under_arc_m2(double r_m, double x_m)
{
    double up_m = sqrt(fmax(0.0, r_m * r_m - x_m * x_m));
    return 0.5 * (x_m * up_m + r_m * r_m * asin(fmin(fmax(x_m / r_m, -1.0), 1.0)));
}

// part of a circle about 0 within low_x..high_x whose height lies between 0 and high_y
static double slab_m2(double r_m, double low_x, double high_x, double high_y)
{
    if (high_y < 0.0) {
        return -slab_m2(r_m, low_x, high_x, -high_y);
    }
    const double a_m = fmax(low_x, -r_m), b_m = fmin(high_x, r_m);
    if (!(b_m > a_m)) {
        return 0.0;
    }
    // between -c and c the circle is higher than high_y
    const double c_m = high_y < r_m ? sqrt(r_m * r_m - high_y * high_y) : 0.0;
    const double p_m = fmin(fmax(-c_m, a_m), b_m), q_m = fmin(fmax(c_m, a_m), b_m);
    return under_arc_m2(r_m, p_m) - under_arc_m2(r_m, a_m) + (q_m - p_m) * high_y +
           under_arc_m2(r_m, b_m) - under_arc_m2(r_m, q_m);
}

static double disc_on_column_m2(const ep_jar *j, int column, const ep_plain_disc *d)
{
    const double x_m = j->x_m[column] - d->x_m, y_m = j->y_m[column] - d->y_m;
    const double low_x = x_m - j->half_m[0][column], high_x = x_m + j->half_m[0][column];
    return slab_m2(d->radius_m, low_x, high_x, y_m + j->half_m[1][column]) -
           slab_m2(d->radius_m, low_x, high_x, y_m - j->half_m[1][column]);
}

static double flux_on_column_W_m2(const ep_plain_case *c, const ep_jar *j, int column)
{
    double power_W = 0.0;
    for (int n = 0; n < c->n_discs; n++) {
        const ep_plain_disc *d = &c->disc[n];
        if (d->power_W > 0.0) {
            power_W +=
                d->power_W / (EP_PI * d->radius_m * d->radius_m) * disc_on_column_m2(j, column, d);
        }
    }
    return power_W / j->area_m2[column];
}

// a face of a column that looks up or down
static void add_flat(const ep_plain_case *c, const plan_grid *g, int column, int k,
                     double film_W_m2K, double heat_W)
{
    const ep_jar *j = g->jar;
    const size_t cell = ep_at(j->f, column, k);
    ep_jar_add_face(j->f, cell,
                    (jar_face){.area_m2 = j->area_m2[column] * j->fill[cell],
                               .half_m = 0.5 * j->height_m[cell],
                               .k_W_mK = j->k_down[cell],
                               .film_W_m2K = film_W_m2K,
                               .air_C = c->ambient_C,
                               .heat_W = heat_W});
}

static void add_upright(const ep_plain_case *c, const ep_jar *j, const wall_face *w,
                        double film_W_m2K)
{
    ep_jar_add_face(j->f, ep_at(j->f, w->column, w->k),
                    (jar_face){.area_m2 = w->area_m2,
                               .half_m = w->half_m,
                               .k_W_mK = c->wall_k_W_mK,
                               .film_W_m2K = film_W_m2K,
                               .air_C = c->ambient_C});
}

static void set_faces(const ep_plain_case *c, const plan_grid *g)
{
    const ep_jar *j = g->jar;
    for (int column = 0; column < j->n_columns; column++) {
        if (ep_jar_has_wax(j, column)) {
            add_flat(c, g, column, j->top[column], c->top_W_m2K,
                     j->area_m2[column] * g->flux_W_m2[column]);
        }
        if (j->space[ep_at(j->f, column, j->nz - 1)] == JAR_WALL) {
            add_flat(c, g, column, j->nz - 1, c->top_W_m2K, 0.0);
        }
        if (j->space[ep_at(j->f, column, 0)] == JAR_WALL) {
            add_flat(c, g, column, 0, c->base_W_m2K, 0.0);
        }
    }
    for (int n = 0; n < j->n_inner_faces; n++) {
        if (!(j->f->mass[j->inner_face[n].inner] > 0.0)) {
            add_upright(c, j, &j->inner_face[n], c->top_W_m2K);
        }
    }
    for (int n = 0; n < j->n_outer_faces; n++) {
        add_upright(c, j, &j->outer_face[n], c->side_W_m2K);
    }
}

// temperature of the top of a wax column
static double surface_C(const ep_plain_case *c, const plan_grid *g, int column)
{
    const ep_jar *j = g->jar;
    const size_t cell = ep_at(j->f, column, j->top[column]);
    const double half_W_m2K = c->k_W_mK / (0.5 * j->height_m[cell]);
    return (half_W_m2K * j->f->T[cell] + c->top_W_m2K * c->ambient_C + g->flux_W_m2[column]) /
           (half_W_m2K + c->top_W_m2K);
}

// share of a unit square above 0 where a plane that rises by a and b >= 0 along its sides is `low`
// in its lowest corner
static double share_above(double low, double a, double b)
{
    const double s = -low;  // what the plane must rise
    if (a < b) {
        return share_above(low, b, a);
    }
    if (s <= 0.0 || s >= a + b) {
        return s <= 0.0 ? 1.0 : 0.0;
    }
    if (b < 1e-9 * a) {
        return 1.0 - s / a;
    }
    const double past_a = fmax(0.0, s - a), past_b = fmax(0.0, s - b);
    return 1.0 - (s * s - past_a * past_a - past_b * past_b) / (2.0 * a * b);
}

// rise of the surface across a column, K, from what lies on either side
static double rise_K(const ep_plain_case *c, const plan_grid *g, int column, int plus, int minus)
{
    const ep_jar *j = g->jar;
    int to = ep_jar_beside(j, column, plus), from = ep_jar_beside(j, column, minus);
    to = to >= 0 && ep_jar_has_wax(j, to) ? to : column;
    from = from >= 0 && ep_jar_has_wax(j, from) ? from : column;
    const int apart = (to != column) + (from != column);
    return apart ? (surface_C(c, g, to) - surface_C(c, g, from)) / apart : 0.0;
}

static double melted_share(const ep_plain_case *c, const plan_grid *g, int column)
{
    const ep_jar *j = g->jar;
    if (plain_sharp(&j->f->law)) {
        return ep_jar_liquid(j, column, j->top[column]);
    }
    const double a_K = fabs(rise_K(c, g, column, SIDE_PLUS_X, SIDE_MINUS_X));
    const double b_K = fabs(rise_K(c, g, column, SIDE_PLUS_Y, SIDE_MINUS_Y));
    const double low_C = surface_C(c, g, column) - 0.5 * (a_K + b_K);
    return share_above(low_C - plain_mid_C(&j->f->law), a_K, b_K);
}

static double melt_radius_m(const ep_plain_case *c, const plan_grid *g)
{
    const ep_jar *j = g->jar;
    double sum_m2 = 0.0;
    for (int column = 0; column < j->n_columns; column++) {
        if (ep_jar_has_wax(j, column)) {
            sum_m2 += j->area_m2[column] * j->fill[ep_at(j->f, column, j->top[column])] *
                      melted_share(c, g, column);
        }
    }
    return sqrt(sum_m2 / EP_PI);
}

// the columns round a place, and how much each counts
typedef struct spot {
    int column[4];
    double weight[4];
} spot;

static spot look_under(const ep_plain_case *c, const ep_jar *j)
{
    const double x_m = c->n_discs ? c->disc[0].x_m : 0.0, y_m = c->n_discs ? c->disc[0].y_m : 0.0;
    const double g_m = 2.0 * j->half_m[0][0];
    spot s;
    for (int n = 0; n < 4; n++) {
        const double side_x = n % 2 ? 0.5 : -0.5, side_y = n / 2 ? 0.5 : -0.5;
        s.column[n] = ep_jar_column_at(j, x_m + side_x * g_m, y_m + side_y * g_m);
        s.weight[n] = (1.0 - fabs(j->x_m[s.column[n]] - x_m) / g_m) *
                      (1.0 - fabs(j->y_m[s.column[n]] - y_m) / g_m);
    }
    return s;
}

static double spot_surface_C(const ep_plain_case *c, const plan_grid *g, const spot *s)
{
    double sum_C = 0.0;
    for (int n = 0; n < 4; n++) {
        sum_C += s->weight[n] * surface_C(c, g, s->column[n]);
    }
    return sum_C;
}

static double spot_C(const ep_jar *j, const spot *s, int k)
{
    double sum_C = 0.0;
    for (int n = 0; n < 4; n++) {
        sum_C += s->weight[n] * j->f->T[ep_at(j->f, s->column[n], k)];
    }
    return sum_C;
}

static double melt_depth_m(const ep_plain_case *c, const plan_grid *g, const spot *s)
{
    const ep_jar *j = g->jar;
    const double level_C = plain_mid_C(&j->f->law);
    const int top = j->top[s->column[0]], floor = j->low[s->column[0]];
    if (plain_sharp(&j->f->law)) {
        double depth_m = 0.0;
        for (int k = floor; k <= top; k++) {
            for (int n = 0; n < 4; n++) {
                depth_m += s->weight[n] * j->dz_m * ep_jar_liquid(j, s->column[n], k);
            }
        }
        return depth_m;
    }
    double above_C = spot_surface_C(c, g, s), above_m = 0.0;
    if (above_C < level_C) {
        return 0.0;
    }
    for (int k = top; k >= floor; k--) {
        double here_C = spot_C(j, s, k), here_m = (top - k + 0.5) * j->dz_m;
        if (here_C < level_C) {
            return above_m + (above_C - level_C) / (above_C - here_C) * (here_m - above_m);
        }
        above_C = here_C;
        above_m = here_m;
    }
    return c->wax_height_m;
}

static double melted_kg(const ep_jar *j)
{
    double sum_kg = 0.0;
    for (int column = 0; column < j->n_columns; column++) {
        for (int k = j->low[column]; k <= j->top[column]; k++) {
            sum_kg += j->f->mass[ep_at(j->f, column, k)] * ep_jar_liquid(j, column, k);
        }
    }
    return sum_kg;
}

static double wall_max_C(const ep_plain_case *c, const ep_jar *j)
{
    double worst_C = -1e9;
    for (int n = 0; n < j->n_outer_faces; n++) {
        const wall_face *w = &j->outer_face[n];
        const double half_W_m2K = c->wall_k_W_mK / w->half_m;
        worst_C = fmax(worst_C, (half_W_m2K * j->f->T[ep_at(j->f, w->column, w->k)] +
                                 c->side_W_m2K * c->ambient_C) /
                                    (half_W_m2K + c->side_W_m2K));
    }
    return worst_C;
}

static void read_plan(const plain_body *b, ep_plain_answer *a)
{
    const plan_grid *g = b->grid;
    const spot s = look_under(b->c, g->jar);
    a->melt_radius_m = melt_radius_m(b->c, g);
    a->melt_depth_m = melt_depth_m(b->c, g, &s);
    a->melted_kg = melted_kg(g->jar);
    a->wall_max_C = wall_max_C(b->c, g->jar);
    a->centre_C = spot_surface_C(b->c, g, &s);
}

static void destroy_plan(plain_body *b)
{
    plan_grid *g = b->grid;
    if (g) {
        ep_jar_destroy(g->jar);
        free(g->flux_W_m2);
        free(g);
    }
}

ep_status ep_plain_plan(const ep_plain_case *c, plain_body *b)
{
    plan_grid *g = calloc(1, sizeof *g);
    *b = (plain_body){.c = c, .grid = g, .read = read_plan, .destroy = destroy_plan};
    if (!g) {
        return EP_E_MEMORY;
    }
    say_candle(c, g);
    ep_status s = ep_jar_create(&g->candle, &g->jar);
    g->flux_W_m2 = s == EP_OK ? calloc((size_t)g->jar->n_columns, sizeof *g->flux_W_m2) : NULL;
    if (!g->flux_W_m2) {
        destroy_plan(b);
        return EP_E_MEMORY;
    }
    b->f = g->jar->f;
    for (int column = 0; column < g->jar->n_columns; column++) {
        g->flux_W_m2[column] = flux_on_column_W_m2(c, g->jar, column);
    }
    ep_jar_conduct(g->jar);
    set_faces(c, g);
    ep_field_ready(b->f);
    return EP_OK;
}
