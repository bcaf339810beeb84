// Reads the field as a maker would: temperatures, flame, wall, what is left. The pool's outline is
// in pool_shape.c.
#include <math.h>

#include "burn/jar_int.h"
#include "burn/losses.h"

// Mean of a column's uppermost 4 mm. The topmost cell alone changes thickness as the level falls,
// and is merged into the one below: a depth that holds both does not notice.
static double top_C(const ep_jar *j, int column)
{
    const double depth_m = ep_max(4e-3, 1.6 * j->dz_m);
    double sum_Km = 0.0, read_m = 0.0;
    for (int k = j->top[column]; k >= j->low[column] && read_m < depth_m; k--) {
        double h_m = k == j->top[column] ? ep_jar_top_height_m(j, column) : j->dz_m;
        h_m = ep_min(h_m, depth_m - read_m);
        sum_Km += h_m * j->f->T[ep_at(j->f, column, k)];
        read_m += h_m;
    }
    return sum_Km / read_m;
}

// a sum of temperatures, each with its weight
typedef struct weighed {
    double C, weight;
} weighed;

static void add_column(const ep_jar *j, double x_m, double y_m, double weight, weighed *sum)
{
    int column = ep_jar_column_at(j, x_m, y_m);
    if (ep_jar_has_wax(j, column)) {
        sum->C += weight * top_C(j, column);
        sum->weight += weight;
    }
}

// the surface at a place, by straight lines between the middles of the columns round it
static void add_place(const ep_jar *j, double x_m, double y_m, weighed *sum)
{
    const double g_m = 2.0 * j->half_m[0][0];
    const double lo_x_m = x_m - 0.5 * g_m, lo_y_m = j->rings ? 0.0 : y_m - 0.5 * g_m;
    const double part_x = lo_x_m / g_m - floor(lo_x_m / g_m);
    const double part_y = lo_y_m / g_m - floor(lo_y_m / g_m);
    for (int corner = 0; corner < (j->rings ? 2 : 4); corner++) {
        int over_x = corner & 1, over_y = corner >> 1;
        double weight = (over_x ? part_x : 1.0 - part_x) * (over_y ? part_y : 1.0 - part_y);
        add_column(j, lo_x_m + over_x * g_m, lo_y_m + over_y * g_m, weight, sum);
    }
}

double ep_jar_pool_wick_C(const ep_jar *j, const jar_wick *w)
{
    // 3 mm off the wick on all four sides, so that a candle and the same one turned read alike
    static const double OFF_M = 3e-3;
    static const double dir[][2] = {{1.0, 0.0}, {-1.0, 0.0}, {0.0, 1.0}, {0.0, -1.0}};
    const int places = j->rings ? 1 : 4;
    weighed sum = {0.0, 0.0};
    for (int n = 0; n < places; n++) {
        add_place(j, w->x_m + OFF_M * dir[n][0], w->y_m + OFF_M * dir[n][1], &sum);
    }
    return sum.weight > 0.0 ? sum.C / sum.weight : j->c->ambient_C;
}

static double bulk_C(const ep_jar *j)
{
    double sum = 0.0, mass_kg = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        for (int k = j->top[c]; k >= j->low[c] && j->pool[c] >= 0; k--) {
            double liquid = ep_jar_liquid(j, c, k);
            if (liquid < 0.5) {
                break;
            }
            double kg = j->f->mass[ep_at(j->f, c, k)];
            sum += kg * j->f->T[ep_at(j->f, c, k)];
            mass_kg += kg;
        }
    }
    return mass_kg > 0.0 ? sum / mass_kg : (double)NAN;
}

// the coolest place of the melted surface
static double edge_C(const ep_jar *j)
{
    double least_C = (double)INFINITY;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] >= 0 && ep_jar_has_wax(j, c) && ep_jar_liquid(j, c, j->top[c]) >= 0.5) {
            least_C = ep_min(least_C, j->f->T[ep_at(j->f, c, j->top[c])]);
        }
    }
    return isfinite(least_C) ? least_C : (double)NAN;
}

// wax that stands above the level of the pool, of the part
static double hangup_kg(const ep_jar *j)
{
    const double level_m = ep_jar_surface_m(j, j->wick[0].foot);
    double sum_kg = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        double over_m = j->pool[c] >= 0 ? 0.0 : ep_jar_surface_m(j, c) - level_m;
        for (int k = j->top[c]; k >= j->low[c] && over_m > 0.0; k--) {
            double h_m = k == j->top[c] ? ep_jar_top_height_m(j, c) : j->dz_m;
            sum_kg += j->f->mass[ep_at(j->f, c, k)] * ep_min(1.0, over_m / h_m);
            over_m -= h_m;
        }
    }
    return sum_kg;
}

