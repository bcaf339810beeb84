// What the column of hot gas over a forecast's flame does to whatever stands or hangs in it.
#include <math.h>

#include "app/foresee_int.h"
#include "burn/plume.h"

// the tallest flame of the life, with all the heat given off at that moment
static ep_plume hottest(const ep_trace *t, const ep_burn_case *c)
{
    ep_plume p = {.ambient_C = c->ambient_C};
    for (int n = 0; n < t->n_samples; n++) {
        const ep_sample *s = &t->sample[n];
        if (s->lit && s->flame_m > p.flame_m) {
            p.flame_m = s->flame_m;
            p.heat_W = s->rate_kg_s * c->melt.lhv_J_kg.value;
        }
    }
    return p;
}

void ep_shape_above(json_t *out, const ep_trace *t, const ep_burn_case *c)
{
    static const double ABOVE_M[] = {0.0, 0.05, 0.1, 0.2, 0.3};
    const ep_plume p = hottest(t, c);
    json_t *list = json_array();
    for (size_t i = 0; i < sizeof ABOVE_M / sizeof *ABOVE_M && p.flame_m > 0.0; i++) {
        json_t *row = json_object();
        ep_out_unit(row, "over_tip_mm", ABOVE_M[i], EP_U_MM);
        ep_out_real(row, "gas_C", round(c->ambient_C + ep_plume_excess_K(&p, ABOVE_M[i])));
        ep_out_real(row, "flux_kW_m2", ep_plume_flux_W_m2(&p, ABOVE_M[i], 3e-3) * 1e-3);
        json_array_append_new(list, row);
    }
    ep_out_new(out, "above", list);
    if (p.flame_m > 0.0) {
        json_t *cautions = json_object_get(out, "cautions");
        json_array_append_new(
            cautions,
            json_sprintf("Nothing may stand or hang above the flame: straight over it, in still "
                         "air, the gas can be at %.0f C 100 mm and %.0f C 300 mm above the tip "
                         "(an upper bound, computed).",
                         c->ambient_C + ep_plume_excess_K(&p, 0.1),
                         c->ambient_C + ep_plume_excess_K(&p, 0.3)));
    }
}
