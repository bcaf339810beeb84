/// The burn engine: one candle of one to six wicks in a round, rectangular or oval vessel, from the
/// first match to the end of the jar. A const case goes in, a trace comes out; a candle that drowns
/// or starves is a result, not an error. Model: docs/physics/burn.md (B1..), wick.md (W1..),
/// field.md (F1..). Needs: base, vessel, matter, recipe. Same case, same build: same bytes.
#pragma once
#include <stdbool.h>
#include <stddef.h>

#include "matter/melt.h"
#include "matter/wick.h"
#include "vessel/vessel.h"

/// Changes when any forecast number may move; stored with every forecast.
#define EP_ENGINE_VERSION "4"

/// Uncertain multipliers of the nominal laws: what an ensemble draws and what later learning
/// sharpens. X(ID, key, owner, low, high, label): low..high is the prior's 90 % interval about 1;
/// LAW rows take their interval from the material's own lo..hi instead.
// clang-format off
#define EP_FACTOR_PRIORS(X)                                                                        \
    X(FEED, "feed", "wick series", LAW, 0.0, 0.0, "what the wick carries")                         \
    X(EVAPORATION, "evaporation", "wick series", OWN, 0.85, 1.18, "what a millimetre of wick burns") \
    X(FLAME_BASE, "flame_base", "wick series", OWN, 0.60, 1.50, "heat from the flame's foot")      \
    X(RADIATION, "radiation", "wick series", OWN, 0.85, 1.15, "flame radiation")                   \
    X(STIRRING, "stirring", "wax", OWN, 0.60, 1.70, "how well the pool stirs heat outward")        \
    X(MELT_POINT, "melt_point", "wax", LAW, 0.0, 0.0, "melting range, moved as a whole")           \
    X(LATENT, "latent", "wax", LAW, 0.0, 0.0, "heat of melting")                                   \
    X(SOLID_K, "solid_conductivity", "wax", LAW, 0.0, 0.0, "conductivity of the solid")            \
    X(VISCOSITY, "viscosity", "wax", LAW, 0.0, 0.0, "viscosity of the melt")                       \
    X(ABSORB, "absorb", "wax", OWN, 0.85, 1.12, "radiation the pool takes up")                     \
    X(LETS_GO, "lets_go", "wax", OWN, 0.70, 1.35, "melt in a ring before it slides down the wall") \
    X(LOSS_TOP, "loss_top", "container", OWN, 0.75, 1.30, "heat lost from the pool's surface")     \
    X(LOSS_SIDE, "loss_side", "container", OWN, 0.80, 1.25, "heat lost from the wall")             \
    X(WARM_AIR, "warm_air", "container", OWN, 0.40, 1.80, "warming of the air in the jar")         \
    X(SCATTER, "scatter", "candle", OWN, 0.93, 1.075, "candle to candle: burn rate")
// clang-format on

typedef enum ep_uncertain {
#define X(id, key, owner, how, lo, hi, label) EP_UNC_##id,
    EP_FACTOR_PRIORS(X)
#undef X
        EP_UNC_COUNT_
} ep_uncertain;

const char *ep_uncertain_key(ep_uncertain u);
const char *ep_uncertain_owner(ep_uncertain u);
const char *ep_uncertain_label(ep_uncertain u);

/// Factors on the nominal laws; all 1 = nominal. MELT_POINT is a shift in kelvin, nominal 0.
typedef struct ep_factors {
    double f[EP_UNC_COUNT_];
} ep_factors;

ep_factors ep_factors_nominal(void);

enum { EP_MAX_SESSIONS = 64 };

/// Ranges of ep_burn_case_check that a recipe is held to as well; src/app/recipes.def repeats them
/// for the pages, tests/app holds the two to each other.
#define EP_BURN_FILL_MIN_M 8e-3
#define EP_BURN_STOP_MAX_M 60e-3

/// What the maker does: the same lit and rest hours again and again to the end of the jar.
typedef struct ep_schedule {
    double lit_s;         ///< one session, 0.1..24 h
    double rest_s;        ///< between sessions, 0..14 d
    double trim_m;        ///< wick length at lighting; 0 = never trimmed after the first lighting
    double first_wick_m;  ///< length of the wick as sold, first lighting; 0 = trim_m
    int max_sessions;     ///< 1..EP_MAX_SESSIONS
} ep_schedule;

