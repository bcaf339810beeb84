// What changed between two revisions, in words: before, after, and what must be burned again.
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

enum { VALUE_CAP = 400 };

static void say_shares(ep_app *app, const ep_share *share, int n, char *buf)
{
    size_t len = 0;
    ep_copy(buf, VALUE_CAP, n ? "" : "none");
    for (int i = 0; i < n && len < VALUE_CAP; i++) {
        char name[80], pct[32];
        len += (size_t)snprintf(buf + len, VALUE_CAP - len, "%s%s %s", i ? ", " : "",
                                ep_app_name(app, share[i].id, name, sizeof name),
                                ep_quantity_format(share[i].frac, EP_U_PCT, 4, pct, sizeof pct));
    }
}

static void say_name(ep_app *app, const char *id, const char *none, char *buf)
{
    ep_app_name(app, id, buf, VALUE_CAP);
    if (!buf[0]) {
        ep_copy(buf, VALUE_CAP, none);
    }
}

static void say_load(const ep_revision *r, char *buf)
{
    char pct[32];
    snprintf(buf, VALUE_CAP, "%s %s",
             ep_quantity_format(r->load_frac, EP_U_PCT, 4, pct, sizeof pct),
             r->load_basis == EP_LOAD_OF_WAX ? "of wax" : "of total");
}

static void say_dye(ep_app *app, const ep_revision *r, char *buf)
{
    char name[80], pct[32];
    if (!r->dye_id[0]) {
        ep_copy(buf, VALUE_CAP, "none");
        return;
    }
    snprintf(buf, VALUE_CAP, "%s %s", ep_app_name(app, r->dye_id, name, sizeof name),
             ep_quantity_format(r->dye_of_wax_frac, EP_U_PCT, 4, pct, sizeof pct));
}

static void say_places(const ep_revision *r, char *buf)
{
    if (r->n_places == 0) {
        snprintf(buf, VALUE_CAP, "equal shares");
        return;
    }
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; i < r->n_places && used + 24 < VALUE_CAP; i++) {
        used += (size_t)snprintf(buf + used, VALUE_CAP - used, "%s%.1f/%.1f mm", i ? ", " : "",
                                 r->place[i].x_m * 1e3, r->place[i].y_m * 1e3);
    }
}

/// One factor of a revision as a person says it.
static void say_factor(ep_app *app, const ep_revision *r, ep_factor f, char *buf)
{
    buf[0] = '\0';
    switch (f) {
    case EP_FACTOR_CONTAINER:
        say_name(app, r->container_id, "none", buf);
        break;
    case EP_FACTOR_FILL:
        ep_quantity_format(r->fill_height_m, EP_U_MM, 5, buf, VALUE_CAP);
        break;
    case EP_FACTOR_WAX:
        say_shares(app, r->wax, r->n_waxes, buf);
        break;
    case EP_FACTOR_FRAGRANCE:
        say_name(app, r->fragrance_id, "unscented", buf);
        break;
    case EP_FACTOR_LOAD:
        say_load(r, buf);
        break;
    case EP_FACTOR_DYE:
        say_dye(app, r, buf);
        break;
    case EP_FACTOR_ADDITIVE:
        say_shares(app, r->additive, r->n_additives, buf);
        break;
    case EP_FACTOR_SERIES:
        say_name(app, r->series_id, "none", buf);
        break;
    case EP_FACTOR_SIZE:
        say_name(app, r->size_id, "still to be found", buf);
        break;
    case EP_FACTOR_COUNT:
        snprintf(buf, VALUE_CAP, "%d", r->wick_count);
        break;
    case EP_FACTOR_PLACES:
        say_places(r, buf);
        break;
    case EP_FACTOR_TRIM:
        ep_quantity_format(r->trim_m, EP_U_MM, 4, buf, VALUE_CAP);
        break;
    case EP_FACTOR_SESSION:
        ep_quantity_format(r->session_s, EP_U_H, 4, buf, VALUE_CAP);
        break;
    case EP_FACTOR_STOP:
        ep_quantity_format(r->stop_height_m, EP_U_MM, 4, buf, VALUE_CAP);
        break;
    case EP_FACTOR_COUNT_:
        break;
    }
}

