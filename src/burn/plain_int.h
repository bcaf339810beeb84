// The two ways a plain case is laid out, and what plain.c, which steps either, asks of them.
#pragma once
#include <stdbool.h>

#include "burn/field.h"
#include "burn/plain.h"

typedef struct plain_body {
    const ep_plain_case *c;
    ep_field *f;
    void *grid;  // the layout's own
    // fills what is read from the field: radius, depth, melted mass, wall, centre
    void (*read)(const struct plain_body *b, ep_plain_answer *a);
    void (*destroy)(struct plain_body *b);
} plain_body;

ep_status ep_plain_rings(const ep_plain_case *c, plain_body *b);  // plain_rings.c
ep_status ep_plain_plan(const ep_plain_case *c, plain_body *b);   // plain_plan.c

// the isotherm a pool's edge is read at
static inline double plain_mid_C(const ep_enthalpy_law *law)
{
    return 0.5 * (law->solidus_C + law->liquidus_C);
}

// a range too narrow for isotherms: read the front as melted area (element energy), Crank 1984
static inline bool plain_sharp(const ep_enthalpy_law *law)
{
    return law->liquidus_C - law->solidus_C < 0.5;
}
