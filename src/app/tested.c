// What the maker's own candles have decided of every size of a series: it wins over odds.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"

// --- what really happened ---

// candles of the revision; of the last one poured when this one only names the size it proved
static ep_status rows_of(ep_app *app, const ep_foresight *f, json_t **rows, ep_err *err)
{
    int number = 0;
    ep_revision poured;
    ep_status s = ep_revision_judged(app, f->recipe_id, 0, &number, err);
    s = s == EP_OK ? ep_app_revision_load(app, f->recipe_id, number, &poured, err) : s;
    if (s != EP_OK) {
        return s;
    }
    unsigned changed = ep_revision_diff(&poured, &f->revision);
    bool same = (changed & ~(1u << EP_FACTOR_SIZE)) == 0;
    const ep_bind bind[] = {ep_bind_text("recipe", f->recipe_id),
                            ep_bind_int("number", same ? number : f->revision.number)};
    return ep_store_json(app->store, EP_Q_CANDLES_OF_REVISION, bind, 2, rows, err);
}

// what really happened to the candles of one size
static ep_status stand_of(ep_app *app, const json_t *rows, const char *size_id, ep_tested *out,
                          ep_err *err)
{
    ep_candle *candles = NULL;
    int n = 0;
    json_t *shape = NULL;
    ep_verdict *v = calloc(1, sizeof *v);
    ep_status s = v ? ep_candles_of_size(rows, size_id, &candles, &n, err)
                    : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    if (s == EP_OK && n > 0) {
        s = ep_judge_candles(app, candles, n, v, &shape, err);
    }
    if (s == EP_OK && n > 0) {
        out->stand = (ep_next_size){.verdict = v->kind,
                                    .stopped = v->stop_now,
                                    .finished_right = v->candles_right,
                                    .finished_wrong = v->candles_wrong,
                                    .candles = n};
    }
    for (int i = 0; i < n && s == EP_OK; i++) {
        // a candle down to its last tenth has told its story, said finished or not
        double left = ep_candle_left_kg(&candles[i], candles[i].mass_kg) / candles[i].wax_kg;
        out->burned += candles[i].sessions > 0;
        out->stand.open += candles[i].finish_ms == 0 && !(left < 0.05);
    }
    json_decref(shape);
    free(candles);
    free(v);
    return s;
}

// --- what follows for the others (N2) ---

// its own candles first, then the nearest that says anything of it
static void decide(ep_tested *tested, const ep_next_size *stand, int n, int i)
{
    ep_tested *own = &tested[i];
    bool hot = false;
    own->by = ep_next_ruled_out(stand, n, i, &hot);
    own->decided = hot ? EP_VERDICT_TOO_BIG : EP_VERDICT_TOO_SMALL;
    if (!ep_next_hot(&own->stand) && own->stand.verdict != EP_VERDICT_UNKNOWN) {
        own->by = i;
        own->decided = own->stand.verdict;
    }
}

ep_status ep_tested_load(ep_app *app, const ep_foresight *f, ep_tested *out, ep_err *err)
{
    const int n = f->series.n_sizes;
    ep_next_size stand[EP_MAX_SIZES];
    json_t *rows = NULL;
    ep_status s = ep_app_begin(app, false, "what was tested", err);
    if (s != EP_OK) {
        return s;
    }
    s = rows_of(app, f, &rows, err);
    for (int i = 0; i < n && s == EP_OK; i++) {
        out[i] = (ep_tested){.by = -1, .stand.verdict = EP_VERDICT_UNKNOWN};
        s = stand_of(app, rows, f->series.size[i].id, &out[i], err);
        stand[i] = out[i].stand;
    }
    for (int i = 0; i < n && s == EP_OK; i++) {
        decide(out, stand, n, i);
    }
    json_decref(rows);
    return ep_app_end(app, s, err);
}

// --- told ---

static const char *word_of(const ep_tested *t)
{
    static const char *const word[EP_VERDICT_COUNT_] = {
        [EP_VERDICT_UNKNOWN] = "not yet known", [EP_VERDICT_TOO_SMALL] = "too small",
        [EP_VERDICT_RIGHT] = "right",           [EP_VERDICT_TOO_BIG] = "too big",
        [EP_VERDICT_WRONG_KIND] = "wrong kind",
    };
    return t->stand.stopped ? "had to be put out" : word[t->stand.verdict];
}

bool ep_tested_against(const ep_tested *t)
{
    return t && t->by >= 0 && t->decided != EP_VERDICT_RIGHT;
}

const char *ep_tested_words(const ep_foresight *f, const ep_tested *tested, int i, char *buf,
                            size_t cap)
{
    const ep_tested *own = &tested[i];
    const ep_tested *by = own->by >= 0 && own->by != i ? &tested[own->by] : NULL;
    buf[0] = '\0';
    if (by) {
        snprintf(buf, cap, "your %d candle%s of %s: %s, and this is %s", by->burned,
                 by->burned == 1 ? "" : "s", f->series.size[own->by].name, word_of(by),
                 own->by < i ? "larger" : "smaller");
    } else if (own->burned > 0) {
        snprintf(buf, cap, "your %d candle%s: %s", own->burned, own->burned == 1 ? "" : "s",
                 word_of(own));
    }
    return buf;
}

json_t *ep_shape_tested(const ep_foresight *f, const ep_tested *tested, int i)
{
    char words[200];
    const ep_tested *own = &tested[i];
    if (!ep_tested_words(f, tested, i, words, sizeof words)[0]) {
        return json_null();
    }
    json_t *o = json_object();
    ep_out_int(o, "candles", own->burned);
    ep_out_text(o, "decided", own->by >= 0 ? ep_verdict_key(own->decided) : NULL);
    ep_out_text(o, "by_size", own->by >= 0 ? f->series.size[own->by].name : NULL);
    ep_out_bool(o, "against", ep_tested_against(own));
    ep_out_text(o, "text", words);
    return o;
}
