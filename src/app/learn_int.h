/// Learning from the book: all burns that share materials with one recipe, gathered into one model
/// and believed. Needs: app, foresee, learn, plan.
#pragma once
#include "app/bench_int.h"
#include "app/foresee_int.h"
#include "base/hash.h"
#include "base/rng.h"
#include "learn/belief.h"
#include "learn/doubt.h"
#include "learn/shift.h"
#include "plan/next.h"

/// Engine grid of learning, and of odds that draw from what was learned: the misfit is learned on
/// the same grid it is used on.
#define EP_LEARN_GRID_M 4e-3
#define EP_LEARN_STEP_S 120.0
/// Most wicks (recipe, revision, size) one study takes in: the recipe's own first, then the newest.
enum { EP_STUDY_WICKS = 16, EP_STUDY_PARAMS = 256, EP_STUDY_DRAWS = 64 };

typedef enum ep_owner {
    EP_OWNER_WAX,
    EP_OWNER_SERIES,
    EP_OWNER_CONTAINER,
    EP_OWNER_FRAGRANCE,
    EP_OWNER_DYE
} ep_owner;
const char *ep_owner_key(ep_owner o);  ///< "wax", "series", ...

/// One parameter: a factor as owned by a material, series or container.
typedef struct ep_study_param {
    ep_owner owner;
    char id[EP_ID_CAP];
    ep_uncertain u;
} ep_study_param;

/// One burned wick with its book.
typedef struct ep_study_wick {
    ep_foresight *f;  ///< owned
    int size;
    ep_book book;
    ep_evidence evidence;
} ep_study_wick;

typedef struct ep_study {
    int n_params;
    ep_study_param param[EP_STUDY_PARAMS];
    int n_wicks;
    ep_study_wick wick[EP_STUDY_WICKS];
    ep_model_run run[EP_STUDY_WICKS];
    int n_blocks;
    char block_recipe[EP_STUDY_WICKS][EP_ID_CAP];
    int block_candles[EP_STUDY_WICKS];
    ep_model model;
    ep_model_run target;  ///< the recipe asked about, for its terms; its burn case is set per size
    int target_block;     ///< -1 = none of its own candles were burned
    ep_belief *belief;    ///< NULL before ep_study_believe
    char rests_on[EP_HASH_CAP];  ///< hash of all the belief rests on but the seed
} ep_study;

/// Place of a size in its series, as ep_model_run has it.
double ep_foresight_size_x(const ep_foresight *f, int size);

/// Gather. Takes the lock itself. `f` is borrowed for the study's life. An empty study (n_wicks 0)
/// is no error.
ep_status ep_study_load(ep_app *app, const ep_foresight *f, ep_study **out, ep_err *err);
/// Believe: found when kept, else many candles are burned, without the lock, and it is kept.
/// thorough = importance draws and tempering too.
ep_status ep_study_believe(ep_app *app, const ep_foresight *f, ep_study *s, int seed, bool thorough,
                           ep_err *err);
/// The belief if it is kept; s->belief stays NULL when it is not.
ep_status ep_study_recall(ep_app *app, const ep_foresight *f, ep_study *s, int seed, ep_err *err);
/// Add what a run's terms are about.
uint64_t ep_study_hash_terms(uint64_t h, const ep_study *s, const ep_model_run *r);
void ep_study_free(ep_study *s);
/// From here on the study speaks of `f`: its recipe with another series or number of wicks. What no
/// burn of the study could tell (another series' wicks) stands at the tables' ranges.
ep_status ep_study_aim(ep_app *app, ep_study *s, const ep_foresight *f, ep_err *err);
/// Factors of a run of the study at an unknown's place `x` (model.n_params of them, then what the
/// study knows nothing of: at 0, or with rng at draws of the prior).
ep_factors ep_study_factors(const ep_study *s, const ep_model_run *r, const double *x,
                            double log_scatter, ep_rng *rng);

/// Odds of one size worked out from what is believed. kinds: room for EP_MAX_MEMBERS verdict kinds,
/// out->judged of them written.
ep_status ep_study_odds(ep_study *s, const ep_foresight *f, int size, int members, int seed,
                        unsigned char *kinds, ep_wick_odds *out, ep_err *err);
