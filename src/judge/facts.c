// From loose readings to what one session shows. Everything picked here is a highest, lowest or
// latest, so the order in which readings were typed cannot change a verdict.
#include <assert.h>
#include <math.h>
#include <string.h>

#include "judge/judge_int.h"

// a share that should equal a limit may miss it by rounding
static const double slack = 1e-9;

ep_seen ep_seen_none(void)
{
    return (ep_seen){.i = -1, .value = EP_NAN, .minute = EP_NAN};
}

bool ep_seen_any(ep_seen s)
{
    return s.i >= 0;
}

// equal readings are told apart by what was written, never by their place in the array
static bool tie_before(const ep_dossier *d, ep_seen a, ep_seen b)
{
    const ep_reading *ra = &d->reading[a.i], *rb = &d->reading[b.i];
    if (ra->session != rb->session) {
        return ra->session < rb->session;
    }
    if (a.minute < b.minute || a.minute > b.minute) {
        return a.minute < b.minute;
    }
    if (ra->kind != rb->kind) {
        return ra->kind < rb->kind;
    }
    return strncmp(ra->id, rb->id, sizeof ra->id) < 0;
}

bool ep_seen_above(const ep_dossier *d, ep_seen a, ep_seen b)
{
    if (a.i < 0 || b.i < 0) {
        return a.i >= 0;
    }
    if (a.value > b.value || a.value < b.value) {
        return a.value > b.value;
    }
    return tie_before(d, a, b);
}

static bool below(const ep_dossier *d, ep_seen a, ep_seen b)
{
    if (b.i < 0 || a.value < b.value) {
        return true;
    }
    return a.value <= b.value && tie_before(d, a, b);
}

static bool later(const ep_dossier *d, ep_seen a, ep_seen b)
{
    if (b.i < 0 || a.minute > b.minute) {
        return true;
    }
    return a.minute >= b.minute && ep_seen_above(d, a, b);
}

static void keep_highest(const ep_dossier *d, ep_seen *best, ep_seen s)
{
    if (ep_seen_above(d, s, *best)) {
        *best = s;
    }
}

static double clamp_frac(double x)
{
    return isnan(x) ? x : fmin(fmax(x, 0.0), 1.0);
}

// share of the wax left after a session: as noted, else from the weighings
static double left_after_frac(const ep_candle_facts *c, const ep_burn_record *b)
{
    if (!isnan(b->left_frac)) {
        return clamp_frac(b->left_frac);
    }
    if (isnan(b->after_kg) || isnan(c->first_kg) || !(c->rec->wax_kg > 0.0)) {
        return EP_NAN;
    }
    return clamp_frac(1.0 - (c->first_kg - b->after_kg) / c->rec->wax_kg);
}

void ep_candle_open(const ep_work *w, int candle, ep_candle_facts *c)
{
    const ep_dossier *d = w->d;
    memset(c, 0, sizeof *c);
    c->candle = candle;
    c->rec = &d->candle[candle];
    c->finished = c->rec->finished;
    c->first_kg = c->end_left_frac = c->best_reach_frac = c->inner_mm = EP_NAN;
    c->left_before_frac = EP_NAN;
    c->pool_seen = c->hang_thick = c->hang_share = c->trend.newest = ep_seen_none();
    for (int q = 0; q < EP_HOT_COUNT_; q++) {
        c->hottest[q] = ep_seen_none();
    }
    for (int b = ep_burn_next(d, candle, 0, -1); b >= 0;
         b = ep_burn_next(d, candle, d->burn[b].session, b)) {
        const ep_burn_record *rec = &d->burn[b];
        if (c->n_burns++ == 0 && rec->session == 1) {
            c->first_kg = rec->before_kg;
        }
        c->last_session = rec->session;
        c->uncured = c->uncured || rec->before_cure;
        c->end_left_frac = fmin(c->end_left_frac, left_after_frac(c, rec));
    }
    double quarter = ep_limit_frac(w, EP_LIMIT_LAST_QUARTER);
    double end = c->finished && !isnan(c->end_left_frac) ? c->end_left_frac : 0.0;
    c->quarter_frac = end + quarter * (1.0 - end);
}

int ep_burn_next(const ep_dossier *d, int candle, int session, int burn)
{
    int best = -1;
    for (int b = 0; b < d->n_burns; b++) {
        int s = d->burn[b].session;
        bool after = s > session || (s == session && b > burn);
        if (d->burn[b].candle == candle && after && (best < 0 || s < d->burn[best].session)) {
            best = b;
        }
    }
    return best;
}

double ep_late_minute(const ep_work *w, const ep_burn_facts *f)
{
    return ep_limit_frac(w, EP_LIMIT_LATE) * f->planned_min;
}

