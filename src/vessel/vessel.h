/// Container shapes. Inner diameters measured at heights above the inner floor, straight lines
/// between them; the plan is round, a rounded rectangle or an oval whose width keeps one share of
/// its length from floor to brim. All lengths in metres, volumes in m3.
/// Needs: base. Allocates: nothing. Thread use: any, no shared state.
/// Equations G1.. in docs/physics/geometry.md.
#pragma once
#include <stdbool.h>

#include "base/status.h"

enum { EP_VESSEL_MAX_STATIONS = 32 };

/// What the bench can measure; ranges are refused outside (ep_vessel_check).
#define EP_VESSEL_D_MIN_M    0.015
#define EP_VESSEL_D_MAX_M    0.400
#define EP_VESSEL_H_MIN_M    0.010
#define EP_VESSEL_H_MAX_M    0.400
#define EP_VESSEL_WALL_MIN_M 0.0001
#define EP_VESSEL_WALL_MAX_M 0.030
#define EP_VESSEL_STEP_MIN_M 0.0001  // between two stations: finer than a tape resolves
#define EP_VESSEL_FILL_MIN_M 0.005   // a shallower fill is no candle and no weighing
#define EP_WATER_MIN_KG      0.001
#define EP_WATER_MAX_KG      60.0  // the largest vessel above holds 50 l

/// One measured place of the inner profile.
typedef struct ep_station {
    double height_m;  ///< above the inner floor, first 0, each EP_VESSEL_STEP_MIN_M above the last
    double inner_diameter_m;  ///< EP_VESSEL_D_MIN_M .. EP_VESSEL_D_MAX_M
} ep_station;

/// Outline seen from above.
typedef enum ep_outline { EP_OUTLINE_ROUND, EP_OUTLINE_RECT, EP_OUTLINE_OVAL } ep_outline;
const char *ep_outline_key(ep_outline outline);  ///< "round", "rectangle", "oval"
bool ep_outline_find(const char *key, ep_outline *out);

/// A vessel. The last station is the brim. For rectangles and ovals inner_diameter_m is the longer
/// inner side.
typedef struct ep_vessel {
    int n_stations;  ///< 2 .. EP_VESSEL_MAX_STATIONS
    ep_station station[EP_VESSEL_MAX_STATIONS];
    double wall_m;  ///< side wall thickness
    double base_m;  ///< floor thickness
    ep_outline outline;
    double across_frac;  ///< shorter over longer inner side, 0.25..1; 0 is read as 1
    double corner_frac;  ///< rectangle: corner radius over half the shorter side, 0..1
} ep_vessel;

/// Plan area over length squared (round: pi/4), and perimeter over length (round: pi). Eq. G10,
/// G11.
double ep_vessel_plan_area(const ep_vessel *v);
double ep_vessel_plan_perimeter(const ep_vessel *v);

/// Shorter inner side where the longer one is length_m (round: the same).
double ep_vessel_across_m(const ep_vessel *v, double length_m);

/// Distance from a point of the plan to the inner wall at a height, m; negative outside. The point
/// is measured from the centre, x along the longer side, and may be any. Exact for every plan, in
/// the horizontal: the slope of the wall is left out. Eq. G12 (ovals: Eberly 2013).
double ep_vessel_gap_m(const ep_vessel *v, double height_m, double x_m, double y_m);

/// A straight cylinder.
ep_vessel ep_vessel_straight(double inner_diameter_m, double height_m, double wall_m,
                             double base_m);

/// Refuse an impossible vessel; the error names the field ("profile", "wall", "base"), value,
/// range.
ep_status ep_vessel_check(const ep_vessel *v, ep_err *err);

/// Brim height.
double ep_vessel_height_m(const ep_vessel *v);

/// Half the longer inner side (round: the radius) at a height, clamped to floor..brim. Linear
/// between stations.
double ep_vessel_radius_m(const ep_vessel *v, double height_m);

/// The same profile with all widths in proportion, so that the longer inner side at a height is
/// `inner_m`. Unchecked. Gives the factor.
double ep_vessel_widen(ep_vessel *v, double height_m, double inner_m);

/// Volume from the floor up to a height (sum of frusta, Eq. G1). Height is clamped.
double ep_vessel_volume_m3(const ep_vessel *v, double height_m);

/// Height that holds a volume: inverse of the above (Eq. G3), exact to 1e-12 of the brim height.
/// EP_E_ARG (field "volume") below 0 or above the brim volume.
ep_status ep_vessel_height_of(const ep_vessel *v, double volume_m3, double *height_m, ep_err *err);

