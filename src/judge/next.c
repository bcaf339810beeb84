// What is still to be seen, and the next move in the order makers use: repeat what was spoiled,
// then cure, load, construction, size, number; one change at a time.
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "judge/judge_int.h"

// places kept free for what concerns all candles
enum { missing_for_all = 2 };

static void missing(ep_verdict *v, int most, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

static void missing(ep_verdict *v, int most, const char *fmt, ...)
{
    if (v->n_missing >= most) {
        return;
    }
    va_list args;
    va_start(args, fmt);
    vsnprintf(v->missing[v->n_missing++], sizeof v->missing[0], fmt, args);
    va_end(args);
}

static const char *repeat_words(int why)
{
    switch (why) {
    case EP_J1:
        return "for its whole planned time";
    case EP_J2:
        return "in still air";
    case EP_J3:
        return "with the wick straight and centred";
    case EP_J4:
        return "with the wick centred and the candle turned";
    case EP_J5:
        return "with the room in its range";
    default:
        return "after a full rest";
    }
}

// first session whose late pool reading would tell
static int telling_session(const ep_work *w, const ep_candle_facts *c)
{
    int due = (int)ceil(ep_limit_value(w, EP_LIMIT_SMALL_SESSION));
    int next = c->any_under_way ? c->last_session : c->last_session + 1;
    return next > due ? next : due;
}

static void missing_quarter(ep_work *w, const ep_candle_facts *c, int most)
{
    const char *code = ep_code_of(w, c->candle);
    if (!c->quarter && isnan(c->end_left_frac)) {
        missing(w->v, most, "%s: the last quarter of the wax, burned to the stop height", code);
    } else if (!c->quarter) {
        missing(w->v, most, "%s: the last quarter of the wax (%.0f %% is left)", code,
                c->end_left_frac * 100.0);
    } else if (!c->quarter_pool) {
        missing(w->v, most, "%s: pool width at the end of a session of the last quarter", code);
    } else if (!c->quarter_flame) {
        missing(w->v, most, "%s: flame height late in a session of the last quarter", code);
    } else if (!c->quarter_wall) {
        missing(w->v, most, "%s: outside temperature late in a session of the last quarter", code);
    } else {
        missing(w->v, most, "%s: the rest of the wax, to the stop height (%.3g mm) or the end",
                code, ep_limit_value(w, EP_LIMIT_STOP_HEIGHT));
    }
}

void ep_missing_candle(ep_work *w, const ep_candle_facts *c)
{
    int most = EP_MAX_MISSING - missing_for_all;
    const char *code = ep_code_of(w, c->candle);
    if (c->open && !c->hot && !c->finished) {
        missing(w->v, most,
                "%s: narrowest pool late in session %d, to tell too big from the wrong "
                "kind",
                code, telling_session(w, c));
    }
    if (c->n_burns == 0 || c->against || c->finished || c->uncured || c->excused_stop) {
        return;
    }
    if (c->repeat_session == c->last_session && !c->any_under_way) {
        missing(w->v, most, "%s: session %d again, %s", code, c->repeat_session,
                repeat_words(c->repeat_why));
    }
    int due = (int)ceil(ep_limit_value(w, EP_LIMIT_SMALL_SESSION));
    if (c->pool == EP_POOL_UNREAD || c->pool_session < due) {
        double late_h = ep_limit_frac(w, EP_LIMIT_LATE) * ep_limit_value(w, EP_LIMIT_SESSION);
        missing(w->v, most, "%s: session %d pool width at %.2g h or later", code,
                telling_session(w, c), late_h);
    }
    missing_quarter(w, c, most);
}

static void more_candles(ep_work *w)
{
    const ep_tally *t = &w->t;
    int more = ep_min_candles(w) - t->right - t->pending;
    if (more <= 0) {
        return;
    }
    const char *cured = t->uncured > 0 ? ", lit after the cure is out" : "";
    if (t->burned == 0) {
        missing(w->v, EP_MAX_MISSING, "%d candle%s of this wick, burned to the end", more,
                more > 1 ? "s" : "");
    } else {
        missing(w->v, EP_MAX_MISSING, "%d more candle%s to the end%s", more, more > 1 ? "s" : "",
                cured);
    }
}

void ep_missing_all(ep_work *w)
{
    const ep_tally *t = &w->t;
    ep_verdict *v = w->v;
    if (t->why == EP_WHY_DIFFER) {
        missing(v, EP_MAX_MISSING, "why these candles differ: pour, centring, lots");
    } else if (v->stop_now && v->n_findings > 0) {
        missing(v, EP_MAX_MISSING, "the cause of J%d found and put right, then a fresh candle",
                v->finding[0].requirement);
    }
    more_candles(w);
    if (v->n_missing == 0) {
        missing(v, EP_MAX_MISSING,
                "a fresh candle burned to the end without what counts against "
                "this one");
    }
}

static const char *hazard_move(int requirement)
{
    switch (requirement) {
    case EP_J9:
        return "Find what burned beside the wick (trimmings, label, decoration), take it away, and "
               "burn a fresh candle. Do not change the wick for it.";
    case EP_J11:
        return "Use no more of these containers until you know why: heat, knock, glass lot, "
               "coating. Ask the container's supplier for a certificate. The wick comes after.";
    case EP_J12:
        return "The container tips, not the wick: choose a wider foot or a lower shape before any "
               "more burning.";
    case EP_J14:
        return "Centre and straighten the wick, then repeat with a fresh candle; change nothing "
               "else.";
    default:
        return "When it has cooled, repeat in sessions of the planned length; change nothing else.";
    }
}

static const char *repeat_move(int why)
{
    if (why == EP_J2) {
        return "Repeat before sizing: shut out the draught and burn the same recipe again. Change "
               "nothing else.";
    }
    return "Repeat before sizing: straighten and centre the wick, turn the candle once, and burn "
           "the same recipe again. Change nothing else.";
}

static const char *wide_or(const ep_work *w, const char *wide, const char *narrow)
{
    return w->t.inner_mm >= ep_limit_value(w, EP_LIMIT_TWO_WICKS) ? wide : narrow;
}

static const char *cure_first(void)
{
    return "These were lit before the cure was out. Let the same recipe cure in full and burn it "
           "again before changing anything.";
}

static const char *more_move(const ep_tally *t)
{
    if (t->heading_hot) {
        return "Carry on, change nothing, stay in the room: the container is on its way to the "
               "limit. Have one size down ready.";
    }
    if (t->pending == 0) {
        return "Pour the candles still wanted by the same recipe and burn them to the end; change "
               "nothing.";
    }
    return t->some_again ? "Burn again what does not count, as listed, then carry on to the end of "
                           "the wax; change nothing."
                         : "Carry on to the end of the wax; change nothing.";
}

static const char *right_move(const ep_tally *t)
{
    if (t->thin_margin) {
        return "It passes, but by little: burn one size down to the end before you settle on this "
               "one.";
    }
    return t->weak_throw ? "Keep this wick. For more scent look at cure, then stirring and oil, "
                           "then load, before the wick."
                         : "Keep this wick. To see that it is no bigger than it need be, burn one "
                           "size down to the end.";
}

static const char *move_for(const ep_work *w)
{
    const ep_tally *t = &w->t;
    bool uncured_only = t->wrong > 0 && t->uncured_wrong == t->wrong;
    switch (t->why) {
    case EP_WHY_NOTHING:
        return "Burn the first session of each candle together: same room, same trim, same length.";
    case EP_WHY_HOT:
        return "One size down in the same series, all else the same. Accept a ring of wax in the "
               "first sessions.";
    case EP_WHY_HOT_SHORT:
        return wide_or(w,
                       "Too hot, yet the ring stays: one flame cannot cover this width. Two "
                       "smaller wicks, all else the same.",
                       "Too hot, yet the ring stays: another construction of about this size, all "
                       "else the same.");
    case EP_WHY_CARBON:
        return uncured_only ? cure_first()
                            : wide_or(w,
                                      "Another construction or series at about this size, all "
                                      "else the same; if the ring stays, two smaller wicks for "
                                      "this width.",
                                      "Another construction or series at about this size, not "
                                      "another size; all else the same.");
    case EP_WHY_FEED:
        return uncured_only ? cure_first()
                            : "Lower the fragrance load by 1 to 2 points, or the dye; if it still "
                              "drowns, another construction; only then the size. One change at a "
                              "time.";
    case EP_WHY_GLOW:
        return "Trim to the declared length before each session; if it still glows on, another "
               "construction at about this size.";
    case EP_WHY_SMALL:
        return wide_or(w,
                       "One size up in the same series, all else the same. If that turns hot, "
                       "two smaller wicks for this width.",
                       "One size up in the same series, all else the same.");
    case EP_WHY_HAZARD:
        return hazard_move(t->hazard);
    case EP_WHY_REPEAT:
        return repeat_move(t->repeat_why);
    case EP_WHY_DIFFER:
        return "These candles differ too much from each other to choose: look at the pour, the "
               "centring and the lots, then repeat the same wick.";
    case EP_WHY_OPEN:
        return uncured_only ? cure_first()
                            : "Trim, repeat the session, and read the narrowest pool late in it. "
                              "Change nothing else yet.";
    case EP_WHY_UNCURED:
        return cure_first();
    case EP_WHY_MORE:
        return more_move(t);
    case EP_WHY_RIGHT:
        return right_move(t);
    }
    return "";
}

void ep_next_move(ep_work *w)
{
    snprintf(w->v->next_move, sizeof w->v->next_move, "%s%s",
             w->t.stop_lit ? "Put it out now and let it cool where it stands. " : "", move_for(w));
}
