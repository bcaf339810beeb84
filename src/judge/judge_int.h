/// What the files of the judging room share. Nothing here leaves the room.
/// One walk over the dossier: candle by candle, session by session in order; the readings of a
/// session become ep_burn_facts, the sessions of a candle fold into ep_candle_facts, the candles
/// into ep_tally. No array grows with the dossier, so nothing is allocated.
#pragma once
#include <stdint.h>

#include "judge/judge.h"

#define EP_NAN ((double)NAN)

/// Requirement numbers; the texts stand at the head of judge.c.
enum {
    EP_J_NONE,
    EP_J1,
    EP_J2,
    EP_J3,
    EP_J4,
    EP_J5,
    EP_J6,
    EP_J7,
    EP_J8,
    EP_J9,
    EP_J10,
    EP_J11,
    EP_J12,
    EP_J13,
    EP_J14,
    EP_J15,
    EP_J16,
    EP_J17,
    EP_J18,
    EP_J19,
    EP_J20,
    EP_J21,
    EP_J22,
    EP_J23,
    EP_J24,
    EP_J25,
    EP_J26,
    EP_J27,
    EP_J28,
    EP_J29,
    EP_J30,
    EP_J31,
    EP_J32,
    EP_J_END_
};

/// One reading picked out of many: its index and value; index -1 and NAN while none was seen.
typedef struct ep_seen {
    int i;
    double value;
    double minute;
} ep_seen;

typedef enum ep_pool_state {
    EP_POOL_UNREAD,
    EP_POOL_THICK,
    EP_POOL_THIN,
    EP_POOL_FULL
} ep_pool_state;

/// What the readings of one session say. Lengths in mm, times in minutes, as written down.
typedef struct ep_burn_facts {
    const ep_burn_record *rec;  ///< NULL: readings without a session record
    int candle, session;
    double planned_min;
    double inner_mm;   ///< longer inner side, NAN when unknown
    double across_mm;  ///< shorter inner side, NAN when unknown
    double left_frac;  ///< share of the wax left; NAN when unknown
    bool left_known;   ///< of this session, not carried over from an earlier one
    bool under_way, final, last_quarter, went_out;
    ep_seen high[EP_READ_COUNT_], low[EP_READ_COUNT_], last[EP_READ_COUNT_];
    ep_seen depth;         ///< deepest within the time the depth limit speaks of
    ep_seen abuse;         ///< hottest-looking reading after the power-burn time
    ep_seen reach;         ///< value: pool as a share of the inner width, capped at 1
    ep_seen full_first;    ///< earliest reading that shows the pool at the wall
    ep_seen afterglow;     ///< longest
    int64_t afterglow_ms;  ///< sum in whole milliseconds: the same in any order
    int n_afterglow;
    ep_pool_state pool;
    bool wide_only;  ///< reach rests on the widest alone
    bool may_close;  ///< short, but read so early that it may be whole by the end
    int excuse;      ///< EP_J2 draught, EP_J3 leaning wick, else 0: heat must be seen
                     ///< again before it says anything of the size
    bool fair;       ///< no excuse and the room within its range
    bool counts;     ///< fair, whole, rested, even: may prove right or too small
} ep_burn_facts;

enum { EP_HOT_FLAME, EP_HOT_WALL, EP_HOT_DEPTH, EP_HOT_COUNT_ };

/// Sums for a straight line through (wax burned, reading), session by session.
typedef struct ep_trend {
    int n;
    double x, y, xx, xy;
    ep_seen newest;
} ep_trend;

typedef struct ep_candle_facts {
    int candle;
    const ep_candle_record *rec;
    double first_kg;          ///< mass before the first session; NAN unknown
    double end_left_frac;     ///< least wax left of any session; NAN unknown
    double left_before_frac;  ///< share left before the session at hand; NAN unknown
    double quarter_frac;      ///< at or below this share left a session lies in the last quarter
    int n_burns, n_counting, last_session;
    bool uncured, finished, any_under_way, stop_under_way;
    bool hot, small, feed, carbon, open, against;  ///< classes of evidence against the wick
    int excused_stop;  ///< a stop where a session must be repeated: EP_J2, EP_J3, else 0
    int excused_mild;  ///< lesser heat there, not yet followed by a session that counts
    int repeat_session, repeat_why;    ///< latest session that does not count, EP_J1..EP_J6
    int outs;                          ///< times gone out before its end, in fair sessions
    double best_reach_frac, inner_mm;  ///< NAN until read
    ep_pool_state pool;                ///< of the latest counting session that shows it
    int pool_session;
    int short_run;  ///< sessions running, up to the latest, with a ring left late in the wax
    bool pool_final, pool_wide_only, pool_may_close;
    ep_seen pool_seen;
    ep_seen hang_thick, hang_share;  ///< latest of the last quarter
    bool early_full;                 ///< wall to wall by the session asked for, in one that counts
    bool quarter, quarter_pool, quarter_full, quarter_flame, quarter_wall, quarter_soot;
    ep_seen hottest[EP_HOT_COUNT_];  ///< over the last quarter
    ep_trend trend;
} ep_candle_facts;

/// Running mean and spread (Welford 1962, doi 10.1080/00401706.1962.10490022).
typedef struct ep_spread {
    int n;
    double mean, m2;
    ep_seen worst;
    double limit;
} ep_spread;

