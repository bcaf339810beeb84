// The poured mix of a revision: loads its parts and hands their shares of the total to the mixing
// rules (docs/physics/materials.md M1-M8).
#include "app/app_int.h"

/// All parts a revision can have: waxes, additives, fragrance, dye.
enum { MOST_PARTS = 2 * EP_MAX_BLEND + 2 };

typedef struct parts {
    ep_material material[MOST_PARTS];
    ep_blend_part part[MOST_PARTS];
    int n;
} parts;

static ep_status add_part(ep_app *app, parts *p, const char *id, double frac, ep_err *err)
{
    ep_status status = ep_app_material_load(app, id, &p->material[p->n], err);
    if (status == EP_OK) {
        p->part[p->n] = (ep_blend_part){.material = &p->material[p->n], .frac = frac};
        p->n++;
    }
    return status;
}

static double additive_sum(const ep_revision *r)
{
    double sum = 0;
    for (int i = 0; i < r->n_additives; i++) {
        sum += r->additive[i].frac;
    }
    return sum;
}

ep_status ep_app_melt_of(ep_app *app, const ep_revision *r, ep_melt *out, ep_err *err)
{
    parts p = {.n = 0};
    ep_mix mix;
    ep_status status =
        ep_mix_make(r->load_frac, r->load_basis, r->dye_of_wax_frac, additive_sum(r), &mix, err);
    for (int i = 0; status == EP_OK && i < r->n_waxes; i++) {
        status = add_part(app, &p, r->wax[i].id, r->wax[i].frac * mix.wax_frac, err);
    }
    // shares of additives are of the wax, so they scale with it
    for (int i = 0; status == EP_OK && i < r->n_additives; i++) {
        status = add_part(app, &p, r->additive[i].id, r->additive[i].frac * mix.wax_frac, err);
    }
    if (status == EP_OK && r->fragrance_id[0]) {
        status = add_part(app, &p, r->fragrance_id, mix.fragrance_frac, err);
    }
    if (status == EP_OK && r->dye_id[0]) {
        status = add_part(app, &p, r->dye_id, mix.dye_frac, err);
    }
    return status == EP_OK ? ep_melt_mix(p.part, p.n, out, err) : status;
}
