/// Quantities and units: text with a unit in, SI out; conversions are exact by definition of the
/// unit. Sources: NIST SP 811 App. B.8 and NIST Handbook 44 App. C (inch, ounce, pound, fluid
/// ounces); ASTM D2260 Table 1 (g/m from yd/lb = 496.054648 / x). Needs: status. Allocates:
/// nothing. Thread use: any. Locale independent: decimal point is '.'.
#pragma once
#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

/// Kinds of quantity. A value of each kind is held in the SI unit given here.
typedef enum ep_dim {
    EP_DIM_NONE,             ///< plain number
    EP_DIM_LENGTH,           ///< m
    EP_DIM_MASS,             ///< kg
    EP_DIM_VOLUME,           ///< m3
    EP_DIM_TEMPERATURE,      ///< K, absolute
    EP_DIM_TEMP_DIFF,        ///< K, difference
    EP_DIM_TIME,             ///< s
    EP_DIM_FRACTION,         ///< 1 (shown as %)
    EP_DIM_LINEAR_DENSITY,   ///< kg/m (wick yield yd/lb is inverse and handled)
    EP_DIM_DENSITY,          ///< kg/m3
    EP_DIM_SPECIFIC_ENERGY,  ///< J/kg
    EP_DIM_SPECIFIC_HEAT,    ///< J/(kg K)
    EP_DIM_CONDUCTIVITY,     ///< W/(m K)
    EP_DIM_VISCOSITY,        ///< Pa s
    EP_DIM_SURFACE_TENSION,  ///< N/m
    EP_DIM_PRESSURE,         ///< Pa
    EP_DIM_EXPANSION,        ///< 1/K
    EP_DIM_COUNT_
} ep_dim;

/// Every unit: X(ID, dim, symbol shown, "alias|alias", scale, offset): SI = value * scale + offset.
/// EP_U_YD_PER_LB is the one inverse unit: SI = scale / value.
// clang-format off
#define EP_UNIT_LIST(X)                                                                         \
    X(NONE, EP_DIM_NONE, "", "", 1.0, 0.0)                                                      \
    X(M, EP_DIM_LENGTH, "m", "metre|meter|metres|meters", 1.0, 0.0)                             \
    X(MM, EP_DIM_LENGTH, "mm", "millimetre|millimeter", 1e-3, 0.0)                              \
    X(CM, EP_DIM_LENGTH, "cm", "centimetre|centimeter", 1e-2, 0.0)                              \
    X(UM, EP_DIM_LENGTH, "um", "micron|microns", 1e-6, 0.0)                                     \
    X(IN, EP_DIM_LENGTH, "in", "inch|inches|\"", 0.0254, 0.0)                                   \
    X(KG, EP_DIM_MASS, "kg", "kilogram|kilograms", 1.0, 0.0)                                    \
    X(G, EP_DIM_MASS, "g", "gram|grams", 1e-3, 0.0)                                          \
    X(MG, EP_DIM_MASS, "mg", "milligram|milligrams", 1e-6, 0.0)                                 \
    X(OZ, EP_DIM_MASS, "oz", "ounce|ounces", 28.349523125e-3, 0.0)                              \
    X(LB, EP_DIM_MASS, "lb", "lbs|pound|pounds", 0.45359237, 0.0)                               \
    X(M3, EP_DIM_VOLUME, "m3", "", 1.0, 0.0)                                                    \
    X(L, EP_DIM_VOLUME, "l", "litre|liter|litres|liters", 1e-3, 0.0)                            \
    X(ML, EP_DIM_VOLUME, "ml", "cc|millilitre|milliliter", 1e-6, 0.0)                           \
    X(US_FL_OZ, EP_DIM_VOLUME, "fl oz", "us fl oz|floz|fl. oz", 29.5735295625e-6, 0.0)          \
    X(IMP_FL_OZ, EP_DIM_VOLUME, "imp fl oz", "uk fl oz", 28.4130625e-6, 0.0)                    \
    X(K, EP_DIM_TEMPERATURE, "K", "kelvin", 1.0, 0.0)                                           \
    X(DEG_C, EP_DIM_TEMPERATURE, "C", "°C|degC|celsius", 1.0, 273.15)                           \
    X(DEG_F, EP_DIM_TEMPERATURE, "F", "°F|degF|fahrenheit", 1.0 / 1.8, 273.15 - 32.0 / 1.8)     \
    X(DK, EP_DIM_TEMP_DIFF, "K", "kelvin|C|°C", 1.0, 0.0)                                       \
    X(DF, EP_DIM_TEMP_DIFF, "F", "°F", 1.0 / 1.8, 0.0)                                          \
    X(S, EP_DIM_TIME, "s", "sec|second|seconds", 1.0, 0.0)                                      \
    X(MIN, EP_DIM_TIME, "min", "minute|minutes", 60.0, 0.0)                                     \
    X(H, EP_DIM_TIME, "h", "hr|hour|hours", 3600.0, 0.0)                                        \
    X(D, EP_DIM_TIME, "d", "day|days", 86400.0, 0.0)                                            \
    X(FRAC, EP_DIM_FRACTION, "", "", 1.0, 0.0)                                                  \
    X(PCT, EP_DIM_FRACTION, "%", "percent|pct", 0.01, 0.0)                                      \
    X(KG_M, EP_DIM_LINEAR_DENSITY, "kg/m", "", 1.0, 0.0)                                        \
    X(G_M, EP_DIM_LINEAR_DENSITY, "g/m", "", 1e-3, 0.0)                                         \
    X(TEX, EP_DIM_LINEAR_DENSITY, "tex", "g/km", 1e-6, 0.0)                                     \
    X(YD_PER_LB, EP_DIM_LINEAR_DENSITY, "yd/lb", "yards/lb", 0.45359237 / 0.9144, 0.0)          \
    X(KG_M3, EP_DIM_DENSITY, "kg/m3", "", 1.0, 0.0)                                             \
    X(G_ML, EP_DIM_DENSITY, "g/ml", "g/cm3", 1000.0, 0.0)                                       \
    X(J_KG, EP_DIM_SPECIFIC_ENERGY, "J/kg", "", 1.0, 0.0)                                       \
    X(KJ_KG, EP_DIM_SPECIFIC_ENERGY, "kJ/kg", "J/g", 1e3, 0.0)                                  \
    X(MJ_KG, EP_DIM_SPECIFIC_ENERGY, "MJ/kg", "", 1e6, 0.0)                                     \
    X(J_KGK, EP_DIM_SPECIFIC_HEAT, "J/kgK", "", 1.0, 0.0)                                       \
    X(KJ_KGK, EP_DIM_SPECIFIC_HEAT, "kJ/kgK", "", 1e3, 0.0)                                     \
    X(W_MK, EP_DIM_CONDUCTIVITY, "W/mK", "", 1.0, 0.0)                                          \
    X(PA_S, EP_DIM_VISCOSITY, "Pa s", "", 1.0, 0.0)                                             \
    X(MPA_S, EP_DIM_VISCOSITY, "mPa s", "cP", 1e-3, 0.0)                                        \
    X(N_M, EP_DIM_SURFACE_TENSION, "N/m", "", 1.0, 0.0)                                         \
    X(MN_M, EP_DIM_SURFACE_TENSION, "mN/m", "", 1e-3, 0.0)                                      \
    X(PA, EP_DIM_PRESSURE, "Pa", "", 1.0, 0.0)                                                  \
    X(MPA, EP_DIM_PRESSURE, "MPa", "", 1e6, 0.0)                                                \
    X(GPA, EP_DIM_PRESSURE, "GPa", "", 1e9, 0.0)                                                \
    X(PER_K, EP_DIM_EXPANSION, "1/K", "", 1.0, 0.0)                                             \
    X(MICRO_PER_K, EP_DIM_EXPANSION, "1e-6/K", "", 1e-6, 0.0)