/// Gather, and believe when anything was burned.
ep_status ep_study_known(ep_app *app, const ep_foresight *f, int seed, ep_study **out, ep_err *err);
/// From here on `f->inputs` also stands for what the study rests on; answers drawn from it are
/// stored under that. Odds must be known before.
void ep_foresight_rests_on(ep_foresight *f, const ep_study *s);
/// Odds of one size: found when kept, else worked out and kept; from what the study believes, from
/// the tables when it holds no burns. kinds: as ep_study_odds, or NULL.
ep_status ep_odds_known(ep_app *app, const ep_foresight *f, ep_study *s, int size, int members,
                        int seed, unsigned char *kinds, ep_wick_odds *out, ep_err *err);
/// Of every size; odds holds EP_MAX_SIZES; kinds NULL or judged x n_sizes.
ep_status ep_odds_known_all(ep_app *app, const ep_foresight *f, ep_study *s, int members, int seed,
                            unsigned char *kinds, ep_wick_odds *odds, ep_err *err);

/// The one candle a forecast shows: in the middle of what is believed, or of the tables' ranges.
typedef struct ep_middle {
    ep_study *study;  ///< owned; empty when only the tables were asked for
    bool learned;     ///< of the study; else of the tables
    bool waits;       ///< something was burned and is not learned from yet
    bool shifted;     ///< readings of the recipe's own candles are known to differ from the engine
} ep_middle;

/// `from` of a forecast or what-if: "burns" (NULL too: what they teach is worked out when it is not
/// kept), "kept" (only if it is), "tables". Free out->study whatever is returned.
ep_status ep_middle_open(ep_app *app, const ep_foresight *f, int seed, const char *from,
                         ep_middle *out, ep_err *err);
/// Burn c (of the recipe, or of it with something changed) with the factors of the middle, which
/// are written to it; the trace as it will be read, its pictures as the engine has them.
ep_status ep_middle_burn(const ep_middle *m, const ep_foresight *f, int size, ep_burn_case *c,
                         ep_trace **out, ep_err *err);
/// `made_of` and `learned` of an answer about such a burn.
void ep_shape_middle(json_t *out, const ep_middle *m, const ep_foresight *f, int size,
                     const ep_burn_case *c);

/// `{how, how_text, wicks, candles, sessions, readings, ...}` of docs/api.md.
json_t *ep_shape_study(const ep_study *s);
/// The questions about readings, worst first.
json_t *ep_shape_doubts(const ep_study *s);

// --- tested.c: what the maker's own candles have decided of every size ---
typedef struct ep_tested {
    ep_next_size stand;       ///< of this size's own candles; right, small, hot left at 0
    int burned;               ///< its candles that were ever lit
    int by;                   ///< index of the size whose candles decided it; -1 = undecided
    ep_verdict_kind decided;  ///< when `by` is not -1
} ep_tested;

/// out: EP_MAX_SIZES. Takes the lock itself. Candles of the revision, or of the one poured before
/// when this one only names the size it proved.
ep_status ep_tested_load(ep_app *app, const ep_foresight *f, ep_tested *out, ep_err *err);
bool ep_tested_against(const ep_tested *t);  ///< ruled out; NULL = nothing is known
/// "your 2 candles: too small"; "" when nothing was burned that says anything of size i.
const char *ep_tested_words(const ep_foresight *f, const ep_tested *tested, int i, char *buf,
                            size_t cap);
/// `Tested` of docs/api.md or null. New reference.
json_t *ep_shape_tested(const ep_foresight *f, const ep_tested *tested, int i);

/// `SizeOdds` of size i; tested: of every size, NULL where real candles say nothing of it (another
/// series, a candle used against its label).
json_t *ep_shape_odds(const ep_foresight *f, int i, const ep_wick_odds *o, const ep_tested *tested);
json_t *ep_shape_odds_list(const ep_foresight *f, const ep_wick_odds *odds,
                           const ep_tested *tested);

/// The plan, before the first pour as after: fields of docs/api.md Plan.
/// odds, tested: of every size; kinds: judged x n_sizes; each: candles of each size, 0 = as the
/// plan finds.
void ep_next_shape(const ep_foresight *f, const ep_study *s, const ep_wick_odds *odds,
                   const ep_tested *tested, const unsigned char *kinds, int each, json_t *out);
