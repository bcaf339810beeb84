// Case: the forecast of one wick in one recipe.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "app/bench_int.h"
#include "app/foresee_int.h"
#include "app/learn_int.h"

static void shape_wick(json_t *out, const ep_foresight *f, int size)
{
    json_t *w = json_object();
    ep_out_text(w, "size_id", f->series.size[size].id);
    ep_out_text(w, "size_name", f->series.size[size].name);
    ep_out_text(w, "series_name", f->series.name);
    ep_out_int(w, "count", f->revision.wick_count);
    ep_out_unit(w, "linear_density_g_m", f->series.size[size].linear_density_kg_m, EP_U_G_M);
    ep_out_new(out, "wick", w);
}

static int wall_session(const ep_trace *t)
{
    for (int n = 0; n < t->n_sessions; n++) {
        if (!isnan(t->session[n].wall_reached_s)) {
            return t->session[n].number;
        }
    }
    return 0;
}

/// First session that ends with the pool as wide as the judge counts as wall to wall; NULL = none.
static const ep_session_sum *counts_as_full(const ep_trace *t, double full_frac)
{
    for (int n = 0; n < t->n_sessions; n++) {
        if (t->session[n].reach_end_frac >= full_frac) {
            return &t->session[n];
        }
    }
    return NULL;
}

/// Least that ever was left of the ring of wax between pool and wall, m; 0 once it touched.
static double least_ring_m(const ep_trace *t)
{
    double least_m = (double)NAN;
    for (int n = 0; n < t->n_sessions; n++) {
        least_m = fmin(least_m, t->session[n].ring_least_m);
    }
    return least_m;
}

// by the judge's own limit: what it counts as wall to wall must not be told as a pool that falls
// short
static void say_reach(const ep_trace *t, double full_frac, char *buf, size_t cap)
{
    const ep_session_sum *full = counts_as_full(t, full_frac);
    const int at = wall_session(t);
    const double ring_mm = 1e3 * least_ring_m(t);
    if (at > 0) {
        snprintf(buf, cap, "reaches the wall in session %d after %.0f min", at,
                 t->session[at - 1].wall_reached_s / 60.0);
    } else if (full) {
        snprintf(buf, cap,
                 "comes within %.1f mm of the wall, in session %d near enough to count as "
                 "wall to wall (%.0f %% of the width), but does not touch it all round",
                 ring_mm, full->number, 100.0 * full_frac);
    } else if (ring_mm >= 0.0) {
        snprintf(buf, cap, "never reaches the wall: at its widest it stays %.1f mm short", ring_mm);
    } else {
        snprintf(buf, cap, "never reaches the wall");
    }
}

static void summary_text(json_t *o, const ep_trace *t, double full_frac, double flame_m,
                         double wall_C)
{
    char reach[200];
    say_reach(t, full_frac, reach, sizeof reach);
    const double hours = t->burn_total_s / 3600.0;
    if (!(hours > 0.0)) {
        ep_out_text(o, "text",
                    t->end == EP_OUT_DROWNED
                        ? "The wick does not hold a flame: it drowns as soon as it is lit."
                        : "The wick does not hold a flame: too little wax gets to it, or it is too "
                          "thin to carry one.");
        return;
    }
    char hot[120] = "The";
    if (isfinite(flame_m) && isfinite(wall_C)) {
        snprintf(hot, sizeof hot,
                 "The flame stands %.0f mm at its tallest, the container gets %.0f C at its "
                 "hottest outside, and the",
                 flame_m * 1e3, wall_C);
    }
    const char *end = t->end == EP_OUT_END       ? "burns down to the wick's neck"
                      : t->end == EP_OUT_DROWNED ? "goes out, drowned in its own pool"
                      : t->end == EP_OUT_STARVED ? "goes out for want of wax at the flame"
                                                 : "is still burning when the forecast stops";
    ep_out_textf(o, "text", "The pool %s. %s candle %s after %.*f h.", reach, hot, end,
                 hours < 9.95 ? 1 : 0, hours);
}

