// Conflicts: readings of one candle, kind and moment that do not agree, as when two devices were
// away and both wrote. All are kept and shown; the cautious one counts until the maker keeps one.
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"

// written down less than this apart, two readings tell of the same moment
static const double same_moment_min = 1.0;

// --- which one counts ---

/// How the reading that counts is chosen while a conflict stands.
typedef enum choice { HIGHEST, LOWEST, NEWEST } choice;

// Heat, soot and faults: the most. What lets a wick be called right, or keeps a flame off the wall:
// the least. A weighing: the newest, as whenever one is added later (view burn_now).
static choice choice_of(ep_reading_kind kind)
{
    static const choice by_kind[EP_READ_COUNT_] = {
        [EP_READ_POOL_WIDE] = LOWEST,    [EP_READ_POOL_NARROW] = LOWEST,
        [EP_READ_POOL_AT_WALL] = LOWEST, [EP_READ_WALL_GAP] = LOWEST,
        [EP_READ_THROW] = LOWEST,        [EP_READ_MASS] = NEWEST,
    };
    return by_kind[kind];
}

static bool counts_before(choice how, const json_t *a, const json_t *b)
{
    double va = ep_row_real(a, "value"), vb = ep_row_real(b, "value");
    int64_t ta = ep_row_int(a, "created_ms", 0), tb = ep_row_int(b, "created_ms", 0);
    if (how == NEWEST && ta != tb) {
        return ta > tb;
    }
    return how == LOWEST ? va < vb : how == HIGHEST ? va > vb : false;
}

// --- who is in conflict with whom ---

static bool stands(const json_t *row)
{
    return ep_row_text(row, "corrected_by")[0] == '\0';
}

static bool of_one_moment(const json_t *a, const json_t *b)
{
    return strcmp(ep_row_text(a, "kind"), ep_row_text(b, "kind")) == 0 &&
           strcmp(ep_row_text(a, "candle_id"), ep_row_text(b, "candle_id")) == 0 &&
           strcmp(ep_row_text(a, "session_id"), ep_row_text(b, "session_id")) == 0;
}

// Readings of the moment of row `first` that stand; `used` marks those told already. Rows come by
// minute within a session, so the walk ends where the minute leaves the moment.
static json_t *moment_of(const json_t *rows, size_t first, bool *used)
{
    const json_t *a = json_array_get(rows, first);
    json_t *group = json_array();
    bool differ = false;
    for (size_t i = first; i < json_array_size(rows); i++) {
        json_t *b = json_array_get(rows, i);
        double apart_min = ep_row_real(b, "minute") - ep_row_real(a, "minute");
        if (!(apart_min >= 0.0 && apart_min < same_moment_min)) {
            break;
        }
        if (!used[i] && stands(b) && of_one_moment(a, b)) {
            used[i] = true;
            json_array_append(group, b);
            double va = ep_row_real(a, "value"), vb = ep_row_real(b, "value");
            differ = differ || vb < va || vb > va;
        }
    }
    if (!differ) {
        json_decref(group);
        return NULL;
    }
    return group;
}

/// Every group of rows in conflict; NULL when out of memory.
static json_t *groups_of(const json_t *rows)
{
    size_t n = json_array_size(rows);
    bool *used = calloc(n + 1, sizeof *used);
    json_t *groups = used ? json_array() : NULL;
    for (size_t i = 0; groups && i < n; i++) {
        ep_reading_kind kind;
        const json_t *row = json_array_get(rows, i);
        json_t *group = NULL;
        if (!used[i] && stands(row) && ep_reading_find(ep_row_text(row, "kind"), &kind)) {
            group = moment_of(rows, i, used);
        }
        if (group) {
            json_array_append_new(groups, group);
        }
    }
    free(used);
    return groups;
}

static choice choice_in(const json_t *group)
{
    ep_reading_kind kind = EP_READ_FLAME;
    ep_reading_find(ep_row_text(json_array_get(group, 0), "kind"), &kind);
    return choice_of(kind);
}

