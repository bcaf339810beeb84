// The weigh-out sheet: masses for a number of identical candles.
#include <stdio.h>

#include "app/app_int.h"

// common practice, no source: 2 to 5 % is usual
#define LOSS_FRAC     0.03
#define RESOLUTION_KG 1e-4

static void add_line(ep_app *app, json_t *lines, const char *what, const char *id, double mass_kg)
{
    char name[80];
    json_t *o = json_object();
    ep_out_text(o, "what", what);
    ep_out_text(o, "id", id);
    ep_out_text(o, "name", ep_app_name(app, id, name, sizeof name));
    ep_out_unit(o, "mass_g", mass_kg, EP_U_G);
    json_array_append_new(lines, o);
}

static json_t *shape_lines(ep_app *app, const ep_revision *r, const ep_weighout *w)
{
    json_t *lines = json_array();
    for (int i = 0; i < r->n_waxes; i++) {
        add_line(app, lines, "wax", r->wax[i].id, w->wax_kg[i]);
    }
    for (int i = 0; i < r->n_additives; i++) {
        add_line(app, lines, "additive", r->additive[i].id, w->additive_kg[i]);
    }
    if (r->dye_id[0]) {
        add_line(app, lines, "dye", r->dye_id, w->dye_kg);
    }
    if (r->fragrance_id[0]) {
        add_line(app, lines, "fragrance", r->fragrance_id, w->fragrance_kg);
    }
    return lines;
}

/// Rounding that moves a part by more than this is worth saying.
#define ROUNDING_TOLD_FRAC 0.02

static json_t *shape_cautions(const ep_weighout *w, const ep_melt *melt)
{
    json_t *list = json_array();
    char text[200], a[32];
    if (w->rounding_frac > ROUNDING_TOLD_FRAC) {
        snprintf(
            text, sizeof text,
            "The scale is too coarse: rounding moves one part by %s. Use a finer scale or pour "
            "more candles.",
            ep_quantity_format(w->rounding_frac, EP_U_PCT, 2, a, sizeof a));
        json_array_append_new(list, json_string(text));
    }
    snprintf(
        text, sizeof text,
        "The lowest flash point of these waxes is about %s: use the safety data sheets of your "
        "lots.",
        ep_quantity_format(melt->flash_K, EP_U_DEG_C, 3, a, sizeof a));
    json_array_append_new(list, json_string(text));
    ep_cautions_add(list, EP_CAUTION_MELTING);
    return list;
}

ep_status ep_shape_weighout(ep_app *app, const ep_revision *r, int candles, double loss_frac,
                            double residue_kg, double resolution_kg, json_t **out, ep_err *err)
{
    ep_vessel v;
    ep_melt melt;
    ep_weighout w;
    ep_status status = ep_app_container_load(app, r->container_id, &v, NULL, err);
    if (status == EP_OK) {
        status = ep_app_melt_of(app, r, &melt, err);
    }
    if (status == EP_OK) {
        status =
            ep_weighout_make(r, &melt, &v, candles, loss_frac, residue_kg, resolution_kg, &w, err);
    }
    if (status != EP_OK) {
        return status;
    }
    json_t *o = json_object();
    ep_out_int(o, "candles", w.candles);
    ep_out_unit(o, "fill_mass_g", w.fill_kg, EP_U_G);
    ep_out_unit(o, "loss_pct", w.loss_frac, EP_U_PCT);
    ep_out_unit(o, "residue_g", residue_kg, EP_U_G);
    ep_out_unit(o, "resolution_g", w.resolution_kg, EP_U_G);
    ep_out_new(o, "lines", shape_lines(app, r, &w));
    ep_out_unit(o, "total_g", w.total_kg, EP_U_G);
    ep_out_unit(o, "load_of_wax_pct", w.load_of_wax, EP_U_PCT);
    ep_out_unit(o, "load_of_total_pct", w.load_of_total, EP_U_PCT);
    ep_out_unit(o, "rounding_pct", w.rounding_frac, EP_U_PCT);
    ep_out_unit(o, "pour_C", melt.pour_K, EP_U_DEG_C);
    ep_out_unit(o, "add_C", melt.add_K, EP_U_DEG_C);
    ep_out_new(o, "cautions", shape_cautions(&w, &melt));
    *out = o;
    return EP_OK;
}

ep_status ep_case_recipe_weigh(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    ep_revision r;
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", id, err);
    if (status == EP_OK) {
        status = ep_app_revision_load(app, id, ep_in_int(in, "revision", 0), &r, err);
    }
    if (status != EP_OK) {
        return status;
    }
    return ep_shape_weighout(app, &r, ep_in_int(in, "candles", 1),
                             ep_in_real(in, "loss", LOSS_FRAC), ep_in_real(in, "residue", 0),
                             ep_in_real(in, "resolution", RESOLUTION_KG), out, err);
}
