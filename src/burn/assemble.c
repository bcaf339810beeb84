// Conductances, losses and flame heat of the grid for the next step. Everything here is frozen
// while the step runs. Equations B8-B16 in docs/physics/burn.md, L1-L6 in losses.md.
#include <math.h>
#include <string.h>

#include "burn/jar_int.h"
#include "burn/losses.h"

// how much better than still melt the pool carries heat outward, and downward (physics notes:
// surface-tension flow; 10 to 40 and 1 to 2 are plausible)
static const double STIR_OUT = 20.0, STIR_DOWN = 1.2;
// an unlit pool cools from above and overturns
static const double STIR_UNLIT = 3.0;
// below this depth the pool's own floor holds the flow back
static const double STIR_DEPTH_M = 3e-3;
// flame heat given to the wax round the wick's foot, share of heat release, and its spread
static const double FOOT_SHARE = 0.02, FOOT_SPREAD_M = 6e-3;
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

// conductivities of one wax cell, outward and downward
static void wax_conductivity(ep_jar *j, int i, int k)
{
    const ep_melt *m = &j->c->melt;
    const double *x = j->c->factors.f;
    const size_t cell = ep_at(j->f, i, k);
    double liquid = ep_jar_liquid(j, i, k);
    double k_W_mK = m->k_liquid_W_mK.value;
    double still_W_mK =
        (1.0 - liquid) * m->k_solid_W_mK.value * x[EP_UNC_SOLID_K] + liquid * k_W_mK;
    j->k_out[cell] = j->k_down[cell] = still_W_mK;
    // only melt that is more liquid than not flows, and only in a pool open to the air
    double flows = 2.0 * liquid - 1.0;
    if (i >= j->n_pool || !(flows > 0.0)) {
        return;
    }
    double out = STIR_UNLIT, down = STIR_UNLIT;
    if (j->lit) {
        double deep = ep_min(1.0, j->depth_m[i] / STIR_DEPTH_M);
        out = 1.0 + (STIR_OUT * x[EP_UNC_STIRRING] - 1.0) * deep;
        down = STIR_DOWN;
    }
    j->k_out[cell] += flows * k_W_mK * (out - 1.0);
    j->k_down[cell] += flows * k_W_mK * (down - 1.0);
}

static bool filled(const ep_jar *j, int i, int k)
{
    return i >= 0 && i < j->nr && k >= 0 && k < j->nz && j->f->mass[ep_at(j->f, i, k)] > 0.0;
}

// conductivity and height of every cell; clears what the last step left
static void prepare_cells(ep_jar *j)
{
    ep_field *f = j->f;
    const double wall_W_mK = j->c->wall->prop[EP_CONTAINER_K].value;
    for (int i = 0; i < j->nr; i++) {
        for (int k = 0; k < j->nz; k++) {
            size_t cell = ep_at(f, i, k);
            f->G_r[cell] = f->G_z[cell] = f->G_out[cell] = f->S[cell] = 0.0;
            j->height_m[cell] = 0.0;
            if (!(f->mass[cell] > 0.0)) {
                continue;
            }
            j->height_m[cell] = ep_jar_dz_m(j, k);
            if (j->space[cell] == JAR_WALL) {
                j->k_out[cell] = j->k_down[cell] = wall_W_mK;
            } else {
                wax_conductivity(j, i, k);
                if (k == j->top[i]) {
                    j->height_m[cell] = ep_jar_top_height_m(j, i);
                }
            }
        }
    }
}

static void inner_faces(ep_jar *j)
{
    ep_field *f = j->f;
    const size_t up = (size_t)f->stride;
    for (int i = 0; i < j->nr; i++) {
        const bool last = i + 1 == j->nr;
        const double half_m = 0.5 * (j->r_m[i + 1] - j->r_m[i]);
        const double next_half_m = last ? 0.0 : 0.5 * (j->r_m[i + 2] - j->r_m[i + 1]);
        const double round_m = 2.0 * EP_PI * j->r_m[i + 1];
        for (int k = 0; k < j->nz; k++) {
            const size_t cell = ep_at(f, i, k);
            const double h_m = j->height_m[cell];
            if (!(h_m > 0.0)) {
                continue;
            }
            if (!last && j->height_m[cell + up] > 0.0) {
                f->G_r[cell] = round_m * ep_min(h_m, j->height_m[cell + up]) /
                               (half_m / j->k_out[cell] + next_half_m / j->k_out[cell + up]);
            }
            if (k + 1 < j->nz && j->height_m[cell + 1] > 0.0) {
                double area_m2 = j->ring_m2[i] * ep_min(j->fill[cell], j->fill[cell + 1]);
                f->G_z[cell] = 2.0 * area_m2 / (h_m / j->k_down[cell] +
                                                j->height_m[cell + 1] / j->k_down[cell + 1]);
            }
        }
    }
}

