// Losses and flame heat of the grid for the next step. Everything here is frozen while the step
// runs. Equations B8-B16 in docs/physics/burn.md, L1-L6 in losses.md.
#include <math.h>
#include <string.h>

#include "burn/jar_int.h"
#include "burn/losses.h"

// flame heat given to the wax round the wick's foot, share of heat release
static const double FOOT_SHARE = 0.02;
static const double FLAME_STARTS_M = 3e-3;
static const double WAX_ABSORBS = 0.85, WAX_EMISSIVITY = 0.93;
static const double TABLE_FILM_W_m2K = 4.0, INSIDE_FILM_W_m2K = 5.0;

double ep_wall_absorptance(const ep_material *wall)
{
    // clear glass lets through what a 1700 K flame radiates below 2.7 um, a little over half;
    // bright metal reflects; anything else takes nearly all (from memory)
    if (strstr(wall->klass, "glass")) {
        return 0.45;
    }
    return wall->prop[EP_CONTAINER_K].value > 10.0 ? 0.35 : 0.90;
}

static double mean_surface_C(const ep_jar *j)
{
    double sum = 0.0, area_m2 = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        if (ep_jar_has_wax(j, c)) {
            sum += j->area_m2[c] * j->f->T[ep_at(j->f, c, j->top[c])];
            area_m2 += j->area_m2[c];
        }
    }
    return area_m2 > 0.0 ? sum / area_m2 : j->c->ambient_C;
}

// what the next step looks like from above; flames in the order of ep_jar.flame
typedef struct scene {
    double level_m, radius_m, freeboard_m;
    double film_W_m2K, rim_view;
    double rate_kg_s;  // of the whole jar
    double radiative_frac;
    double radiant_W[EP_MAX_WICKS], foot_W[EP_MAX_WICKS], flame_m[EP_MAX_WICKS];
    double base_m[EP_MAX_WICKS];  // pool level under the flame
} scene;

// air over the wax: warmed by what the jar traps of the flames' heat, Eq. B12
static void warm_air(ep_jar *j, const scene *s)
{
    j->room_air_C = j->c->ambient_C;
    j->oxygen_frac = 0.232;
    if (!(s->rate_kg_s > 0.0)) {
        return;
    }
    double depth = (s->freeboard_m / (2.0 * s->radius_m) - 0.2) / 1.3;
    double trapped = 0.3 * ep_min(ep_max(depth, 0.0), 1.0) * j->c->factors.f[EP_UNC_WARM_AIR];
    double gas_kg_per_kg = 15.0 * j->c->melt.air_fuel;
    j->room_air_C +=
        trapped * (1.0 - s->radiative_frac) * j->c->melt.lhv_J_kg.value / (gas_kg_per_kg * 1010.0);
    j->oxygen_frac *= 1.0 - 0.35 * trapped;
}

// flux of a line source on a horizontal surface z above the pool: only what burns above it shines
static double shine_down_W_m2(double power_W, double flame_m, double r_m, double z_m)
{
    double z1_m = ep_min(FLAME_STARTS_M, 0.5 * flame_m);
    double low_m = ep_max(z1_m - z_m, 0.5e-3), high_m = flame_m - z_m;
    if (!(high_m > low_m)) {
        return 0.0;
    }
    double above_W = power_W * (high_m - low_m) / (flame_m - z1_m);
    return ep_line_on_pool_W_m2(above_W, low_m, high_m, r_m);
}

static double wax_takes(const ep_jar *j)
{
    return WAX_ABSORBS * j->c->melt.absorb_factor.value * j->c->factors.f[EP_UNC_ABSORB];
}

// radiation and foot heat of all flames on the top of a column, W/m2
static double flux_on_top(const ep_jar *j, const scene *s, int column)
{
    const double surface_m = ep_jar_surface_m(j, column);
    double flux_W_m2 = 0.0;
    for (int n = 0; n < j->n_flames; n++) {
        if (s->radiant_W[n] > 0.0) {
            double above_m = ep_max(0.0, surface_m - s->base_m[n]);
            flux_W_m2 += wax_takes(j) * shine_down_W_m2(s->radiant_W[n], s->flame_m[n],
                                                        j->flame[n].away_m[column], above_m);
            flux_W_m2 += s->foot_W[n] * j->flame[n].foot[column] / j->flame[n].foot_m2;
        }
    }
    return flux_W_m2;
}

