/// Heat exchange with the room: published correlations for free convection, and grey radiation.
/// Equations L1-L6 in docs/physics/losses.md. Pure functions; air properties at the film
/// temperature from the ideal gas law and Sutherland's formula.
#pragma once

/// Dry air at 101.325 kPa, Eq. L1: Sutherland's viscosity and the ideal gas, T in K, > 0.
double ep_air_viscosity_Pas(double T_K);
double ep_air_density_kg_m3(double T_K);

/// Vertical outer wall, W/(m2 K): Churchill & Chu (1975), with the slender-cylinder factor of
/// Popiel (2008) when D/L < 35 / Gr^1/4.
double ep_wall_film_W_m2K(double wall_C, double room_C, double height_m, double diameter_m);

/// Horizontal surface, hot side up: McAdams, Nu = 0.54 Ra^1/4 below 1e7, 0.15 Ra^1/3 above, on
/// area over perimeter; cold side up 0.27 Ra^1/4. W/(m2 K), at least pure conduction (Nu = 1).
double ep_top_film_W_m2K(double surface_C, double air_C, double diameter_m);

/// Radiation coefficient between a surface and the room, W/(m2 K), Eq. L4.
double ep_radiation_W_m2K(double surface_C, double room_C, double emissivity);

/// View factor from the pool to the open rim, freeboard deep: disc to coaxial equal disc, Eq. L5.
double ep_view_to_rim(double radius_m, double freeboard_m);
