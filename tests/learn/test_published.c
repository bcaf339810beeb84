// Learning against a published set of burns: 64 dyed cake candles, four colours, four
// experimenters, four candles each, seconds until the flame went out. Dean & Voss 1999, Design and
// Analysis of Experiments, table 10.20; the rows as in data-raw/candle.txt of the open repository
// of that book's data. What went before (the engine) is left out: straight lines stand for it, so
// that the joint mode, its bell and the candle scatter are held to what the rows say.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "learn/lines.h"

#include "../base/check.h"

enum { COLOURS = 4, PEOPLE = 4, EACH = 4, CELLS = COLOURS * PEOPLE, CANDLES = CELLS * EACH };
enum { RED, WHITE, BLUE, YELLOW };

// seconds, by experimenter, colour (red, white, blue, yellow) and candle
static const int burned_s[PEOPLE][COLOURS][EACH] = {
    {{989, 1032, 1077, 1019},
     {1044, 979, 987, 1031},
     {1011, 951, 928, 1022},
     {974, 998, 1033, 1041}},
    {{899, 912, 911, 943}, {847, 880, 879, 830}, {899, 800, 820, 812}, {886, 859, 901, 907}},
    {{898, 840, 955, 1005}, {840, 952, 961, 915}, {909, 790, 871, 905}, {950, 992, 920, 890}},
    {{993, 957, 1005, 982}, {987, 960, 920, 1001}, {864, 925, 824, 790}, {949, 973, 978, 938}}};

// unknowns of the model: what each colour, each experimenter and each pair of them does to the
// rate, nothing known beforehand but that it is some 6 or 3 %
enum {
    PARAMS = COLOURS + PEOPLE + CELLS,
    ALL = PARAMS + EP_MODEL_WIDTHS + EP_BIAS_COUNT + CANDLES
};
static const double WIDE = 0.06, PAIR = 0.03, STOPWATCH = 0.003;

typedef struct study {
    ep_model_run run[CELLS];
    ep_look *look[CELLS];
    ep_datum datum[CELLS][EACH];
    int candles[1];
    ep_lines lines;
    double v[ALL], X[ALL * ALL], C[PARAMS * PARAMS];
    double scatter;
} study;

// stretch: of what each candle differs from its like, 1 = as published
static void take_cell(study *s, int who, int colour, double stretch)
{
    const int *t = burned_s[who][colour];
    const double mean = (t[0] + t[1] + t[2] + t[3]) / 4.0;
    const int cell = who * COLOURS + colour;
    const int param[] = {colour, COLOURS + who, COLOURS + PEOPLE + cell};
    const double does[] = {WIDE, WIDE, PAIR};
    ep_model_run *r = &s->run[cell];
    *r = (ep_model_run){.n_terms = 3, .first_candle = cell * EACH, .room_C = 21.0};
    assert_int_equal(ep_look_make(3, EACH, &s->look[cell]), EP_OK);
    for (int p = 0; p < 3; p++) {
        r->term[p] = (ep_term){param[p], EP_UNC_FEED, 1.0};
    }
    for (int i = 0; i < EACH; i++) {
        // a candle of one make: its rate is its wax over the time, guessed at 1 in 900 s
        s->datum[cell][i] = (ep_datum){.kind = EP_DATUM_RATE,
                                       .candle = i,
                                       .minute = 15.0,
                                       .value = log(900.0 / (mean + stretch * (t[i] - mean))),
                                       .sd = STOPWATCH,
                                       .sd_one = STOPWATCH,
                                       .life = 0.5,
                                       .ref = -1};
        s->look[cell]->slope[i] = 1.0;
        for (int p = 0; p < 3; p++) {
            s->look[cell]->jac[i * 3 + p] = does[p];
        }
    }
    r->evidence = (ep_evidence){.n = EACH, .cap = EACH, .datum = s->datum[cell], .room_C = 21.0};
}

static study *study_of(double stretch)
{
    study *s = calloc(1, sizeof *s);
    const ep_look *look[CELLS];
    assert_non_null(s);
    for (int cell = 0; cell < CELLS; cell++) {
        take_cell(s, cell / COLOURS, cell % COLOURS, stretch);
        look[cell] = s->look[cell];
    }
    s->candles[0] = CANDLES;
    const ep_model m = {PARAMS, 1, s->candles, CELLS, s->run, 1};
    ep_mode end;
    assert_int_equal(ep_model_unknowns(&m), ALL);
    assert_int_equal(ep_lines_of(&m, look, &s->lines), EP_OK);
    assert_int_equal(ep_lines_mode(&s->lines, 200, s->v, s->X, &end), EP_OK);
    assert_true(end.converged);
    ep_lines_covariance(s->X, ALL, PARAMS, s->C);
    s->scatter = ep_model_scatter(&s->lines.m, s->v);
    return s;
}