typedef enum ep_reason {
    EP_WHY_NOTHING,  ///< nothing burned yet
    EP_WHY_HOT,
    EP_WHY_HOT_SHORT,  ///< too hot and the ring stays
    EP_WHY_CARBON,
    EP_WHY_FEED,
    EP_WHY_GLOW,
    EP_WHY_SMALL,
    EP_WHY_HAZARD,  ///< a stop that says nothing of the size
    EP_WHY_REPEAT,  ///< draught, leaning wick
    EP_WHY_DIFFER,
    EP_WHY_OPEN,  ///< against the wick, but which way is not known
    EP_WHY_UNCURED,
    EP_WHY_MORE,
    EP_WHY_RIGHT
} ep_reason;

typedef struct ep_tally {
    // candles by the evidence they give: each counts in one of the first seven
    int hot, hot_short, carbon, feed, small, open, fine;
    int right, wrong, pending;  ///< judged to the end, failed, may still become right
    int burned, uncured, uncured_wrong;
    bool stop_lit;   ///< a stop on a candle that is still burning
    int hazard;      ///< lowest J of a stop that says nothing of the size, 0 none
    int repeat_why;  ///< EP_J2, EP_J3, EP_J4: a session to be repeated before sizing
    bool late_full;  ///< some candle was not wall to wall by the session asked for
    bool glow_long, weak_throw, heading_hot, thin_margin, some_again;
    int64_t afterglow_ms;
    int n_afterglow;
    ep_seen afterglow;
    ep_seen pass[EP_HOT_COUNT_];  ///< highest of the whole dossier, for the checks that passed
    ep_spread spread[EP_HOT_COUNT_];
    double inner_mm;  ///< widest inner width seen
    ep_reason why;
    int worst_quantity;  ///< EP_HOT_.. behind verdict.worst_margin, -1 none
} ep_tally;

typedef struct ep_work {
    const ep_dossier *d;
    const ep_limit *limit;
    ep_verdict *v;
    double badness[EP_MAX_FINDINGS];
    ep_tally t;
} ep_work;

// judge.c
double ep_limit_value(const ep_work *w, ep_limit_id id);
double ep_limit_frac(const ep_work *w, ep_limit_id id);  ///< shares and percentages as 0..1
const char *ep_code_of(const ep_work *w, int candle);
ep_weight ep_requirement_fails_at(int n);  ///< least weight that means "not met"

// facts.c
ep_seen ep_seen_none(void);
bool ep_seen_any(ep_seen s);
/// Would `a` stand before `b` in a fixed order that does not know where readings lie in memory?
bool ep_seen_above(const ep_dossier *d, ep_seen a, ep_seen b);
void ep_candle_open(const ep_work *w, int candle, ep_candle_facts *c);
/// Session after (`session`, index `burn`) of the candle, in order; -1 past the last.
int ep_burn_next(const ep_dossier *d, int candle, int session, int burn);
void ep_burn_collect(const ep_work *w, const ep_candle_facts *c, const ep_burn_record *rec,
                     ep_burn_facts *f);
/// Readings whose session was never recorded: a hazard among them still counts.
bool ep_loose_collect(const ep_work *w, int candle, ep_burn_facts *f);
double ep_late_minute(const ep_work *w, const ep_burn_facts *f);

// findings.c
/// Start of a finding about `s` of the session; candle -1 via f == NULL.
ep_finding ep_finding_at(const ep_work *w, int requirement, ep_weight weight,
                         const ep_burn_facts *f, ep_seen s, double limit, ep_unit unit);
/// Keep a finding: the worst of each requirement and candle stays, with the readings of all.
/// badness: larger is worse, compared only within one requirement.
void ep_find(ep_work *w, ep_finding f, double badness, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));
void ep_findings_sort(ep_verdict *v);

// evidence.c
void ep_rules_evidence(ep_work *w, ep_candle_facts *c, ep_burn_facts *f);

// stop.c
/// Hottest of wall, rim and base.
ep_seen ep_outside_seen(const ep_work *w, const ep_burn_facts *f);
/// Heat or hazard: against the wick unless the session has an excuse.
void ep_heat(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, ep_finding find,
             double badness, const char *what);
void ep_rules_stop(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f);

// wick.c: one session; life.c: one candle, then all of them
void ep_rules_wick(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f);
void ep_carbon(ep_work *w, ep_candle_facts *c, const ep_burn_facts *f, ep_finding find,
               const char *what);
void ep_rules_life(ep_work *w, ep_candle_facts *c);
void ep_rules_all(ep_work *w);

// proof.c
/// Limit of a hot quantity (EP_HOT_..) in its unit.
double ep_hot_limit(const ep_work *w, int quantity);
ep_seen ep_hot_seen(const ep_work *w, const ep_burn_facts *f, int quantity);
void ep_proof_session(const ep_work *w, ep_candle_facts *c, const ep_burn_facts *f);
void ep_proof_candle(ep_work *w, ep_candle_facts *c);
void ep_proof_margin(ep_work *w);
void ep_proof_sentence(ep_work *w);
/// J31: candles a proof asks for, fewer when the maker allows it and margins are wide.
int ep_min_candles(const ep_work *w);
double ep_student_cdf(double t, int nu);  ///< nu >= 1

// next.c
void ep_missing_candle(ep_work *w, const ep_candle_facts *c);
void ep_missing_all(ep_work *w);
void ep_next_move(ep_work *w);
