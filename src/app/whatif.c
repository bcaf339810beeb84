// Case: what if one thing were different? Two quick burns side by side, as recorded and as asked.
#include <math.h>

#include "app/foresee_int.h"

enum { WHATIF_SESSIONS = 3 };

static json_t *shape_burn(const ep_trace *t)
{
    json_t *o = json_object();
    ep_out_real(o, "rate_g_h", (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0) * 3.6e6);
    ep_out_unit(o, "fill_g", t->fill_kg, EP_U_G);
    ep_out_new(o, "sessions", ep_shape_sessions(t));
    return o;
}

static ep_status burn_it(const ep_burn_case *c, json_t **out, ep_err *err)
{
    ep_trace *t = NULL;
    ep_status s = ep_burn_run(c, &t, err);
    if (s == EP_OK) {
        *out = shape_burn(t);
        ep_trace_destroy(t);
    }
    return s;
}

// the same profile, all widths in proportion, so that the width at the fill line is the one asked
// for
static void widen(ep_vessel *v, double fill_height_m, double inner_m)
{
    double scale = inner_m / (2.0 * ep_vessel_radius_m(v, fill_height_m));
    for (int i = 0; i < v->n_stations; i++) {
        v->station[i].inner_diameter_m *= scale;
    }
}

// the mix with another load; the only change that needs the book again
static ep_status change_load(ep_app *app, const json_t *in, ep_foresight *f, ep_err *err)
{
    if (!ep_in_has(in, "load")) {
        return EP_OK;
    }
    if (!f->revision.fragrance_id[0]) {
        return ep_err_set(err, EP_E_ARG, "load", "load: this recipe has no fragrance to load");
    }
    ep_revision changed = f->revision;
    changed.load_frac = ep_in_real(in, "load", 0.0);
    ep_status s = ep_app_begin(app, false, "what if", err);
    return s == EP_OK ? ep_app_end(app, ep_app_melt_of(app, &changed, &f->melt, err), err) : s;
}

static void change_shape(const json_t *in, ep_foresight *f, int size)
{
    if (ep_in_has(in, "inner_diameter")) {
        widen(&f->vessel, f->revision.fill_height_m, ep_in_real(in, "inner_diameter", 0.0));
    }
    f->vessel.wall_m = ep_in_real(in, "wall", f->vessel.wall_m);
    f->revision.trim_m = ep_in_real(in, "trim", f->revision.trim_m);
    f->revision.session_s = ep_in_real(in, "session", f->revision.session_s);
    ep_wick_size *w = &f->series.size[size];
    if (ep_in_has(in, "linear_density")) {
        // width and thickness grow with the weight of the same construction
        double share = ep_in_real(in, "linear_density", 0.0) / w->linear_density_kg_m;
        w->linear_density_kg_m *= share;
        w->width_m *= sqrt(share);
        w->thickness_m *= sqrt(share);
    }
}

ep_status ep_case_what_if(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    ep_burn_case now, then;
    int size = 0;
    ep_status s = ep_foresight_load(app, in, &f, err);
    s = s == EP_OK ? ep_foresight_size(&f, ep_in_text(in, "wick"), &size, err) : s;
    s = s == EP_OK ? ep_foresight_case(&f, size, &now, err) : s;
    if (s != EP_OK) {
        return s;
    }
    ep_foresight changed = f;
    s = change_load(app, in, &changed, err);
    change_shape(in, &changed, size);
    s = s == EP_OK ? ep_foresight_case(&changed, size, &then, err) : s;
    if (s != EP_OK) {
        return s;
    }
    now.schedule.max_sessions = then.schedule.max_sessions =
        ep_in_int(in, "sessions", WHATIF_SESSIONS);
    ep_foresight_coarsen(&now);
    ep_foresight_coarsen(&then);
    json_t *before = NULL, *after = NULL;
    s = burn_it(&now, &before, err);
    s = s == EP_OK ? burn_it(&then, &after, err) : s;
    if (s != EP_OK) {
        json_decref(before);
        return s;
    }
    json_t *o = json_object();
    ep_out_text(o, "recipe_id", f.recipe_id);
    ep_out_int(o, "revision", f.revision.number);
    ep_out_text(o, "size_name", f.series.size[size].name);
    ep_out_unit(o, "inner_diameter_mm",
                2.0 * ep_vessel_radius_m(&f.vessel, f.revision.fill_height_m), EP_U_MM);
    ep_out_unit(o, "load_pct", f.revision.load_frac, EP_U_PCT);
    ep_out_unit(o, "linear_density_g_m", f.series.size[size].linear_density_kg_m, EP_U_G_M);
    ep_out_new(o, "now", before);
    ep_out_new(o, "then", after);
    *out = o;
    return EP_OK;
}
