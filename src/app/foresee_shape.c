// Shapes of traces, pictures and odds (docs/api.md, "Foresee and plan").
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#include "app/learn_int.h"

static json_t *number(double x)
{
    return isfinite(x) ? json_real(ep_out_round(x)) : json_null();
}

// three decimals are below anything a bench can read and keep the answer small
static json_t *short_number(double x)
{
    return isfinite(x) ? json_real(round(x * 1000.0) / 1000.0) : json_null();
}

json_t *ep_shape_band(ep_band band, double scale, double offset)
{
    json_t *o = json_object();
    json_object_set_new(o, "p05", short_number(band.p05 * scale + offset));
    json_object_set_new(o, "p50", short_number(band.p50 * scale + offset));
    json_object_set_new(o, "p95", short_number(band.p95 * scale + offset));
    return o;
}

static double pct(double share)
{
    return round(share * 1000.0) / 10.0;
}

// how it leans, by the largest of shares that exclude each other
static const char *word_of(const ep_wick_odds *o)
{
    static const struct {
        ep_verdict_kind kind;
        const char *likely, *leans;
    } words[] = {
        {EP_VERDICT_RIGHT, "likely right", "leans to right"},
        {EP_VERDICT_TOO_SMALL, "likely too small", "leans to too small"},
        {EP_VERDICT_TOO_BIG, "likely too hot", "leans to too hot"},
        {EP_VERDICT_WRONG_KIND, "likely the wrong kind", "leans to the wrong kind"},
    };
    const char *word = "could go either way";
    double most = 0.0;
    for (int i = 0; i < EP_COUNT_OF(words); i++) {
        const double share = o->verdict[words[i].kind];
        if (share > most) {
            word = share >= 0.6 ? words[i].likely : words[i].leans;
        } else if (share >= most && most > 0.0) {
            word = "could go either way";
        }
        most = fmax(most, share);
    }
    return word;
}

// what real candles decided comes first, and what the simulated ones say is not called likely then
static void odds_text(json_t *out, const ep_wick_odds *o, const char *tested, bool decided)
{
    const double *share = o->verdict;
    char wrong[40] = "", open[40] = "";
    if (share[EP_VERDICT_WRONG_KIND] >= 0.005) {
        snprintf(wrong, sizeof wrong, ", %.0f %% wrong kind", pct(share[EP_VERDICT_WRONG_KIND]));
    }
    if (share[EP_VERDICT_UNKNOWN] >= 0.005) {
        snprintf(open, sizeof open, ", %.0f %% not to be told", pct(share[EP_VERDICT_UNKNOWN]));
    }
    ep_out_textf(out, "text", "%s%s%s: %.0f %% right, %.0f %% too small, %.0f %% too hot%s%s",
                 tested, tested[0] ? ". " : "", decided ? "Simulated candles alone" : word_of(o),
                 pct(share[EP_VERDICT_RIGHT]), pct(share[EP_VERDICT_TOO_SMALL]),
                 pct(share[EP_VERDICT_TOO_BIG]), wrong, open);
}

static void shape_claim(json_t *out, const ep_wick_odds *o)
{
    const double hours = o->claim.burn_s / 3600.0;
    const double shown = floor(hours + 1e-9);
    char early[96] = "";
    if (o->claim.unfinished > 0) {
        snprintf(early, sizeof early,
                 " %d of them went out before and count with what they burned.",
                 o->claim.unfinished);
    }
    ep_out_real(out, "claim_h", hours);
    ep_out_real(out, "claim_sure_pct", pct(o->claim.confidence));
    if (o->claim.confidence < EP_CLAIM_CONFIDENCE) {
        ep_out_textf(out, "claim_text",
                     "Too few simulated candles to say what 95 of 100 reach: the shortest of %d "
                     "burned %.0f h to the stop height; it takes 59.%s A label speaks of a proven "
                     "candle only.",
                     o->members, shown, early);
    } else {
        ep_out_textf(
            out, "claim_text",
            "Of such simulated candles 95 of 100 burn at least %.0f h to the stop height "
            "(95 %% confidence, %d burned, nothing said of how they are burned at home).%s "
            "A label speaks of a proven candle only, and of what real ones burned.",
            shown, o->members, early);
    }
}

