// The judge. Requirements J1 to J32, numbered once and cited by code, tests, pages and paper.
// Figures stand in data/limits.def. The list is also the help text; NOTE, WARN, AGAINST or STOP is
// the least weight at which a finding says "not met" (STOP: put it out).
//
// Idea: sessions that were spoiled (draught, leaning wick, broken off) cannot prove anything good,
// and cannot prove a wick too small; heat is believed at any time. Too hot is called at once, too
// small from session 3 on, right only after the last quarter of the wax of enough candles.
// Not here: inference (learn), what to burn next (plan). docs/judging.md tells it to a maker.
// clang-format off
#define JUDGE_REQUIREMENTS(X)                                                                      \
    /* does the session count */                                                                   \
    X(1, WARN, "A session counts once it is over and lasted its planned time, within the "         \
      "tolerance. It may end early when the wax is used up or the flame goes out by itself.")      \
    X(2, WARN, "The air was still. A session in a draught is repeated before any change of "       \
      "size.")                                                                                     \
    X(3, WARN, "The wick stood straight and centred. A session with a leaning wick is "            \
      "repeated before any change of size.")                                                       \
    X(4, WARN, "The pool was about as wide one way as the other.")                                 \
    X(5, WARN, "The room was within its range. Outside it only hazards count.")                    \
    X(6, WARN, "The candle had rested and cooled since its last session.")                         \
    X(7, WARN, "The candle was lit after its cure was out. Lit earlier it may show a wick too "    \
      "hot or too small, never right.")                                                            \
    /* stop now */                                                                                 \
    X(8, STOP, "The flame stays below its limit.")                                                 \
    X(9, WARN, "Nothing burns beside the wick; a second flame for longer than the limit is a "     \
      "failure.")                                                                                  \
    X(10, STOP, "The pool itself never catches fire.")                                             \
    X(11, STOP, "The container stays whole and tight, and scorches nothing.")                      \
    X(12, STOP, "The candle does not tip over on the test slope.")                                 \
    X(13, WARN, "Wall, rim and base stay below the maker's limits of temperature.")                \
    X(14, WARN, "The flame keeps its distance from the wall.")                                     \
    X(15, AGAINST, "It does not smoke while burning; smoke all the time means put it out.")        \
    X(16, WARN, "No session goes on into a power burn.")                                           \
    /* the wick */                                                                                 \
    X(17, WARN, "The pool reaches the wall by the session it is due, or by the middle of the "     \
      "wax.")                                                                                      \
    X(18, WARN, "The pool does not race to the wall in the first session.")                        \
    X(19, AGAINST, "In the last quarter no thick ring of wax is left on the wall.")                \
    X(20, AGAINST, "The pool stays shallower than the limit.")                                     \
    X(21, WARN, "The outside temperature, drawn on with the falling level, stays below the "       \
      "stop limit to the end.")                                                                    \
    X(22, WARN, "No soot settles on rim or wall.")                                                 \
    X(23, WARN, "No carbon head grows on the wick.")                                               \
    X(24, WARN, "The flame burns steadily.")                                                       \
    X(25, WARN, "The flame does not go out before the end of the wax.")                            \
    X(26, AGAINST, "The candle need not be lit again more often than the limit.")                  \
    X(27, WARN, "Afterglow and after-smoke stay below the limit in the mean of all readings.")     \
    X(28, NOTE, "Scent and surface are noted; they are not first of all the wick's doing.")        \
    X(29, AGAINST, "Candles of the same pour and wick agree with each other.")                     \
    /* what is proven */                                                                           \
    X(30, NOTE, "The last quarter of the wax was burned in sessions that count, with pool, "       \
      "flame and outside temperature read late in one of them.")                                   \
    X(31, NOTE, "Enough candles were judged to the end. Sessions of one candle are not "           \
      "independent tests.")                                                                        \
    X(32, WARN, "The least margin to a hot limit in the last quarter is clear of the scatter "     \
      "between candles.")
// clang-format on

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "judge/judge_int.h"

typedef struct requirement {
    ep_weight fails_at;
    const char *text;
} requirement;

static const requirement requirements[EP_J_END_] = {
#define X(n, weight, text) [EP_J##n] = {EP_##weight, text},
    JUDGE_REQUIREMENTS(X)
#undef X
};

const char *ep_requirement_text(int n)
{
    return n > EP_J_NONE && n < EP_J_END_ ? requirements[n].text : NULL;
}