// one outer face: film to its surroundings and a flux that lands on it (Eq. F5)
typedef struct face {
    double area_m2, half_m, k_W_mK, film_W_m2K, air_C, flux_W_m2;
} face;

// returns the part of the flux that enters the cell, W
static double add_face(ep_field *f, size_t cell, face x)
{
    if (!(x.film_W_m2K > 0.0)) {
        f->S[cell] += x.area_m2 * x.flux_W_m2;
        return x.area_m2 * x.flux_W_m2;
    }
    double half_W_m2K = x.k_W_mK / x.half_m;
    double share = half_W_m2K / (half_W_m2K + x.film_W_m2K);
    double g_W_K = x.area_m2 * x.film_W_m2K * share;
    f->G_out[cell] += g_W_K;
    f->S[cell] += g_W_K * x.air_C + x.area_m2 * x.flux_W_m2 * share;
    return x.area_m2 * x.flux_W_m2 * share;
}

static double mean_surface_C(const ep_jar *j)
{
    double sum = 0.0, area_m2 = 0.0;
    for (int i = 0; i < j->nr_in; i++) {
        if (j->top[i] >= j->low[i]) {
            sum += j->ring_m2[i] * j->f->T[ep_at(j->f, i, j->top[i])];
            area_m2 += j->ring_m2[i];
        }
    }
    return area_m2 > 0.0 ? sum / area_m2 : j->c->ambient_C;
}

// air over the wax: warmed by what the jar traps of the flame's heat, Eq. B12
static void warm_air(ep_jar *j, const ep_flame_now *flame, double freeboard_m, double width_m)
{
    j->room_air_C = j->c->ambient_C;
    j->oxygen_frac = 0.232;
    if (!(flame->rate_kg_s > 0.0)) {
        return;
    }
    double depth = (freeboard_m / width_m - 0.2) / 1.3;
    double trapped = 0.3 * ep_min(ep_max(depth, 0.0), 1.0) * j->c->factors.f[EP_UNC_WARM_AIR];
    double gas_kg_per_kg = 15.0 * j->c->melt.air_fuel;
    j->room_air_C += trapped * (1.0 - flame->radiative_frac) * j->c->melt.lhv_J_kg.value /
                     (gas_kg_per_kg * 1010.0);
    j->oxygen_frac *= 1.0 - 0.35 * trapped;
}

// flux of the line source on a horizontal surface z above the pool: only what burns above it shines
static double shine_down_W_m2(const ep_flame_now *flame, double power_W, double r_m, double z_m)
{
    double z1_m = ep_min(FLAME_STARTS_M, 0.5 * flame->flame_m), z2_m = flame->flame_m;
    double low_m = ep_max(z1_m - z_m, 0.5e-3), high_m = z2_m - z_m;
    if (!(high_m > low_m)) {
        return 0.0;
    }
    double above_W = power_W * (high_m - low_m) / (z2_m - z1_m);
    return ep_line_on_pool_W_m2(above_W, low_m, high_m, r_m);
}

static double foot_norm_m2(const ep_jar *j)
{
    double sum_m2 = 0.0;
    for (int i = 0; i < j->nr_in; i++) {
        double r = 0.5 * (j->r_m[i] + j->r_m[i + 1]) / FOOT_SPREAD_M;
        sum_m2 += j->ring_m2[i] * exp(-r * r);
    }
    return sum_m2;
}

typedef struct scene {
    const ep_flame_now *flame;
    double level_m, radiant_W, foot_W, foot_m2;
    double film_W_m2K, rim_view, width_m;
} scene;

static double wax_takes(const ep_jar *j)
{
    return WAX_ABSORBS * j->c->melt.absorb_factor.value * j->c->factors.f[EP_UNC_ABSORB];
}

