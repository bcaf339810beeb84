// One candle's life: light, burn, put out, rest, again, until the wax is down to the wick's neck.
// See docs/physics/burn.md for the order of things within a step.
#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "burn/jar_int.h"
#include "burn/wickburn.h"

ep_burn_case ep_burn_case_default(void)
{
    return (ep_burn_case){.n_wicks = 1,
                          .threads = 1,
                          .neck_m = 8e-3,
                          .stop_height_m = 12.7e-3,
                          .ambient_C = 21.0,
                          .schedule = {.lit_s = 4.0 * 3600.0,
                                       .rest_s = 20.0 * 3600.0,
                                       .trim_m = 6e-3,
                                       .max_sessions = EP_MAX_SESSIONS},
                          .factors = ep_factors_nominal(),
                          .grid_m = 2e-3,
                          .step_s = 60.0};
}

// the three lines of the enthalpy law (Eq. F2) meet in order only if melting takes more heat than
// the two specific heats differ by over the range; no wax comes near, a mistyped data sheet can
static ep_status check_melting(const ep_burn_case *c, ep_err *err)
{
    const ep_melt *m = &c->melt;
    double range_K = m->liquidus_K.value - m->solidus_K.value;
    double apart_J_kgK = fabs(m->cp_solid_J_kgK.value - m->cp_liquid_J_kgK.value);
    double least_J_kg = fmax(1e3, 0.6 * apart_J_kgK * range_K);
    double latent_J_kg = m->latent_J_kg.value * c->factors.f[EP_UNC_LATENT];
    return ep_range_check(latent_J_kg, least_J_kg, 1e6, EP_U_KJ_KG, "latent", err);
}

ep_status ep_burn_case_check(const ep_burn_case *c, ep_err *err)
{
    assert(c->wall);
    ep_status s = ep_vessel_check(&c->vessel, err);
    if (s != EP_OK) {
        return s;
    }
    const double brim_m = ep_vessel_height_m(&c->vessel);
    const struct {
        double value, lo, hi;
        ep_unit unit;
        const char *field;
    } row[] = {
        {c->fill_height_m, EP_BURN_FILL_MIN_M, brim_m, EP_U_MM, "fill_height"},
        {c->neck_m, 0.0, 30e-3, EP_U_MM, "neck"},
        {c->stop_height_m, 0.0, EP_BURN_STOP_MAX_M, EP_U_MM, "stop_height"},
        {c->ambient_C + 273.15, 273.15, 318.15, EP_U_DEG_C, "room_temp"},
        {c->draught_m_s, 0.0, 1.0, EP_U_NONE, "draught"},
        {c->schedule.lit_s, 360.0, 86400.0, EP_U_H, "session"},
        {c->schedule.rest_s, 0.0, 14.0 * 86400.0, EP_U_H, "rest"},
        {c->schedule.trim_m, 0.0, 20e-3, EP_U_MM, "trim"},
        {c->schedule.first_wick_m, 0.0, 40e-3, EP_U_MM, "first_wick"},
        {(double)c->schedule.max_sessions, 1.0, EP_MAX_SESSIONS, EP_U_NONE, "sessions"},
        {c->grid_m, 0.5e-3, 4e-3, EP_U_MM, "grid"},
        {c->step_s, 5.0, 120.0, EP_U_S, "step"},
        {c->wick.diameter_m, 0.2e-3, 40e-3, EP_U_MM, "wick"},
        {(double)c->n_wicks, 1.0, EP_MAX_WICKS, EP_U_NONE, "wick_count"},
    };
    for (size_t n = 0; n < sizeof row / sizeof *row; n++) {
        s = ep_range_check(row[n].value, row[n].lo, row[n].hi, row[n].unit, row[n].field, err);
        if (s != EP_OK) {
            return s;
        }
    }
    s = check_melting(c, err);
    return s == EP_OK
               ? ep_places_check(&c->vessel, c->fill_height_m, c->n_wicks, c->place, "places", err)
               : s;
}

typedef struct burn {
    const ep_burn_case *c;
    ep_jar *jar;
    ep_fuel fuel;
    ep_trace *trace;
    ep_wick_now now[EP_MAX_WICKS];
    ep_session_sum *sum;
    double t_s, lit_total_s, session_s;
    int session;
    int frame_every;  // sessions between pictures
} burn;