static json_t *counting_in(const json_t *group)
{
    json_t *best = json_array_get(group, 0), *row;
    size_t i;
    json_array_foreach(group, i, row)
    {
        best = counts_before(choice_in(group), row, best) ? row : best;
    }
    return best;
}

// --- told ---

const char *ep_reading_words(const json_t *row, char *buf, size_t cap)
{
    ep_reading_kind kind;
    const char *unit = ep_row_text(row, "unit");
    double value = ep_row_real(row, "value");
    bool known = ep_reading_find(ep_row_text(row, "kind"), &kind);
    if (known && ep_reading_def_of(kind)->type == 'F') {
        snprintf(buf, cap, "%s", value >= 0.5 ? "yes" : "no");
    } else {
        snprintf(buf, cap, "%.6g%s%s", value, unit[0] ? " " : "", unit);
    }
    return buf;
}

const char *ep_reading_label(const json_t *row)
{
    ep_reading_kind kind;
    const char *key = ep_row_text(row, "kind");
    return ep_reading_find(key, &kind) ? ep_reading_def_of(kind)->label : key;
}

static const char *why_it_counts(choice how)
{
    return how == LOWEST    ? "the lower one, to be on the safe side"
           : how == HIGHEST ? "the higher one, to be on the safe side"
                            : "the one weighed last";
}

static void out_said(json_t *o, const json_t *group)
{
    char said[200] = "", one[40], kept[40];
    size_t i, len = 0;
    json_t *row;
    json_array_foreach(group, i, row)
    {
        int more = snprintf(said + len, sizeof said - len, "%sas %s", i ? " and " : "",
                            ep_reading_words(row, one, sizeof one));
        len = more > 0 && len + (size_t)more < sizeof said ? len + (size_t)more : len;
    }
    const json_t *first = json_array_get(group, 0);
    ep_out_textf(
        o, "text", "%s: %s at %.0f min was written down %s. Until you keep one, %s counts, %s.",
        ep_row_text(first, "code"), ep_reading_label(first), ep_row_real(first, "minute"), said,
        ep_reading_words(counting_in(group), kept, sizeof kept), why_it_counts(choice_in(group)));
}

static json_t *conflict_shape(const json_t *group)
{
    const json_t *first = json_array_get(group, 0);
    json_t *o = json_object(), *readings = json_array(), *row;
    size_t i;
    json_array_foreach(group, i, row)
    {
        char said[40];
        ep_reading_words(row, said, sizeof said);
        json_array_append_new(
            readings, json_pack("{s:O, s:s}", "id", json_object_get(row, "id"), "said", said));
    }
    ep_out_text(o, "code", ep_row_text(first, "code"));
    ep_out_text(o, "kind", ep_row_text(first, "kind"));
    ep_out_text(o, "label", ep_reading_label(first));
    ep_out_real(o, "minute", ep_row_real(first, "minute"));
    ep_out_new(o, "readings", readings);
    json_object_set(o, "counts", json_object_get(counting_in(group), "id"));
    out_said(o, group);
    return o;
}

json_t *ep_conflicts_of(const json_t *rows)
{
    json_t *groups = groups_of(rows), *list = json_array(), *group;
    size_t i;
    json_array_foreach(groups, i, group)
    {
        json_array_append_new(list, conflict_shape(group));
    }
    json_decref(groups);
    return list;
}

static size_t place_of(const json_t *rows, const json_t *row)
{
    size_t i;
    json_t *at;
    json_array_foreach(rows, i, at)
    {
        if (at == row) {
            break;
        }
    }
    return i;
}

void ep_conflicts_yield(json_t *rows)
{
    json_t *groups = groups_of(rows), *group, *row;
    size_t i, k;
    json_array_foreach(groups, i, group)
    {
        const json_t *counts = counting_in(group);
        json_array_foreach(group, k, row)
        {
            if (row != counts) {
                json_array_remove(rows, place_of(rows, row));
            }
        }
    }
    json_decref(groups);
}