void ep_shape_summary(json_t *out, const ep_foresight *f, const ep_trace *t,
                      const ep_wick_odds *odds)
{
    const double full_frac = 1e-2 * f->limit[EP_LIMIT_POOL_FULL].value;
    const ep_session_sum *full = counts_as_full(t, full_frac);
    json_t *o = json_object();
    double flame_m = (double)NAN, wall_C = (double)NAN;  // until a session measured any
    for (int n = 0; n < t->n_sessions; n++) {
        flame_m = fmax(flame_m, t->session[n].flame_max_m);
        wall_C = fmax(wall_C, t->session[n].wall_max_C);
    }
    ep_out_real(o, "burn_h_to_stop", t->burn_to_stop_s / 3600.0);
    ep_out_real(o, "burn_h_total", t->burn_total_s / 3600.0);
    ep_out_real(o, "burn_h_claim", odds ? odds->claim.burn_s / 3600.0 : (double)NAN);
    ep_out_real(o, "rate_g_h", (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0) * 3.6e6);
    int at = wall_session(t);
    if (at > 0) {
        ep_out_int(o, "wall_reached_session", at);
    } else {
        ep_out_null(o, "wall_reached_session");
    }
    if (full) {
        ep_out_int(o, "wall_counts_session", full->number);
    } else {
        ep_out_null(o, "wall_counts_session");
    }
    ep_out_real(o, "wall_ring_mm", 1e3 * least_ring_m(t));
    ep_out_unit(o, "flame_max_mm", flame_m, EP_U_MM);
    ep_out_real(o, "wall_max_C", wall_C);
    ep_out_unit(o, "fill_g", t->fill_kg, EP_U_G);
    ep_out_unit(o, "left_g", t->left_kg, EP_U_G);
    ep_out_unit(o, "boiled_g", t->boiled_kg, EP_U_G);
    ep_out_text(o, "end", ep_out_key(t->end));
    summary_text(o, t, full_frac, flame_m, wall_C);
    ep_out_new(out, "summary", o);
}

static void shape_heat(json_t *out, const ep_trace *t, const ep_melt *melt)
{
    const double time_s = fmax(t->burn_total_s, 1.0);
    const double burned_kg = t->fill_kg - t->left_kg - t->boiled_kg;
    double melting_J = burned_kg * (melt->latent_J_kg.value +
                                    melt->cp_solid_J_kgK.value * (melt->liquidus_K.value - 294.15));
    melting_J = fmin(melting_J, t->heat.wick_J);
    json_t *o = json_object();
    ep_out_real(o, "flame_W", t->heat.flame_J / time_s);
    ep_out_real(o, "pool_W", t->heat.to_pool_J / time_s);
    ep_out_real(o, "wall_W", t->heat.to_wall_J / time_s);
    ep_out_real(o, "room_W", t->heat.room_J / time_s);
    ep_out_real(o, "melting_W", melting_J / time_s);
    ep_out_real(o, "wick_W", t->heat.wick_J / time_s);
    ep_out_real(o, "vapour_W", t->heat.vapour_J / time_s);
    if (!(t->burn_total_s > 0.0)) {
        ep_out_text(o, "text", "Nothing burns, so no heat goes anywhere.");
        ep_out_new(out, "heat", o);
        return;
    }
    ep_out_textf(
        o, "text",
        "Of the %.0f W the flame makes, %.1f W go into the wax and %.1f W into the wall; "
        "%.1f W of that leave for the room and %.1f W go up the wick with the melt, %.1f W "
        "of them to melt it. The rest rises with the hot air.%s",
        t->heat.flame_J / time_s, t->heat.to_pool_J / time_s, t->heat.to_wall_J / time_s,
        t->heat.room_J / time_s, t->heat.wick_J / time_s, melting_J / time_s,
        t->boiled_kg > 0.0 ? " The melt gets so hot that some of it boils off unburned." : "");
    ep_out_new(out, "heat", o);
}

ep_status ep_foresight_judge(const ep_foresight *f, const ep_trace *t, const ep_burn_case *c,
                             ep_verdict *v, ep_observed **seen, ep_err *err)
{
    ep_status s = ep_observe(t, c, seen);
    s = s == EP_OK ? ep_judge(&(*seen)->dossier, f->limit, v, err) : s;
    return s == EP_E_MEMORY ? ep_err_set(err, s, "", "out of memory") : s;
}

ep_status ep_shape_judgement(json_t *out, const ep_foresight *f, const ep_trace *t,
                             const ep_burn_case *c, ep_err *err)
{
    ep_observed *seen = NULL;
    ep_verdict *v = malloc(sizeof *v);
    ep_status s = v ? ep_foresight_judge(f, t, c, v, &seen, err)
                    : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (s == EP_OK) {
        ep_out_new(out, "verdict", ep_shape_verdict(v, &seen->dossier));
    }
    ep_observed_destroy(seen);
    free(v);
    return s;
}

