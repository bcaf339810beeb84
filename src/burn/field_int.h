// What the files of the field share: stages and how they are spread over blocks and threads
// (field_stage.c), the wall's own conduction (field_wall.c).
#pragma once
#include <stdbool.h>

#include "burn/field.h"

// Loops are compiled once per vector width and chosen at start-up. Every width does the same
// operations in the same order per cell (contraction is off), so the bytes do not change.
#if defined(__x86_64__) && defined(__GNUC__)
#define FIELD_WIDE __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define FIELD_WIDE
#endif

// Power that comes in from the neighbours, W (Eq. F4); T is read at neighbours
#define FIELD_FLAT_POWER(T)                                                                        \
    (G_x[c] * (T[c + up] - T[c]) + G_x[c - up] * (T[c - up] - T[c]) + G_z[c] * (T[c + 1] - T[c]) + \
     G_z[c - 1] * (T[c - 1] - T[c]))

// widest vector in doubles: columns begin where one can be loaded at once
enum { FIELD_LANES = 8 };

// larger than any enthalpy or step
static const double FIELD_FAR = 1e30;

// power through outer faces and from sources, W: what the ledger integrates
typedef struct edge_sum {
    double net_W, all_W;
} edge_sum;

typedef struct stage_coef {
    double mu, nu, rest, mut_tau_s, gat_tau_s;
} stage_coef;

// one stage: y from y_1 and what y held (y_{j-2}); T belongs to y_1, T_new to the result
typedef struct stage_work {
    stage_coef k;
    bool first;
    const double *T, *y_1;
    double *y, *T_new;
} stage_work;

// stages that follow each other, done together block by block
enum { FIELD_DEEPEST = 4 };
typedef struct stage_group {
    int n;
    stage_work stage[FIELD_DEEPEST];
    edge_sum sum[FIELD_DEEPEST];  // result
} stage_group;

// field_stage.c
void ep_field_find_blocks(ep_field *f);  // stretches and outer cells, sorted into blocks
int ep_field_depth(const ep_field *f);   // stages worth doing together
void ep_field_stages(ep_field *f, stage_group *g);
void ep_field_unpair(ep_field *f);

// field_band.c: symmetric, positive definite, banded
enum { FIELD_WIDEST_BAND = 8 };  // wider ones cost more than the stages they save
typedef struct band_system {
    int n, band;
    double *a;        // matrix: row i holds a_ii, a_i,i-1 .. a_i,i-band; owns all below
    double *x;        // right side, then solution
    int middle, end;  // cells between the two sides
    double *before, *behind, *cross, *inv_d;  // factors
} band_system;
bool ep_band_take(band_system *s, int n, int band);  // false = no memory
void ep_band_free(band_system *s);
void ep_band_factor(band_system *s);  // after a was set
void ep_band_solve(const band_system *s);

// field_wall.c: the conduction from wall cell to wall cell, taken out of the explicit limit
void ep_field_wall_ready(ep_field *f);  // after masses and conductances changed
void ep_field_wall_free(ep_field *f);
int ep_field_wall_cells(const ep_field *f);      // that can be treated apart, 0 = none
double ep_field_wall_step_s(const ep_field *f);  // their explicit limit then
void ep_field_wall_begin(ep_field *f, double lag_s);
void ep_field_wall_end(ep_field *f);
bool ep_field_wall_on(const ep_field *f);
void ep_field_wall_stage(ep_field *f, const stage_work *s);  // adds the wall's rate to a stage