json_t *ep_shape_odds(const ep_foresight *f, int i, const ep_wick_odds *o, const ep_tested *tested)
{
    const ep_wick_size *size = &f->series.size[i];
    char words[200] = "";
    json_t *out = json_object();
    ep_out_text(out, "size_id", size->id);
    ep_out_text(out, "size_name", size->name);
    ep_out_unit(out, "linear_density_g_m", size->linear_density_kg_m, EP_U_G_M);
    ep_out_real(out, "right_pct", pct(o->verdict[EP_VERDICT_RIGHT]));
    ep_out_real(out, "too_small_pct", pct(o->verdict[EP_VERDICT_TOO_SMALL]));
    ep_out_real(out, "too_big_pct", pct(o->verdict[EP_VERDICT_TOO_BIG]));
    ep_out_real(out, "wrong_kind_pct", pct(o->verdict[EP_VERDICT_WRONG_KIND]));
    ep_out_real(out, "unknown_pct", pct(o->verdict[EP_VERDICT_UNKNOWN]));
    json_t *wall = json_array();
    for (int n = 0; n < o->n_sessions; n++) {
        json_array_append_new(wall, json_real(pct(o->wall_by_session[n])));
    }
    ep_out_new(out, "wall_by_session_pct", wall);
    ep_out_real(out, "hot_pct", pct(o->verdict[EP_VERDICT_TOO_BIG]));
    ep_out_real(out, "drown_pct", pct(o->drowned));
    ep_out_new(out, "rate_g_h", ep_shape_band(o->rate_kg_s, 3.6e6, 0.0));
    ep_out_new(out, "wall_max_C", ep_shape_band(o->wall_max_C, 1.0, 0.0));
    ep_out_new(out, "flame_max_mm", ep_shape_band(o->flame_max_m, 1e3, 0.0));
    ep_out_new(out, "burn_h", ep_shape_band(o->burn_total_s, 1.0 / 3600.0, 0.0));
    ep_out_new(out, "burn_to_stop_h", ep_shape_band(o->burn_to_stop_s, 1.0 / 3600.0, 0.0));
    shape_claim(out, o);
    ep_out_real(out, "sessions", o->sessions_p50);
    if (tested) {
        ep_tested_words(f, tested, i, words, sizeof words);
    }
    ep_out_new(out, "tested", tested ? ep_shape_tested(f, tested, i) : json_null());
    odds_text(out, o, words, tested && tested[i].by >= 0);
    return out;
}

json_t *ep_shape_odds_list(const ep_foresight *f, const ep_wick_odds *odds, const ep_tested *tested)
{
    json_t *list = json_array();
    for (int i = 0; i < f->series.n_sizes; i++) {
        json_array_append_new(list, ep_shape_odds(f, i, &odds[i], tested));
    }
    return list;
}

typedef struct column {
    const char *key;
    size_t offset;
    double scale;
} column;

#define COL(key, member, scale)                                                                    \
    {                                                                                              \
        key, offsetof(ep_sample, member), scale                                                    \
    }

static const column SAMPLE_COLUMN[] = {
    COL("rate_g_h", rate_kg_s, 3.6e6),         COL("level_mm", level_m, 1e3),
    COL("reach_pct", reach_frac, 100.0),       COL("pool_wide_mm", pool_width_m, 1e3),
    COL("depth_axis_mm", depth_axis_m, 1e3),   COL("depth_mid_mm", depth_mid_m, 1e3),
    COL("depth_wall_mm", depth_wall_m, 1e3),   COL("hangup_g", hangup_kg, 1e3),
    COL("pool_bulk_C", pool_bulk_C, 1.0),      COL("pool_edge_C", pool_edge_C, 1.0),
    COL("pool_wick_C", pool_wick_C, 1.0),      COL("wall_max_C", wall_max_C, 1.0),
    COL("wall_max_at_mm", wall_max_at_m, 1e3), COL("flame_mm", flame_m, 1e3),
    COL("exposed_mm", exposed_m, 1e3),         COL("soot_margin_mm", soot_margin_m, 1e3),
    COL("stress_index", stress_index, 1.0),    COL("scent_rel", scent_rel, 1.0),
    COL("touched_pct", touch_frac, 100.0),     COL("pool_narrow_mm", pool_narrow_m, 1e3),
    COL("flame_gap_mm", flame_gap_m, 1e3),     COL("flame_apart_mm", flame_apart_m, 1e3),
    COL("flames_in_one", flames_in_one, 1.0),  COL("flicker_Hz", flicker_Hz, 1.0),
    COL("cap_index", cap_index, 1.0),          COL("left_g", left_kg, 1e3),
    COL("hour", lit_s, 1.0 / 3600.0),          COL("minute", minute, 1.0),
};

