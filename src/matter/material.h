/// Materials: rows of properties, each with its range, how it is known and where from.
/// One record type serves waxes, fragrances, dyes, additives, container materials and wick
/// constructions; what properties a kind has is a table (ep_prop_defs).
/// Needs: base. Allocates: nothing; builtin rows are static const. Thread use: any.
/// Data: data/waxes.def, data/fragrances.def, data/dyes.def, data/additives.def,
/// data/containers.def, data/wicks.def; sources in data/references.bib.
#pragma once
#include <stdbool.h>

#include "base/status.h"
#include "base/units.h"

/// How a number is known. Order: best first.
// clang-format off
#define EP_HOW_LIST(X)                                                        \
    X(MEASURED, "measured", "measured in this workshop")                      \
    X(READ, "read", "read in the named published source")                     \
    X(DERIVED, "derived", "worked out from named published values")           \
    X(SHEET, "sheet", "from the material's own data sheet")                   \
    X(PRACTICE, "practice", "common practice, no source")                     \
    X(MEMORY, "memory", "from memory, no source; replace it when you can")
// clang-format on

typedef enum ep_how {
#define X(id, key, text) EP_HOW_##id,
    EP_HOW_LIST(X)
#undef X
        EP_HOW_COUNT_
} ep_how;

const char *ep_how_key(ep_how how);
const char *ep_how_text(ep_how how);
bool ep_how_find(const char *key, ep_how *out);

/// One property value with its conscience. SI. lo <= value <= hi: a plausible envelope, which the
/// ensemble reads as a prior (about a 90 % interval).
typedef struct ep_prop {
    double value, lo, hi;
    ep_how how;
    char src[48];  ///< citation key in references.bib, a note of the maker, or ""
} ep_prop;

typedef enum ep_material_kind {
    EP_MAT_WAX,
    EP_MAT_FRAGRANCE,
    EP_MAT_DYE,
    EP_MAT_ADDITIVE,
    EP_MAT_CONTAINER,  ///< the stuff of the wall: glass, tin, ...
    EP_MAT_WICK,       ///< a construction: flat braid, square braid, cored, wooden
    EP_MAT_KIND_COUNT_
} ep_material_kind;

const char *ep_material_kind_key(ep_material_kind kind);  ///< "wax", "fragrance", ...
bool ep_material_kind_find(const char *key, ep_material_kind *out);

/// Properties of a wax. X(ID, key, unit shown, min, max in that unit, label, help)
// clang-format off
#define EP_WAX_PROPS(X)                                                                            \
    X(SOLIDUS, "solidus", DEG_C, 0, 120, "melting starts", "Below this the wax is wholly solid.")  \
    X(LIQUIDUS, "liquidus", DEG_C, 10, 130, "melting ends", "Above this it is wholly liquid.")     \
    X(LATENT, "latent", KJ_KG, 20, 300, "heat of melting", "Whole melting range, in kJ per kg.")   \
    X(CP_SOLID, "cp_solid", J_KGK, 1000, 5000, "specific heat, solid", "")                         \
    X(CP_LIQUID, "cp_liquid", J_KGK, 1000, 4000, "specific heat, liquid", "At 80 C.")              \
    X(K_SOLID, "k_solid", W_MK, 0.05, 1.0, "conductivity, solid", "")                              \
    X(K_LIQUID, "k_liquid", W_MK, 0.05, 0.5, "conductivity, liquid", "Without stirring.")          \
    X(RHO_SOLID, "rho_solid", KG_M3, 700, 1100, "density, solid 20 C", "")                         \
    X(RHO_LIQUID, "rho_liquid", KG_M3, 600, 1000, "density, liquid 80 C", "")                      \
    X(RHO_SLOPE, "rho_slope", NONE, 0.2, 1.5, "density fall per K, liquid", "kg/m3 per K.")        \
    X(MU, "viscosity", MPA_S, 0.5, 200, "viscosity, liquid 80 C", "")                              \
    X(ANDRADE, "andrade", NONE, 500, 6000, "viscosity slope B", "mu = mu80 exp(B(1/T - 1/353)).")  \
    X(SIGMA, "surface_tension", MN_M, 10, 50, "surface tension 80 C", "")                          \
    X(SIGMA_SLOPE, "surface_tension_slope", NONE, 0.02, 0.2, "its fall per K", "mN/m per K.")      \
    X(LHV, "heat_of_combustion", MJ_KG, 25, 50, "net heat of combustion", "")                      \
    X(AIR, "air_fuel", NONE, 8, 18, "air needed", "kg of air per kg of fuel.")                     \
    X(FLASH, "flash", DEG_C, 100, 400, "flash point", "Use the safety data sheet.")                \
    X(SMOKE, "smoke_factor", NONE, 0.5, 3, "smoke point factor", "1 = paraffin; higher = cleaner.")\
    X(MAX_LOAD, "max_load", PCT, 0, 30, "most fragrance it holds", "Per cent of wax.")             \
    X(POUR, "pour", DEG_C, 30, 120, "pour temperature", "")                                        \
    X(ADD, "add_fragrance", DEG_C, 30, 120, "temperature to add fragrance", "")                    \
    X(CURE_BURN, "cure_burn", D, 0, 60, "cure before a burn test", "Days.")                        \
    X(CURE_SCENT, "cure_scent", D, 0, 90, "cure before judging scent", "Days.")
