// The odds of a wick as bytes, with every verdict behind them.
#include <string.h>

#include "base/pack.h"
#include "plan/plan.h"

static void walk_band(ep_pack *p, ep_band *b)
{
    ep_pack_real(p, &b->p05);
    ep_pack_real(p, &b->p50);
    ep_pack_real(p, &b->p95);
}

static void walk_bands(ep_pack *p, ep_band *b, int n)
{
    for (int i = 0; i < n; i++) {
        walk_band(p, &b[i]);
    }
}

static void walk(ep_pack *p, ep_wick_odds *o)
{
    ep_pack_reals(p, o->verdict, EP_VERDICT_COUNT_);
    ep_pack_reals(p, o->wall_by_session, EP_ODDS_SESSIONS);
    ep_pack_real(p, &o->drowned);
    walk_band(p, &o->rate_kg_s);
    walk_band(p, &o->wall_max_C);
    walk_band(p, &o->flame_max_m);
    walk_band(p, &o->burn_total_s);
    walk_band(p, &o->burn_to_stop_s);
    ep_pack_real(p, &o->claim.burn_s);
    ep_pack_real(p, &o->claim.confidence);
    ep_pack_int(p, &o->claim.unfinished);
    walk_bands(p, o->s_rate_kg_s, o->n_sessions);
    walk_bands(p, o->s_reach_frac, o->n_sessions);
    walk_bands(p, o->s_depth_mid_m, o->n_sessions);
    walk_bands(p, o->s_wall_max_C, o->n_sessions);
    walk_bands(p, o->s_flame_max_m, o->n_sessions);
    walk_bands(p, o->s_hangup_kg, o->n_sessions);
    ep_pack_real(p, &o->sessions_p50);
}

ep_status ep_odds_write(const ep_wick_odds *odds, const unsigned char *kinds, unsigned char **bytes,
                        size_t *len)
{
    ep_wick_odds copy = *odds;  // writing leaves the numbers as they are
    unsigned char kind[EP_MAX_MEMBERS];
    ep_pack p = ep_pack_writer();
    ep_pack_int(&p, &copy.members);
    ep_pack_int(&p, &copy.judged);
    ep_pack_int(&p, &copy.n_sessions);
    walk(&p, &copy);
    memcpy(kind, kinds, (size_t)copy.judged);
    ep_pack_bytes(&p, kind, (size_t)copy.judged);
    return ep_pack_take(&p, bytes, len);
}

ep_status ep_odds_read(const unsigned char *bytes, size_t len, int members, ep_wick_odds *odds,
                       unsigned char *kinds)
{
    ep_wick_odds o = {0};
    unsigned char kind[EP_MAX_MEMBERS];
    ep_pack p = ep_pack_reader(bytes, len);
    ep_pack_int(&p, &o.members);
    ep_pack_int(&p, &o.judged);
    ep_pack_int(&p, &o.n_sessions);
    if (p.bad || o.members != members || members < 1 || o.judged < members ||
        o.judged > EP_MAX_MEMBERS || o.n_sessions < 0 || o.n_sessions > EP_ODDS_SESSIONS) {
        return EP_E_PARSE;
    }
    walk(&p, &o);
    ep_pack_bytes(&p, kind, (size_t)o.judged);
    if (!ep_pack_done(&p)) {
        return EP_E_PARSE;
    }
    *odds = o;
    if (kinds) {
        memcpy(kinds, kind, (size_t)o.judged);
    }
    return EP_OK;
}