static double to_wall_W(const ep_jar *j, const scene *s, int column)
{
    const size_t cell = ep_at(j->f, column, j->top[column]);
    return j->area_m2[column] * j->fill[cell] * (1.0 - s->rim_view) *
           ep_radiation_W_m2K(j->f->T[cell], j->wall_mean_C, WAX_EMISSIVITY) *
           (j->f->T[cell] - j->wall_mean_C);
}

static void wax_surface(ep_jar *j, const scene *s, int column)
{
    ep_field *f = j->f;
    const size_t cell = ep_at(f, column, j->top[column]);
    const double area_m2 = j->area_m2[column] * j->fill[cell];
    const double room_W_m2K =
        ep_radiation_W_m2K(f->T[cell], j->c->ambient_C, WAX_EMISSIVITY) * s->rim_view;
    const double film_W_m2K = s->film_W_m2K + room_W_m2K;
    jar_face x = {.area_m2 = area_m2,
                  .half_m = 0.5 * ep_jar_top_height_m(j, column),
                  .k_W_mK = j->k_down[cell],
                  .film_W_m2K = film_W_m2K,
                  .air_C =
                      (s->film_W_m2K * j->room_air_C + room_W_m2K * j->c->ambient_C) / film_W_m2K,
                  .heat_W = s->rate_kg_s > 0.0 ? area_m2 * flux_on_top(j, s, column) : 0.0};
    j->into_pool_W += ep_jar_add_face(f, cell, x);
    // what does not reach the rim is exchanged with the wall; frozen, so it sums to nothing
    f->S[cell] -= to_wall_W(j, s, column);
}

// radiation of all flames on an upright face at height z: by the projected area, so that a
// staircase receives what the wall it stands for would
static double flux_on_side(const ep_jar *j, const scene *s, const double *away_m,
                           const double *facing, double z_m)
{
    double flux_W_m2 = 0.0;
    for (int n = 0; n < j->n_flames; n++) {
        if (s->radiant_W[n] > 0.0 && facing[n] > 0.0) {
            double z1_m = ep_min(FLAME_STARTS_M, 0.5 * s->flame_m[n]);
            flux_W_m2 += facing[n] * ep_line_on_wall_W_m2(s->radiant_W[n], z1_m, s->flame_m[n],
                                                          away_m[n], z_m - s->base_m[n]);
        }
    }
    return flux_W_m2;
}

static jar_face inside_face(const ep_jar *j, size_t cell, double area_m2, double half_m,
                            double heat_W)
{
    return (jar_face){.area_m2 = area_m2,
                      .half_m = half_m,
                      .k_W_mK = j->k_out[cell],
                      .film_W_m2K = INSIDE_FILM_W_m2K * j->c->factors.f[EP_UNC_LOSS_TOP],
                      .air_C = j->room_air_C,
                      .heat_W = heat_W};
}

static double row_middle_m(const ep_jar *j, int k)
{
    return j->z_m[k] + 0.5 * ep_jar_dz_m(j, k);
}

// is the wax space a wall face looks into open at its height?
static bool open_face(const ep_jar *j, const wall_face *w)
{
    return !(j->f->mass[w->inner] > 0.0);
}

// the upright side of a shoulder: wax beside open wax space
static void shoulder_side(ep_jar *j, const scene *s, int column, int side)
{
    const int beside = ep_jar_beside(j, column, side);
    if (beside < 0 || j->low[beside] >= j->nz || !ep_jar_has_wax(j, column)) {
        return;
    }
    double away_m[EP_MAX_WICKS], facing[EP_MAX_WICKS];
    bool sighted = false;
    for (int k = j->top[column]; k > j->top[beside] && k >= j->low[column]; k--) {
        const size_t cell = ep_at(j->f, column, k);
        if (j->space[ep_at(j->f, beside, k)] != JAR_WAX_SPACE) {
            continue;
        }
        if (!sighted) {
            ep_jar_sight(j, column, side, away_m, facing);
            sighted = true;
        }
        const double area_m2 = ep_jar_face_m(j, column, side) * j->height_m[cell];
        double heat_W =
            s->rate_kg_s > 0.0
                ? wax_takes(j) * area_m2 * flux_on_side(j, s, away_m, facing, row_middle_m(j, k))
                : 0.0;
        j->into_pool_W += ep_jar_add_face(
            j->f, cell,
            inside_face(j, cell, area_m2, j->half_m[side >= SIDE_PLUS_Y][column], heat_W));
    }
}