ep_weight ep_requirement_fails_at(int n)
{
    assert(n > EP_J_NONE && n < EP_J_END_);
    return requirements[n].fails_at;
}

const char *ep_verdict_key(ep_verdict_kind v)
{
    static const char *const keys[EP_VERDICT_COUNT_] = {"not_yet_known", "too_small", "right",
                                                        "too_big", "wrong_kind"};
    assert((int)v >= 0 && v < EP_VERDICT_COUNT_);
    return keys[v];
}

const char *ep_verdict_text(ep_verdict_kind v)
{
    static const char *const texts[EP_VERDICT_COUNT_] = {"not yet known", "the wick is too small",
                                                         "the wick is right", "the wick is too big",
                                                         "the wrong kind of wick"};
    assert((int)v >= 0 && v < EP_VERDICT_COUNT_);
    return texts[v];
}

const char *ep_weight_key(ep_weight w)
{
    static const char *const keys[] = {"note", "warn", "against", "stop"};
    assert((int)w >= 0 && w <= EP_STOP);
    return keys[w];
}

double ep_limit_value(const ep_work *w, ep_limit_id id)
{
    return w->limit[id].value;
}

double ep_limit_frac(const ep_work *w, ep_limit_id id)
{
    return ep_unit_to_si(w->limit[id].unit, w->limit[id].value);
}

const char *ep_code_of(const ep_work *w, int candle)
{
    const char *code = w->d->candle[candle].code;
    return *code ? code : "the candle";
}

static ep_status check_reading(const ep_dossier *d, int i, ep_err *err)
{
    const ep_reading *r = &d->reading[i];
    if (r->candle < 0 || r->candle >= d->n_candles) {
        return ep_err_set(err, EP_E_ARG, "reading.candle",
                          "reading %d: candle %d is outside 0 to %d", i, r->candle,
                          d->n_candles - 1);
    }
    if ((int)r->kind < 0 || r->kind >= EP_READ_COUNT_) {
        return ep_err_set(err, EP_E_ARG, "reading.kind", "reading %d: kind %d is outside 0 to %d",
                          i, (int)r->kind, EP_READ_COUNT_ - 1);
    }
    if (r->session < 0) {
        return ep_err_set(err, EP_E_ARG, "reading.session", "reading %d: session %d is below 0", i,
                          r->session);
    }
    return EP_OK;
}

static ep_status check_dossier(const ep_dossier *d, ep_err *err)
{
    if (d->n_candles < 0 || d->n_burns < 0 || d->n_readings < 0) {
        return ep_err_set(err, EP_E_ARG, "dossier", "dossier: a count is below 0");
    }
    for (int i = 0; i < d->n_burns; i++) {
        const ep_burn_record *b = &d->burn[i];
        if (b->candle < 0 || b->candle >= d->n_candles) {
            return ep_err_set(err, EP_E_ARG, "burn.candle",
                              "session record %d: candle %d is outside 0 to %d", i, b->candle,
                              d->n_candles - 1);
        }
        if (b->session < 1) {
            return ep_err_set(err, EP_E_ARG, "burn.session",
                              "session record %d: session %d is below 1", i, b->session);
        }
    }
    for (int i = 0; i < d->n_readings; i++) {
        ep_status status = check_reading(d, i, err);
        if (status != EP_OK) {
            return status;
        }
    }
    return EP_OK;
}

// a ring that may have closed by the end neither counts nor starts the count anew
static void count_short(const ep_work *w, ep_candle_facts *c, const ep_burn_facts *f)
{
    bool half_gone = f->final || f->left_frac <= ep_limit_value(w, EP_LIMIT_HALF_LEFT);
    if (!half_gone || f->pool == EP_POOL_FULL) {
        c->short_run = 0;
    } else if (!f->may_close) {
        c->short_run++;
    }
}