static void shape_head(json_t *out, const ep_foresight *f, int size, const ep_burn_case *c,
                       int seed, int members, double seconds)
{
    ep_shape_foreseen_head(out, f, members, seed);
    shape_wick(out, f, size);
    ep_out_unit(out, "grid_mm", c->grid_m, EP_U_MM);
    ep_out_real(out, "seconds", seconds);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

// the answer without its picture, for what was expected of the sessions to come
static ep_status keep_it(ep_app *app, const ep_foresight *f, int size, const ep_burn_case *c,
                         int seed, int members, json_t *out, ep_err *err)
{
    json_t *body = json_copy(out);
    json_object_del(body, "cut");
    json_object_del(body, "cautions");
    ep_foresight on_grid = *f;  // another grid is another answer to the same inputs
    uint64_t h = ep_hash_text(ep_hash_start(), f->inputs);
    ep_hash_write(ep_hash_real(ep_hash_real(h, c->grid_m), c->step_s), on_grid.inputs);
    ep_status s = ep_foresight_keep(app, &on_grid, "forecast", size, seed, members, body, err);
    json_decref(body);
    return s;
}

// What is expected of a test is the forecast of the candle used as its label says, as finely as
// usual and with all the burns taught. "" when this is it, else what it is instead.
static const char *not_the_forecast(const json_t *in, const ep_middle *m, const ep_burn_case *c,
                                    double usual_m, bool abused, char *buf, size_t cap)
{
    const char *from = ep_in_text(in, "from");
    buf[0] = '\0';
    if (fabs(c->grid_m - usual_m) > 1e-9) {
        snprintf(buf, cap, "On cells of %.4g mm instead of %.4g mm", c->grid_m * 1e3,
                 usual_m * 1e3);
    } else if (abused) {
        snprintf(buf, cap, "Of a candle burned against its label");
    } else if (from && strcmp(from, "tables") == 0) {
        snprintf(buf, cap, "From the tables alone, as asked");
    } else if (m->waits) {
        snprintf(buf, cap, "Before the burns are learned from");
    }
    return buf;
}

static void say_not_kept(json_t *answer, const char *why)
{
    json_t *made_of = json_object_get(answer, "made_of");
    if (why[0]) {
        ep_out_textf(made_of, "text", "%s %s: shown, and not kept as what is expected of a test.",
                     json_string_value(json_object_get(made_of, "text")), why);
    }
    ep_out_bool(answer, "kept", !why[0]);
}

// a candle used against its label: from the tables' ranges, and not kept
static ep_status odds_of_abused(const ep_foresight *f, const ep_burn_case *c, int seed, int members,
                                ep_wick_odds *odds, ep_err *err)
{
    ep_burn_case coarse = *c;
    ep_foresight_coarsen(&coarse);
    const ep_ensemble_opts opts = {.members = members, .seed = (uint64_t)seed};
    return ep_odds_compute(&coarse, &opts, f->limit, odds, err);
}

static ep_status compute_odds(ep_app *app, ep_foresight *f, const ep_middle *m, int size,
                              const ep_burn_case *c, bool abused, int seed, int members,
                              ep_wick_odds *odds, ep_err *err)
{
    return abused ? odds_of_abused(f, c, seed, members, odds, err)
                  : ep_odds_known(app, f, m->study, size, members, seed, NULL, odds, err);
}

static ep_status add_odds(ep_app *app, json_t *out, ep_foresight *f, const ep_middle *m, int size,
                          const ep_burn_case *c, bool abused, int seed, int members,
                          ep_wick_odds *odds, ep_err *err)
{
    ep_tested tested[EP_MAX_SIZES];
    ep_status s = compute_odds(app, f, m, size, c, abused, seed, members, odds, err);
    s = s == EP_OK ? ep_tested_load(app, f, tested, err) : s;
    if (s == EP_OK) {
        ep_out_new(out, "intervals", ep_shape_intervals(odds));
        ep_out_new(out, "odds", ep_shape_odds(f, size, odds, abused ? NULL : tested));
    }
    return s;
}

// long sessions, no trimming, unsteady air; true when the candle is not used as intended
static bool set_abuse(const json_t *in, ep_burn_case *c)
{
    const char *abuse = ep_in_text(in, "abuse");
    const bool both = abuse && strcmp(abuse, "both") == 0;
    const int draught = ep_in_int(in, "draught", 0);
    bool any = draught > 0;
    if (both || (abuse && strcmp(abuse, "long_burn") == 0)) {
        c->schedule.lit_s = fmax(8.0 * 3600.0, c->schedule.lit_s);
        any = true;
    }
    if (both || (abuse && strcmp(abuse, "untrimmed") == 0)) {
        c->schedule.first_wick_m = c->schedule.trim_m;
        c->schedule.trim_m = 0.0;
        any = true;
    }
    // grades to fluctuating speeds: still room, noticeable, strong (from memory)
    c->draught_m_s = 0.1 * draught;
    return any;
}

// a candle used against its label: burns teach of those used as it says. Odds cannot wait for what
// was learned; one burn alone may be had before.
static const char *source_of(const json_t *in, bool abused)
{
    const char *from = ep_in_text(in, "from");
    const bool early = from && strcmp(from, "kept") == 0 && ep_in_int(in, "members", 0) > 0;
    return abused ? "tables" : early ? "burns" : from;
}

static ep_status shape_all(ep_app *app, json_t *answer, ep_foresight *f, const ep_middle *m,
                           int size, const ep_burn_case *c, bool abused, int seed, int members,
                           const ep_trace *t, ep_err *err)
{
    ep_wick_odds odds;
    ep_status s = EP_OK;
    if (members > 0) {
        s = add_odds(app, answer, f, m, size, c, abused, seed, members, &odds, err);
    }
    if (m->learned) {
        ep_foresight_rests_on(f, m->study);
    }
    s = s == EP_OK ? ep_shape_judgement(answer, f, t, c, err) : s;
    if (s != EP_OK) {
        return s;
    }
    ep_shape_middle(answer, m, f, size, c);
    ep_out_new(answer, "trace", ep_shape_trace(t, 0));
    ep_out_new(answer, "sessions", ep_shape_sessions(t));
    ep_shape_summary(answer, f, t, members > 0 ? &odds : NULL);
    shape_heat(answer, t, &f->melt);
    ep_out_new(answer, "cut", ep_shape_cut(t, c, 0));
    json_t *ledger = json_object();
    ep_out_real(ledger, "energy_rel", t->ledger_energy_rel);
    ep_out_real(ledger, "mass_rel", t->ledger_mass_rel);
    ep_out_new(answer, "ledger", ledger);
    return EP_OK;
}

ep_status ep_case_forecast(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    ep_burn_case c;
    int size = 0;
    const double start_s = now_s();
    const int members = ep_in_int(in, "members", 0), seed = ep_in_int(in, "seed", 1);
    ep_status s = ep_foresight_load(app, in, &f, err);
    s = s == EP_OK ? ep_foresight_size(&f, ep_in_text(in, "wick"), &size, err) : s;
    s = s == EP_OK ? ep_foresight_case(&f, size, &c, err) : s;
    if (s != EP_OK) {
        return s;
    }
    if (members == 1) {
        return ep_err_set(err, EP_E_ARG, "members", "members: 1 gives no odds; use 0 or 2 to %d",
                          EP_MAX_MEMBERS);
    }
    const double usual_m = c.grid_m;
    c.grid_m = ep_in_real(in, "grid", usual_m);
    bool abused = set_abuse(in, &c);
    c.keep_frames = true;
    c.threads = ep_burn_case_rings(&c) ? 1 : 2;
    ep_middle m;
    ep_trace *t = NULL;
    s = ep_middle_open(app, &f, seed, source_of(in, abused), &m, err);
    s = s == EP_OK ? ep_middle_burn(&m, &f, size, &c, &t, err) : s;
    json_t *answer = NULL;
    if (s == EP_OK) {
        answer = json_object();
        s = shape_all(app, answer, &f, &m, size, &c, abused, seed, members, t, err);
    }
    if (s == EP_OK) {
        char other[80];
        shape_head(answer, &f, size, &c, seed, members, now_s() - start_s);
        ep_shape_above(answer, t, &c);  // adds to the cautions of the head
        not_the_forecast(in, &m, &c, usual_m, abused, other, sizeof other);
        say_not_kept(answer, other);
        s = other[0] ? EP_OK : keep_it(app, &f, size, &c, seed, members, answer, err);
    }
    ep_trace_destroy(t);
    ep_study_free(m.study);
    if (s == EP_OK) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return s;
}