static void study_free(study *s)
{
    for (int cell = 0; cell < CELLS; cell++) {
        ep_look_destroy(s->look[cell]);
    }
    ep_lines_clear(&s->lines);
    free(s);
}

static int believe(void **state)
{
    *state = study_of(1.0);
    return 0;
}

static int forget(void **state)
{
    study_free(*state);
    return 0;
}

// of two colours: difference of the rate, in parts, and its sd
static double apart(const study *s, int a, int b, double *sd)
{
    const int lo = a < b ? a : b, hi = a < b ? b : a;
    *sd = WIDE * sqrt(s->C[a * PARAMS + a] + s->C[b * PARAMS + b] - 2.0 * s->C[hi * PARAMS + lo]);
    return WIDE * (s->v[a] - s->v[b]);
}

static double mean_log_s(int colour)
{
    double sum = 0.0;
    for (int who = 0; who < PEOPLE; who++) {
        for (int i = 0; i < EACH; i++) {
            sum += log(burned_s[who][colour][i]);
        }
    }
    return sum / (PEOPLE * EACH);
}

// 64 rows as published: mean of each colour and the sd within a cell, 41.3 s of 933.4
static void test_rows_are_the_published_ones(void **state)
{
    (void)state;
    static const double mean_s[COLOURS] = {963.6, 938.3, 882.6, 949.3};
    double inside = 0.0;
    for (int c = 0; c < COLOURS; c++) {
        double sum = 0.0;
        for (int who = 0; who < PEOPLE; who++) {
            const int *t = burned_s[who][c];
            const double mean = (t[0] + t[1] + t[2] + t[3]) / 4.0;
            sum += mean;
            for (int i = 0; i < EACH; i++) {
                inside += (t[i] - mean) * (t[i] - mean);
            }
        }
        assert_true(fabs(sum / PEOPLE - mean_s[c]) < 0.06);
    }
    assert_true(fabs(sqrt(inside / (CANDLES - CELLS)) - 41.3) < 0.06);
}

// blue burns fastest, then white, yellow, red; each distance that of the means, drawn together a
// little by the prior; blue stands apart, white and yellow do not
static void test_colours_come_out_in_order(void **state)
{
    const study *s = *state;
    static const int slow_to_fast[] = {RED, YELLOW, WHITE, BLUE};
    double sd;
    for (int i = 1; i < COLOURS; i++) {
        const int fast = slow_to_fast[i], slow = slow_to_fast[i - 1];
        const double found = apart(s, fast, slow, &sd);
        const double plain = mean_log_s(slow) - mean_log_s(fast);
        if (getenv("EP_SHOW")) {
            printf("%d against %d: %.2f +- %.2f %%, of the means %.2f %%\n", fast, slow,
                   100.0 * found, 100.0 * sd, 100.0 * plain);
        }
        assert_true(found > 0.0);
        assert_true(fabs(found - plain) < 0.75 * sd);
    }
    assert_true(apart(s, BLUE, WHITE, &sd) > 1.645 * sd);
    assert_true(fabs(apart(s, WHITE, YELLOW, &sd)) < 1.645 * sd);
}

// F of the pairs is 1.0: no pair of colour and experimenter is held to be special
static void test_no_pair_is_special(void **state)
{
    const study *s = *state;
    for (int p = COLOURS + PEOPLE; p < PARAMS; p++) {
        assert_true(fabs(s->v[p]) < 1.645 * sqrt(s->C[p * PARAMS + p]));
    }
}

// 4.4 % within a cell; asked: 3.5 to 5.5. That 4.5 % is also what is guessed before any row does
// not make it so: candles that differ twice or half as much are seen to
static void test_scatter_of_candles(void **state)
{
    const study *s = *state;
    if (getenv("EP_SHOW")) {
        printf("candle to candle %.2f %%\n", 100.0 * s->scatter);
    }
    assert_in_range((int)(1e4 * s->scatter), 350, 550);
    study *twice = study_of(2.0), *half = study_of(0.5);
    assert_in_range((int)(1e4 * twice->scatter), 700, 1100);
    assert_in_range((int)(1e4 * half->scatter), 175, 275);
    study_free(twice);
    study_free(half);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rows_are_the_published_ones),
        cmocka_unit_test(test_colours_come_out_in_order),
        cmocka_unit_test(test_no_pair_is_special),
        cmocka_unit_test(test_scatter_of_candles),
    };
    return cmocka_run_group_tests(tests, believe, forget);
}