// kinds whose readings in a power burn belong to that test and not to this one
static bool of_the_usual_burn(ep_reading_kind kind)
{
    static const bool usual[EP_READ_COUNT_] = {
        [EP_READ_POOL_WIDE] = true,    [EP_READ_POOL_NARROW] = true, [EP_READ_POOL_DEPTH] = true,
        [EP_READ_POOL_AT_WALL] = true, [EP_READ_FLAME] = true,       [EP_READ_FLICKER] = true,
        [EP_READ_MUSHROOM] = true,     [EP_READ_SOOT] = true,        [EP_READ_SMOKE] = true,
        [EP_READ_WALL_TEMP] = true,    [EP_READ_RIM_TEMP] = true,    [EP_READ_BASE_TEMP] = true,
        [EP_READ_WALL_GAP] = true,
    };
    return usual[kind];
}

static void facts_clear(ep_burn_facts *f)
{
    memset(f, 0, sizeof *f);
    for (int k = 0; k < EP_READ_COUNT_; k++) {
        f->high[k] = f->low[k] = f->last[k] = ep_seen_none();
    }
    f->depth = f->abuse = f->reach = f->full_first = f->afterglow = ep_seen_none();
    f->inner_mm = f->across_mm = f->left_frac = EP_NAN;
}

// take one reading in; false when it was set aside
static bool take(const ep_work *w, ep_burn_facts *f, int i, ep_seen *s)
{
    const ep_reading *r = &w->d->reading[i];
    *s = (ep_seen){.i = i, .value = r->value, .minute = r->minute >= 0.0 ? r->minute : 0.0};
    bool over = f->rec && f->rec->over;
    double power_min = ep_limit_value(w, EP_LIMIT_POWER_BURN) * 60.0;
    if (over && s->minute > power_min + slack && of_the_usual_burn(r->kind)) {
        // the hottest of a power burn is told by whatever figure stands highest above its range
        const ep_reading_def *def = ep_reading_def_of(r->kind);
        ep_seen share = *s;
        share.value = (r->value - def->min) / (def->max - def->min);
        keep_highest(w->d, &f->abuse, share);
        return false;
    }
    keep_highest(w->d, &f->high[r->kind], *s);
    if (below(w->d, *s, f->low[r->kind])) {
        f->low[r->kind] = *s;
    }
    if (later(w->d, *s, f->last[r->kind])) {
        f->last[r->kind] = *s;
    }
    double depth_min = ep_limit_value(w, EP_LIMIT_DEPTH_TIME) * 60.0 *
                       (1.0 + ep_limit_frac(w, EP_LIMIT_SESSION_TOL));
    if (r->kind == EP_READ_POOL_DEPTH && s->minute <= depth_min + slack) {
        keep_highest(w->d, &f->depth, *s);
    }
    if (r->kind == EP_READ_AFTERGLOW) {
        f->afterglow_ms += llround(r->value * 1e3);
        f->n_afterglow++;
        keep_highest(w->d, &f->afterglow, *s);
    }
    return true;
}

typedef struct pool_scan {
    ep_seen any, late, wide, wide_late, not_at_wall;
    double last_min;  // minute of the latest of them
} pool_scan;

// sort one reading of the pool into the scan
static void pool_take(const ep_work *w, ep_burn_facts *f, pool_scan *p, ep_seen s)
{
    const ep_dossier *d = w->d;
    ep_reading_kind kind = d->reading[s.i].kind;
    bool late = s.minute >= ep_late_minute(w, f) - slack;
    if (kind == EP_READ_POOL_AT_WALL) {
        p->last_min = fmax(p->last_min, s.minute);
        if (s.value < 0.5) {
            if (late) {
                keep_highest(d, &p->not_at_wall, s);
            }
            return;
        }
        s.value = 1.0;
    } else if ((kind == EP_READ_POOL_NARROW || kind == EP_READ_POOL_WIDE) && f->inner_mm > 0.0) {
        double side_mm = kind == EP_READ_POOL_NARROW ? f->across_mm : f->inner_mm;
        s.value = fmin(s.value / side_mm, 1.0);
        p->last_min = fmax(p->last_min, s.minute);
    } else {
        return;
    }
    bool wide = kind == EP_READ_POOL_WIDE;
    keep_highest(d, wide ? &p->wide : &p->any, s);
    if (late) {
        keep_highest(d, wide ? &p->wide_late : &p->late, s);
    }
    bool full = s.value >= ep_limit_frac(w, EP_LIMIT_POOL_FULL) - slack;
    if (!wide && full &&
        (f->full_first.i < 0 || s.minute < f->full_first.minute ||
         (s.minute <= f->full_first.minute && tie_before(d, s, f->full_first)))) {
        f->full_first = s;
    }
}

