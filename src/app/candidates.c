// Case: every wick on the shelf in the jar of a recipe. One candle of each size, in the middle of
// what is known, tells where too small turns into too hot; odds are worked out there alone.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/foresee_int.h"
#include "app/learn_int.h"
#include "base/text.h"

// sizes of one series that get odds, and by how much odds of few candles must differ to be told
// apart (32 of them: two in three within 0.09)
enum { PER_WAY = 3 };
static const double APART = 0.10, HOPE = 0.05;

// one series with one number of wicks
typedef struct way {
    ep_foresight f;
    bool own;  // as the recipe has it
    ep_verdict_kind kind[EP_MAX_SIZES];
    bool worth[EP_MAX_SIZES];
    double right;  // of the best size
    int best;      // -1 = none has odds, or the maker's candles rule out all that have
    ep_tested tested[EP_MAX_SIZES];  // of the recipe's own way alone
} way;

typedef struct search {
    ep_app *app;
    const ep_foresight *f;
    ep_middle middle;
    const json_t *in;
    int seed, up_to;
    bool together;
    double best_right, own_right;
    bool best_own;
    ep_text best_name;
} search;

// --- a way ---

static ep_status make_way(const search *s, const char *series_id, int wicks, way *w, ep_err *err)
{
    *w = (way){.f = *s->f, .best = -1};
    ep_revision *r = &w->f.revision;
    const bool same = strcmp(r->series_id, series_id) == 0;
    w->own = same && r->wick_count == wicks;
    r->n_places = r->wick_count == wicks ? r->n_places : 0;
    r->wick_count = wicks;
    ep_status status = EP_OK;
    if (!same) {
        ep_copy(r->series_id, sizeof r->series_id, series_id);
        r->size_id[0] = '\0';
        ep_app_lock(s->app);
        status = ep_app_series_load(s->app, series_id, &w->f.series, err);
        status = status == EP_OK ? ep_app_material_load(s->app, w->f.series.construction_id,
                                                        &w->f.construction, err)
                                 : status;
        ep_app_unlock(s->app);
    }
    ep_foresight_changed(&w->f);
    return status;
}

// room for so many wicks, and a construction the engine has a law for?
static ep_status fits(const way *w, ep_err *err)
{
    const ep_revision *r = &w->f.revision;
    ep_place place[EP_MAX_WICKS];
    ep_burn_case c;
    ep_revision_places(r, &w->f.vessel, place);
    ep_status s =
        ep_places_check(&w->f.vessel, r->fill_height_m, r->wick_count, place, "wick_count", err);
    return s == EP_OK ? ep_foresight_case(&w->f, w->f.series.n_sizes / 2, &c, err) : s;
}

static const ep_tested *tested_of(const way *w)
{
    return w->own ? w->tested : NULL;
}

static ep_status burn_one(const search *s, way *w, int size, ep_verdict *v, ep_err *err)
{
    ep_burn_case c;
    ep_trace *t = NULL;
    ep_observed *seen = NULL;
    ep_status status = ep_foresight_case(&w->f, size, &c, err);
    if (status == EP_OK) {
        ep_foresight_coarsen(&c);
        if (s->middle.learned) {  // as odds from burns are drawn
            c.grid_m = EP_LEARN_GRID_M;
            c.step_s = EP_LEARN_STEP_S;
        }
        status = ep_middle_burn(&s->middle, &w->f, size, &c, &t, err);
    }
    status = status == EP_OK ? ep_foresight_judge(&w->f, t, &c, v, &seen, err) : status;
    if (status == EP_OK) {
        w->kind[size] = v->stop_now ? EP_VERDICT_TOO_BIG : v->kind;
    }
    ep_observed_destroy(seen);
    ep_trace_destroy(t);
    return status;
}

// --- where odds are worth their price ---

// the sizes between the last too small and the first too hot; the two beside the step when nothing
// lies between
static void choose(way *w)
{
    const int n = w->f.series.n_sizes;
    int small = -1, hot = n;
    for (int i = 0; i < n; i++) {
        small = w->kind[i] == EP_VERDICT_TOO_SMALL ? i : small;
    }
    for (int i = n - 1; i > small; i--) {
        hot = w->kind[i] == EP_VERDICT_TOO_BIG ? i : hot;
    }
    const int between = hot - small - 1;
    int from = between == 0 ? small : small + 1, count = between == 0 ? 2 : between;
    if (count > PER_WAY) {
        from += (count - PER_WAY) / 2;  // the middle of the room, where both ends are farthest
        count = PER_WAY;
    } else if (count < PER_WAY) {
        from -= from > 0;
        count++;
    }
    for (int i = 0; i < count; i++) {
        if (from + i >= 0 && from + i < n) {
            w->worth[from + i] = true;
        }
    }
}

