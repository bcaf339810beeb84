/// What the forecasting cases share: a revision made into a burn case, and stored answers.
#pragma once
#include "app/app_int.h"
#include "base/hash.h"
#include "burn/burn.h"
#include "learn/observe.h"
#include "plan/plan.h"

/// Everything a burn of one revision needs, loaded under the lock, used without it.
typedef struct ep_foresight {
    char recipe_id[EP_ID_CAP];
    ep_revision revision;
    ep_vessel vessel;
    ep_material wall, construction;
    ep_melt melt;
    ep_wick_series series;
    ep_limit limit[EP_LIMIT_COUNT_];
    double rest_s;
    const ep_waiter
        *waiter;  ///< who waits for the burns, borrowed for the call; NULL = no one goes
    char burns[EP_HASH_CAP];   ///< hash of all numbers that go into a burn
    char inputs[EP_HASH_CAP];  ///< the same with the limits it is judged by
} ep_foresight;

/// Takes the lock itself. Errors name "id", "revision", or say what the engine cannot burn yet.
ep_status ep_foresight_load(ep_app *app, const json_t *in, ep_foresight *out, ep_err *err);

/// After something in a loaded one was changed: `burns` and `inputs` say so again.
void ep_foresight_changed(ep_foresight *f);

/// The burn case of one size; borrows `f`.
ep_status ep_foresight_case(const ep_foresight *f, int size, ep_burn_case *out, ep_err *err);

/// Index of a size by id or name; "" = the revision's own size, or the middle one.
ep_status ep_foresight_size(const ep_foresight *f, const char *text, int *index, ep_err *err);

/// Store an answer that sessions to come will be scored against, unless the newest one of its kind,
/// size, seed and members has the same inputs. size < 0 = the whole series. Takes the lock itself.
ep_status ep_foresight_keep(ep_app *app, const ep_foresight *f, const char *kind, int size,
                            int seed, int members, const json_t *body, ep_err *err);

/// Shapes of docs/api.md.
json_t *ep_shape_band(ep_band band, double scale, double offset);
/// Samples or pictures of one session; 0 = the whole life.
json_t *ep_shape_trace(const ep_trace *t, int session);
json_t *ep_shape_cut(const ep_trace *t, const ep_burn_case *c, int session);
json_t *ep_shape_sessions(const ep_trace *t);
/// Adds "summary"; `odds` may be NULL.
void ep_shape_summary(json_t *out, const ep_foresight *f, const ep_trace *t,
                      const ep_wick_odds *odds);
/// What the simulated candle would be judged. *seen stands behind the verdict's findings: destroy
/// it whatever is returned.
ep_status ep_foresight_judge(const ep_foresight *f, const ep_trace *t, const ep_burn_case *c,
                             ep_verdict *v, ep_observed **seen, ep_err *err);
/// Adds "verdict": what the simulated candle would be judged.
ep_status ep_shape_judgement(json_t *out, const ep_foresight *f, const ep_trace *t,
                             const ep_burn_case *c, ep_err *err);
json_t *ep_shape_intervals(const ep_wick_odds *o);
/// Sets "above", heat over the tallest flame, and adds what it means to "cautions", which must be
/// there.
void ep_shape_above(json_t *out, const ep_trace *t, const ep_burn_case *c);

/// Sets recipe, revision, engine, tables, seed, members and the usual "cautions".
void ep_shape_foreseen_head(json_t *out, const ep_foresight *f, int members, int seed);
/// One row of a set to pour: the size of the series, how many candles, and why.
json_t *ep_shape_pour(const ep_wick_size *size, int candles, const char *reason);

/// Ensembles run on a coarser grid with longer steps than a single picture (docs/validation.md has
/// the price: below 2 % on every output but the moment the pool meets the wall).
#define EP_ODDS_GRID_M 3e-3
#define EP_ODDS_STEP_S 120.0
/// Several wicks, or a vessel that is not round, take a plan grid: coarser, or nobody would wait.
#define EP_PLAN_GRID_M      3e-3
#define EP_ODDS_PLAN_GRID_M 4e-3
/// Grid and steps of an ensemble of this case.
void ep_foresight_coarsen(ep_burn_case *c);
enum { EP_ODDS_MEMBERS = 32, EP_ODDS_PLAN_MEMBERS = 8 };
/// Members as asked for; else fewer when every member takes a plan grid.
int ep_foresight_members(const ep_foresight *f, const json_t *in);
