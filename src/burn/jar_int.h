// What only the burn room sees: the jar on its columns, and one running burn.
//
// A jar is a set of columns seen from above: rings of a round jar with one centred wick, else
// square cells of a plan grid, of which mirror planes leave a half or a quarter. Everything below
// the plan (settling, losses, readings) asks columns for their area, faces and distance to the
// wicks and does not know which of the two it has.
//
// Masses are exact; heights are those of cold solid wax. A cell of a wax column holds its full
// cold mass, but the topmost one holds 0.5 to 1.6 of it, so the surface moves smoothly and no cell
// is ever too thin for the step. Melt moves between columns with its heat; solid stays where it is.
#pragma once
#include "burn/burn.h"
#include "burn/field.h"
#include "burn/flame.h"
#include "burn/merge.h"

#define EP_PI 3.14159265358979323846
// how far the heat at a flame's foot spreads on the wax
#define EP_FOOT_SPREAD_M 6e-3

static inline double ep_min(double a, double b)
{
    return a < b ? a : b;
}

static inline double ep_max(double a, double b)
{
    return a > b ? a : b;
}

enum jar_space { JAR_OUTSIDE = 0, JAR_WAX_SPACE = 1, JAR_WALL = 2 };

// sides of a column, in the order of its neighbours
enum jar_side { SIDE_PLUS_X, SIDE_MINUS_X, SIDE_PLUS_Y, SIDE_MINUS_Y, SIDES };

// one flame position, for radiation: wicks and their mirror images
typedef struct jar_flame {
    double x_m, y_m;
    int wick;
    double *away_m, *foot;  // columns: distance, and weight of the heat at the flame's foot
    double foot_m2;         // sum of weights over the whole jar
} jar_flame;

// one wick that stands in the part of the jar that is computed
typedef struct jar_wick {
    double x_m, y_m;
    double share;  // of it that lies in the part: 1, 1/2 on a mirror plane, 1/4 on both
    int foot;      // column it stands in
    int flame;     // its own among the jar's flames
    int images;    // flames it stands for: itself and its mirror images
    int pool;      // pool it feeds from
    bool lit;
    double tip_m;  // height of the tip above the floor
    double cap_index;
    // now, while lit
    double rate_kg_s, flame_m, exposed_m, radiative_frac, sink_W;
    double core_W;           // brought down by a metal core
    ep_common_flame common;  // the flame it burns in, once joined with its neighbours
} jar_wick;

// an upright face of the wall, where it stands and what it sees; laid down once
typedef struct wall_face {
    int column, k;
    int inner;       // cell it looks into (inner faces), -1 = the room
    double area_m2;  // of the wall it stands for
    double grid_m2;  // of the grid's own face
    double half_m;   // from the face to the middle of its cell
    double away_m[EP_MAX_WICKS], facing[EP_MAX_WICKS];  // from each flame: distance, cosine
} wall_face;

// melt on its way between columns
typedef struct jar_bucket {
    double mass_kg, heat_J;
} jar_bucket;

typedef struct ep_jar {
    const ep_burn_case *c;
    ep_field *f;
    ep_arena arena;

    bool rings;  // columns are rings
    int nx, ny, n_columns;
    double copies;   // parts that make the whole jar: 1, 2 or 4
    int nz, n_base;  // rows; the lowest n_base are the vessel's base
    double dz_m, dz_base_m;
    double *x_m, *y_m;       // columns: centre (rings: mid radius, 0)
    double *area_m2;         // columns: plan area
    double *len_m[2];        // columns: length of the face towards +x, +y
    double *half_m[2];       // columns: half width along x, y
    double *z_m;             // nz + 1: bottom of the row above the floor (negative in the base)
    double *inner_m;         // nz: half the longer inner side
    double *outline_m;       // nz: height whose outline parts wax space from wall in this row
    double *contact;         // nz: exact inner perimeter over that of the grid
    double *outer_m2;        // nz: exact outer area of the row over that of the grid's outer faces
    unsigned char *space;    // cells
    double *full_kg;         // cells: wax of a full cell; wall: its own mass
    double *fill;            // cells: exact area over grid area, scales axial faces
    int *beside[SIDES];      // columns: neighbour on each side, -1 at the edge of the grid
    int *low, *top;          // columns: lowest wax row, topmost occupied row; top < low = empty
    int *high;               // columns: uppermost row of wax space, below the brim under a shoulder
    double *k_out, *k_down;  // cells: conductivity sideways and downward, this step
    double *height_m;        // cells: this step's height, 0 = empty
    double *depth_m;         // columns: liquid below the surface
    double *near_m;          // columns: distance to the nearest wick
    int *pool;               // columns: pool they belong to, -1 = none
    int *queue;              // columns: scratch of the flood fill
    double *surface_m;       // columns: scratch of the slumping, before any of it
    jar_bucket *runoff;      // columns: what runs onto them in this step
    wall_face *inner_face, *outer_face;
    int n_inner_faces, n_outer_faces;
    int soft_row;  // lowest row with melt at the last two steps; below it nothing changes
    bool conductances_known;

    // state of the burn
    int n_wicks, n_flames;
    jar_wick wick[EP_MAX_WICKS];
    jar_flame flame[EP_MAX_WICKS];
    int n_pools;
    double step_s;  // length of the step just taken
    double wall_mean_C, wall_outer_C;
    double wall_film_W_m2K;  // free convection outside, this step
    double room_air_C;       // air over the wax
    double pool_film_W_m2K;  // free convection over the wax, this step
    double oxygen_frac;
    double into_pool_W, into_wall_W;  // of the part, this step

    // sums of the part, J and kg
    double start_kg, start_J, burned_kg, to_pool_J, to_wall_J, flame_J;
    double drawn_J;              // heat of the melt drawn from cells
    double wick_J;               // drawn_J and what the wicks took beyond it
    double boiled_kg, boiled_J;  // gone as vapour, with its heat
} ep_jar;