// clang-format on

// clang-format off
#define EP_FRAGRANCE_PROPS(X)                                                                      \
    X(DENSITY, "density", KG_M3, 600, 1400, "density 20 C", "")                                    \
    X(FLASH, "flash", DEG_C, 10, 250, "flash point (closed cup)", "")                              \
    X(LHV, "heat_of_combustion", MJ_KG, 15, 50, "net heat of combustion", "")                      \
    X(MU, "viscosity", MPA_S, 0.2, 100, "viscosity 80 C", "")                                      \
    X(P25, "vapour_pressure_25", PA, 0, 1e5, "vapour pressure 25 C", "")                           \
    X(P60, "vapour_pressure_60", PA, 0, 1e6, "vapour pressure 60 C", "")                           \
    X(FEED, "feed_factor", NONE, 0.2, 1.5, "wick feed at 10 % load", "1 = no effect.")
// clang-format on

// clang-format off
#define EP_DYE_PROPS(X)                                                                            \
    X(TYPICAL, "typical_share", PCT, 0, 3, "usual share of wax", "")                               \
    X(MAX, "max_share", PCT, 0, 5, "most share of wax", "")                                        \
    X(FEED, "feed_factor", NONE, 0.2, 1.5, "wick feed at usual share", "Below 1 clogs the wick.")  \
    X(ABSORB, "absorb_factor", NONE, 0.5, 1.5, "radiation taken up by the pool", "1 = undyed.")
// clang-format on

// clang-format off
#define EP_ADDITIVE_PROPS(X)                                                                       \
    X(TYPICAL, "typical_share", PCT, 0, 30, "usual share of wax", "")                              \
    X(DENSITY, "density", KG_M3, 600, 1400, "density 20 C", "")                                    \
    X(FEED, "feed_factor", NONE, 0.2, 1.5, "wick feed at usual share", "")
// clang-format on

// clang-format off
#define EP_CONTAINER_PROPS(X)                                                                      \
    X(K, "conductivity", W_MK, 0.05, 400, "heat conductivity", "")                                 \
    X(RHO, "density", KG_M3, 500, 9000, "density", "")                                             \
    X(CP, "specific_heat", J_KGK, 300, 2000, "specific heat", "")                                  \
    X(EMISSIVITY, "emissivity", NONE, 0.02, 1, "emissivity, outside", "")                          \
    X(EXPANSION, "expansion", MICRO_PER_K, 0.3, 40, "thermal expansion", "")                       \
    X(YOUNG, "young", GPA, 1, 250, "Young's modulus", "")                                          \
    X(POISSON, "poisson", NONE, 0.05, 0.45, "Poisson's ratio", "")                                 \
    X(STRENGTH, "strength", MPA, 0.5, 500, "design tensile strength", "Aged, with scratches.")
// clang-format on