typedef struct wall_state {
    double max_C, at_m, through_max_K, mean_C;
} wall_state;

static wall_state measure_wall(const ep_jar *j)
{
    const ep_burn_case *c = j->c;
    wall_state w = {.max_C = -1e9};
    const double k_W_mK = c->wall->prop[EP_CONTAINER_K].value;
    const double emissivity = c->wall->prop[EP_CONTAINER_EMISSIVITY].value;
    double faces = 0.0;
    for (int n = 0; n < j->n_outer_faces; n++) {
        const wall_face *face = &j->outer_face[n];
        if (face->k < j->n_base) {
            continue;
        }
        // temperature of the outer face and fall through the wall, from what leaves for the room
        double T_C = j->f->T[ep_at(j->f, face->column, face->k)];
        double film_W_m2K = j->wall_film_W_m2K + ep_radiation_W_m2K(T_C, c->ambient_C, emissivity);
        film_W_m2K *= c->factors.f[EP_UNC_LOSS_SIDE];
        double half_W_m2K = k_W_mK / face->half_m;
        double face_C = (half_W_m2K * T_C + film_W_m2K * c->ambient_C) / (half_W_m2K + film_W_m2K);
        double through_K = film_W_m2K * fabs(face_C - c->ambient_C) * c->vessel.wall_m / k_W_mK;
        w.through_max_K = ep_max(w.through_max_K, through_K);
        w.mean_C += face_C;
        faces += 1.0;
        if (face_C > w.max_C) {
            w.max_C = face_C;
            w.at_m = j->z_m[face->k] + 0.5 * j->dz_m;
        }
    }
    w.mean_C /= faces > 0.0 ? faces : 1.0;
    return w;
}

// Eq. B17: bending by the through-wall fall plus half the hot band's excess over the mean
static double stress_index(const ep_material *wall, const wall_state *w)
{
    const ep_prop *p = wall->prop;
    double e_alpha = p[EP_CONTAINER_YOUNG].value * p[EP_CONTAINER_EXPANSION].value;
    double bend_Pa = e_alpha * w->through_max_K / (2.0 * (1.0 - p[EP_CONTAINER_POISSON].value));
    double band_Pa = 0.5 * e_alpha * ep_max(0.0, w->max_C - w->mean_C);
    return (bend_Pa + band_Pa) / p[EP_CONTAINER_STRENGTH].value;
}

static const double ATMOSPHERE_Pa = 101325.0;

// Clausius-Clapeyron through the two tabled vapour pressures, relative to a 70 mm pool at 70 C;
// where the line passes one atmosphere the fragrance boils, and its pressure rises no further
static double scent(const ep_jar *j)
{
    const ep_melt *m = &j->c->melt;
    if (!(m->fragrance_frac > 0.0) || !(m->p60_Pa > 0.0) || !(m->p25_Pa > 0.0)) {
        return 0.0;
    }
    double slope_K = log(m->p60_Pa / m->p25_Pa) / (1.0 / 298.15 - 1.0 / 333.15);
    double line70_Pa = m->p60_Pa * exp(slope_K * (1.0 / 333.15 - 1.0 / 343.15));
    double p70_Pa = ep_min(ATMOSPHERE_Pa, line70_Pa);
    double sum_m2 = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (j->pool[c] >= 0 && ep_jar_has_wax(j, c)) {
            double T_K = j->f->T[ep_at(j->f, c, j->top[c])] + 273.15;
            double p_rel = line70_Pa / p70_Pa * exp(-slope_K * (1.0 / T_K - 1.0 / 343.15));
            sum_m2 += j->copies * j->area_m2[c] * ep_jar_liquid(j, c, j->top[c]) *
                      ep_min(ATMOSPHERE_Pa / p70_Pa, p_rel);
        }
    }
    return sum_m2 / (0.25 * EP_PI * 0.07 * 0.07) * m->fragrance_frac / 0.08;
}

double ep_jar_hottest_K_above(const ep_jar *j, double room_C)
{
    double most_K = 0.0;
    for (size_t cell = 0; cell < j->f->n; cell++) {
        if (j->f->mass[cell] > 0.0) {
            most_K = ep_max(most_K, fabs(j->f->T[cell] - room_C));
        }
    }
    return most_K;
}

// least distance between two lit flames, m; infinite for one
static double flames_apart_m(const ep_jar *j)
{
    double least_m = (double)INFINITY;
    for (int a = 0; a < j->n_flames; a++) {
        for (int b = 0; b < a; b++) {
            if (!j->wick[j->flame[a].wick].lit || !j->wick[j->flame[b].wick].lit) {
                continue;
            }
            least_m = ep_min(least_m, hypot(j->flame[a].x_m - j->flame[b].x_m,
                                            j->flame[a].y_m - j->flame[b].y_m));
        }
    }
    return least_m;
}

