// Disagreements as questions.
#include "learn/doubt.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double to_bench(const ep_datum *d, double value, double room_C)
{
    switch (d->kind) {
    case EP_DATUM_RATE:
    case EP_DATUM_FLAME:
        return exp(value);
    case EP_DATUM_WALL:
        return value + room_C;
    case EP_DATUM_TIME:
        return 60.0 * exp(value);
    case EP_DATUM_WIDTH:
    case EP_DATUM_DEPTH:
    case EP_DATUM_EXPOSED:
    case EP_DATUM_SOOT:
    case EP_DATUM_MUSHROOM:
    case EP_DATUM_OUT:
    case EP_DATUM_COUNT_:
        break;
    }
    return value;
}

static const char *unit_of(ep_datum_kind k)
{
    switch (k) {
    case EP_DATUM_RATE:
        return "g/h";
    case EP_DATUM_WALL:
        return "C";
    case EP_DATUM_TIME:
        return "min";
    case EP_DATUM_WIDTH:
    case EP_DATUM_DEPTH:
    case EP_DATUM_FLAME:
    case EP_DATUM_EXPOSED:
        return "mm";
    case EP_DATUM_SOOT:
    case EP_DATUM_MUSHROOM:
    case EP_DATUM_OUT:
    case EP_DATUM_COUNT_:
        break;
    }
    return "";
}

// would ten times or a tenth of what was written fit? A rate comes from two weighings: there a
// digit of one of them does it, which no factor of the rate shows.
static bool decimal_slip(const ep_datum *d, double seen, double expected)
{
    if (d->kind > EP_DATUM_EXPOSED || d->kind == EP_DATUM_RATE || !(seen > 0.0)) {
        return false;
    }
    double off = fabs(seen - expected);
    return fabs(10.0 * seen - expected) < 0.5 * off || fabs(0.1 * seen - expected) < 0.5 * off;
}

static void ask(ep_doubt *x, const ep_datum *d, const char *code)
{
    const char *unit = unit_of(d->kind), *label = ep_datum_def_of(d->kind)->label;
    if (d->kind > EP_DATUM_EXPOSED) {
        snprintf(x->text, sizeof x->text,
                 "Candle %s, session %d: %s does not go with what the other readings say. Was it "
                 "written to the right candle, and was the air still?",
                 code, d->session, label);
        return;
    }
    char ends[120];
    if (x->slip) {
        snprintf(ends, sizeof ends, "Is the decimal point in the right place?");
    } else if (d->kind == EP_DATUM_RATE) {
        snprintf(ends, sizeof ends, "Was it weighed with lid or without, or is it another candle?");
    } else {
        snprintf(ends, sizeof ends, "A draught, another candle, or a slip of the pen?");
    }
    snprintf(x->text, sizeof x->text,
             "Candle %s, session %d: %s %.3g %s, while everything else says about %.3g %s. %s",
             code, d->session, label, x->seen, unit, x->expected, unit, ends);
}

static bool readable(const ep_model_run *run, const ep_datum *d, double fit, double score,
                     const ep_dossier *dossier, ep_doubt *x)
{
    x->seen = d->kind == EP_DATUM_TIME ? d->minute : to_bench(d, d->value, run->room_C);
    x->expected = to_bench(d, fit, run->room_C);
    x->slip = decimal_slip(d, x->seen, x->expected);
    double limit = x->slip ? EP_DOUBT_SLIP_SD : EP_DOUBT_SD;
    // a lapse costs a grade at most this much
    limit = d->kind > EP_DATUM_EXPOSED ? 2.6 : limit;
    if (!(score > limit)) {
        return false;
    }
    x->candle = d->candle;
    x->session = d->session;
    x->ref = d->ref;
    x->score = score;
    ask(x, d, dossier->candle[d->candle].code);
    return true;
}

// Where many readings of one kind disagree the engine cannot follow that kind there: that is the
// model's fault and shown as its misfit, no question for the maker.
static int leave_out_common(const ep_model *m, ep_doubt *x, int n)
{
    int kept = 0;
    int all[EP_DATUM_COUNT_] = {0}, odd[EP_DATUM_COUNT_] = {0};
    for (int r = 0; r < m->n_runs; r++) {
        for (int i = 0; i < m->run[r].evidence.n; i++) {
            all[m->run[r].evidence.datum[i].kind]++;
        }
    }
    for (int i = 0; i < n; i++) {
        if (x[i].datum >= 0) {
            odd[m->run[x[i].run].evidence.datum[x[i].datum].kind]++;
        }
    }
    for (int i = 0; i < n; i++) {
        bool common = false;
        if (x[i].datum >= 0 && !x[i].slip) {
            ep_datum_kind k = m->run[x[i].run].evidence.datum[x[i].datum].kind;
            common = odd[k] > 2 && odd[k] > 0.04 * all[k];
        }
        if (!common) {
            x[kept++] = x[i];
        }
    }
    return kept;
}

