// Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788) of the joint mode and its bell
// as `explain` uses them, with straight lines in the engine's place: truths of every unknown from
// the prior (materials, both widths, misfits, candles), readings of every kind from them (numbers
// with the heavy tail and grades and intervals with the lapse that the likelihood says). Where the
// truth falls within the bell must be uniform for every material, and 90 % intervals must hold 90
// %.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/rng.h"
#include "learn/lines.h"

#include "../base/check.h"
#include "ranks.h"

enum { PARAMS = 6, BLOCKS = 2, RUNS = 4, EACH = 3, SESSIONS = 3, KINDS = 8, REPEATS = 400 };
enum { ROWS = EACH * SESSIONS * KINDS, CANDLES = 2 * EACH };
enum { OUTER = PARAMS + EP_MODEL_WIDTHS, ALL = OUTER + BLOCKS * (EP_BIAS_COUNT + CANDLES) };

static const ep_datum_kind kinds[KINDS] = {EP_DATUM_RATE,    EP_DATUM_WIDTH, EP_DATUM_DEPTH,
                                           EP_DATUM_FLAME,   EP_DATUM_WALL,  EP_DATUM_TIME,
                                           EP_DATUM_EXPOSED, EP_DATUM_SOOT};

typedef struct study {
    ep_model_run run[RUNS];
    ep_look *look[RUNS];
    ep_datum datum[RUNS][ROWS];
    int candles[BLOCKS];
    ep_model m;
    double truth[ALL], v[ALL], X[ALL * ALL], C[PARAMS * PARAMS];
} study;

// fixed lines: a material moves a reading by about its sd, a candle's own vigour likewise
static void lay_lines(study *s)
{
    ep_rng r = ep_rng_make(11, 1);
    for (int run = 0; run < RUNS; run++) {
        ep_model_run *at = &s->run[run];
        *at = (ep_model_run){.n_terms = PARAMS - 1,
                             .block = run / 2,
                             .room_C = 21.0,
                             .first_candle = run % 2 * EACH,
                             .size_x = run % 2 ? 0.5 : -0.5};
        for (int p = 0; p < PARAMS - 1; p++) {
            // the two recipes share all but one material
            const int param = p < PARAMS - 2 ? p : PARAMS - 2 + run / 2;
            at->term[p] = (ep_term){param, (ep_uncertain)p, 1.0};
        }
        assert_int_equal(ep_look_make(PARAMS - 1, ROWS, &s->look[run]), EP_OK);
        for (int i = 0; i < ROWS; i++) {
            const ep_datum_kind kind = kinds[i % KINDS];
            const double sd = ep_datum_def_of(kind)->sd;
            s->datum[run][i] = (ep_datum){.kind = kind,
                                          .candle = i / (SESSIONS * KINDS),
                                          .session = i / KINDS % SESSIONS,
                                          .minute = 240.0,
                                          .sd = sd,
                                          .sd_one = sd,
                                          .life = 0.2 + 0.3 * (i / KINDS % SESSIONS),
                                          .ref = -1};
            s->look[run]->slope[i] =
                kind == EP_DATUM_RATE ? 1.0 : sd * (10.0 + 2.0 * ep_rng_normal(&r));
            for (int p = 0; p < PARAMS - 1; p++) {
                s->look[run]->jac[i * (PARAMS - 1) + p] = sd * ep_rng_normal(&r);
            }
        }
        at->evidence =
            (ep_evidence){.n = ROWS, .cap = ROWS, .datum = s->datum[run], .room_C = 21.0};
    }
    s->candles[0] = s->candles[1] = CANDLES;
    s->m = (ep_model){PARAMS, BLOCKS, s->candles, RUNS, s->run, 1};
    assert_int_equal(ep_model_unknowns(&s->m), ALL);
}

static double student_4(ep_rng *r)
{
    const double chi2 = -2.0 * log(ep_rng_uniform(r) * ep_rng_uniform(r));
    return ep_rng_normal(r) / sqrt(chi2 / 4.0);
}