// clang-format on

typedef enum ep_unit {
#define X(id, dim, symbol, aliases, scale, offset) EP_U_##id,
    EP_UNIT_LIST(X)
#undef X
        EP_U_COUNT_
} ep_unit;

ep_dim ep_unit_dim(ep_unit unit);
const char *ep_unit_symbol(ep_unit unit);  ///< never NULL
const char *ep_dim_name(ep_dim dim);       ///< "length", "mass", ...; never NULL
double ep_unit_to_si(ep_unit unit, double value);
double ep_unit_from_si(ep_unit unit, double si);

/// Find a unit of kind `dim` by symbol or alias, case-insensitive. False when unknown for that
/// kind.
bool ep_unit_find(ep_dim dim, const char *text, ep_unit *out);

/// The units a person may type for a kind, as "mm, cm, in". Returns buf.
const char *ep_dim_units(ep_dim dim, char *buf, size_t cap);

/// Read "12.5 mm", "3in", "2 3/4 in", "185 F", ".5", "1,5" is refused (ambiguous comma).
/// A bare number takes `assumed`. The result is in SI of `dim`.
/// @param field  name shown in the error, borrowed
/// @param si     out, written only on EP_OK
/// @return EP_E_PARSE when it is no number or the unit does not fit; text names field and value.
ep_status ep_quantity_parse(const char *text, ep_dim dim, ep_unit assumed, const char *field,
                            double *si, ep_err *err);

/// Refuse NaN, infinities and anything outside lo..hi (SI, inclusive, and 1e-14 of the limit more,
/// for a limit typed in inches); the error shows value and range in `shown`: "inner_diameter: 7.5
/// mm is outside 10 mm to 300 mm".
ep_status ep_range_check(double si, double lo, double hi, ep_unit shown, const char *field,
                         ep_err *err);

/// Write a value with at most `digits` significant digits and its symbol, e.g. "12.5 mm".
/// Returns buf.
const char *ep_quantity_format(double si, ep_unit unit, int digits, char *buf, size_t cap);

/// Strict decimal number: optional sign, digits, point, exponent; whole text; no locale, no hex,
/// no inf/nan. False otherwise.
bool ep_number_parse(const char *text, double *out);

/// Write a number with at most `digits` (1..17) significant digits and '.' as decimal point,
/// without trailing zeros; exponent form only below 1e-4 and from 1e9 up. Returns buf.
const char *ep_number_format(double value, int digits, char *buf, size_t cap);
