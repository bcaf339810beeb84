/// Thermal stress of a container wall: the step in temperature it bears.
/// Source: the classical plate with a suddenly cooled surface, textbook form (Callister's chapter
/// on thermal properties gives the same without 1 - nu). Eq. M9 in docs/physics/materials.md.
/// Needs: material. Allocates: nothing. Thread use: any.
#pragma once
#include "matter/material.h"

/// dT* = sigma (1 - nu) / (E alpha), K: quench of a surface that brings it to `strength_Pa`.
/// All arguments > 0, poisson below 0.5.
double ep_shock_step_K(double strength_Pa, double young_Pa, double expansion_1_K, double poisson);

/// The same from a container material's own row.
double ep_container_shock_step_K(const ep_material *container);