static ep_sample take_sample(burn *b)
{
    ep_sample s = {.t_s = b->t_s,
                   .lit_s = b->lit_total_s,
                   .minute = b->session_s / 60.0,
                   .session = b->session,
                   .lit = ep_jar_lit(b->jar)};
    ep_jar_measure(b->jar, &b->fuel, &s);
    return s;
}

// what one wick and its flame do now; EP_OUT_NOT while the flame lives
static ep_out look_at_flame(burn *b, jar_wick *w, ep_wick_now *now)
{
    ep_jar *j = b->jar;
    const ep_wick_law *wick = &b->c->wick;
    w->exposed_m = w->tip_m - ep_jar_level_m(j, w);
    if (ep_jar_surface_m(j, w->foot) <= b->c->neck_m) {
        return EP_OUT_END;
    }
    double wet_m = ep_min(w->exposed_m, wick->diameter_m / EP_DRY_OUT_RATIO);
    if (!ep_flame_exists(wet_m, wick->diameter_m)) {
        return wick->diameter_m < 0.88e-3 ? EP_OUT_STARVED : EP_OUT_DROWNED;
    }
    double pool_C = ep_max(ep_jar_pool_wick_C(j, w), j->f->law.liquidus_C);
    *now = ep_wick_burn(&b->fuel, &b->c->melt, wick, w->exposed_m, pool_C, j->oxygen_frac,
                        &b->c->factors);
    return now->rate_kg_s > 0.0 ? EP_OUT_NOT : EP_OUT_STARVED;
}

static void snuff(jar_wick *w)
{
    w->lit = false;
    w->rate_kg_s = w->flame_m = w->radiative_frac = w->sink_W = w->core_W = 0.0;
    w->common = (ep_common_flame){0};
}

// looks at every flame; the session goes on while one lives, and ends for the reason the last had
static ep_out look_at_flames(burn *b)
{
    ep_out last = EP_OUT_NOT;
    bool alive = false;
    for (int n = 0; n < b->jar->n_wicks; n++) {
        jar_wick *w = &b->jar->wick[n];
        ep_out out = w->lit ? look_at_flame(b, w, &b->now[n]) : EP_OUT_NOT;
        if (w->lit && out != EP_OUT_NOT) {
            snuff(w);
            b->sum->wicks_out += w->images;
            last = out;
        }
        alive = alive || w->lit;
    }
    return alive ? EP_OUT_NOT : (last == EP_OUT_NOT ? EP_OUT_STARVED : last);
}

static void burn_wax(burn *b, jar_wick *w, double rate_kg_s, double tau_s)
{
    ep_jar *j = b->jar;
    double mass_kg = ep_min(w->share * rate_kg_s * tau_s, 0.5 * ep_jar_wax_kg(j));
    double hot_C = ep_max(ep_jar_pool_wick_C(j, w), j->f->law.liquidus_C);
    double want_J = mass_kg * ep_law_u_J_kg(&j->f->law, hot_C);
    double before_kg = j->burned_kg;
    double taken_J = ep_jar_draw(j, w->pool, mass_kg);
    mass_kg = j->burned_kg - before_kg;
    w->rate_kg_s = rate_kg_s;
    w->sink_W = ep_max(0.0, want_J - taken_J) / tau_s / w->share;
    w->flame_m = ep_flame_height_m(&b->fuel, rate_kg_s, w->exposed_m, b->c->wick.width_m);
    w->core_W = ep_core_heat_W(&b->c->wick, w->exposed_m, hot_C);
    j->wick_J += w->share * w->sink_W * tau_s;
    j->flame_J += mass_kg * b->fuel.lhv_J_kg;
    b->sum->burned_kg += j->copies * mass_kg;
}

// flames close to each other stand as one, taller than any of them alone
static void join_flames(ep_jar *j)
{
    double x_m[EP_MAX_WICKS], y_m[EP_MAX_WICKS];
    bool lit[EP_MAX_WICKS];
    ep_common_flame one[EP_MAX_WICKS];
    for (int n = 0; n < j->n_flames; n++) {
        x_m[n] = j->flame[n].x_m;
        y_m[n] = j->flame[n].y_m;
        lit[n] = j->wick[j->flame[n].wick].lit;
    }
    ep_flames_merge(x_m, y_m, lit, j->n_flames, one);
    for (int n = 0; n < j->n_flames; n++) {
        // mirror images burn alike: the last one tells what the first did
        j->wick[j->flame[n].wick].common = one[n];
    }
    for (int n = 0; n < j->n_wicks; n++) {
        jar_wick *w = &j->wick[n];
        if (w->lit) {
            w->flame_m *= w->common.stretch;
            w->radiative_frac = ep_radiative_frac(w->flame_m);
        }
    }
}

