// Thermal stress of a wall, Eq. M9.
#include "matter/shock.h"

#include <assert.h>

double ep_shock_step_K(double strength_Pa, double young_Pa, double expansion_1_K, double poisson)
{
    assert(strength_Pa > 0.0 && young_Pa > 0.0 && expansion_1_K > 0.0);
    assert(poisson > 0.0 && poisson < 0.5);
    return strength_Pa * (1.0 - poisson) / (young_Pa * expansion_1_K);
}

double ep_container_shock_step_K(const ep_material *container)
{
    assert(container && container->kind == EP_MAT_CONTAINER);
    const ep_prop *p = container->prop;
    return ep_shock_step_K(p[EP_CONTAINER_STRENGTH].value, p[EP_CONTAINER_YOUNG].value,
                           p[EP_CONTAINER_EXPANSION].value, p[EP_CONTAINER_POISSON].value);
}