// what a maker would write down of a latent value; two in a hundred write anything
static void write_down(ep_datum *d, double latent, ep_rng *r)
{
    const bool lapse = ep_rng_uniform(r) < 0.02;
    const double seen = latent + d->sd * ep_rng_normal(r);
    if (d->kind == EP_DATUM_TIME) {
        // not yet at one glance, there at the next, of glances 0.4 apart; seven to lapse to
        static const double glance[] = {-1.0, -0.6, -0.2, 0.2, 0.6, 1.0};
        int at = 0;
        while (at < 6 && seen > glance[at]) {
            at++;
        }
        at = lapse ? (int)(7.0 * ep_rng_uniform(r)) : at;
        d->lo = at > 0 ? glance[at - 1] : -(double)INFINITY;
        d->hi = at < 6 ? glance[at] : (double)INFINITY;
    } else if (d->kind == EP_DATUM_SOOT) {
        const double grade = (-seen > 0.0) + (-seen > 6.0) + (-seen > 12.0);
        d->value = lapse ? floor(4.0 * ep_rng_uniform(r)) : grade;
    } else {
        d->value = latent + d->sd * student_4(r);
    }
}

static void invent(study *s, uint64_t seed)
{
    ep_rng r = ep_rng_make(4711, seed);
    for (int i = 0; i < ALL; i++) {
        s->truth[i] = ep_rng_normal(&r);
    }
    const double scatter = ep_model_scatter(&s->m, s->truth),
                 misfit = ep_model_misfit(&s->m, s->truth);
    for (int run = 0; run < RUNS; run++) {
        const int block = ep_model_block_at(&s->m, run / 2);
        for (int i = 0; i < ROWS; i++) {
            ep_datum *d = &s->datum[run][i];
            double f = s->look[run]->slope[i] * scatter *
                       s->truth[block + EP_BIAS_COUNT + s->run[run].first_candle + d->candle];
            for (int p = 0; p < PARAMS - 1; p++) {
                f += s->look[run]->jac[i * (PARAMS - 1) + p] * s->truth[s->run[run].term[p].param];
            }
            f += ep_model_bias(d->kind, s->truth + block, misfit,
                               (ep_place_in_life){d->life, d->minute, s->run[run].size_x});
            write_down(d, f, &r);
        }
    }
}

typedef struct tally {
    int bin[RANK_BINS], inside;
} tally;

static void score(tally *t, double truth, double mode, double sd)
{
    const double at = ep_normal_cdf((truth - mode) / sd);
    t->bin[(int)fmin(RANK_BINS * at, RANK_BINS - 1)]++;
    t->inside += at > 0.05 && at < 0.95;
}

static void one_repeat(study *s, uint64_t seed, tally *t)
{
    const ep_look *look[RUNS];
    ep_lines lines;
    ep_mode end;
    invent(s, seed);
    for (int run = 0; run < RUNS; run++) {
        look[run] = s->look[run];
    }
    memset(s->v, 0, sizeof s->v);
    assert_int_equal(ep_lines_of(&s->m, look, &lines), EP_OK);
    assert_int_equal(ep_lines_mode(&lines, 200, s->v, s->X, &end), EP_OK);
    assert_true(end.converged);
    ep_lines_covariance(s->X, ALL, PARAMS, s->C);
    for (int p = 0; p < PARAMS; p++) {
        score(&t[p], s->truth[p], s->v[p], sqrt(s->C[p * PARAMS + p]));
    }
    for (int k = 0; k < EP_MODEL_WIDTHS; k++) {
        score(&t[PARAMS + k], s->truth[PARAMS + k], s->v[PARAMS + k], end.width_sd[k]);
    }
    ep_lines_clear(&lines);
}

static void test_truths_fall_evenly(void **state)
{
    (void)state;
    tally t[OUTER] = {{{0}, 0}};
    study *s = calloc(1, sizeof *s);
    assert_non_null(s);
    lay_lines(s);
    for (uint64_t i = 0; i < REPEATS; i++) {
        one_repeat(s, i, t);
    }
    for (int p = 0; p < OUTER; p++) {
        double chi2;
        const double tail = ranks_tail(t[p].bin, REPEATS, &chi2),
                     cover = (double)t[p].inside / REPEATS;
        if (getenv("EP_SHOW")) {
            printf("unknown %d: chi2 %.1f p %.3f, 90 %% interval holds %.3f;", p, chi2, tail,
                   cover);
            for (int k = 0; k < RANK_BINS; k++) {
                printf(" %d", t[p].bin[k]);
            }
            printf("\n");
        }
        if (p < PARAMS) {
            assert_true(tail > 0.001 / PARAMS);  // Bonferroni
        }
        assert_true(cover >= 0.86 && cover <= 0.94);
    }
    for (int run = 0; run < RUNS; run++) {
        ep_look_destroy(s->look[run]);
    }
    free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_truths_fall_evenly)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