/// Does b name the size that candles of a proved? They carried it, whatever a had named (state.c).
static bool names_proven(ep_app *app, const ep_revision *a, const ep_revision *b)
{
    json_t *row = NULL;
    ep_err none = {0};
    ep_bind bind[] = {ep_bind_text("revision", a->id), ep_bind_text("size", b->size_id)};
    bool proven =
        b->size_id[0] &&
        ep_store_one(app->store, EP_Q_DECISION_OF_CANDLES, bind, 2, &row, &none) == EP_OK &&
        strcmp(ep_row_text(row, "decision"), "proven") == 0;
    json_decref(row);
    return proven;
}

/// Two revisions and what differs between them.
typedef struct pair {
    ep_revision a, b;
    unsigned diff, retest;  ///< of factors: that differ; that call for a new burn test
} pair;

static json_t *shape_factor(ep_app *app, const pair *p, ep_factor f)
{
    char before[VALUE_CAP], after[VALUE_CAP];
    say_factor(app, &p->a, f, before);
    say_factor(app, &p->b, f, after);
    json_t *o = json_object();
    ep_out_text(o, "key", ep_factor_key(f));
    ep_out_text(o, "label", ep_factor_label(f));
    ep_out_text(o, "before", before);
    ep_out_text(o, "after", after);
    ep_out_bool(o, "retest", (p->retest & (1u << f)) != 0);
    return o;
}

static void say_all(json_t *o, const pair *p)
{
    ep_text t;
    int n = 0;
    ep_text_init(&t);
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        if (p->diff & (1u << f)) {
            bool proven = f == EP_FACTOR_SIZE && !(p->retest & (1u << f));
            ep_text_addf(&t, "%s%s", n++ ? ", " : "", ep_factor_label((ep_factor)f));
            if (proven) {
                ep_text_addf(&t, " (proven by the candles of revision %d)", p->a.number);
            }
        }
    }
    if (n == 0) {
        ep_out_textf(o, "text", "Revisions %d and %d make the same candle.", p->a.number,
                     p->b.number);
    } else {
        ep_out_textf(o, "text", "%d factor%s changed: %s. %s", n, n == 1 ? "" : "s",
                     ep_text_str(&t),
                     p->retest ? "The burn test must be done again."
                               : "Nothing here calls for a new burn test.");
    }
    ep_text_clear(&t);
}

static ep_status load_two(ep_app *app, const json_t *in, const char *id, pair *p, ep_err *err)
{
    ep_status status = ep_app_revision_load(app, id, ep_in_int(in, "to", 0), &p->b, err);
    if (status != EP_OK) {
        return status;
    }
    int from = ep_in_int(in, "from", p->b.number > 1 ? p->b.number - 1 : 1);
    status = ep_app_revision_load(app, id, from, &p->a, err);
    if (status != EP_OK) {
        return status;
    }
    p->diff = ep_revision_diff(&p->a, &p->b);
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        bool again = (p->diff & (1u << f)) && ep_factor_needs_retest((ep_factor)f) &&
                     !(f == EP_FACTOR_SIZE && names_proven(app, &p->a, &p->b));
        p->retest |= again ? 1u << f : 0;
    }
    return EP_OK;
}

ep_status ep_case_recipe_diff(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP];
    pair p = {0};
    ep_status status = ep_find_recipe(app, ep_in_text(in, "id"), "id", id, err);
    if (status == EP_OK) {
        status = load_two(app, in, id, &p, err);
    }
    if (status != EP_OK) {
        return status;
    }
    json_t *o = json_object();
    json_t *factors = json_array();
    ep_out_int(o, "from", p.a.number);
    ep_out_int(o, "to", p.b.number);
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        if (p.diff & (1u << f)) {
            json_array_append_new(factors, shape_factor(app, &p, (ep_factor)f));
        }
    }
    ep_out_new(o, "factors", factors);
    say_all(o, &p);
    *out = o;
    return EP_OK;
}