static json_t *shape_size(const way *w, int i, const ep_wick_odds *odds)
{
    const ep_wick_size *size = &w->f.series.size[i];
    json_t *o = json_object();
    ep_out_text(o, "size_id", size->id);
    ep_out_text(o, "size_name", size->name);
    ep_out_unit(o, "linear_density_g_m", size->linear_density_kg_m, EP_U_G_M);
    ep_out_text(o, "one_candle", ep_verdict_key(w->kind[i]));
    ep_out_text(o, "one_candle_text", ep_verdict_text(w->kind[i]));
    if (odds) {
        ep_out_new(o, "odds", ep_shape_odds(&w->f, i, odds, tested_of(w)));
    } else {
        ep_out_null(o, "odds");
    }
    return o;
}

static ep_status odds_of_way(const search *s, way *w, json_t *sizes, ep_err *err)
{
    ep_wick_odds *odds = malloc(sizeof *odds);
    ep_status status = odds ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    for (int i = 0; i < w->f.series.n_sizes && status == EP_OK; i++) {
        if (w->worth[i]) {
            status = ep_odds_known(s->app, &w->f, s->middle.study, i,
                                   ep_foresight_members(&w->f, s->in), s->seed, NULL, odds, err);
            const bool out = w->own && ep_tested_against(&w->tested[i]);
            if (status == EP_OK && !out &&
                (w->best < 0 || odds->verdict[EP_VERDICT_RIGHT] > w->right)) {
                w->best = i;
                w->right = odds->verdict[EP_VERDICT_RIGHT];
            }
        }
        if (status == EP_OK) {
            json_array_append_new(sizes, shape_size(w, i, w->worth[i] ? odds : NULL));
        }
    }
    free(odds);
    return status;
}

// --- in words ---

static const char *wicks_text(int n, char *text, size_t size)
{
    snprintf(text, size, n == 1 ? "one wick" : "%d wicks", n);
    return text;
}

static void note_best(search *s, const way *w)
{
    if (w->own) {
        s->own_right = w->right;
    }
    if (w->right > s->best_right) {
        char wicks[24];
        s->best_right = w->right;
        s->best_own = w->own;
        ep_text_clear(&s->best_name);
        ep_text_init(&s->best_name);
        ep_text_addf(&s->best_name, "%s (%s, %s)", w->f.series.size[w->best].name, w->f.series.name,
                     wicks_text(w->f.revision.wick_count, wicks, sizeof wicks));
    }
}

static void say(const search *s, json_t *out)
{
    const char *name = ep_text_str(&s->best_name);
    if (s->best_right < HOPE) {
        ep_out_text(out, "sentence",
                    "No wick on the shelf looks right in this jar with this mix: other wicks, "
                    "another number of them, another jar or another wax.");
    } else if (s->best_own) {
        ep_out_textf(out, "sentence",
                     "The recipe's own series is the likeliest on the shelf: %s, %.0f %% right.",
                     name, 100.0 * s->best_right);
    } else if (s->best_right < s->own_right + APART) {
        ep_out_textf(out, "sentence",
                     "Nothing on the shelf looks clearly better than the recipe's own series "
                     "(%.0f %% right at best); %s comes to %.0f %%.",
                     100.0 * s->own_right, name, 100.0 * s->best_right);
    } else {
        ep_out_textf(out, "sentence",
                     "Likeliest on the shelf: %s, %.0f %% right, against %.0f %% for the best of "
                     "the recipe's own. It is another candle: a revision of its own, to be proven "
                     "from its first test on.",
                     name, 100.0 * s->best_right, 100.0 * s->own_right);
    }
}

static void say_way(const way *w, const json_t *sizes, json_t *out)
{
    const int last = w->f.series.n_sizes - 1;
    const json_t *best = w->best < 0 ? NULL : json_array_get(sizes, (size_t)w->best);
    if (w->right >= HOPE) {
        ep_out_textf(out, "text", "%s: %s", w->f.series.size[w->best].name,
                     ep_row_text(json_object_get(best, "odds"), "text"));
    } else if (w->kind[last] == EP_VERDICT_TOO_SMALL) {
        ep_out_textf(out, "text", "even %s, the largest, is too small",
                     w->f.series.size[last].name);
    } else if (w->kind[0] == EP_VERDICT_TOO_BIG) {
        ep_out_textf(out, "text", "even %s, the smallest, is too hot", w->f.series.size[0].name);
    } else {
        ep_out_text(out, "text", "no room between too small and too hot");
    }
}

// --- one way worked out, then all of them ---

