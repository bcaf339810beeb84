// Verdicts and findings as JSON. Used for real candles and for simulated ones.
#include "app/bench_int.h"

json_t *ep_shape_finding(const ep_finding *f, const ep_dossier *d)
{
    json_t *o = json_object(), *readings = json_array();
    ep_out_textf(o, "requirement", "J%d", f->requirement);
    ep_out_text(o, "rule", ep_requirement_text(f->requirement));
    ep_out_text(o, "weight", ep_weight_key(f->weight));
    bool one = f->candle >= 0 && f->candle < d->n_candles;
    ep_out_text(o, "candle", one ? d->candle[f->candle].code : NULL);
    if (f->session > 0) {
        ep_out_int(o, "session", f->session);
    } else {
        ep_out_null(o, "session");
    }
    ep_out_real(o, "value", f->value);
    ep_out_real(o, "limit", f->limit);
    ep_out_new(o, "unit", json_string(ep_unit_symbol(f->unit)));
    ep_out_text(o, "text", f->text);
    for (int i = 0; i < f->n_refs; i++) {
        // readings the engine simulated have no id
        if (f->ref[i] >= 0 && f->ref[i] < d->n_readings && d->reading[f->ref[i]].id[0]) {
            json_array_append_new(readings, json_string(d->reading[f->ref[i]].id));
        }
    }
    ep_out_new(o, "readings", readings);
    return o;
}

json_t *ep_shape_verdict(const ep_verdict *v, const ep_dossier *d)
{
    json_t *o = json_object(), *findings = json_array(), *missing = json_array();
    for (int i = 0; i < v->n_findings; i++) {
        json_array_append_new(findings, ep_shape_finding(&v->finding[i], d));
    }
    for (int i = 0; i < v->n_missing; i++) {
        json_array_append_new(missing, json_string(v->missing[i]));
    }
    ep_out_text(o, "kind", ep_verdict_key(v->kind));
    ep_out_text(o, "kind_text", ep_verdict_text(v->kind));
    ep_out_bool(o, "stop_now", v->stop_now);
    ep_out_new(o, "findings", findings);
    ep_out_new(o, "missing", missing);
    ep_out_text(o, "next_move", v->next_move);
    ep_out_int(o, "candles_right", v->candles_right);
    ep_out_int(o, "candles_wrong", v->candles_wrong);
    ep_out_real(o, "failure_bound_pct", 100.0 * v->failure_bound_frac);
    ep_out_real(o, "worst_margin_pct", 100.0 * v->worst_margin);
    ep_out_text(o, "proof", v->proof);
    ep_out_bool(o, "simulated", d->simulated);
    return o;
}
