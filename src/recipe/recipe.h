/// Formulation arithmetic, revisions and what changed between two of them, weigh-out.
/// Needs: base, vessel, matter. Allocates: nothing.
/// Identities R1-R6 in docs/physics/recipe.md.
#pragma once
#include <stdbool.h>

#include "base/status.h"
#include "matter/melt.h"
#include "vessel/vessel.h"

/// Ranges; outside them a value is refused (EP_E_ARG) with field, value and range.
#define EP_LOAD_MAX_FRAC     0.30  // on its basis
#define EP_DYE_MAX_FRAC      0.05  // of wax
#define EP_ADDITIVE_MAX_FRAC 0.40
#define EP_SHARE_MIN_FRAC    1e-5  // a part that is named is there: at least 0.001 %
#define EP_WICKS_MAX         6
#define EP_TRIM_MIN_M        0.001
#define EP_TRIM_MAX_M        0.015
#define EP_SESSION_MIN_S     900.0  // a quarter of an hour
#define EP_SESSION_MAX_S     86400.0
#define EP_BATCH_MAX         500
#define EP_LOSS_MAX_FRAC     0.25
#define EP_RESIDUE_MAX_KG    0.2
#define EP_RESOLUTION_MIN_KG 0.00001
#define EP_RESOLUTION_MAX_KG 0.01

typedef enum ep_load_basis { EP_LOAD_OF_WAX, EP_LOAD_OF_TOTAL } ep_load_basis;
const char *ep_load_basis_key(ep_load_basis basis);  ///< "of_wax", "of_total"
bool ep_load_basis_find(const char *key, ep_load_basis *out);

/// Mass fractions of the poured mix; they sum to 1.
typedef struct ep_mix {
    double wax_frac, fragrance_frac, dye_frac, additive_frac;
    double load_of_wax, load_of_total;  ///< the same fragrance on both bases
} ep_mix;

/// R1/R2. load on its basis; dye and additives as shares of wax. Ranges: load 0..0.30,
/// dye 0..0.05, additives 0..0.40; errors name "load", "dye", "additives".
ep_status ep_mix_make(double load_frac, ep_load_basis basis, double dye_of_wax_frac,
                      double additive_of_wax_frac, ep_mix *out, ep_err *err);

/// Convert a load between bases with additive share a of wax: P = p/(1+p+a), p = P(1+a)/(1-P).
double ep_load_to_total(double of_wax_frac, double additive_of_wax_frac);
double ep_load_to_wax(double of_total_frac, double additive_of_wax_frac);

/// What a revision says, in ids and SI. Once poured it never changes.
typedef struct ep_share {
    char id[40];
    double frac;
} ep_share;

typedef struct ep_revision {
    char id[40];
    char recipe_id[40];
    int number;  ///< 1, 2, ...
    char container_id[40];
    double fill_height_m;  ///< level of cold wax above the inner floor
    int n_waxes;
    ep_share wax[EP_MAX_BLEND];  ///< shares of the wax, sum 1
    char fragrance_id[40];       ///< "" = unscented
    double load_frac;
    ep_load_basis load_basis;
    char dye_id[40];  ///< "" = undyed
    double dye_of_wax_frac;
    int n_additives;
    ep_share additive[EP_MAX_BLEND];  ///< shares of wax
    char series_id[40];
    char size_id[40];              ///< "" = still to be found
    int wick_count;                ///< 1..6
    int n_places;                  ///< 0 = the default layout of ep_places_default, else wick_count
    ep_place place[EP_MAX_WICKS];  ///< from the centre of the plan
    double trim_m;                 ///< 1..15 mm
    double session_s;              ///< lit time of one burn
    double stop_height_m;          ///< wax left when the label says stop
} ep_revision;

/// Factors of a revision: X(ID, key, label, is it a change that needs the burn test again?)
// clang-format off
#define EP_FACTOR_LIST(X)                                              \
    X(CONTAINER, "container", "container", true)                       \
    X(FILL, "fill", "fill height", true)                               \
    X(WAX, "wax", "wax or blend", true)                                \
    X(FRAGRANCE, "fragrance", "fragrance", true)                       \
    X(LOAD, "load", "fragrance load", true)                            \
    X(DYE, "dye", "dye", true)                                         \
    X(ADDITIVE, "additive", "additives", true)                         \
    X(SERIES, "series", "wick series", true)                           \
    X(SIZE, "size", "wick size", true)                                 \
    X(COUNT, "wick_count", "number of wicks", true)                    \
    X(PLACES, "places", "where the wicks stand", true)                 \
    X(TRIM, "trim", "trim length", true)                               \
    X(SESSION, "session", "burn session length", false)                \
    X(STOP, "stop_height", "stop height", false)
// clang-format on

typedef enum ep_factor {
#define X(id, key, label, retest) EP_FACTOR_##id,
    EP_FACTOR_LIST(X)
#undef X
        EP_FACTOR_COUNT_
} ep_factor;

const char *ep_factor_key(ep_factor f);
const char *ep_factor_label(ep_factor f);
bool ep_factor_needs_retest(ep_factor f);

/// Which factors differ. Loads are compared on the of-total basis to 1e-6, so the same candle
/// stated on the other basis is no change; the same number on the same basis is none either, though
/// another additive share moves it on the other. Wax order does not matter. Returns a bit set (1 <<
/// factor).
unsigned ep_revision_diff(const ep_revision *a, const ep_revision *b);

/// Where the wicks of a revision stand in its vessel: as given, or the default layout.
/// @param out  wick_count of them
void ep_revision_places(const ep_revision *r, const ep_vessel *v, ep_place *out);

/// Check ranges, that wax shares sum to 1 (within 1e-6), that no part stands twice, that fragrance
/// and load (dye and its share) are both there or both absent. EP_E_ARG with field "number",
/// "container", "wax", "load_basis", "load", "dye", "additives", "fill", "session", "stop_height",
/// "series", "wick_count", "places" or "trim". An empty size (and series) is allowed: it is still
/// to be found.
ep_status ep_revision_check(const ep_revision *r, ep_err *err);

/// Masses for n identical candles.
typedef struct ep_weighout {
    int candles;
    double fill_kg;  ///< of one candle, from geometry and the mix's cold density
    double resolution_kg;
    double wax_kg[EP_MAX_BLEND];  ///< whole batch, rounded to the resolution
    double fragrance_kg, dye_kg;
    double additive_kg[EP_MAX_BLEND];
    double total_kg;  ///< sum of the rounded masses
    double loss_frac;
    double load_of_wax, load_of_total;  ///< of the rounded masses
    double rounding_frac;               ///< worst relative change of a component by rounding
} ep_weighout;

/// R5: total = n fill (1 + loss) + fixed residue of the pot. candles 1..500, loss 0..0.25,
/// residue 0..0.2 kg, resolution 0.01 g..10 g.
/// R6: each part is rounded by itself, total_kg is their sum. A part that rounds to nothing shows
/// as rounding_frac 1; when that part is wax it is refused. EP_E_ARG with the field of
/// ep_revision_check or ep_vessel_check, "fill" (above the brim), "density", "candles", "loss",
/// "residue", "resolution".
ep_status ep_weighout_make(const ep_revision *r, const ep_melt *melt, const ep_vessel *v,
                           int candles, double loss_frac, double residue_kg, double resolution_kg,
                           ep_weighout *out, ep_err *err);

/// Fill mass of one candle: cold density x volume to the fill height (wick volume neglected,
/// below 0.3 %). Eq. R4.
double ep_fill_mass_kg(const ep_melt *melt, const ep_vessel *v, double fill_height_m);