static bool is_member(const json_t *conflict, const char *id)
{
    size_t i;
    json_t *member;
    json_array_foreach(json_object_get(conflict, "readings"), i, member)
    {
        if (strcmp(ep_row_text(member, "id"), id) == 0) {
            return true;
        }
    }
    return false;
}

json_t *ep_conflict_with(const json_t *conflicts, const char *id)
{
    size_t i;
    json_t *conflict;
    json_array_foreach(conflicts, i, conflict)
    {
        if (is_member(conflict, id)) {
            return conflict;
        }
    }
    return NULL;
}

// --- settling ---

static ep_status rows_around(ep_app *app, const json_t *reading, json_t **rows, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("candle", ep_row_text(reading, "candle_id")),
                      ep_bind_text("session", ep_row_text(reading, "session_id"))};
    return ep_store_json(app->store, EP_Q_READINGS_OF_CANDLE, bind, EP_COUNT_OF(bind), rows, err);
}

ep_status ep_conflicts_around(ep_app *app, const json_t *reading, json_t **out, ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = rows_around(app, reading, &rows, err);
    if (status == EP_OK) {
        *out = ep_conflicts_of(rows);
    }
    json_decref(rows);
    return status;
}

static bool names(const json_t *list, const char *id)
{
    size_t i;
    json_t *one;
    json_array_foreach(list, i, one)
    {
        if (json_is_string(one) && strcmp(json_string_value(one), id) == 0) {
            return true;
        }
    }
    return false;
}

static ep_status over_check(const json_t *over, const json_t *conflict, const char *kept,
                            ep_err *err)
{
    size_t i;
    json_t *one;
    json_array_foreach(over, i, one)
    {
        const char *id = json_is_string(one) ? json_string_value(one) : "";
        if (strcmp(id, kept) == 0 || !is_member(conflict, id)) {
            return ep_err_set(err, EP_E_ARG, "over",
                              "over: “%.60s” is not one of the readings in conflict with that one",
                              id);
        }
    }
    return EP_OK;
}

static ep_status settle(ep_app *app, const json_t *conflict, const char *kept, const json_t *over,
                        ep_err *err)
{
    ep_status status = over_check(over, conflict, kept, err);
    size_t i;
    json_t *member;
    json_array_foreach(json_object_get(conflict, "readings"), i, member)
    {
        const char *id = ep_row_text(member, "id");
        bool gone = strcmp(id, kept) != 0 && (json_array_size(over) == 0 || names(over, id));
        if (status == EP_OK && gone) {
            ep_bind bind[] = {ep_bind_text("gone", id), ep_bind_text("kept", kept),
                              ep_bind_int("at", ep_app_now(app))};
            status = ep_store_run(app->store, EP_Q_READING_SETTLE, bind, EP_COUNT_OF(bind), err);
        }
    }
    return status;
}

ep_status ep_case_reading_keep(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    json_t *row = NULL, *conflicts = NULL;
    ep_status status = ep_reading_standing(app, id, "id", &row, err);
    if (status == EP_OK) {
        status = ep_conflicts_around(app, row, &conflicts, err);
    }
    const json_t *conflict = ep_conflict_with(conflicts, id);
    if (status == EP_OK && !conflict) {
        char value[40];
        status = ep_err_set(err, EP_E_STATE, "id",
                            "id: %s, %s %s at %.0f min is in conflict with no other reading",
                            ep_row_text(row, "code"), ep_reading_label(row),
                            ep_reading_words(row, value, sizeof value), ep_row_real(row, "minute"));
    }
    if (status == EP_OK) {
        status = settle(app, conflict, id, ep_in_any(in, "over"), err);
    }
    if (status == EP_OK) {
        *out = ep_shape_reading(row);
    }
    json_decref(conflicts);
    json_decref(row);
    return status;
}