static void note_session(burn *b, const ep_sample *s)
{
    ep_session_sum *sum = b->sum;
    sum->reach_max_frac = fmax(sum->reach_max_frac, s->reach_frac);
    if (isnan(sum->wall_reached_s) && s->reach_frac >= EP_AT_WALL_FRAC) {
        sum->wall_reached_s = b->session_s;
    }
    sum->wall_max_C = fmax(sum->wall_max_C, s->wall_max_C);
    sum->flame_max_m = fmax(sum->flame_max_m, s->flame_m);
    sum->stress_max = fmax(sum->stress_max, s->stress_index);
    sum->cap_index = fmax(sum->cap_index, s->cap_index);
    sum->flame_gap_m = s->flame_gap_m;
    sum->flicker_Hz = fmax(sum->flicker_Hz, s->flicker_Hz);
    if (!isnan(s->soot_margin_m)) {
        sum->soot_margin_min_m = fmin(sum->soot_margin_min_m, s->soot_margin_m);
    }
    sum->reach_end_frac = s->reach_frac;
    sum->touch_end_frac = s->touch_frac;
    sum->ring_end_m = s->ring_m;
    sum->ring_least_m = fmin(sum->ring_least_m, s->ring_m);
    sum->depth_mid_m = s->depth_mid_m;
    sum->depth_wall_m = s->depth_wall_m;
    sum->hangup_kg = s->hangup_kg;
    sum->pool_bulk_C = s->pool_bulk_C;
    sum->exposed_end_m = s->exposed_m;
}

// `of_session`: it tells of the session too, also where its flame has just gone out
static ep_status keep_sample(burn *b, bool frame, bool of_session)
{
    if (b->c->wanted && !b->c->wanted(b->c->wanted_ctx)) {
        return EP_E_STATE;
    }
    ep_sample s = take_sample(b);
    if (!isfinite(s.wall_max_C) || !isfinite(s.left_kg)) {
        return EP_E_DIVERGED;
    }
    if (of_session) {
        note_session(b, &s);
    }
    if (frame && b->c->keep_frames) {
        ep_trace_frame(b->trace, b->jar, &s);
    }
    return ep_trace_add(b->trace, &s);
}

static double next_sample_s(double session_s)
{
    double every_s = session_s < 1200.0 - 1e-6 ? 300.0 : 600.0;
    return (floor(session_s / every_s + 1e-6) + 1.0) * every_s;
}

static double lit_step_s(const burn *b)
{
    double tau_s = b->session_s < 300.0 ? 10.0 : (b->session_s < 1800.0 ? 30.0 : b->c->step_s);
    return fmin(tau_s, b->c->step_s);
}

// what boils off is gone from the scale like what burned
static void boil_off(burn *b, double tau_s)
{
    double before_kg = b->jar->boiled_kg;
    ep_jar_boil(b->jar, tau_s);
    b->sum->burned_kg += b->jar->copies * (b->jar->boiled_kg - before_kg);
}

// one lit step; the order: look, draw, set heat, conduct, boil, settle, burn off
static ep_out lit_step(burn *b, double tau_s)
{
    ep_jar *j = b->jar;
    ep_out out = look_at_flames(b);
    if (out != EP_OUT_NOT) {
        return out;
    }
    for (int n = 0; n < j->n_wicks; n++) {
        if (j->wick[n].lit) {
            burn_wax(b, &j->wick[n], b->now[n].rate_kg_s, tau_s);
        }
    }
    join_flames(j);
    ep_jar_assemble(j);
    ep_field_step(j->f, tau_s);
    j->to_pool_J += j->into_pool_W * tau_s;
    j->to_wall_J += j->into_wall_W * tau_s;
    j->step_s = tau_s;
    boil_off(b, tau_s);
    ep_jar_settle(j);
    for (int n = 0; n < j->n_wicks; n++) {
        jar_wick *w = &j->wick[n];
        if (w->lit) {
            w->tip_m -= ep_wick_burn_off_m(&b->c->wick, &b->now[n], w->exposed_m, tau_s);
            double grown = ep_cap_growth(&b->c->wick, &b->now[n], w->exposed_m, tau_s);
            w->cap_index = ep_min(3.0, w->cap_index + grown);
        }
    }
    b->session_s += tau_s;
    b->t_s += tau_s;
    b->lit_total_s += tau_s;
    if (isnan(b->trace->burn_to_stop_s) &&
        ep_jar_surface_m(j, j->wick[0].foot) <= b->c->stop_height_m) {
        b->trace->burn_to_stop_s = b->lit_total_s;
    }
    return EP_OUT_NOT;
}