// fold one session into its candle
static void fold_session(ep_work *w, ep_candle_facts *c, ep_burn_facts *f)
{
    ep_tally *t = &w->t;
    ep_rules_evidence(w, c, f);
    c->excused_mild = f->counts ? 0 : c->excused_mild;
    if (f->counts && f->pool != EP_POOL_UNREAD) {
        c->pool = f->pool;
        c->early_full = c->early_full || (f->pool == EP_POOL_FULL &&
                                          f->session <= ep_limit_value(w, EP_LIMIT_FULL_SESSION));
        c->pool_session = f->session;
        c->pool_final = f->final;
        c->pool_may_close = f->may_close;
        c->pool_seen = f->reach;
        c->pool_wide_only = f->wide_only;
        count_short(w, c, f);
    }
    ep_rules_stop(w, c, f);
    ep_rules_wick(w, c, f);
    if (f->rec) {
        ep_proof_session(w, c, f);
        c->n_counting += f->counts;
        c->any_under_way = c->any_under_way || f->under_way;
        c->left_before_frac = f->left_frac;
    }
    ep_seen wall = ep_outside_seen(w, f);
    // the first session is left out: its wick was not yet soaked
    if (f->counts && f->left_known && f->session > 1 && ep_seen_any(wall)) {
        double burned = 1.0 - f->left_frac;
        c->trend.n++;
        c->trend.x += burned;
        c->trend.y += wall.value;
        c->trend.xx += burned * burned;
        c->trend.xy += burned * wall.value;
        c->trend.newest = wall;
    }
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        ep_seen s = ep_hot_seen(w, f, q);
        t->pass[q] = ep_seen_above(w->d, s, t->pass[q]) ? s : t->pass[q];
    }
    t->afterglow_ms += f->afterglow_ms;
    t->n_afterglow += f->n_afterglow;
    t->afterglow = ep_seen_above(w->d, f->afterglow, t->afterglow) ? f->afterglow : t->afterglow;
}

// each candle gives one kind of evidence, the gravest it has
static void classify(ep_work *w, const ep_candle_facts *c)
{
    ep_tally *t = &w->t;
    bool late = c->pool_final || c->pool_session >= ep_limit_value(w, EP_LIMIT_SMALL_SESSION);
    if (c->hot) {
        t->hot++;
        t->hot_short += c->small;
    } else if (c->carbon) {
        t->carbon++;
    } else if (c->feed) {
        t->feed++;
    } else if (c->small) {
        t->small++;
    } else if (c->open) {
        t->open++;
    } else if (c->pool == EP_POOL_FULL && late && !c->uncured) {
        t->fine++;
    }
    bool unrepeated = c->repeat_session > 0 && c->repeat_session == c->last_session &&
                      c->repeat_why >= EP_J2 && c->repeat_why <= EP_J4;
    int excused = c->excused_stop ? c->excused_stop : c->excused_mild;
    if (t->repeat_why == 0 && excused) {
        t->repeat_why = excused;
    } else if (t->repeat_why == 0 && unrepeated && !c->finished) {
        t->repeat_why = c->repeat_why;
    }
    t->some_again = t->some_again ||
                    (!c->finished && c->repeat_session > 0 && c->repeat_session == c->last_session);
    t->stop_lit = t->stop_lit || c->stop_under_way;
    t->inner_mm = fmax(t->inner_mm, c->inner_mm);
}

static void judge_candle(ep_work *w, int candle)
{
    ep_candle_facts c;
    ep_burn_facts f;
    ep_candle_open(w, candle, &c);
    if (ep_loose_collect(w, candle, &f)) {
        fold_session(w, &c, &f);
    }
    const ep_dossier *d = w->d;
    for (int b = ep_burn_next(d, candle, 0, -1); b >= 0;
         b = ep_burn_next(d, candle, d->burn[b].session, b)) {
        ep_burn_collect(w, &c, &d->burn[b], &f);
        fold_session(w, &c, &f);
    }
    ep_rules_life(w, &c);
    ep_proof_candle(w, &c);
    classify(w, &c);
    ep_missing_candle(w, &c);
}

static ep_verdict_kind settle(ep_verdict_kind kind, ep_tally *t, ep_reason why)
{
    t->why = why;
    return kind;
}

