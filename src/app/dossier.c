// From rows to what the judge reads: candles, burns with the wax left after each, readings with
// corrections applied. What was not weighed stays unknown.
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"
#include "base/text.h"

static const double ms_per_min = 60e3;

/// A fill this small in a cup this narrow is a tea light, whose flame limit is the lower one. The
/// bounds are ours, taken wide of the usual 38 mm cup (common practice, no source).
static const double tea_light_kg = 0.030, tea_light_m = 0.045;

void ep_book_clear(ep_book *b)
{
    free(b->candle);
    free(b->burn);
    free(b->reading);
    json_decref(b->conflicts);
    *b = (ep_book){0};
}

static ep_status book_room(ep_book *b, size_t candles, size_t burns, size_t readings, ep_err *err)
{
    // one more than needed, so that an empty list is still an allocation
    b->candle = calloc(candles + 1, sizeof *b->candle);
    b->burn = calloc(burns + 1, sizeof *b->burn);
    b->reading = calloc(readings + 1, sizeof *b->reading);
    if (!b->candle || !b->burn || !b->reading) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    b->d.candle = b->candle;
    b->d.burn = b->burn;
    b->d.reading = b->reading;
    return EP_OK;
}

static void add_candle(ep_book *b, const ep_candle *c)
{
    ep_candle_record *r = &b->candle[b->d.n_candles++];
    ep_copy(r->code, sizeof r->code, c->code);
    r->wax_kg = c->wax_kg;
    // broken or given up is an end, but not the end of the wax
    r->finished = c->finish_ms != 0 && strcmp(c->finish_reason, "end") == 0;
}

/// What carries over from one burn of a candle to the next.
typedef struct life {
    const ep_candle *candle;
    const ep_vessel *vessel;
    ep_time_ms now, last_end_ms;
    double left_frac;  ///< last known, 1 at first
} life;

static double left_frac(const life *l, double mass_g)
{
    return ep_candle_left_kg(l->candle, mass_g * 1e-3) / l->candle->wax_kg;
}

static void add_burn(ep_book *b, life *l, const json_t *row)
{
    ep_burn_record *r = &b->burn[b->d.n_burns++];
    ep_time_ms lit = ep_row_int(row, "lit_ms", 0), end = ep_row_int(row, "end_ms", 0);
    r->candle = b->d.n_candles - 1;
    r->session = (int)ep_row_int(row, "number", 0);
    r->planned_min = ep_row_real(row, "planned_h") * 60.0;
    r->over = end != 0;
    r->lit_min = (double)((end ? end : l->now) - lit) / ms_per_min;
    r->before_kg = ep_row_real(row, "before_g") * 1e-3;
    r->after_kg = ep_row_real(row, "after_g") * 1e-3;
    r->left_frac = left_frac(l, ep_row_real(row, "after_g"));
    r->rest_before_h =
        l->last_end_ms ? (double)(lit - l->last_end_ms) / (60.0 * ms_per_min) : EP_NOT_KNOWN;
    r->room_C = ep_row_real(row, "room_temp_C");
    r->draught = (int)ep_row_int(row, "draught", -1);
    r->before_cure = ep_row_int(row, "before_cure", 0) != 0;
    // the width burned at lies between the levels before and after
    double before = isnan(r->before_kg) ? l->left_frac : left_frac(l, ep_row_real(row, "before_g"));
    double after = isnan(r->left_frac) ? before : r->left_frac;
    double middle = isnan(before) ? 1.0 : 0.5 * (before + after);
    r->inner_m = ep_candle_level(l->vessel, l->candle->fill_height_m, middle).inner_m;
    r->across_m = ep_vessel_across_m(l->vessel, r->inner_m);
    r->n_wicks = l->candle->wick_count;
    l->left_frac = isnan(after) ? l->left_frac : after;
    l->last_end_ms = end ? end : l->last_end_ms;
}

static void add_reading(ep_book *b, const json_t *row)
{
    ep_reading_kind kind;
    if (!ep_reading_find(ep_row_text(row, "kind"), &kind)) {
        return;  // written by a version that knew a kind this one does not
    }
    ep_reading *r = &b->reading[b->d.n_readings++];
    ep_copy(r->id, sizeof r->id, ep_row_text(row, "id"));
    r->candle = b->d.n_candles - 1;
    r->session = (int)ep_row_int(row, "session", 0);
    r->minute = ep_row_real(row, "minute");
    r->kind = kind;
    r->value = ep_row_real(row, "value");
}

static ep_status rows_load(ep_app *app, const ep_candle *candles, int n, json_t *burns,
                           json_t *readings, json_t *conflicts, ep_err *err)
{
    for (int i = 0; i < n; i++) {
        json_t *b = NULL, *r = NULL;
        ep_bind bind[] = {ep_bind_text("candle", candles[i].id)};
        ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &b, err);
        if (status == EP_OK) {
            json_array_append_new(burns, b);
            status = ep_store_json(app->store, EP_Q_READINGS_THAT_HOLD, bind, 1, &r, err);
        }
        if (status != EP_OK) {
            return status;
        }
        json_t *disputed = ep_conflicts_of(r);
        json_array_extend(conflicts, disputed);
        json_decref(disputed);
        ep_conflicts_yield(r);
        json_array_append_new(readings, r);
    }
    return EP_OK;
}

static size_t rows_in(const json_t *lists)
{
    size_t n = 0, i;
    json_t *list;
    json_array_foreach(lists, i, list)
    {
        n += json_array_size(list);
    }
    return n;
}

static void book_fill(ep_app *app, const ep_candle *candles, int n, const ep_vessel *vessel,
                      const json_t *burns, const json_t *readings, ep_book *b)
{
    for (int i = 0; i < n; i++) {
        life l = {
            .candle = &candles[i], .vessel = vessel, .now = ep_app_now(app), .left_frac = 1.0};
        size_t k;
        json_t *row;
        add_candle(b, &candles[i]);
        json_array_foreach(json_array_get(burns, (size_t)i), k, row)
        {
            add_burn(b, &l, row);
        }
        json_array_foreach(json_array_get(readings, (size_t)i), k, row)
        {
            add_reading(b, row);
        }
    }
    double wide_m = 0.0, narrow_m = 0.0;
    if (n > 0) {
        ep_vessel_width_range_m(vessel, candles[0].fill_height_m, &narrow_m, &wide_m);
        b->d.tea_light = candles[0].wax_kg < tea_light_kg && wide_m < tea_light_m;
    }
}

ep_status ep_book_load(ep_app *app, const ep_candle *candles, int n, ep_book *out, ep_err *err)
{
    assert(n == 0 || candles);
    ep_vessel vessel = {0};
    json_t *burns = json_array(), *readings = json_array();
    *out = (ep_book){.conflicts = json_array()};
    ep_status status = rows_load(app, candles, n, burns, readings, out->conflicts, err);
    if (status == EP_OK && n > 0) {
        status = ep_app_container_load(app, candles[0].container_id, &vessel, NULL, err);
    }
    if (status == EP_OK) {
        status = book_room(out, (size_t)n, rows_in(burns), rows_in(readings), err);
    }
    if (status == EP_OK) {
        book_fill(app, candles, n, &vessel, burns, readings, out);
    }
    json_decref(burns);
    json_decref(readings);
    return status;
}