static bool frame_due(const burn *b, double session_s)
{
    bool session_shown = (b->session - 1) % b->frame_every == 0;
    bool hour = fabs(remainder(session_s, 3600.0)) < 1.0;
    bool early = b->session == 1 && session_s < 3600.0 && fabs(remainder(session_s, 1200.0)) < 1.0;
    return (session_shown && hour) || early;
}

static ep_status burn_session(burn *b)
{
    ep_out out = EP_OUT_NOT;
    ep_status status = EP_OK;
    double sample_s = next_sample_s(0.0);
    const double end_s = b->c->schedule.lit_s;
    while (out == EP_OUT_NOT && status == EP_OK && b->session_s < end_s - 1e-6) {
        double tau_s = fmin(lit_step_s(b), fmin(sample_s, end_s) - b->session_s);
        out = lit_step(b, tau_s);
        if (out == EP_OUT_NOT && b->session_s >= fmin(sample_s, end_s) - 1e-6) {
            status =
                keep_sample(b, frame_due(b, b->session_s) || b->session_s >= end_s - 1e-6, true);
            sample_s = next_sample_s(b->session_s);
        }
    }
    if (status == EP_OK && out != EP_OUT_NOT && b->session_s > 0.0) {
        status = keep_sample(b, true, true);
    }
    b->sum->out = out;
    return status;
}

static void put_out(burn *b)
{
    for (int n = 0; n < b->jar->n_wicks; n++) {
        snuff(&b->jar->wick[n]);
    }
}

static ep_status rest(burn *b, double rest_s)
{
    double rested_s = 0.0;
    while (rested_s < rest_s && ep_jar_hottest_K_above(b->jar, b->c->ambient_C) > 0.3) {
        double tau_s = fmin(rested_s < 600.0 ? 60.0 : 300.0, rest_s - rested_s);
        ep_jar_assemble(b->jar);
        ep_field_step(b->jar->f, tau_s);
        b->jar->step_s = tau_s;
        ep_jar_settle(b->jar);
        rested_s += tau_s;
    }
    b->t_s += rest_s;
    return keep_sample(b, (b->session - 1) % b->frame_every == 0, false);
}

static void light(burn *b)
{
    ep_jar *j = b->jar;
    const ep_schedule *s = &b->c->schedule;
    double trim_m = b->session == 1 && s->first_wick_m > 0.0 ? s->first_wick_m : s->trim_m;
    for (int n = 0; n < j->n_wicks; n++) {
        jar_wick *w = &j->wick[n];
        double surface_m = ep_jar_surface_m(j, w->foot);
        if (b->session == 1) {
            w->tip_m = surface_m + (trim_m > 0.0 ? trim_m : b->c->wick.default_trim_m);
        } else if (trim_m > 0.0) {
            // scissors make no wick longer
            w->tip_m = ep_min(w->tip_m, surface_m + trim_m);
            w->cap_index = 0.0;
        }
        w->lit = true;
    }
    b->session_s = 0.0;
    b->sum = &b->trace->session[b->session - 1];
    *b->sum = (ep_session_sum){
        .number = b->session,
        .start_lit_s = b->lit_total_s,
        .wall_reached_s = (double)NAN,
        .ring_least_m = (double)NAN,
        .ring_end_m = (double)NAN,
        .soot_margin_min_m = (double)INFINITY,
        .pool_bulk_C = (double)NAN,
        .wall_max_C = b->c->ambient_C,
        .flame_gap_m = (double)NAN,
        .inner_m = 2.0 * ep_vessel_radius_m(&b->c->vessel, ep_jar_surface_m(j, j->wick[0].foot))};
    b->trace->n_sessions = b->session;
    ep_jar_settle(j);
}