static int worst_first(const void *a, const void *b)
{
    const ep_doubt *x = a, *y = b;
    if (x->score != y->score) {
        return x->score > y->score ? -1 : 1;
    }
    return x->run != y->run ? x->run - y->run : x->datum - y->datum;
}

static int odd_candles(const ep_model *m, const ep_belief *b, const ep_dossier *const *dossier,
                       ep_doubt *out, int n, int cap)
{
    for (int r = 0; r < m->n_runs; r++) {
        const ep_model_run *run = &m->run[r];
        const int first = ep_model_block_at(m, run->block) + EP_BIAS_COUNT + run->first_candle;
        for (int c = 0; c < dossier[r]->n_candles && n < cap; c++) {
            double u = b->mode[first + c];
            if (fabs(u) > EP_DOUBT_CANDLE_SD) {
                ep_doubt *x = &out[n++];
                *x = (ep_doubt){.run = r, .datum = -1, .candle = c, .ref = -1, .score = fabs(u)};
                x->seen = 100.0 * (exp(u * b->scatter_sd) - 1.0);
                snprintf(
                    x->text, sizeof x->text,
                    "Candle %s burns %.0f %% %s than its like should. Does it hold the wick its "
                    "label says, and was it poured like the others?",
                    dossier[r]->candle[c].code, fabs(x->seen), u > 0.0 ? "faster" : "slower");
            }
        }
    }
    return n;
}

static double mean_log_rate(const ep_evidence *e, int candle)
{
    double sum = 0.0;
    int n = 0;
    for (int i = 0; i < e->n; i++) {
        if (e->datum[i].kind == EP_DATUM_RATE && e->datum[i].candle == candle) {
            sum += e->datum[i].value;
            n++;
        }
    }
    return n ? sum / n : (double)NAN;
}

// two labels swapped widen the scatter that is learned, and would so excuse themselves: no more of
// it counts than is usual
static double usual_scatter(const ep_belief *b)
{
    const double most = EP_CANDLE_SD * exp(0.4);  // one sd above the middle of its prior
    return fmin(fmax(b->scatter_sd, 0.02), most);
}

static bool crossed(const ep_model *m, const ep_belief *b, int small, int small_candle, int big,
                    int big_candle, ep_doubt *x)
{
    double slow = mean_log_rate(&m->run[small].evidence, small_candle);
    double fast = mean_log_rate(&m->run[big].evidence, big_candle);
    double score = (slow - fast) / (sqrt(2.0) * usual_scatter(b));
    if (!(score > EP_DOUBT_CANDLE_SD)) {
        return false;
    }
    *x = (ep_doubt){.run = small, .datum = -1, .candle = small_candle, .ref = -1, .score = score};
    x->seen = exp(slow);
    x->expected = exp(fast);
    return true;
}

// In one recipe a clearly smaller wick does not burn clearly faster than a larger one: more likely
// the two labels were swapped. The misfit could explain it away, so it is asked outside the model.
static int swapped_labels(const ep_model *m, const ep_belief *b, const ep_dossier *const *dossier,
                          ep_doubt *out, int n, int cap)
{
    for (int i = 0; i < m->n_runs; i++) {
        for (int k = 0; k < m->n_runs; k++) {
            bool pair =
                m->run[i].block == m->run[k].block && m->run[k].size_x > m->run[i].size_x + 0.3;
            for (int p = 0; pair && p < dossier[i]->n_candles; p++) {
                for (int q = 0; q < dossier[k]->n_candles && n < cap; q++) {
                    ep_doubt *x = &out[n];
                    if (crossed(m, b, i, p, k, q, x)) {
                        snprintf(x->text, sizeof x->text,
                                 "Candle %s has the smaller wick and burns %.3g g/h, candle %s the "
                                 "larger and burns %.3g g/h. Were the two swapped?",
                                 dossier[i]->candle[p].code, x->seen, dossier[k]->candle[q].code,
                                 x->expected);
                        n++;
                    }
                }
            }
        }
    }
    return n;
}

int ep_doubts(const ep_model *m, const ep_belief *b, const ep_dossier *const *dossier,
              ep_doubt *out, int cap)
{
    int n = odd_candles(m, b, dossier, out, 0, cap), at = 0;
    n = swapped_labels(m, b, dossier, out, n, cap);
    for (int r = 0; r < m->n_runs; r++) {
        const ep_model_run *run = &m->run[r];
        for (int i = 0; i < run->evidence.n; i++, at++) {
            ep_doubt x = {.run = r, .datum = i};
            if (n < cap && readable(run, &run->evidence.datum[i], b->fit[at], b->disagree[at],
                                    dossier[r], &x)) {
                out[n++] = x;
            }
        }
    }
    n = leave_out_common(m, out, n);
    qsort(out, (size_t)n, sizeof *out, worst_first);
    return n;
}