// plan_grid.c
ep_status ep_jar_lay_columns(ep_jar *j);
int ep_jar_column_at(const ep_jar *j, double x_m, double y_m);

static inline int ep_jar_beside(const ep_jar *j, int column, int side)
{
    return j->beside[side][column];
}

// length of a column's face on a side; the face belongs to the column on its minus side
static inline double ep_jar_face_m(const ep_jar *j, int column, int side)
{
    const double *len_m = j->len_m[side >= SIDE_PLUS_Y];
    int owner = side == SIDE_PLUS_X || side == SIDE_PLUS_Y ? column : j->beside[side][column];
    return owner >= 0 ? len_m[owner] : 0.0;
}

// wall_faces.c
ep_status ep_jar_lay_faces(ep_jar *j);
// distance and cosine of incidence from each flame to the middle of a column's side
void ep_jar_sight(const ep_jar *j, int column, int side, double *away_m, double *facing);

// feet.c
ep_status ep_jar_lay_feet(ep_jar *j);

// jar.c
ep_status ep_jar_create(const ep_burn_case *c, ep_jar **out);
void ep_jar_destroy(ep_jar *j);
double ep_jar_dz_m(const ep_jar *j, int k);
double ep_jar_surface_m(const ep_jar *j, int column);     // cold height of the column's surface
double ep_jar_top_height_m(const ep_jar *j, int column);  // thickness of its topmost cell
double ep_jar_liquid(const ep_jar *j, int column, int k);
double ep_jar_wax_kg(const ep_jar *j);  // of the part
bool ep_jar_lit(const ep_jar *j);

static inline bool ep_jar_has_wax(const ep_jar *j, int column)
{
    return j->top[column] >= j->low[column];
}

// settle.c: melt finds its level
void ep_jar_settle(ep_jar *j);
double ep_jar_runs_in_m(const ep_jar *j);  // melt that stands less above a pool is of it
// takes mass_kg from the surface of a pool; returns the heat it carried (J above 0 C solid)
double ep_jar_draw(ep_jar *j, int pool, double mass_kg);
double ep_jar_level_m(const ep_jar *j, const jar_wick *w);  // thermal expansion included
double ep_jar_pool_area_m2(const ep_jar *j, int pool);

void ep_jar_empty_cell(ep_jar *j, size_t cell);

// boil.c: vapour of overheated melt leaves, Eq. B31, B32
void ep_jar_boil(ep_jar *j, double tau_s);

// conduct.c: conductances for the next step; clears what came from outside
void ep_jar_conduct(ep_jar *j);
// one outer face: film to its surroundings and heat that lands on it (Eq. F5)
typedef struct jar_face {
    double area_m2, half_m, k_W_mK, film_W_m2K, air_C, heat_W;
} jar_face;
// adds it to its cell; returns the part of the heat that enters the cell, W
double ep_jar_add_face(ep_field *f, size_t cell, jar_face x);

// assemble.c: conductances, losses and flame heat for the next step
void ep_jar_assemble(ep_jar *j);
double ep_wall_absorptance(const ep_material *wall);

// measure.c, pool_shape.c
void ep_jar_measure(const ep_jar *j, const ep_fuel *fuel, ep_sample *s);
double ep_jar_pool_wick_C(const ep_jar *j, const jar_wick *w);
double ep_jar_hottest_K_above(const ep_jar *j, double room_C);

typedef struct pool_shape {
    double reach_frac, touch_frac, ring_m, wide_m, narrow_m;
} pool_shape;
pool_shape ep_jar_pool_shape(const ep_jar *j);
double ep_jar_depth_m(const ep_jar *j, int column);  // clear melt below the surface
double ep_jar_wall_along_m(const ep_jar *j, double height_m, double dir_x, double dir_y);

// trace.c
ep_status ep_trace_create(ep_trace **out);
ep_status ep_trace_add(ep_trace *t, const ep_sample *s);
void ep_trace_frame(ep_trace *t, const ep_jar *j, const ep_sample *s);