// the tallest flame and what goes with it; rates add up over all wicks
static void measure_flames(const ep_jar *j, const ep_fuel *fuel, ep_sample *s)
{
    const double surface_m = ep_jar_surface_m(j, j->wick[0].foot);
    s->rate_kg_s = s->flame_m = s->exposed_m = s->cap_index = 0.0;
    s->flames_in_one = s->flicker_Hz = 0.0;
    s->flame_gap_m = (double)INFINITY;
    s->soot_margin_m = (double)INFINITY;
    s->pool_wick_C = -1e9;
    for (int n = 0; n < j->n_wicks; n++) {
        const jar_wick *w = &j->wick[n];
        s->rate_kg_s += j->copies * w->share * w->rate_kg_s;
        s->flame_m = ep_max(s->flame_m, w->flame_m);
        s->exposed_m = ep_max(s->exposed_m, w->exposed_m);
        s->cap_index = ep_max(s->cap_index, w->cap_index);
        s->flame_gap_m =
            ep_min(s->flame_gap_m, ep_vessel_gap_m(&j->c->vessel, surface_m, w->x_m, w->y_m));
        s->pool_wick_C = ep_max(s->pool_wick_C, ep_jar_pool_wick_C(j, w));
        if (w->lit) {
            double smoke_m = ep_smoke_point_m(fuel, w->exposed_m, j->c->wick.diameter_m);
            // unsteady air makes a flame smoke as a taller one would, Eq. B18
            double unsteady_m = w->flame_m * (1.0 + j->c->draught_m_s / 0.3);
            s->soot_margin_m = ep_min(s->soot_margin_m, smoke_m - unsteady_m);
            s->flames_in_one = ep_max(s->flames_in_one, w->common.flames);
            s->flicker_Hz = ep_max(s->flicker_Hz, w->common.flicker_Hz);
        }
    }
    // half the flame's width stands between its axis and the wall, at any usual height
    s->flame_gap_m = ep_max(0.0, s->flame_gap_m - 0.5 * EP_FLAME_WIDE_M);
    if (!isfinite(s->soot_margin_m)) {
        s->soot_margin_m = (double)NAN;
    }
    s->flame_apart_m = flames_apart_m(j);
    if (!isfinite(s->flame_apart_m)) {
        s->flame_apart_m = (double)NAN;
    }
}

// column half-way from the first wick to the wall, on the line from the centre through it
static int halfway_column(const ep_jar *j)
{
    const jar_wick *w = &j->wick[0];
    double off_m = hypot(w->x_m, w->y_m);
    double dir_x = off_m > 1e-6 ? w->x_m / off_m : 1.0, dir_y = off_m > 1e-6 ? w->y_m / off_m : 0.0;
    double wall_m = ep_jar_wall_along_m(j, ep_jar_surface_m(j, w->foot), dir_x, dir_y);
    double at_m = 0.5 * (off_m + wall_m);
    return ep_jar_column_at(j, at_m * dir_x, at_m * dir_y);
}

static double depth_at_wall_m(const ep_jar *j)
{
    double wall_m = ep_jar_wall_along_m(j, ep_jar_surface_m(j, j->wick[0].foot), 1.0, 0.0);
    double back_m = j->half_m[0][0];
    return ep_jar_depth_m(j, ep_jar_column_at(j, wall_m - back_m, 0.0));
}

void ep_jar_measure(const ep_jar *j, const ep_fuel *fuel, ep_sample *s)
{
    wall_state w = measure_wall(j);
    pool_shape p = ep_jar_pool_shape(j);
    measure_flames(j, fuel, s);
    s->level_m = ep_jar_level_m(j, &j->wick[0]);
    s->reach_frac = p.reach_frac;
    s->touch_frac = p.touch_frac;
    s->ring_m = p.ring_m;
    s->pool_width_m = p.wide_m;
    s->pool_narrow_m = p.narrow_m;
    s->depth_axis_m = ep_jar_depth_m(j, j->wick[0].foot);
    s->depth_mid_m = ep_jar_depth_m(j, halfway_column(j));
    s->depth_wall_m = p.reach_frac >= EP_AT_WALL_FRAC ? depth_at_wall_m(j) : 0.0;
    s->hangup_kg = j->copies * hangup_kg(j);
    s->pool_bulk_C = bulk_C(j);
    s->pool_edge_C = edge_C(j);
    s->wall_max_C = w.max_C;
    s->wall_max_at_m = w.at_m;
    s->stress_index = stress_index(j->c->wall, &w);
    s->scent_rel = scent(j);
    s->left_kg = j->copies * ep_jar_wax_kg(j);
}