// Heat on any candle decides. The rest is by majority of the candles that can tell, since one
// odd candle is more likely a bad pour than a bad wick.
static ep_verdict_kind decide(const ep_work *w, ep_tally *t)
{
    int kind = t->carbon + t->feed;
    bool enough = t->right >= ep_min_candles(w) && t->wrong == 0 && !w->v->stop_now;
    if (t->hot > 0) {
        return t->hot_short == t->hot ? settle(EP_VERDICT_WRONG_KIND, t, EP_WHY_HOT_SHORT)
                                      : settle(EP_VERDICT_TOO_BIG, t, EP_WHY_HOT);
    }
    if (kind > t->fine && kind >= t->small) {
        return settle(EP_VERDICT_WRONG_KIND, t, t->carbon >= t->feed ? EP_WHY_CARBON : EP_WHY_FEED);
    }
    if (t->small > t->fine) {
        return settle(EP_VERDICT_TOO_SMALL, t, EP_WHY_SMALL);
    }
    if (kind + t->small > 0) {
        return settle(EP_VERDICT_UNKNOWN, t, EP_WHY_DIFFER);
    }
    if (t->glow_long) {
        return settle(EP_VERDICT_WRONG_KIND, t, EP_WHY_GLOW);
    }
    if (enough) {
        return settle(EP_VERDICT_RIGHT, t, EP_WHY_RIGHT);
    }
    ep_reason why = t->hazard != 0            ? EP_WHY_HAZARD
                    : t->open > 0             ? EP_WHY_OPEN
                    : t->repeat_why != 0      ? EP_WHY_REPEAT
                    : w->v->stop_now          ? EP_WHY_HAZARD
                    : t->burned == 0          ? EP_WHY_NOTHING
                    : t->uncured == t->burned ? EP_WHY_UNCURED
                                              : EP_WHY_MORE;
    return settle(EP_VERDICT_UNKNOWN, t, why);
}

// J29 and J31, and the checks that passed
static void conclude(ep_work *w)
{
    ep_tally *t = &w->t;
    if (t->why == EP_WHY_DIFFER) {
        ep_find(w, ep_finding_at(w, EP_J29, EP_AGAINST, NULL, ep_seen_none(), EP_NAN, EP_U_NONE),
                0.0, "%d of %d candles speak against the wick and %d for it",
                t->carbon + t->feed + t->small, t->carbon + t->feed + t->small + t->fine, t->fine);
    }
    if (t->burned > 0 && t->right < ep_min_candles(w)) {
        ep_finding find =
            ep_finding_at(w, EP_J31, EP_NOTE, NULL, ep_seen_none(), ep_min_candles(w), EP_U_NONE);
        find.value = t->right;
        ep_find(w, find, 0.0, "%d of %d candles judged to the end", t->right, ep_min_candles(w));
    }
    static const int passed[EP_HOT_COUNT_] = {EP_J8, EP_J13, EP_J20};
    static const char *const words[EP_HOT_COUNT_] = {"tallest flame", "hottest outside",
                                                     "deepest pool"};
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        double limit = ep_hot_limit(w, q);
        ep_unit unit = q == EP_HOT_WALL ? EP_U_DEG_C : EP_U_MM;
        if (ep_seen_any(t->pass[q]) && t->pass[q].value <= limit) {
            ep_finding find = ep_finding_at(w, passed[q], EP_NOTE, NULL, t->pass[q], limit, unit);
            ep_find(w, find, 0.0, "%s %.3g %s, limit %.3g %s", words[q], t->pass[q].value,
                    ep_unit_symbol(unit), limit, ep_unit_symbol(unit));
        }
    }
}

static void work_open(ep_work *w, const ep_dossier *d, const ep_limit *limits, ep_verdict *out)
{
    memset(out, 0, sizeof *out);
    out->failure_bound_frac = out->worst_margin = EP_NAN;
    memset(w, 0, sizeof *w);
    w->d = d;
    w->limit = limits;
    w->v = out;
    w->t.inner_mm = EP_NAN;
    w->t.afterglow = ep_seen_none();
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        w->t.pass[q] = w->t.spread[q].worst = ep_seen_none();
    }
}

ep_status ep_judge(const ep_dossier *d, const ep_limit *limits, ep_verdict *out, ep_err *err)
{
    assert(d && limits && out);
    ep_status status = check_dossier(d, err);
    if (status != EP_OK) {
        return status;
    }
    ep_work w;
    work_open(&w, d, limits, out);
    for (int candle = 0; candle < d->n_candles; candle++) {
        judge_candle(&w, candle);
    }
    ep_rules_all(&w);
    out->candles_right = w.t.right;
    out->candles_wrong = w.t.wrong;
    out->kind = decide(&w, &w.t);
    ep_proof_margin(&w);
    conclude(&w);
    ep_findings_sort(out);
    if (out->kind == EP_VERDICT_UNKNOWN) {
        ep_missing_all(&w);
    } else {
        out->n_missing = 0;
    }
    ep_next_move(&w);
    ep_proof_sentence(&w);
    return EP_OK;
}
