// Case: why a forecast says what it says: what holds the flame back, and which unknown matters
// most.
#include <math.h>

#include "app/foresee_int.h"
#include "burn/sensitivity.h"

enum { WHY_SESSIONS = 3 };

static json_t *shape_outcome(const ep_outcome *o)
{
    json_t *out = json_object();
    ep_out_real(out, "rate_g_h", o->rate_kg_s * 3.6e6);
    ep_out_real(out, "reach_pct", 100.0 * o->reach_frac);
    ep_out_unit(out, "depth_mid_mm", o->depth_mid_m, EP_U_MM);
    ep_out_real(out, "wall_max_C", o->wall_max_C);
    ep_out_unit(out, "flame_max_mm", o->flame_max_m, EP_U_MM);
    return out;
}

static json_t *shape_factor(const ep_sensitivity *s)
{
    json_t *o = json_object();
    ep_out_text(o, "factor", ep_uncertain_key(s->factor));
    ep_out_text(o, "label", ep_uncertain_label(s->factor));
    ep_out_text(o, "owner", ep_uncertain_owner(s->factor));
    ep_out_text(o, "unit", s->factor == EP_UNC_MELT_POINT ? "K" : "times");
    ep_out_real(o, "lo", s->lo);
    ep_out_real(o, "hi", s->hi);
    ep_out_new(o, "low", shape_outcome(&s->at_lo));
    ep_out_new(o, "high", shape_outcome(&s->at_hi));
    ep_out_real(o, "weight", s->weight);
    ep_out_bool(o, "estimated", s->estimated);
    ep_out_textf(o, "text",
                 "%s (%s): over its likely range the pool reaches %.0f to %.0f %% of the way, the "
                 "wall gets %.0f to %.0f C, the rate is %.1f to %.1f g/h",
                 ep_uncertain_label(s->factor), ep_uncertain_owner(s->factor),
                 100.0 * s->at_lo.reach_frac, 100.0 * s->at_hi.reach_frac, s->at_lo.wall_max_C,
                 s->at_hi.wall_max_C, s->at_lo.rate_kg_s * 3.6e6, s->at_hi.rate_kg_s * 3.6e6);
    return o;
}

// at the trim length: a wick that carries more than the flame takes grows into it, and the other
// way
static json_t *shape_limit(const ep_burn_case *c)
{
    const double pool_C = c->melt.liquidus_K.value - 273.15 + 30.0;
    const double share = ep_feed_share(c, c->schedule.trim_m, pool_C);
    json_t *o = json_object();
    ep_out_unit(o, "at_mm", c->schedule.trim_m, EP_U_MM);
    ep_out_real(o, "demand_over_supply", share);
    if (share > 1.1) {
        ep_out_textf(
            o, "text",
            "Freshly trimmed, the flame asks for %.1f times what the wick can carry: the "
            "wick's feed holds it back, so thinner melt or a denser wick would make it grow.",
            share);
    } else if (share < 0.9) {
        ep_out_textf(o, "text",
                     "Freshly trimmed, the wick could carry %.1f times what the flame takes: the "
                     "trim length holds it back, and the flame grows as the wick is laid bare.",
                     1.0 / share);
    } else {
        ep_out_text(o, "text",
                    "Freshly trimmed, what the flame asks for and what the wick carries "
                    "are about the same.");
    }
    return o;
}

ep_status ep_case_why(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    ep_burn_case c;
    int size = 0;
    ep_status s = ep_foresight_load(app, in, &f, err);
    s = s == EP_OK ? ep_foresight_size(&f, ep_in_text(in, "wick"), &size, err) : s;
    s = s == EP_OK ? ep_foresight_case(&f, size, &c, err) : s;
    if (s != EP_OK) {
        return s;
    }
    ep_foresight_coarsen(&c);
    ep_outcome nominal;
    ep_sensitivity row[EP_UNC_COUNT_];
    s = ep_sensitivity_run(&c, WHY_SESSIONS, &nominal, row, err);
    if (s != EP_OK) {
        return s;
    }
    json_t *o = json_object(), *list = json_array();
    ep_out_text(o, "recipe_id", f.recipe_id);
    ep_out_int(o, "revision", f.revision.number);
    ep_out_text(o, "size_name", f.series.size[size].name);
    ep_out_int(o, "sessions", WHY_SESSIONS);
    ep_out_new(o, "nominal", shape_outcome(&nominal));
    ep_out_new(o, "limit", shape_limit(&c));
    for (int i = 0; i < EP_UNC_COUNT_; i++) {
        json_array_append_new(list, shape_factor(&row[i]));
    }
    ep_out_new(o, "factors", list);
    int estimated = 0;
    for (int i = 0; i < EP_UNC_COUNT_; i++) {
        estimated += row[i].estimated;
    }
    ep_out_textf(o, "text",
                 "After %d sessions the outcome hangs most on %s (%s), then on %s (%s).%s",
                 WHY_SESSIONS, ep_uncertain_label(row[0].factor), ep_uncertain_owner(row[0].factor),
                 ep_uncertain_label(row[1].factor), ep_uncertain_owner(row[1].factor),
                 estimated > 0 ? " The smaller ones are estimated on a round jar of each wick's "
                                 "equal share of the wax."
                               : "");
    *out = o;
    return EP_OK;
}