/// Properties of a wick construction (a family); sizes are in ep_wick_size.
// clang-format off
#define EP_WICK_PROPS(X)                                                                           \
    X(POROSITY, "porosity", NONE, 0.2, 0.9, "porosity", "Share of the wick that is not solid.")    \
    X(FIBRE, "fibre", UM, 3, 100, "fibre or vessel diameter", "")                                  \
    X(SOLID_DENSITY, "solid_density", KG_M3, 300, 8000, "density of the solid", "")                \
    X(FEED, "feed_factor", NONE, 0.05, 20, "feed against the bundle law", "1 = Kozeny-Carman.")    \
    X(CURL, "curl", MM, 2, 30, "length at which it curls and trims itself", "")                    \
    X(TRIM_TIME, "trim_time", MIN, 1, 60, "time it takes to self-trim", "")                        \
    X(CORE_K, "core_conductivity", W_MK, 0, 400, "conductivity of the core", "0 = no core.")       \
    X(TRIM, "trim", MM, 1, 15, "usual trim before lighting", "")
// clang-format on

#define EP_PROP_ENUM(PREFIX, LIST)                                                                 \
    typedef enum ep_##PREFIX##_prop{LIST EP_##PREFIX##_COUNT_} ep_##PREFIX##_prop;
#define X(id, key, unit, min, max, label, help) EP_WAX_##id,
typedef enum ep_wax_prop { EP_WAX_PROPS(X) EP_WAX_COUNT_ } ep_wax_prop;
#undef X
#define X(id, key, unit, min, max, label, help) EP_FRAGRANCE_##id,
typedef enum ep_fragrance_prop { EP_FRAGRANCE_PROPS(X) EP_FRAGRANCE_COUNT_ } ep_fragrance_prop;
#undef X
#define X(id, key, unit, min, max, label, help) EP_DYE_##id,
typedef enum ep_dye_prop { EP_DYE_PROPS(X) EP_DYE_COUNT_ } ep_dye_prop;
#undef X
#define X(id, key, unit, min, max, label, help) EP_ADDITIVE_##id,
typedef enum ep_additive_prop { EP_ADDITIVE_PROPS(X) EP_ADDITIVE_COUNT_ } ep_additive_prop;
#undef X
#define X(id, key, unit, min, max, label, help) EP_CONTAINER_##id,
typedef enum ep_container_prop { EP_CONTAINER_PROPS(X) EP_CONTAINER_COUNT_ } ep_container_prop;
#undef X
#define X(id, key, unit, min, max, label, help) EP_WICK_##id,
typedef enum ep_wick_prop { EP_WICK_PROPS(X) EP_WICK_COUNT_ } ep_wick_prop;
#undef X
#undef EP_PROP_ENUM

enum { EP_MAX_PROPS = 24 };

/// What a property is: its bench unit and allowed range (in that unit).
typedef struct ep_prop_def {
    const char *key;
    ep_unit unit;
    double min, max;
    const char *label;
    const char *help;
} ep_prop_def;

/// The property table of a kind; *n gets its length. Index = the enum above.
const ep_prop_def *ep_prop_defs(ep_material_kind kind, int *n);
bool ep_prop_find(ep_material_kind kind, const char *key, int *index);

/// One material. Builtin rows have id "std-..." and cannot be changed, only copied.
typedef struct ep_material {
    ep_material_kind kind;
    char id[40];
    char name[80];   ///< shown; the trade's plain word, no brand
    char klass[40];  ///< wax class or group, e.g. "soy", "flat-braid"
    int n_props;
    ep_prop prop[EP_MAX_PROPS];
} ep_material;

int ep_builtin_count(ep_material_kind kind);
const ep_material *ep_builtin(ep_material_kind kind, int i);  ///< 0 <= i < count
const ep_material *ep_builtin_find(const char *id);           ///< NULL when unknown

/// Data-table version, stored with every forecast. Change it when any number in data/*.def moves.
const char *ep_tables_version(void);

/// Every property finite, lo <= value <= hi, inside its definition; solidus < liquidus and so on.
/// The error names the property.
ep_status ep_material_check(const ep_material *m, ep_err *err);