static void wall_inside(ep_jar *j, const scene *s)
{
    const double takes = ep_wall_absorptance(j->c->wall);
    for (int n = 0; n < j->n_inner_faces; n++) {
        const wall_face *w = &j->inner_face[n];
        if (!open_face(j, w)) {
            continue;
        }
        const size_t cell = ep_at(j->f, w->column, w->k);
        double heat_W = s->rate_kg_s > 0.0
                            ? takes * w->grid_m2 *
                                  flux_on_side(j, s, w->away_m, w->facing, row_middle_m(j, w->k))
                            : 0.0;
        j->into_wall_W +=
            ep_jar_add_face(j->f, cell, inside_face(j, cell, w->area_m2, w->half_m, heat_W));
    }
}

static void inside(ep_jar *j, const scene *s)
{
    for (int c = 0; c < j->n_columns; c++) {
        if (ep_jar_has_wax(j, c)) {
            wax_surface(j, s, c);
            for (int side = 0; side < SIDES; side++) {
                shoulder_side(j, s, c, side);
            }
        }
    }
    wall_inside(j, s);
}

// give the wall what the wax surface radiates to it, by inner area above the wax; with none free
// the room takes it
static void share_with_wall(ep_jar *j, const scene *s)
{
    double power_W = 0.0, area_m2 = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        power_W += ep_jar_has_wax(j, c) ? to_wall_W(j, s, c) : 0.0;
    }
    for (int n = 0; n < j->n_inner_faces; n++) {
        area_m2 += open_face(j, &j->inner_face[n]) ? j->inner_face[n].area_m2 : 0.0;
    }
    for (int n = 0; n < j->n_inner_faces && area_m2 > 0.0; n++) {
        const wall_face *w = &j->inner_face[n];
        if (open_face(j, w)) {
            j->f->S[ep_at(j->f, w->column, w->k)] += power_W * w->area_m2 / area_m2;
        }
    }
}

static void outside(ep_jar *j)
{
    ep_field *f = j->f;
    const ep_burn_case *c = j->c;
    const double side_factor = c->factors.f[EP_UNC_LOSS_SIDE];
    const double wall_W_mK = c->wall->prop[EP_CONTAINER_K].value;
    double tall_m = ep_vessel_height_m(&c->vessel) + c->vessel.base_m;
    double wide_m = 2.0 * (j->inner_m[j->nz - 1] + c->vessel.wall_m);
    double film_W_m2K = ep_wall_film_W_m2K(j->wall_outer_C, c->ambient_C, tall_m, wide_m);
    j->wall_film_W_m2K = film_W_m2K;
    double emissivity = c->wall->prop[EP_CONTAINER_EMISSIVITY].value;
    for (int n = 0; n < j->n_outer_faces; n++) {
        const wall_face *w = &j->outer_face[n];
        size_t cell = ep_at(f, w->column, w->k);
        double h_W_m2K = film_W_m2K + ep_radiation_W_m2K(f->T[cell], c->ambient_C, emissivity);
        ep_jar_add_face(f, cell,
                        (jar_face){.area_m2 = w->area_m2,
                                   .half_m = w->half_m,
                                   .k_W_mK = wall_W_mK,
                                   .film_W_m2K = h_W_m2K * side_factor,
                                   .air_C = c->ambient_C});
    }
    for (int n = 0; n < j->n_columns; n++) {
        size_t cell = ep_at(f, n, 0);
        if (j->space[cell] == JAR_WALL) {
            ep_jar_add_face(f, cell,
                            (jar_face){.area_m2 = j->area_m2[n] * j->fill[cell],
                                       .half_m = 0.5 * j->dz_base_m,
                                       .k_W_mK = wall_W_mK,
                                       .film_W_m2K = TABLE_FILM_W_m2K * side_factor,
                                       .air_C = c->ambient_C});
        }
    }
}