// out of wax, or twice running no flame worth the name
static bool life_over(const burn *b)
{
    const ep_session_sum *now = b->sum;
    if (now->out == EP_OUT_END) {
        return true;
    }
    bool weak = now->out != EP_OUT_NOT && now->burned_kg < 1e-3;
    if (!weak || b->session < 2) {
        return false;
    }
    const ep_session_sum *before = now - 1;
    return before->out != EP_OUT_NOT && before->burned_kg < 1e-3;
}

static ep_status live(burn *b)
{
    for (b->session = 1; b->session <= b->c->schedule.max_sessions; b->session++) {
        light(b);
        ep_status s = burn_session(b);
        b->sum->lit_s = b->session_s;
        b->sum->left_frac = ep_jar_wax_kg(b->jar) / b->jar->start_kg;
        if (!isfinite(b->sum->soot_margin_min_m)) {
            b->sum->soot_margin_min_m = (double)NAN;
        }
        put_out(b);
        if (s == EP_OK && !(b->session_s > 0.0) && b->session > 1) {
            // a match that lights nothing is no session
            b->trace->n_sessions--;
        }
        if (s != EP_OK || life_over(b)) {
            return s;
        }
        s = rest(b, b->c->schedule.rest_s);
        if (s != EP_OK) {
            return s;
        }
    }
    return EP_OK;
}

// the part's sums times its copies are those of the whole jar
static void close_books(burn *b)
{
    ep_trace *t = b->trace;
    const ep_jar *j = b->jar;
    const double end_kg = ep_jar_wax_kg(j), end_J = ep_field_energy_J(j->f);
    t->fill_kg = j->copies * j->start_kg;
    t->left_kg = j->copies * end_kg;
    t->burn_total_s = b->lit_total_s;
    t->end = b->sum->out;
    t->stages = j->f->stages;
    t->heat = (ep_heat_sums){.flame_J = j->copies * j->flame_J,
                             .to_pool_J = j->copies * j->to_pool_J,
                             .to_wall_J = j->copies * j->to_wall_J,
                             .wick_J = j->copies * j->wick_J,
                             .vapour_J = j->copies * j->boiled_J,
                             .stored_J = j->copies * (end_J - j->start_J)};
    // the wicks' extra heat went through the field's sources, the rest with the mass drawn
    t->heat.room_J = t->heat.to_pool_J + t->heat.to_wall_J - t->heat.wick_J - t->heat.vapour_J -
                     t->heat.stored_J;
    t->boiled_kg = j->copies * j->boiled_kg;
    t->ledger_mass_rel = fabs(j->start_kg - end_kg - j->burned_kg - j->boiled_kg) / j->start_kg;
    double residual_J = end_J - j->start_J - j->f->in_J + j->drawn_J + j->boiled_J;
    t->ledger_energy_rel = fabs(residual_J) / fmax(j->f->through_J, 1.0);
}

ep_status ep_burn_run(const ep_burn_case *c, ep_trace **out, ep_err *err)
{
    ep_status s = ep_burn_case_check(c, err);
    if (s != EP_OK) {
        return s;
    }
    burn b = {.c = c, .fuel = ep_fuel_of(&c->melt)};
    s = ep_trace_create(&b.trace);
    s = s == EP_OK ? ep_jar_create(c, &b.jar) : s;
    if (s == EP_OK && c->threads > 1) {
        // without a second thread the first does it all
        (void)ep_field_pair(b.jar->f);
    }
    if (s == EP_OK) {
        double guess_h = b.jar->copies * b.jar->start_kg * 1e3 / (5.0 * c->n_wicks);
        int sessions = (int)ceil(guess_h * 3600.0 / c->schedule.lit_s);
        double hours = fmax(1.0, c->schedule.lit_s / 3600.0) + 1.0;
        b.frame_every = 1 + (int)(sessions * hours / (0.8 * EP_MAX_FRAMES));
        s = live(&b);
    }
    if (s == EP_OK) {
        close_books(&b);
        *out = b.trace;
    } else {
        ep_trace_destroy(b.trace);
        const char *why = s == EP_E_STATE ? "nobody waits for it any more" : ep_status_text(s);
        ep_err_set(err, s, "", "the burn of this candle could not be computed: %s", why);
    }
    ep_jar_destroy(b.jar);
    return s;
}
