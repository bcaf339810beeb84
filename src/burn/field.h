/// The enthalpy field: heat conduction with melting over a temperature range, finite volumes on
/// columns of cells, stabilised explicit steps (RKL2). Columns stand in nx x ny places of a plan:
/// rings of an axisymmetric jar are ny = 1, any other jar is a plan grid. Knows nothing of flames
/// or candles: conductances, masses and sources are set by the caller. Equations F1-F9 in
/// docs/physics/field.md. Needs: base. Allocates: one arena per field. Thread use: one thread
/// calls; it may let a second one help (ep_field_pair).
#pragma once
#include <stddef.h>

#include "base/arena.h"
#include "base/status.h"

/// The wax's law: specific enthalpy u (J/kg, zero at 0 C, solid) against temperature T (C).
/// Piecewise linear: solid, melting range, liquid. Glass uses the solid line alone.
typedef struct ep_enthalpy_law {
    double solidus_C, liquidus_C;  ///< equal = sharp melting
    double cp_solid_J_kgK, cp_liquid_J_kgK;
    double latent_J_kg;
    // derived by ep_enthalpy_law_make; T = max(min(u a, b + u c), d + u e), Eq. F2
    double a, b, c, d, e;
    double u_solidus_J_kg, u_liquidus_J_kg;
} ep_enthalpy_law;

ep_enthalpy_law ep_enthalpy_law_make(double solidus_C, double liquidus_C, double cp_solid_J_kgK,
                                     double cp_liquid_J_kgK, double latent_J_kg);
double ep_law_T_C(const ep_enthalpy_law *law, double u_J_kg);
double ep_law_u_J_kg(const ep_enthalpy_law *law, double T_C);  ///< sharp law: solid side at T = Tm
double ep_law_liquid_frac(const ep_enthalpy_law *law, double u_J_kg);

/// Cells: column c = j * nx + i of the plan by row k (height); index = c * stride + k. A
/// conductance out of the grid is 0, and empty columns at either end keep the stencil free of
/// branches.
typedef struct ep_field {
    int nx, ny, nz;  ///< columns along x, along y, rows
    int stride;      ///< nz in whole vectors
    size_t n;        ///< nx * ny * stride
    ep_enthalpy_law law;

    // state
    double *u;     ///< J/kg; glass: scaled so that T = u / cp_solid of the wax (Eq. F3)
    double *T;     ///< C, always law(u)
    double *mass;  ///< kg (glass: kg x cp_glass / cp_solid_wax); 0 = empty cell

    // set by the caller before a step; the field only reads them
    double *G_x;    ///< W/K to the column at i + 1 (rings: outward)
    double *G_y;    ///< W/K to the column at j + 1; unused when ny = 1
    double *G_z;    ///< W/K to the row above; 0 in the topmost
    double *G_out;  ///< W/K to the surroundings, summed over the cell's outer faces
    double *S;      ///< W: sum of G_out x surroundings temperature, plus heat given to the cell
    double *wax;    ///< 1 wax, 0 glass or empty

    // work
    double *inv_mass, *y1, *y2, *rate0, *T2, *T3;
    int *edge;  ///< indices with G_out or S not 0
    int n_edge;
    int *run_from,
        *run_to;  ///< stretches of cells that hold something, first and one past the last
    int n_runs;
    int n_blocks;                    ///< neighbouring columns worked on together
    int *block_run, *block_edge;     ///< their first stretch and outer cell; one more at the end
    struct edge_sum *block_sum;      ///< what a stage's outer cells gave, by block
    int wall_block;                  ///< first one that holds wall
    int half_block;                  ///< where the second thread's blocks begin
    double fastest, fastest_wax;     ///< greatest sum of conductances over mass, W/(K kg)
    struct ep_field_helper *helper;  ///< second thread, NULL = none
    struct ep_field_wall *wall;      ///< wall treated apart (Eq. F10), NULL = none

    // ledger, J
    double in_J;       ///< net heat through outer faces and sources since creation
    double through_J;  ///< sum of absolute flows, the yardstick of the residual
    long stages;       ///< stencil passes done

    ep_arena arena;
} ep_field;

/// Memory for nx x ny x nz cells, all empty. EP_E_MEMORY on failure.
ep_status ep_field_create(int nx, int ny, int nz, const ep_enthalpy_law *law, ep_field **out);
void ep_field_destroy(ep_field *f);

static inline size_t ep_at(const ep_field *f, int column, int k)
{
    return (size_t)column * (size_t)f->stride + (size_t)k;
}

/// Let a second thread take half of every stage; worth it above some ten thousand cells. The bytes
/// of the result do not change. EP_E_MEMORY when no thread can be had (the field then works as
/// before).
ep_status ep_field_pair(ep_field *f);

/// Set u of a wax or glass cell from a temperature.
void ep_field_set_T(ep_field *f, size_t cell, double T_C);

/// Recompute T = law(u) everywhere.
void ep_field_sync(ep_field *f);

/// Call after masses, conductances or sources changed: inverse masses, outer cells, stretches.
void ep_field_ready(ep_field *f);

/// Longest stable explicit step, s (Eq. F6: least of mass cp / sum of conductances).
double ep_field_explicit_step_s(const ep_field *f);

/// Advance by tau seconds with one RKL2 step (Eq. F7); the number of stages follows from the
/// stability limit. Updates u, T and the ledger.
void ep_field_step(ep_field *f, double tau_s);

/// Heat held, J above 0 C solid: sum of mass x u.
double ep_field_energy_J(const ep_field *f);