// the session's end, give or take what J1 allows
static bool at_the_end(const ep_work *w, const ep_burn_facts *f, double minute)
{
    return minute >= f->planned_min * (1.0 - ep_limit_frac(w, EP_LIMIT_SESSION_TOL)) - slack;
}

// The most a pool of this width may have grown to by the end of the session: it widens ever more
// slowly, so no more than in proportion to the time. A short pool read at 3 h of 4 may be whole.
static double most_by_the_end(const ep_work *w, const ep_burn_facts *f, const pool_scan *p,
                              double reach)
{
    return at_the_end(w, f, p->last_min) ? reach : reach * f->planned_min / p->last_min;
}

// the widest stands in for the narrowest only when nothing else was read
static void pool_settle(const ep_work *w, ep_burn_facts *f, const pool_scan *p)
{
    bool flag = ep_seen_any(p->not_at_wall);
    f->wide_only = !ep_seen_any(p->any) && !flag && ep_seen_any(p->wide);
    ep_seen any = f->wide_only ? p->wide : p->any;
    ep_seen late = f->wide_only ? p->wide_late : p->late;
    f->reach = any;
    if (ep_seen_any(any) && any.value >= ep_limit_frac(w, EP_LIMIT_POOL_FULL) - slack) {
        f->pool = EP_POOL_FULL;
    } else if (ep_seen_any(late)) {
        f->reach = late;
        double most = most_by_the_end(w, f, p, late.value);
        bool thick = most < ep_limit_frac(w, EP_LIMIT_POOL_SMALL) - slack;
        f->pool = thick ? EP_POOL_THICK : EP_POOL_THIN;
        f->may_close = most >= ep_limit_frac(w, EP_LIMIT_POOL_FULL) - slack;
    } else if (flag) {
        // short by an unknown width: the ring itself may have been measured
        f->reach = p->not_at_wall;
        f->reach.value = EP_NAN;
        f->may_close = !at_the_end(w, f, p->not_at_wall.minute);
        bool thick = f->high[EP_READ_HANGUP_THICK].value > ep_limit_value(w, EP_LIMIT_HANGUP_THICK);
        f->pool = thick && !f->may_close ? EP_POOL_THICK : EP_POOL_THIN;
    }
}

static void readings_collect(const ep_work *w, ep_burn_facts *f)
{
    pool_scan pool = {ep_seen_none(), ep_seen_none(), ep_seen_none(),
                      ep_seen_none(), ep_seen_none(), 0.0};
    for (int i = 0; i < w->d->n_readings; i++) {
        const ep_reading *r = &w->d->reading[i];
        ep_seen s;
        if (r->candle == f->candle && r->session == f->session && isfinite(r->value) &&
            take(w, f, i, &s)) {
            pool_take(w, f, &pool, s);
        }
    }
    pool_settle(w, f, &pool);
}

void ep_burn_collect(const ep_work *w, const ep_candle_facts *c, const ep_burn_record *rec,
                     ep_burn_facts *f)
{
    facts_clear(f);
    f->rec = rec;
    f->candle = c->candle;
    f->session = rec->session;
    f->planned_min =
        rec->planned_min > 0.0 ? rec->planned_min : ep_limit_value(w, EP_LIMIT_SESSION) * 60.0;
    f->inner_mm = rec->inner_m > 0.0 ? rec->inner_m * 1e3 : EP_NAN;
    f->across_mm = rec->across_m > 0.0 ? rec->across_m * 1e3 : f->inner_mm;
    f->left_frac = left_after_frac(c, rec);
    f->left_known = !isnan(f->left_frac);
    if (!f->left_known) {
        f->left_frac = c->left_before_frac;  // no more than before, which is all that is known
    }
    f->under_way = !rec->over;
    f->final = c->finished && rec->session == c->last_session;
    f->last_quarter = f->final || f->left_frac <= c->quarter_frac + slack;
    readings_collect(w, f);
    f->went_out = f->high[EP_READ_WENT_OUT].value >= 0.5;
}

static bool recorded(const ep_dossier *d, const ep_reading *r)
{
    for (int b = 0; b < d->n_burns; b++) {
        if (d->burn[b].candle == r->candle && d->burn[b].session == r->session) {
            return true;
        }
    }
    return false;
}

bool ep_loose_collect(const ep_work *w, int candle, ep_burn_facts *f)
{
    bool any = false;
    facts_clear(f);
    f->candle = candle;
    f->planned_min = ep_limit_value(w, EP_LIMIT_SESSION) * 60.0;
    for (int i = 0; i < w->d->n_readings; i++) {
        const ep_reading *r = &w->d->reading[i];
        if (r->candle == candle && isfinite(r->value) && !recorded(w->d, r)) {
            ep_seen s;
            any = take(w, f, i, &s) || any;
        }
    }
    return any;
}
