// The verdict of a recipe: all candles of a revision, wick by wick, judged by the workshop's
// limits.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"
#include "base/text.h"

// what two readings leave open is still to be settled, whatever the verdict
static void out_disputed(json_t *shape, const json_t *conflicts)
{
    size_t i;
    json_t *conflict;
    json_array_foreach(conflicts, i, conflict)
    {
        json_array_append(json_object_get(shape, "missing"), json_object_get(conflict, "text"));
    }
}

ep_status ep_judge_candles(ep_app *app, const ep_candle *candles, int n, ep_verdict *v,
                           json_t **out, ep_err *err)
{
    ep_limit limits[EP_LIMIT_COUNT_];
    ep_book book = {0};
    ep_status status = ep_app_limits_load(app, limits, err);
    if (status == EP_OK) {
        status = ep_book_load(app, candles, n, &book, err);
    }
    if (status == EP_OK) {
        status = ep_judge(&book.d, limits, v, err);
    }
    if (status == EP_OK) {
        *out = ep_shape_verdict(v, &book.d);
        out_disputed(*out, book.conflicts);
    }
    ep_book_clear(&book);
    return status;
}

ep_status ep_candles_of_size(const json_t *rows, const char *size_id, ep_candle **out, int *n,
                             ep_err *err)
{
    ep_candle *list = calloc(json_array_size(rows) + 1, sizeof *list);
    if (!list) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    int found = 0;
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (strcmp(ep_row_text(row, "size_id"), size_id) == 0) {
            ep_candle_read(row, &list[found++]);
        }
    }
    *out = list;
    *n = found;
    return EP_OK;
}

ep_status ep_revision_judged(ep_app *app, const char *recipe_id, int asked, int *number,
                             ep_err *err)
{
    ep_revision r;
    int64_t poured = 0;
    ep_bind bind[] = {ep_bind_text("recipe", recipe_id)};
    ep_status status = EP_OK;
    if (asked == 0) {
        status = ep_store_int(app->store, EP_Q_REVISION_LAST_POURED, bind, 1, 0, &poured, err);
    }
    if (status == EP_OK) {
        // also says when there is no such number
        status = ep_app_revision_load(app, recipe_id, asked ? asked : (int)poured, &r, err);
    }
    if (status == EP_OK) {
        *number = r.number;
    }
    return status;
}

// one wick: its candles and its verdict
static ep_status wick_shape(ep_app *app, const json_t *rows, const char *size_id, json_t **out,
                            ep_err *err)
{
    ep_candle *candles = NULL;
    int n = 0;
    ep_verdict *v = calloc(1, sizeof *v);
    json_t *shape = NULL;
    ep_status status = v ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (status == EP_OK) {
        status = ep_candles_of_size(rows, size_id, &candles, &n, err);
    }
    if (status == EP_OK) {
        status = ep_judge_candles(app, candles, n, v, &shape, err);
    }
    if (status == EP_OK) {
        json_t *codes = json_array();
        for (int i = 0; i < n; i++) {
            json_array_append_new(codes, json_string(candles[i].code));
        }
        *out = json_pack("{s:s, s:s, s:o, s:o}", "size_id", size_id, "size_name",
                         candles[0].size_name, "candles", codes, "verdict", shape);
    }
    free(candles);
    free(v);
    return status;
}

static void sentence_of(const json_t *wicks, ep_text *text)
{
    size_t i;
    json_t *wick;
    json_array_foreach(wicks, i, wick)
    {
        const json_t *v = json_object_get(wick, "verdict");
        bool stop = json_is_true(json_object_get(v, "stop_now"));
        ep_text_addf(text, "%s%s: %s%s.", i ? " " : "", ep_row_text(wick, "size_name"),
                     ep_row_text(v, "kind_text"), stop ? " (a hazard was seen: put it out)" : "");
    }
    if (json_array_size(wicks) == 0) {
        ep_text_add(text, "Nothing of this revision was poured yet, so nothing can be judged.");
    }
}

static ep_status wicks_of(ep_app *app, const json_t *rows, const char *only, json_t *wicks,
                          ep_err *err)
{
    json_t *done = json_object(), *row;
    ep_status status = EP_OK;
    size_t i;
    json_array_foreach(rows, i, row)
    {
        const char *size_id = ep_row_text(row, "size_id");
        bool wanted = !only[0] || strcmp(only, size_id) == 0;
        if (status != EP_OK || !wanted || json_object_get(done, size_id)) {
            continue;
        }
        json_object_set_new(done, size_id, json_true());
        json_t *wick = NULL;
        status = wick_shape(app, rows, size_id, &wick, err);
        if (status == EP_OK) {
            json_array_append_new(wicks, wick);
        }
    }
    json_decref(done);
    return status;
}

static ep_status verdict_show(ep_app *app, const char *recipe, int number, const char *size_text,
                              json_t **out, ep_err *err)
{
    ep_revision r;
    char only[EP_ID_CAP] = "";
    json_t *rows = NULL, *wicks = json_array();
    ep_status status = ep_app_revision_load(app, recipe, number, &r, err);
    if (status == EP_OK && size_text) {
        status = ep_find_size(app, r.series_id, size_text, "size", only, err);
    }
    if (status == EP_OK) {
        ep_bind bind[] = {ep_bind_text("recipe", recipe), ep_bind_int("number", number)};
        status = ep_store_json(app->store, EP_Q_CANDLES_OF_REVISION, bind, 2, &rows, err);
    }
    if (status == EP_OK) {
        status = wicks_of(app, rows, only, wicks, err);
    }
    if (status == EP_OK) {
        ep_text text;
        ep_text_init(&text);
        sentence_of(wicks, &text);
        *out = json_pack("{s:s, s:i, s:O, s:s}", "recipe_id", recipe, "revision", number, "wicks",
                         wicks, "text", ep_text_str(&text));
        ep_text_clear(&text);
    }
    json_decref(rows);
    json_decref(wicks);
    return status;
}

ep_status ep_case_verdict(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char recipe[EP_ID_CAP];
    int number = 0;
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", recipe, err);
    if (status == EP_OK) {
        status = ep_revision_judged(app, recipe, ep_in_int(in, "revision", 0), &number, err);
    }
    return status == EP_OK ? verdict_show(app, recipe, number, ep_in_text(in, "size"), out, err)
                           : status;
}
