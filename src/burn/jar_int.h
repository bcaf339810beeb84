// What only the burn room sees: the jar on the grid, its wax columns, and one running burn.
//
// Masses are exact; heights are those of cold solid wax. A cell of a wax column holds its full
// cold mass, but the topmost one holds 0.5 to 1.6 of it, so the surface moves smoothly and no cell
// is ever too thin for the step. Melt moves between columns with its heat; solid stays where it is.
#pragma once
#include "burn/burn.h"
#include "burn/field.h"
#include "burn/flame.h"

#define EP_PI 3.14159265358979323846

static inline double ep_min(double a, double b)
{
    return a < b ? a : b;
}

static inline double ep_max(double a, double b)
{
    return a > b ? a : b;
}

enum jar_space { JAR_OUTSIDE = 0, JAR_WAX_SPACE = 1, JAR_WALL = 2 };

typedef struct ep_jar {
    const ep_burn_case *c;
    ep_field *f;
    ep_arena arena;

    int nr, nz;        // grid cells, wall and base included
    int nr_in;         // columns that can hold wax
    int n_base;        // rows of the base
    double dz_m;       // row height above the floor
    double dz_base_m;
    double *r_m;       // nr + 1 faces
    double *ring_m2;   // nr
    double *z_m;       // nz: bottom of the row above the floor (negative in the base)
    double *radius_m;  // nz: inner radius of the row
    unsigned char *space;  // n cells
    double *full_kg;   // n cells: wax of a full cell; wall: its own mass
    double *fill;      // n cells: exact area over grid area, scales axial faces
    int *low, *top;    // nr_in: lowest wax row, topmost occupied row; top < low = empty
    double *k_out, *k_down;  // n cells: conductivity outward and downward, this step
    double *height_m;  // n cells: this step's cell height, 0 = empty

    // state of the burn
    bool lit;
    double step_s;     // length of the step just taken
    double tip_m;      // wick tip above the floor
    double cap_index;
    int n_pool;        // columns from the axis that belong to the pool
    double *depth_m;   // nr_in: liquid below the surface
    double wall_mean_C, wall_outer_C;
    double room_air_C; // air over the wax
    double oxygen_frac;

    // sums, J and kg
    double start_kg, start_J, burned_kg, to_pool_J, to_wall_J, flame_J;
    double drawn_J;  // heat of the melt drawn from cells
    double wick_J;   // drawn_J and what the wick took beyond it
} ep_jar;

// jar.c
ep_status ep_jar_create(const ep_burn_case *c, ep_jar **out);
void ep_jar_destroy(ep_jar *j);
double ep_jar_dz_m(const ep_jar *j, int k);
double ep_jar_surface_m(const ep_jar *j, int i);   // cold height of the column's surface
double ep_jar_top_height_m(const ep_jar *j, int i); // thickness of its topmost cell
double ep_jar_liquid(const ep_jar *j, int i, int k);
double ep_jar_wax_kg(const ep_jar *j);

// settle.c: melt finds its level
void ep_jar_settle(ep_jar *j);
// takes mass_kg from the pool's surface; returns the heat it carried (J above 0 C solid)
double ep_jar_draw(ep_jar *j, double mass_kg);
double ep_jar_level_m(const ep_jar *j);            // pool level, thermal expansion included
double ep_jar_pool_area_m2(const ep_jar *j);

// assemble.c: conductances, losses and flame heat for the next step
typedef struct ep_flame_now {
    double rate_kg_s, flame_m, exposed_m, radiative_frac;
    double sink_W;      // heat the wick's melt takes beyond that of the mean surface
    double into_pool_W, into_wall_W;  // out: what the wax and the wall took up
} ep_flame_now;
void ep_jar_assemble(ep_jar *j, ep_flame_now *flame);
double ep_wall_absorptance(const ep_material *wall);

// measure.c
void ep_jar_measure(const ep_jar *j, const ep_flame_now *flame, const ep_fuel *fuel,
                    ep_sample *s);
double ep_jar_pool_wick_C(const ep_jar *j);
double ep_jar_hottest_K_above(const ep_jar *j, double room_C);

// trace.c
ep_status ep_trace_create(ep_trace **out);
ep_status ep_trace_add(ep_trace *t, const ep_sample *s);
void ep_trace_frame(ep_trace *t, const ep_jar *j, const ep_sample *s);