static ep_status work_out(search *s, way *w, json_t *row, ep_err *err)
{
    json_t *sizes = json_array();
    ep_verdict *v = malloc(sizeof *v);
    ep_status status = v ? ep_study_aim(s->app, s->middle.study, &w->f, err)
                         : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (status == EP_OK && w->own) {
        status = ep_tested_load(s->app, &w->f, w->tested, err);
    }
    for (int i = 0; i < w->f.series.n_sizes && status == EP_OK; i++) {
        status = burn_one(s, w, i, v, err);
    }
    free(v);
    if (status == EP_OK) {
        choose(w);
        status = odds_of_way(s, w, sizes, err);
    }
    if (status == EP_OK) {
        note_best(s, w);
        say_way(w, sizes, row);
        ep_out_int(row, "members", ep_foresight_members(&w->f, s->in));
        if (w->best >= 0) {
            ep_out_text(row, "best_size", w->f.series.size[w->best].name);
            ep_out_real(row, "right_pct", round(1000.0 * w->right) / 10.0);
        }
    }
    ep_out_new(row, "sizes", sizes);
    return status;
}

// by how likely the best of them is right; what has no odds comes last
static void insert(json_t *list, json_t *row)
{
    size_t at = 0;
    const double right = json_number_value(json_object_get(row, "right_pct"));
    while (at < json_array_size(list) &&
           json_number_value(json_object_get(json_array_get(list, at), "right_pct")) >= right) {
        at++;
    }
    json_array_insert_new(list, at, row);
}

static ep_status add_way(search *s, const char *series_id, int wicks, json_t *list, ep_err *err)
{
    way *w = malloc(sizeof *w);
    ep_err why = {0};
    ep_status status = w ? make_way(s, series_id, wicks, w, err)
                         : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (status != EP_OK || w->f.series.n_sizes < 1) {
        free(w);
        return status;
    }
    json_t *row = json_object();
    ep_out_ref(row, "series", w->f.series.id, w->f.series.name);
    ep_out_int(row, "wick_count", wicks);
    ep_out_bool(row, "own", w->own);
    status = fits(w, &why);
    if (status == EP_E_ARG || status == EP_E_STATE) {
        ep_out_textf(row, "text", "left out: %s", why.text);
        ep_out_new(row, "sizes", json_array());
        status = EP_OK;
    } else if (status == EP_OK) {
        status = work_out(s, w, row, err);
    } else {
        *err = why;
    }
    free(w);
    insert(list, row);
    return status;
}

// one thing changed at a time: another series with as many wicks, or more or fewer of the recipe's
static ep_status add_series(search *s, const char *id, json_t *list, ep_err *err)
{
    const ep_revision *r = &s->f->revision;
    const bool own = strcmp(id, r->series_id) == 0;
    ep_status status = EP_OK;
    for (int wicks = 1; wicks <= EP_MAX_WICKS && status == EP_OK; wicks++) {
        if (wicks == r->wick_count || (wicks <= s->up_to && (own || s->together))) {
            status = add_way(s, id, wicks, list, err);
        }
    }
    return status;
}

static ep_status all_series(search *s, json_t *list, ep_err *err)
{
    json_t *rows = NULL;
    ep_app_lock(s->app);
    ep_status status = ep_store_json(s->app->store, EP_Q_SERIES_LIST, NULL, 0, &rows, err);
    for (size_t i = json_array_size(rows); i-- > 0;) {
        if (ep_app_archived(s->app, ep_row_text(json_array_get(rows, i), "id"))) {
            json_array_remove(rows, i);
        }
    }
    ep_app_unlock(s->app);
    for (size_t i = 0; i < json_array_size(rows) && status == EP_OK; i++) {
        status = add_series(s, ep_row_text(json_array_get(rows, i), "id"), list, err);
    }
    json_decref(rows);
    return status;
}

ep_status ep_case_candidates(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_foresight f = {0};
    search s = {.app = app,
                .f = &f,
                .in = in,
                .seed = ep_in_int(in, "seed", 1),
                .up_to = ep_in_int(in, "wicks_up_to", 0),
                .together = ep_in_bool(in, "together", false)};
    json_t *answer = json_object(), *ways = json_array();
    ep_text_init(&s.best_name);
    ep_status status = ep_foresight_load(app, in, &f, err);
    status = status == EP_OK ? ep_middle_open(app, &f, s.seed, NULL, &s.middle, err) : status;
    if (status == EP_OK) {
        ep_shape_foreseen_head(answer, &f, ep_foresight_members(&f, in), s.seed);
        ep_out_new(answer, "learned", ep_shape_study(s.middle.study));
        status = all_series(&s, ways, err);
    }
    if (status == EP_OK) {
        say(&s, answer);
    }
    ep_out_new(answer, "ways", ways);
    ep_study_free(s.middle.study);
    ep_text_clear(&s.best_name);
    if (status == EP_OK) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return status;
}