/// One candle and its surroundings. All plain data, borrowed for the run.
typedef struct ep_burn_case {
    ep_vessel vessel;
    const ep_material *wall;  ///< container material
    ep_melt melt;
    ep_wick_law wick;              ///< every wick is of this size
    int n_wicks;                   ///< 1..EP_MAX_WICKS
    ep_place place[EP_MAX_WICKS];  ///< inside the vessel at every height that holds wax
    double fill_height_m;          ///< cold wax level
    double neck_m;                 ///< height of the wick tab's neck above the floor, 0..30 mm
    double stop_height_m;          ///< wax left when the label says stop
    double ambient_C;              ///< room, 0..45
    double draught_m_s;  ///< fluctuating air speed at the flame, 0..1; lowers the smoke point
    ep_schedule schedule;
    ep_factors factors;
    double grid_m;     ///< target cell size, 0.5..4 mm
    double step_s;     ///< longest lit step, 5..120
    int threads;       ///< 1 or 2 for one candle; the result does not depend on it
    bool keep_frames;  ///< keep pictures of the field for the page
    bool whole_plan;   ///< lay out all of the jar as a plan grid where rings or a part would do
    /// Asked between samples whether the answer is still wanted; false ends the run with
    /// EP_E_STATE. NULL = always wanted. Called by the thread that runs the burn, so it must be
    /// thread-safe when several do.
    bool (*wanted)(void *ctx);
    void *wanted_ctx;
} ep_burn_case;

/// Defaults by value: one wick in the centre, 4 h lit, 20 h rest, 6 mm trim, 21 C room, 2 mm grid,
/// 60 s steps, neck 8 mm, stop 12.7 mm.
ep_burn_case ep_burn_case_default(void);

/// Is the case computed on rings (round vessel, one wick in its centre)? Any other takes a plan
/// grid, which costs some hundred times as much at the same cell size.
bool ep_burn_case_rings(const ep_burn_case *c);

/// Refuse what the engine cannot burn; the error names the field.
ep_status ep_burn_case_check(const ep_burn_case *c, ep_err *err);

/// Why a session ended.
typedef enum ep_out {
    EP_OUT_NOT,      ///< put out on time
    EP_OUT_DROWNED,  ///< flame lost in its own pool
    EP_OUT_STARVED,  ///< wick too thin, too short or too dry to hold a flame
    EP_OUT_END       ///< wax down to the neck: the end of the jar
} ep_out;
const char *ep_out_key(ep_out out);  ///< "", "drowned", "starved", "end"

/// Melted share of the way to the wall from which on the pool counts as at the wall.
#define EP_AT_WALL_FRAC 0.995

/// The candle at one moment. Units in the names; NAN where nothing can be said (no pool).
// clang-format off
#define EP_SAMPLE_LIST(X)                                                   \
    X(rate_kg_s)          /* burn rate */                                   \
    X(level_m)            /* pool or wax surface above the floor, axis */   \
    X(reach_frac)         /* melted share of the way to the wall, worst direction */ \
    X(touch_frac)         /* share of the wall the pool touches */          \
    X(ring_m)             /* wax between pool and wall, thickest direction */ \
    X(pool_width_m)       /* widest pool */                                 \
    X(pool_narrow_m)      /* narrowest pool */                              \
    X(depth_axis_m)       /* liquid below the flame */                      \
    X(depth_mid_m)        /* half-way to the wall */                        \
    X(depth_wall_m)       /* at the wall */                                 \
    X(hangup_kg)          /* wax left standing above the pool's level */         \
    X(pool_bulk_C)        /* mean of the liquid */                          \
    X(pool_edge_C)        /* surface, outermost liquid place */             \
    X(pool_wick_C)        /* surface beside the wick */                     \
    X(wall_max_C)         /* hottest place of the outer wall */             \
    X(wall_max_at_m)      /* its height above the floor */                  \
    X(flame_m)            /* pool surface to tip */                         \
    X(exposed_m)          /* wick above the pool */                         \
    X(flame_gap_m)        /* flame to wall, least */                        \
    X(flame_apart_m)      /* axis to axis of lit flames, least */                   \
    X(flames_in_one)      /* most flames that burn as one, 1 = all stand alone */ \
    X(flicker_Hz)         /* beat of such a common flame, 0 = steady */     \
    X(soot_margin_m)      /* smoke point less flame height; below 0 soots */\
    X(cap_index)          /* carbon head: growth so far, 0..3 scale */      \
    X(stress_index)       /* thermal stress / design strength of the wall */\
    X(scent_rel)          /* evaporation of fragrance, 1 = 70 mm at 70 C */ \
    X(left_kg)            /* wax not yet burned */
