// How far a recipe has come: described, planned, testing, proven or rejected.
//
// The last decision holds as long as the newest revision makes the same candle as the one judged
// (the size it names may be the one the judged candles carried). A change that needs the burn test
// again takes the recipe back to testing, and says what changed.
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "app/recipe_int.h"
#include "base/text.h"

static ep_status count(ep_app *app, ep_query query, const char *name, const char *id, int64_t *out,
                       ep_err *err)
{
    ep_bind bind[] = {ep_bind_text(name, id)};
    return ep_store_int(app->store, query, bind, 1, 0, out, err);
}

/// Factors between the judged and the newest revision that need the burn test again.
static ep_status retest_of(ep_app *app, const json_t *decision, const ep_revision *newest,
                           unsigned *factors, ep_err *err)
{
    ep_revision judged;
    ep_status status = ep_app_revision_load(app, newest->recipe_id,
                                            (int)ep_row_int(decision, "number", 0), &judged, err);
    if (status != EP_OK) {
        return status;
    }
    // the candles judged carried the size decided on, whatever their revision had named
    ep_copy(judged.size_id, sizeof judged.size_id, ep_row_text(decision, "size_id"));
    unsigned diff = ep_revision_diff(&judged, newest);
    *factors = 0;
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        if (diff & (1u << f) && ep_factor_needs_retest((ep_factor)f)) {
            *factors |= 1u << f;
        }
    }
    return EP_OK;
}

static void say_changed(ep_recipe_state *s, const char *decided, unsigned factors)
{
    char list[160] = "";
    size_t len = 0;
    for (int f = 0; f < EP_FACTOR_COUNT_ && len < sizeof list; f++) {
        if (factors & (1u << f)) {
            len += (size_t)snprintf(list + len, sizeof list - len, "%s%s", len ? ", " : "",
                                    ep_factor_label((ep_factor)f));
        }
    }
    s->key = "testing";
    snprintf(s->text, sizeof s->text, "changed since it was %s (%s): burn it again", decided, list);
}

static void say_decided(ep_recipe_state *s, const json_t *decision)
{
    bool proven = strcmp(ep_row_text(decision, "decision"), "proven") == 0;
    s->key = proven ? "proven" : "rejected";
    snprintf(s->text, sizeof s->text, "%s with wick size %s", s->key,
             ep_row_text(decision, "size_name"));
}

static void say_undecided(ep_recipe_state *s, int64_t forecasts)
{
    if (s->candles_poured > 0) {
        s->key = "testing";
        snprintf(s->text, sizeof s->text, "%d candle%s poured, no wick decided yet",
                 s->candles_poured, s->candles_poured == 1 ? "" : "s");
    } else if (forecasts > 0) {
        s->key = "planned";
        snprintf(s->text, sizeof s->text, "foreseen, nothing poured yet");
    } else {
        s->key = "described";
        snprintf(s->text, sizeof s->text, "described, nothing foreseen or poured yet");
    }
}

ep_status ep_recipe_state_of(ep_app *app, const ep_revision *newest, ep_recipe_state *out,
                             ep_err *err)
{
    int64_t candles = 0, forecasts = 0;
    json_t *decision = NULL;
    ep_status status = count(app, EP_Q_RECIPE_CANDLES, "recipe", newest->recipe_id, &candles, err);
    if (status == EP_OK) {
        status = count(app, EP_Q_RECIPE_FORECASTS, "recipe", newest->recipe_id, &forecasts, err);
    }
    if (status != EP_OK) {
        return status;
    }
    ep_bind bind[] = {ep_bind_text("recipe", newest->recipe_id)};
    out->candles_poured = (int)candles;
    status = ep_store_one(app->store, EP_Q_DECISION_LAST, bind, 1, &decision, err);
    if (status == EP_E_NOT_FOUND ||
        (status == EP_OK && strcmp(ep_row_text(decision, "decision"), "reopened") == 0)) {
        say_undecided(out, forecasts);
        json_decref(decision);
        return EP_OK;
    }
    unsigned factors = 0;
    if (status == EP_OK) {
        status = retest_of(app, decision, newest, &factors, err);
    }
    if (status == EP_OK && factors) {
        say_changed(out, ep_row_text(decision, "decision"), factors);
    } else if (status == EP_OK) {
        say_decided(out, decision);
    }
    json_decref(decision);
    return status;
}
