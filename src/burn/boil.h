/// Vapour of overheated melt. Every wax boils as n-pentacosane does, C25, which stands for
/// container paraffin in the tables too: Antoine line of Landolt-Boernstein IV/20A (lb-iv20a),
/// recovered from its values at 150 C (7.5 Pa) and one atmosphere (401.9 C, crc2014) and its heat
/// there (209 kJ/kg); it gives back 1.8e-3 and 0.084 Pa at 70 and 100 C. Fats crack from some 250 C
/// (from memory); that they go as paraffin does is an estimate. Needs: libc. Allocates: nothing.
/// Thread use: any.
#pragma once

/// Below this no vapour is reckoned with: 0.15 kg/(m2 h) under a film of 8 W/(m2 K), which is some
/// ten milligrams an hour from a square centimetre beside the wick.
#define EP_BOIL_FROM_C 200.0

double ep_wax_vapour_Pa(double T_C);    ///< Eq. B31; 70..450 C
double ep_wax_vapour_J_kg(double T_C);  ///< heat of vaporisation, Clausius-Clapeyron on B31
double ep_wax_boils_C(void);            ///< at one atmosphere

/// Eq. B32: vapour that leaves a surface through the film that cools it, by the analogy of heat and
/// mass (Lewis number 7, estimate) with Stefan's flow, less what it is at EP_BOIL_FROM_C. Grows
/// without end towards the boiling point. 0 at or below EP_BOIL_FROM_C.
double ep_boil_kg_m2s(double T_C, double film_W_m2K, double air_C);
