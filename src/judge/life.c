// J17, J19, J21: what the run of sessions of one candle says. J27: all candles together.
#include <math.h>
#include <stdio.h>

#include "judge/judge_int.h"

static const char *ring_outlook(const ep_candle_facts *c, bool against)
{
    if (against) {
        return "";
    }
    if (c->pool_may_close) {
        return ", read so early that it may be whole by the end: read it at the end";
    }
    if (c->short_run > 0) {
        return c->pool_final ? ", but whole in the last quarter before"
                             : "; seen again it counts as too small";
    }
    return "; it should be gone by the middle of the wax";
}

// J17: only the latest state counts; an early ring that is gone by the middle is as it should be
static void pool_reach(ep_work *w, ep_candle_facts *c)
{
    int session = c->pool_session;
    ep_burn_facts at = {.candle = c->candle, .session = session};
    if (c->pool == EP_POOL_FULL && c->pool_wide_only) {
        ep_find(w, ep_finding_at(w, EP_J17, EP_NOTE, &at, c->pool_seen, EP_NAN, EP_U_FRAC), 0.0,
                "%s, session %d: only the widest pool was read; the narrowest tells more",
                ep_code_of(w, c->candle), session);
    }
    if (c->pool != EP_POOL_THICK && c->pool != EP_POOL_THIN) {
        return;
    }
    bool decided = c->pool_final || session >= ep_limit_value(w, EP_LIMIT_SMALL_SESSION);
    // at the end there is no session left to show it again: then a whole pool before must speak
    bool unredeemed = c->pool_final && c->short_run > 0 && !c->quarter_full;
    bool stays = unredeemed || c->short_run >= ep_limit_value(w, EP_LIMIT_THIN_SESSIONS);
    bool against = decided && (c->pool == EP_POOL_THICK || stays);
    bool due = session >= ep_limit_value(w, EP_LIMIT_FULL_SESSION);
    if (!against && !due) {
        return;
    }
    c->small = c->small || against;
    c->against = c->against || against;
    double reach = c->pool_seen.value;
    ep_finding find = ep_finding_at(w, EP_J17, against ? EP_AGAINST : EP_WARN, &at, c->pool_seen,
                                    ep_limit_frac(w, EP_LIMIT_POOL_FULL), EP_U_FRAC);
    char share[64] = "by a width not read";
    if (!isnan(reach)) {
        snprintf(share, sizeof share, "%.0f %% of the width", reach * 100.0);
    }
    ep_find(w, find, isnan(reach) ? 0.5 : 1.0 - reach,
            "%s, session %d: pool short of the wall (%s%s)%s", ep_code_of(w, c->candle), session,
            share, c->pool_wide_only ? ", only the widest was read" : "", ring_outlook(c, against));
}

// J19: a thin film, or a patch, passes; thick and all round does not
static void hang_up(ep_work *w, ep_candle_facts *c)
{
    ep_seen thick = c->hang_thick, share = c->hang_share;
    double thick_mm = ep_limit_value(w, EP_LIMIT_HANGUP_THICK);
    double share_pct = ep_limit_value(w, EP_LIMIT_HANGUP_SHARE);
    bool thick_over = thick.value > thick_mm, share_over = share.value > share_pct;
    bool over =
        (thick_over && (share_over || !ep_seen_any(share))) || (share_over && !ep_seen_any(thick));
    if (!over) {
        return;
    }
    c->small = c->against = true;
    ep_seen s = thick_over ? thick : share;
    ep_burn_facts at = {.candle = c->candle};
    ep_finding find =
        ep_finding_at(w, EP_J19, EP_AGAINST, &at, s, thick_over ? thick_mm : share_pct,
                      thick_over ? EP_U_MM : EP_U_PCT);
    if (thick_over && share_over) {
        find.ref[find.n_refs++] = share.i;
    }
    ep_find(w, find, s.value, "%s, session %d: %.3g %s of wax left on the wall in the last quarter",
            ep_code_of(w, c->candle), find.session, s.value, thick_over ? "mm" : "% of the round");
}

// J21: a straight line of the hottest outside against wax burned, drawn to the end
static void trend(ep_work *w, const ep_candle_facts *c)
{
    const ep_trend *t = &c->trend;
    double n = (double)t->n, spread = n * t->xx - t->x * t->x;
    // below a tenth of the wax between the sessions a slope is noise
    if (n < ep_limit_value(w, EP_LIMIT_TREND) || c->finished || c->hot ||
        !(spread > n * n * 0.05 * 0.05)) {
        return;
    }
    double slope = (n * t->xy - t->x * t->y) / spread;
    double end_C = (t->y - slope * t->x) / n + slope;
    double stop_C = ep_limit_value(w, EP_LIMIT_WALL_STOP);
    if (!(slope > 0.0 && end_C > stop_C)) {
        return;
    }
    w->t.heading_hot = true;
    ep_burn_facts at = {.candle = c->candle};
    ep_finding find = ep_finding_at(w, EP_J21, EP_WARN, &at, t->newest, stop_C, EP_U_DEG_C);
    find.value = end_C;
    ep_find(w, find, end_C,
            "%s: on the way to %.3g C outside by the end of the wax, the maker's own limit %.3g C; "
            "watch it closely",
            ep_code_of(w, c->candle), end_C, stop_C);
}

void ep_rules_life(ep_work *w, ep_candle_facts *c)
{
    pool_reach(w, c);
    hang_up(w, c);
    trend(w, c);
}

// J27: mean of every reading of every candle
void ep_rules_all(ep_work *w)
{
    ep_tally *t = &w->t;
    if (t->n_afterglow == 0) {
        return;
    }
    double mean_s = (double)t->afterglow_ms / (1e3 * t->n_afterglow);
    double limit_s = ep_limit_value(w, EP_LIMIT_AFTERGLOW);
    double warn_s = ep_limit_value(w, EP_LIMIT_AFTERGLOW_WARN);
    if (!(mean_s > fmin(limit_s, warn_s))) {
        return;
    }
    bool enough = t->n_afterglow >= ep_limit_value(w, EP_LIMIT_AFTERGLOW_COUNT);
    t->glow_long = mean_s > limit_s && enough;
    ep_finding find = ep_finding_at(w, EP_J27, t->glow_long ? EP_AGAINST : EP_WARN, NULL,
                                    t->afterglow, mean_s > limit_s ? limit_s : warn_s, EP_U_S);
    find.value = mean_s;
    find.session = 0;
    ep_find(w, find, mean_s,
            "afterglow and after-smoke %.3g s in the mean of %d readings, %s %.3g s", mean_s,
            t->n_afterglow, mean_s > limit_s ? "limit" : "warning from", find.limit);
}