static bool shown(int session, int wanted)
{
    return wanted == 0 || session == wanted;
}

json_t *ep_shape_trace(const ep_trace *t, int session)
{
    json_t *out = json_object();
    for (size_t c = 0; c < sizeof SAMPLE_COLUMN / sizeof *SAMPLE_COLUMN; c++) {
        json_t *list = json_array();
        for (int n = 0; n < t->n_samples; n++) {
            const char *at = (const char *)&t->sample[n] + SAMPLE_COLUMN[c].offset;
            double value = 0.0;
            memcpy(&value, at, sizeof value);
            if (shown(t->sample[n].session, session)) {
                json_array_append_new(list, short_number(value * SAMPLE_COLUMN[c].scale));
            }
        }
        ep_out_new(out, SAMPLE_COLUMN[c].key, list);
    }
    json_t *of_session = json_array(), *lit = json_array();
    for (int n = 0; n < t->n_samples; n++) {
        if (shown(t->sample[n].session, session)) {
            json_array_append_new(of_session, json_integer(t->sample[n].session));
            json_array_append_new(lit, json_boolean(t->sample[n].lit));
        }
    }
    ep_out_new(out, "session", of_session);
    ep_out_new(out, "lit", lit);
    return out;
}

static json_t *shape_session(const ep_session_sum *s)
{
    json_t *o = json_object();
    ep_out_int(o, "number", s->number);
    ep_out_new(o, "start_h", short_number(s->start_lit_s / 3600.0));
    ep_out_new(o, "lit_h", short_number(s->lit_s / 3600.0));
    ep_out_new(o, "burned_g", short_number(s->burned_kg * 1e3));
    ep_out_new(o, "rate_g_h",
               short_number(s->lit_s > 0.0 ? s->burned_kg / s->lit_s * 3.6e6 : (double)NAN));
    ep_out_new(o, "reach_pct", short_number(100.0 * s->reach_end_frac));
    ep_out_new(o, "wall_reached_min", short_number(s->wall_reached_s / 60.0));
    ep_out_new(o, "depth_mid_mm", short_number(s->depth_mid_m * 1e3));
    ep_out_new(o, "depth_wall_mm", short_number(s->depth_wall_m * 1e3));
    ep_out_new(o, "hangup_g", short_number(s->hangup_kg * 1e3));
    ep_out_new(o, "wall_max_C", short_number(s->wall_max_C));
    ep_out_new(o, "flame_max_mm", short_number(s->flame_max_m * 1e3));
    ep_out_new(o, "pool_bulk_C", short_number(s->pool_bulk_C));
    ep_out_new(o, "flame_gap_mm", short_number(s->flame_gap_m * 1e3));
    ep_out_new(o, "flicker_Hz", short_number(s->flicker_Hz));
    ep_out_int(o, "flames_out", s->wicks_out);
    ep_out_new(o, "soot_margin_mm", short_number(s->soot_margin_min_m * 1e3));
    ep_out_new(o, "stress_index", short_number(s->stress_max));
    ep_out_new(o, "left_pct", short_number(100.0 * s->left_frac));
    ep_out_text(o, "out", ep_out_key(s->out));
    return o;
}

json_t *ep_shape_sessions(const ep_trace *t)
{
    json_t *list = json_array();
    for (int n = 0; n < t->n_sessions; n++) {
        json_array_append_new(list, shape_session(&t->session[n]));
    }
    return list;
}