static void wax_surface(ep_jar *j, const scene *s, int i, double *into_W)
{
    ep_field *f = j->f;
    const int k = j->top[i];
    const size_t cell = ep_at(f, i, k);
    const double r_m = 0.5 * (j->r_m[i] + j->r_m[i + 1]);
    const double area_m2 = j->ring_m2[i] * j->fill[cell];
    const double room_W_m2K =
        ep_radiation_W_m2K(f->T[cell], j->c->ambient_C, WAX_EMISSIVITY) * s->rim_view;
    const double film_W_m2K = s->film_W_m2K + room_W_m2K;
    face x = {.area_m2 = area_m2,
              .half_m = 0.5 * ep_jar_top_height_m(j, i),
              .k_W_mK = j->k_down[cell],
              .film_W_m2K = film_W_m2K,
              .air_C = (s->film_W_m2K * j->room_air_C + room_W_m2K * j->c->ambient_C) / film_W_m2K};
    if (s->radiant_W > 0.0) {
        double above_m = ep_jar_surface_m(j, i) - s->level_m;
        double r = r_m / FOOT_SPREAD_M;
        x.flux_W_m2 =
            wax_takes(j) * shine_down_W_m2(s->flame, s->radiant_W, r_m, ep_max(above_m, 0.0)) +
            s->foot_W * exp(-r * r) / s->foot_m2;
    }
    *into_W += add_face(f, cell, x);
    // what does not reach the rim is exchanged with the wall; frozen, so it sums to nothing
    double to_wall_W = area_m2 * (1.0 - s->rim_view) *
                       ep_radiation_W_m2K(f->T[cell], j->wall_mean_C, WAX_EMISSIVITY) *
                       (f->T[cell] - j->wall_mean_C);
    f->S[cell] -= to_wall_W;
}

// a vertical wax or wall face that looks at the flame
static void inward_face(ep_jar *j, const scene *s, int i, int k, double takes, double *into_W)
{
    ep_field *f = j->f;
    const size_t cell = ep_at(f, i, k);
    double z_m = j->z_m[k] + 0.5 * ep_jar_dz_m(j, k) - s->level_m;
    face x = {.area_m2 = 2.0 * EP_PI * j->r_m[i] * j->height_m[cell],
              .half_m = 0.5 * (j->r_m[i + 1] - j->r_m[i]),
              .k_W_mK = j->k_out[cell],
              .film_W_m2K = INSIDE_FILM_W_m2K * j->c->factors.f[EP_UNC_LOSS_TOP],
              .air_C = j->room_air_C};
    if (s->radiant_W > 0.0) {
        double z1_m = ep_min(FLAME_STARTS_M, 0.5 * s->flame->flame_m);
        x.flux_W_m2 = takes * ep_line_on_wall_W_m2(s->radiant_W, z1_m, s->flame->flame_m,
                                                   j->r_m[i], z_m);
    }
    *into_W += add_face(f, cell, x);
}

static void inside(ep_jar *j, const scene *s, ep_flame_now *flame)
{
    const double wall_takes = ep_wall_absorptance(j->c->wall);
    for (int i = 0; i < j->nr_in; i++) {
        if (j->top[i] >= j->low[i]) {
            wax_surface(j, s, i, &flame->into_pool_W);
        }
    }
    for (int i = 1; i < j->nr; i++) {
        for (int k = j->n_base; k < j->nz; k++) {
            size_t inner = ep_at(j->f, i - 1, k);
            if (!filled(j, i, k) || filled(j, i - 1, k) || j->space[inner] != JAR_WAX_SPACE) {
                continue;
            }
            bool wax = j->space[ep_at(j->f, i, k)] == JAR_WAX_SPACE;
            inward_face(j, s, i, k, wax ? wax_takes(j) : wall_takes,
                        wax ? &flame->into_pool_W : &flame->into_wall_W);
        }
    }
}

// give the wall what the wax surface radiates to it, by inner area above the wax
static void share_with_wall(ep_jar *j, const scene *s)
{
    double power_W = 0.0, area_m2 = 0.0;
    for (int i = 0; i < j->nr_in; i++) {
        if (j->top[i] >= j->low[i]) {
            size_t cell = ep_at(j->f, i, j->top[i]);
            power_W += j->ring_m2[i] * j->fill[cell] * (1.0 - s->rim_view) *
                       ep_radiation_W_m2K(j->f->T[cell], j->wall_mean_C, WAX_EMISSIVITY) *
                       (j->f->T[cell] - j->wall_mean_C);
        }
    }
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 1; i < j->nr; i++) {
            for (int k = j->n_base; k < j->nz; k++) {
                size_t cell = ep_at(j->f, i, k), inner = ep_at(j->f, i - 1, k);
                if (j->space[cell] != JAR_WALL || j->space[inner] != JAR_WAX_SPACE ||
                    filled(j, i - 1, k)) {
                    continue;
                }
                double face_m2 = 2.0 * EP_PI * j->r_m[i] * j->dz_m;
                if (pass == 0) {
                    area_m2 += face_m2;
                } else {
                    j->f->S[cell] += power_W * face_m2 / area_m2;
                }
            }
        }
        if (!(area_m2 > 0.0)) {
            // nothing of the wall is free: the room takes it
            return;
        }
    }
}