/// Free surface area at a height.
double ep_vessel_area_m2(const ep_vessel *v, double height_m);

/// Mean of that area between two heights: what a slice of the wax holds, over its thickness. From
/// the sum of frusta (Eq. G16), so slices of any cut add up to ep_vessel_volume_m3. Heights are
/// clamped and may come in either order; where both are the same, the area there.
double ep_vessel_mean_area_m2(const ep_vessel *v, double low_m, double high_m);

/// Inner wall area (slant) between the floor and a height, floor not included.
double ep_vessel_wall_area_m2(const ep_vessel *v, double height_m);

/// Smallest and largest inner diameter between floor and a height.
void ep_vessel_width_range_m(const ep_vessel *v, double height_m, double *min_m, double *max_m);

/// Density of air-free water at 101.325 kPa, 0..40 C (Tanaka et al. 2001, Metrologia 38, 301).
/// NaN outside. Eq. G6.
double ep_water_density_kg_m3(double T_K);

/// Volume held by a mass of water weighed in air: buoyancy of air (1.2 kg/m3) on water against
/// weights of 8000 kg/m3 (ISO 4787 form). T_K 273.15 .. 313.15. Eq. G7.
/// EP_E_ARG with field "water" or "water_temperature".
ep_status ep_water_volume_m3(double mass_kg, double T_K, double *volume_m3, ep_err *err);

/// Compare a water weighing with the taped profile.
typedef struct ep_water_check {
    double water_m3;          ///< from the weighing
    double profile_m3;        ///< from the tape, to the same height
    double ratio;             ///< water / profile
    int mismatch;             ///< 1 when |ratio - 1| exceeds EP_WATER_MISMATCH_FRAC
    double diameter_error_m;  ///< change of all diameters (longer sides, the shorter in proportion)
                              ///< that would reconcile the two
} ep_water_check;

/// A 1 mm slip on a 70 mm diameter is 3 % of volume: house limit, shown as such.
#define EP_WATER_MISMATCH_FRAC 0.04

/// Eq. G8, G9. EP_E_ARG with field "profile", "wall", "base", "water_height" (5 mm to the brim),
/// "water" or "water_temperature"; *out is written only on EP_OK.
ep_status ep_vessel_water_check(const ep_vessel *v, double water_kg, double T_K, double to_height_m,
                                ep_water_check *out, ep_err *err);

enum { EP_MAX_WICKS = 6 };

/// Where a wick stands, from the centre of the plan, x along the longer side. Metres.
typedef struct ep_place {
    double x_m, y_m;
} ep_place;

/// A layout for 1 .. EP_MAX_WICKS wicks at a height (Eq. G13-G15). One stands in the centre. In
/// round plans, however they were entered, the others stand on a ring of 0.50 (two, three) or 0.56
/// of the radius, the first to the right, counter-clockwise: equal shares. In rectangles and ovals
/// every wick is the nearest one to an equal share of the plan (to 1 %) and as near to the middle
/// of it as that allows; of rows, two rows, 2-1-2, diamonds and rings, the arrangement is taken
/// whose wax lies nearest to its wick and whose wicks keep off the wall, one that ep_places_check
/// accepts before one that it refuses. Listed row by row from large y to small, in a row from small
/// x to large; a row takes in what lies less than a tenth of the half length deeper. Mirror images
/// are exact, and a wick on an axis has 0.0 there: both axes are mirrors for 1, 2, 4 and 6 wicks
/// and most 3 and 5 in long plans, else one of them. Same vessel, same layout, to the micrometre.
/// Takes about 1 ms.
void ep_places_default(const ep_vessel *v, double height_m, int n_wicks, ep_place *out);

/// Least distances of a layout at a height: wick to wall, wick to wick (infinite for one). Metres.
void ep_places_clearance(const ep_vessel *v, double height_m, int n_wicks, const ep_place *place,
                         double *wall_m, double *apart_m);

/// Room a wick needs, house limits: a flame is some 8 mm wide, and closer to the wall or to another
/// than this the engine has no law for it.
#define EP_PLACE_OFF_WALL_M 5e-3
#define EP_PLACE_APART_M    8e-3

/// Refuse places too near to the wall, at any height from the floor to the first station above the
/// fill, or to each other. EP_E_ARG names `field`, the distance and the least one.
ep_status ep_places_check(const ep_vessel *v, double fill_height_m, int n_wicks,
                          const ep_place *place, const char *field, ep_err *err);