static json_t *shape_frame(const ep_trace *t, const ep_frame *f)
{
    json_t *o = json_object();
    ep_out_new(o, "hour", short_number(f->lit_s / 3600.0));
    ep_out_int(o, "session", f->session);
    ep_out_new(o, "minute", short_number(f->minute));
    ep_out_bool(o, "lit", f->lit);
    ep_out_new(o, "level_mm", short_number(f->level_m * 1e3));
    ep_out_new(o, "flame_mm", short_number(f->flame_m * 1e3));
    ep_out_new(o, "exposed_mm", short_number(f->exposed_m * 1e3));
    json_t *T = json_array(), *melt = json_array();
    for (int n = 0; n < t->nr * t->nz; n++) {
        json_array_append_new(T, json_integer(f->T_C[n]));
        json_array_append_new(melt, json_integer(f->melt[n]));
    }
    ep_out_new(o, "T_C", T);
    ep_out_new(o, "melt", melt);
    return o;
}

// from the centre to the inner wall along the half section shown
static double section_wall_m(const ep_trace *t, const ep_burn_case *c, double height_m)
{
    double in_m = 0.0, out_m = 2.0 * ep_vessel_radius_m(&c->vessel, height_m);
    for (int n = 0; n < 40; n++) {
        double mid_m = 0.5 * (in_m + out_m);
        double gap_m =
            ep_vessel_gap_m(&c->vessel, height_m, mid_m * t->section_x, mid_m * t->section_y);
        *(gap_m > 0.0 ? &in_m : &out_m) = mid_m;
    }
    return in_m;
}

// the wicks the half section runs through, as distances from the centre, nearest first
static int wicks_cut(const ep_trace *t, const ep_burn_case *c, double at_m[EP_MAX_WICKS])
{
    int n = 0;
    for (int a = 0; a < c->n_wicks; a++) {
        const double x_m = c->place[a].x_m, y_m = c->place[a].y_m;
        const double along_m = x_m * t->section_x + y_m * t->section_y;
        const double off_m = fabs(x_m * t->section_y - y_m * t->section_x);
        if (off_m > 1e-6 || along_m < -1e-6) {
            continue;
        }
        int k = n++;
        for (; k > 0 && at_m[k - 1] > along_m; k--) {
            at_m[k] = at_m[k - 1];
        }
        at_m[k] = along_m;
    }
    return n;
}

// is every wick still there with the plan turned half round (turn), or else mirrored on the plane
// that stands across the section?
static bool same_wicks(const ep_trace *t, const ep_burn_case *c, bool turn)
{
    for (int a = 0; a < c->n_wicks; a++) {
        const double x_m = c->place[a].x_m, y_m = c->place[a].y_m;
        const double along_m = x_m * t->section_x + y_m * t->section_y;
        const double to_x = turn ? -x_m : x_m - 2.0 * along_m * t->section_x;
        const double to_y = turn ? -y_m : y_m - 2.0 * along_m * t->section_y;
        bool found = false;
        for (int b = 0; b < c->n_wicks && !found; b++) {
            found = hypot(c->place[b].x_m - to_x, c->place[b].y_m - to_y) < 1e-6;
        }
        if (!found) {
            return false;
        }
    }
    return true;
}

// does the half opposite of the one shown look the same?
static bool halves_alike(const ep_trace *t, const ep_burn_case *c)
{
    const bool plane = c->vessel.outline == EP_OUTLINE_ROUND ||
                       fmin(fabs(t->section_x), fabs(t->section_y)) < 1e-9;
    return same_wicks(t, c, true) || (plane && same_wicks(t, c, false));
}

static void shape_wicks_cut(json_t *o, const ep_trace *t, const ep_burn_case *c)
{
    double at_m[EP_MAX_WICKS];
    const int n = wicks_cut(t, c, at_m);
    json_t *list = json_array();
    for (int i = 0; i < n; i++) {
        json_array_append_new(list, short_number(at_m[i] * 1e3));
    }
    ep_out_int(o, "wicks", c->n_wicks);
    ep_out_new(o, "wicks_at_mm", list);
    ep_out_unit(o, "wick_at_mm", n > 0 ? at_m[0] : (double)NAN, EP_U_MM);
    ep_out_bool(o, "halves_alike", halves_alike(t, c));
}