static void wall_means(ep_jar *j, double level_m)
{
    double inner = 0.0, inner_kg = 0.0, outer = 0.0, outer_kg = 0.0;
    for (int c = 0; c < j->n_columns; c++) {
        for (int k = j->n_base; k < j->nz; k++) {
            size_t cell = ep_at(j->f, c, k);
            if (j->space[cell] == JAR_WALL) {
                outer += j->full_kg[cell] * j->f->T[cell];
                outer_kg += j->full_kg[cell];
                if (j->z_m[k] > level_m) {
                    inner += j->full_kg[cell] * j->f->T[cell];
                    inner_kg += j->full_kg[cell];
                }
            }
        }
    }
    j->wall_outer_C = outer / outer_kg;
    j->wall_mean_C = inner_kg > 0.0 ? inner / inner_kg : j->wall_outer_C;
}

// the melt drawn by a wick is hotter than the mean surface it is taken from: the difference leaves
// from the cells round the wick
static void wick_sink(ep_jar *j, const jar_wick *w)
{
    double area_m2 = 0.0;
    for (int pass = 0; pass < 2; pass++) {
        for (int c = 0; c < j->n_columns; c++) {
            double away_m = j->flame[w->flame].away_m[c] - j->half_m[0][c];
            if (j->pool[c] != w->pool || !ep_jar_has_wax(j, c) || !(away_m < EP_FOOT_SPREAD_M)) {
                continue;
            }
            if (pass == 0) {
                area_m2 += j->area_m2[c];
            } else {
                j->f->S[ep_at(j->f, c, j->top[c])] -=
                    w->share * w->sink_W * j->area_m2[c] / area_m2;
            }
        }
    }
}

static scene set_scene(const ep_jar *j)
{
    scene s = {.radiative_frac = 0.0};
    const double *x = j->c->factors.f;
    s.level_m = ep_jar_surface_m(j, j->wick[0].foot);
    s.freeboard_m = ep_max(0.0, ep_vessel_height_m(&j->c->vessel) - s.level_m);
    s.radius_m = sqrt(ep_vessel_area_m2(&j->c->vessel, s.level_m) / EP_PI);
    s.rim_view = ep_view_to_rim(s.radius_m, s.freeboard_m);
    for (int n = 0; n < j->n_flames; n++) {
        const jar_wick *w = &j->wick[j->flame[n].wick];
        double heat_W = w->lit ? w->rate_kg_s * j->c->melt.lhv_J_kg.value : 0.0;
        s.rate_kg_s += w->lit ? w->rate_kg_s : 0.0;
        s.radiative_frac += w->radiative_frac / j->n_flames;
        s.radiant_W[n] = heat_W * w->radiative_frac * x[EP_UNC_RADIATION];
        s.foot_W[n] = heat_W * FOOT_SHARE * x[EP_UNC_FLAME_BASE] + w->core_W;
        s.flame_m[n] = w->flame_m;
        s.base_m[n] = ep_jar_surface_m(j, w->foot);
    }
    return s;
}

void ep_jar_assemble(ep_jar *j)
{
    scene s = set_scene(j);
    wall_means(j, s.level_m);
    warm_air(j, &s);
    ep_jar_conduct(j);
    double sheltered = 1.0 - 0.5 * ep_min(1.0, s.freeboard_m / (2.0 * s.radius_m));
    s.film_W_m2K = ep_top_film_W_m2K(mean_surface_C(j), j->room_air_C, 2.0 * s.radius_m) *
                   sheltered * j->c->factors.f[EP_UNC_LOSS_TOP];
    j->pool_film_W_m2K = s.film_W_m2K;
    j->into_pool_W = j->into_wall_W = 0.0;
    inside(j, &s);
    share_with_wall(j, &s);
    outside(j);
    for (int n = 0; n < j->n_wicks; n++) {
        if (j->wick[n].lit) {
            wick_sink(j, &j->wick[n]);
        }
    }
    ep_field_ready(j->f);
}