static void outside(ep_jar *j)
{
    ep_field *f = j->f;
    const ep_burn_case *c = j->c;
    const double *x = c->factors.f;
    double tall_m = ep_vessel_height_m(&c->vessel) + c->vessel.base_m;
    double wide_m = 2.0 * (j->radius_m[j->nz - 1] + c->vessel.wall_m);
    double film_W_m2K = ep_wall_film_W_m2K(j->wall_outer_C, c->ambient_C, tall_m, wide_m);
    double emissivity = c->wall->prop[EP_CONTAINER_EMISSIVITY].value;
    for (int k = 0; k < j->nz; k++) {
        int i = j->nr - 1;
        while (i > 0 && j->space[ep_at(f, i, k)] == JAR_OUTSIDE) {
            i--;
        }
        size_t cell = ep_at(f, i, k);
        double outer_m = j->radius_m[k] + c->vessel.wall_m;
        double h_W_m2K = (film_W_m2K + ep_radiation_W_m2K(f->T[cell], c->ambient_C, emissivity)) *
                         x[EP_UNC_LOSS_SIDE];
        add_face(f, cell, (face){.area_m2 = 2.0 * EP_PI * outer_m * ep_jar_dz_m(j, k),
                                 .half_m = 0.5 * (j->r_m[i + 1] - j->r_m[i]),
                                 .k_W_mK = c->wall->prop[EP_CONTAINER_K].value,
                                 .film_W_m2K = h_W_m2K,
                                 .air_C = c->ambient_C});
    }
    for (int i = 0; i < j->nr; i++) {
        size_t cell = ep_at(f, i, 0);
        if (j->space[cell] == JAR_WALL) {
            add_face(f, cell, (face){.area_m2 = j->ring_m2[i] * j->fill[cell],
                                     .half_m = 0.5 * j->dz_base_m,
                                     .k_W_mK = c->wall->prop[EP_CONTAINER_K].value,
                                     .film_W_m2K = TABLE_FILM_W_m2K * x[EP_UNC_LOSS_SIDE],
                                     .air_C = c->ambient_C});
        }
    }
}

static void wall_means(ep_jar *j)
{
    double inner = 0.0, n_inner = 0.0, outer = 0.0;
    for (int k = 0; k < j->nz; k++) {
        int i = j->nr - 1;
        while (i > 0 && j->space[ep_at(j->f, i, k)] == JAR_OUTSIDE) {
            i--;
        }
        double T_C = j->f->T[ep_at(j->f, i, k)];
        outer += T_C / j->nz;
        if (j->z_m[k] > ep_jar_surface_m(j, 0)) {
            inner += T_C;
            n_inner += 1.0;
        }
    }
    j->wall_outer_C = outer;
    j->wall_mean_C = n_inner > 0.0 ? inner / n_inner : outer;
}

// the melt drawn by the wick is hotter than the mean surface it is taken from: the difference
// leaves from the cells round the wick
static void wick_sink(ep_jar *j, double sink_W)
{
    double area_m2 = 0.0;
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < j->n_pool && j->r_m[i] < FOOT_SPREAD_M; i++) {
            if (j->top[i] < j->low[i]) {
                continue;
            }
            if (pass == 0) {
                area_m2 += j->ring_m2[i];
            } else {
                j->f->S[ep_at(j->f, i, j->top[i])] -= sink_W * j->ring_m2[i] / area_m2;
            }
        }
    }
}

void ep_jar_assemble(ep_jar *j, ep_flame_now *flame)
{
    const double level_m = ep_jar_surface_m(j, 0);
    const double freeboard_m = ep_max(0.0, ep_vessel_height_m(&j->c->vessel) - level_m);
    const double radius_m = ep_vessel_radius_m(&j->c->vessel, level_m);
    const double *x = j->c->factors.f;
    wall_means(j);
    warm_air(j, flame, freeboard_m, 2.0 * radius_m);
    prepare_cells(j);
    inner_faces(j);

    double heat_W = flame->rate_kg_s * j->c->melt.lhv_J_kg.value;
    double sheltered = 1.0 - 0.5 * ep_min(1.0, freeboard_m / (2.0 * radius_m));
    scene s = {.flame = flame,
               .level_m = level_m,
               .radiant_W = heat_W * flame->radiative_frac * x[EP_UNC_RADIATION],
               .foot_W = heat_W * FOOT_SHARE * x[EP_UNC_FLAME_BASE],
               .foot_m2 = foot_norm_m2(j),
               .rim_view = ep_view_to_rim(radius_m, freeboard_m),
               .width_m = 2.0 * radius_m};
    s.film_W_m2K = ep_top_film_W_m2K(mean_surface_C(j), j->room_air_C, s.width_m) * sheltered *
                   x[EP_UNC_LOSS_TOP];
    flame->into_pool_W = flame->into_wall_W = 0.0;
    inside(j, &s, flame);
    share_with_wall(j, &s);
    outside(j);
    wick_sink(j, flame->sink_W);
    ep_field_ready(j->f);
}