json_t *ep_shape_cut(const ep_trace *t, const ep_burn_case *c, int session)
{
    json_t *o = json_object();
    ep_out_new(o, "dr_mm", number(t->dr_m * 1e3));
    ep_out_new(o, "dz_mm", number(t->dz_m * 1e3));
    ep_out_int(o, "nr", t->nr);
    ep_out_int(o, "nz", t->nz);
    json_t *inner = json_array();
    for (int k = 0; k < t->nz; k++) {
        json_array_append_new(inner, short_number(section_wall_m(t, c, (k + 0.5) * t->dz_m) * 1e3));
    }
    ep_out_new(o, "inner_radius_mm", inner);
    ep_out_unit(o, "wall_mm", c->vessel.wall_m, EP_U_MM);
    ep_out_unit(o, "base_mm", c->vessel.base_m, EP_U_MM);
    ep_out_unit(o, "height_mm", ep_vessel_height_m(&c->vessel), EP_U_MM);
    ep_out_unit(o, "fill_mm", c->fill_height_m, EP_U_MM);
    shape_wicks_cut(o, t, c);
    json_t *frames = json_array();
    for (int n = 0; n < t->n_frames; n++) {
        if (shown(t->frame[n].session, session)) {
            json_array_append_new(frames, shape_frame(t, &t->frame[n]));
        }
    }
    ep_out_new(o, "frames", frames);
    return o;
}

static json_t *session_bands(const ep_band *band, int n, double scale, double offset)
{
    json_t *list = json_array();
    for (int i = 0; i < n; i++) {
        if (!isnan(band[i].p50)) {
            json_t *row = ep_shape_band(band[i], scale, offset);
            ep_out_int(row, "session", i + 1);
            json_array_append_new(list, row);
        }
    }
    return list;
}

json_t *ep_shape_intervals(const ep_wick_odds *o)
{
    json_t *out = json_object();
    ep_out_new(out, "rate_g_h", session_bands(o->s_rate_kg_s, o->n_sessions, 3.6e6, 0.0));
    ep_out_new(out, "reach_pct", session_bands(o->s_reach_frac, o->n_sessions, 100.0, 0.0));
    ep_out_new(out, "depth_mid_mm", session_bands(o->s_depth_mid_m, o->n_sessions, 1e3, 0.0));
    ep_out_new(out, "wall_max_C", session_bands(o->s_wall_max_C, o->n_sessions, 1.0, 0.0));
    ep_out_new(out, "flame_max_mm", session_bands(o->s_flame_max_m, o->n_sessions, 1e3, 0.0));
    ep_out_new(out, "hangup_g", session_bands(o->s_hangup_kg, o->n_sessions, 1e3, 0.0));
    return out;
}

json_t *ep_shape_pour(const ep_wick_size *size, int candles, const char *reason)
{
    json_t *row = json_object();
    ep_out_text(row, "size_id", size->id);
    ep_out_text(row, "size_name", size->name);
    ep_out_int(row, "candles", candles);
    ep_out_text(row, "reason", reason);
    return row;
}

void ep_shape_foreseen_head(json_t *out, const ep_foresight *f, int members, int seed)
{
    ep_out_text(out, "recipe_id", f->recipe_id);
    ep_out_int(out, "revision", f->revision.number);
    ep_out_text(out, "engine", EP_ENGINE_VERSION);
    ep_out_text(out, "tables", ep_tables_version());
    ep_out_int(out, "seed", seed);
    ep_out_int(out, "members", members);
    json_t *cautions = json_array();
    ep_cautions_add(cautions, EP_CAUTION_BURNING);
    ep_cautions_add(cautions, EP_CAUTION_GLASS);
    ep_cautions_short_trim(cautions, f->revision.trim_m);
    ep_out_new(out, "cautions", cautions);
}