// clang-format on

typedef struct ep_sample {
    double t_s;     ///< since the very first lighting
    double lit_s;   ///< lit time so far, all sessions
    double minute;  ///< since this session's lighting
    int session;    ///< 1, 2, ...
    bool lit;
#define X(name) double name;
    EP_SAMPLE_LIST(X)
#undef X
} ep_sample;

/// One session, for the judge and the tables. Of a match that lit nothing: no melt, the wall as
/// warm as the room, and NAN where a width would have to be read.
typedef struct ep_session_sum {
    int number;
    double start_lit_s, lit_s;
    double burned_kg;  ///< gone from the scale: burned, or boiled off
    double reach_end_frac, reach_max_frac;
    double touch_end_frac;            ///< share of the wall the pool touches, at the end
    double ring_end_m, ring_least_m;  ///< wax between pool and wall, thickest direction
    double wall_reached_s;            ///< since lighting; NAN when the pool did not get there
    double depth_mid_m, depth_wall_m, hangup_kg;  ///< at the end
    double wall_max_C, flame_max_m, pool_bulk_C, cap_index, soot_margin_min_m, stress_max;
    double exposed_end_m;
    double flame_gap_m;  ///< flame to wall, at the end; NAN when it never burned
    double flicker_Hz;   ///< fastest beat of flames that burn as one, 0 = none
    int wicks_out;       ///< flames that went out by themselves, mirror images counted
    double left_frac;
    double inner_m;  ///< inner diameter at the level burned
    ep_out out;
} ep_session_sum;

/// A picture of the field: T and melt on the run's grid, row by row from the floor.
typedef struct ep_frame {
    double lit_s, minute, level_m, flame_m, exposed_m;
    int session;
    bool lit;
    short *T_C;           ///< nr*nz, -1 = air; arena of the trace
    unsigned char *melt;  ///< nr*nz, 0..100
} ep_frame;

enum { EP_MAX_FRAMES = 96 };

/// Where the heat went over the whole run, J.
typedef struct ep_heat_sums {
    double flame_J;               ///< mass burned at the wicks x heat of combustion
    double to_pool_J, to_wall_J;  ///< taken up from the flame
    double room_J;                ///< lost from wax and wall to the room
    double wick_J;                ///< carried up the wick by the melt
    double vapour_J;              ///< gone with melt that boiled off
    double stored_J;              ///< change of heat held
} ep_heat_sums;

typedef struct ep_trace {
    int n_samples, cap_samples;
    ep_sample *sample;  ///< owned by the trace
    int n_sessions;
    ep_session_sum session[EP_MAX_SESSIONS];
    double fill_kg;         ///< wax at the start
    double burn_to_stop_s;  ///< lit time when the level came to the stop height; NAN = never
    double burn_total_s;
    double left_kg;
    double
        boiled_kg;  ///< of what is gone, as vapour of overheated melt; 0 in a candle that is well
    ep_out end;
    ep_heat_sums heat;
    double ledger_energy_rel, ledger_mass_rel;
    long stages;
    int nr, nz;  ///< grid of the frames: half a section, wax and air inside the
                 ///< vessel, from the centre through the first wick to the wall
    double dr_m, dz_m;
    double section_x, section_y;  ///< unit direction of that half section
    int n_frames;
    ep_frame frame[EP_MAX_FRAMES];
} ep_trace;

/// Burn the candle to its end. On success *out is owned by the caller (ep_trace_destroy).
/// EP_E_ARG from the case check, EP_E_MEMORY, EP_E_DIVERGED when a number stops being finite.
ep_status ep_burn_run(const ep_burn_case *c, ep_trace **out, ep_err *err);
void ep_trace_destroy(ep_trace *t);
/// Another trace like it, without pictures. Owned by the caller. EP_E_MEMORY.
ep_status ep_trace_copy(const ep_trace *t, ep_trace **out);
