// Draws, threads and order statistics of an ensemble.
#include <stdlib.h>

#include "burn/ensemble.h"

#include "candle.h"

static const uint64_t SEED = 20260601;

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

// the value a factor has z standard deviations from its nominal, as every user of priors sees it
static double z_of(const ep_burn_case *c, ep_uncertain u, double value)
{
    double lo = -8.0, hi = 8.0;
    for (int i = 0; i < 80; i++) {
        double mid = 0.5 * (lo + hi);
        *(ep_factor_at(c, u, mid) < value ? &lo : &hi) = mid;
    }
    return 0.5 * (lo + hi);
}

// Latin hypercube (McKay, Beckman, Conover 1979): each of m equal slices of a factor's prior holds
// exactly one member
static void one_member_per_slice(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    enum { MEMBERS = 40 };
    ep_factors f[MEMBERS];
    ep_factors_draw(&c, SEED, MEMBERS, f);
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        int in_slice[MEMBERS] = {0};
        for (int m = 0; m < MEMBERS; m++) {
            double z = z_of(&c, (ep_uncertain)u, f[m].f[u]);
            double p = 0.5 * erfc(-z / sqrt(2.0));
            int slice = (int)(p * MEMBERS);
            assert_true(slice >= 0 && slice < MEMBERS);
            in_slice[slice]++;
        }
        for (int s = 0; s < MEMBERS; s++) {
            assert_int_equal(in_slice[s], 1);
        }
    }
}

// nine in ten lie within the stated interval, the middle is nominal, lopsided intervals stay
// lopsided
static void marginals(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    static ep_factors f[EP_MAX_MEMBERS];
    ep_factors_draw(&c, SEED, EP_MAX_MEMBERS, f);
    const struct {
        ep_uncertain u;
        double lo, mid, hi;
    } row[] = {
        {EP_UNC_EVAPORATION, 0.85, 1.0, 1.18},
        {EP_UNC_FLAME_BASE, 0.60, 1.0, 1.50},
        {EP_UNC_STIRRING, 0.60, 1.0, 1.70},
        {EP_UNC_LETS_GO, 0.70, 1.0, 1.35},
        {EP_UNC_WARM_AIR, 0.40, 1.0, 1.80},
        {EP_UNC_SCATTER, 0.93, 1.0, 1.075},
        // by the table rows: permeability 0.55..1.8, container paraffin's liquidus 48..56 of 52
        {EP_UNC_FEED, 0.55, 1.0, 1.8},
        {EP_UNC_MELT_POINT, -4.0, 0.0, 4.0},
        {EP_UNC_LATENT, 130.0 / 165.0, 1.0, 200.0 / 165.0},
        {EP_UNC_VISCOSITY, 2.5 / 3.3, 1.0, 4.5 / 3.3},
        {EP_UNC_SOLID_K, 0.18 / 0.22, 1.0, 0.30 / 0.22}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        double x[EP_MAX_MEMBERS];
        for (int m = 0; m < EP_MAX_MEMBERS; m++) {
            x[m] = f[m].f[row[i].u];
        }
        check_near(ep_quantile(x, EP_MAX_MEMBERS, 0.05), row[i].lo, 0.02 * fmax(1.0, row[i].hi));
        check_near(ep_quantile(x, EP_MAX_MEMBERS, 0.50), row[i].mid, 0.01 * fmax(1.0, row[i].hi));
        check_near(ep_quantile(x, EP_MAX_MEMBERS, 0.95), row[i].hi, 0.02 * fmax(1.0, row[i].hi));
        check_near(ep_factor_at(&c, row[i].u, 0.0), row[i].mid, 1e-12);
        check_rel(ep_factor_at(&c, row[i].u, 1.6448536269514722) + 10.0, row[i].hi + 10.0, 1e-9);
    }
}

// factors are drawn independently: no two of them go together
static void no_two_go_together(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    static ep_factors f[EP_MAX_MEMBERS];
    ep_factors_draw(&c, SEED, EP_MAX_MEMBERS, f);
    for (int a = 0; a < EP_UNC_COUNT_; a++) {
        for (int b = 0; b < a; b++) {
            double sx = 0.0, sy = 0.0, sxx = 0.0, syy = 0.0, sxy = 0.0;
            for (int m = 0; m < EP_MAX_MEMBERS; m++) {
                double x = z_of(&c, (ep_uncertain)a, f[m].f[a]);
                double y = z_of(&c, (ep_uncertain)b, f[m].f[b]);
                sx += x;
                sy += y;
                sxx += x * x;
                syy += y * y;
                sxy += x * y;
            }
            const double n = EP_MAX_MEMBERS;
            double r = (sxy - sx * sy / n) / sqrt((sxx - sx * sx / n) * (syy - sy * sy / n));
            assert_true(fabs(r) < 4.0 / sqrt(n));
        }
    }
}

// the same seed is the same materials whatever the wick's size, so sizes are compared on equal
// terms
static void sizes_share_their_members(void **state)
{
    (void)state;
    ep_burn_case small = candle_plain(), large = candle_plain();
    small.wick = candle_braid(0.6);
    large.wick = candle_braid(1.8);
    ep_factors a[24], b[24], other[24];
    ep_factors_draw(&small, SEED, 24, a);
    ep_factors_draw(&large, SEED, 24, b);
    ep_factors_draw(&small, SEED + 1, 24, other);
    assert_memory_equal(a, b, sizeof a);
    assert_memory_not_equal(a, other, sizeof a);
}

// Hyndman and Fan 1996, type 7 (the default of R): worked by hand
static void quantiles(void **state)
{
    (void)state;
    double x[] = {9.0, 1.0, 4.0, 16.0, 25.0};
    check_near(ep_quantile(x, 5, 0.0), 1.0, 0.0);
    check_near(ep_quantile(x, 5, 1.0), 25.0, 0.0);
    check_near(ep_quantile(x, 5, 0.5), 9.0, 0.0);
    check_near(ep_quantile(x, 5, 0.1), 1.0 + 0.4 * 3.0, 1e-12);
    check_near(ep_quantile(x, 5, 0.9), 16.0 + 0.6 * 9.0, 1e-12);
    // R: quantile(c(2, 5, 7, 11, 13, 17), 0.05) is 2.75, at 0.95 it is 16
    double primes[] = {17.0, 2.0, 13.0, 7.0, 5.0, 11.0};
    check_near(ep_quantile(primes, 6, 0.05), 2.75, 1e-12);
    check_near(ep_quantile(primes, 6, 0.95), 16.0, 1e-12);
    double gaps[] = {(double)NAN, 3.0, (double)NAN, 1.0};
    check_near(ep_quantile(gaps, 4, 0.5), 2.0, 1e-12);
    // and again: what was left out stays out
    check_near(ep_quantile(gaps, 4, 0.5), 2.0, 1e-12);
    check_near(ep_quantile(gaps, 4, 0.0), 1.0, 0.0);
    check_near(ep_quantile(gaps, 4, 1.0), 3.0, 0.0);
    double none[] = {(double)NAN};
    assert_true(isnan(ep_quantile(none, 1, 0.5)));
    assert_true(isnan(ep_quantile(none, 0, 0.5)));
}

static ep_burn_case quick(void)
{
    ep_burn_case c = candle_plain();
    c.grid_m = 3e-3;
    c.step_s = 120.0;
    return c;
}

static ep_ensemble *run(const ep_burn_case *c, int members, int threads)
{
    ep_ensemble_opts opts = {.members = members, .seed = SEED, .threads = threads};
    ep_ensemble *e = NULL;
    ep_err err = {0};
    if (ep_ensemble_run(c, &opts, &e, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return e;
}

static void same_bytes_over_threads(void **state)
{
    (void)state;
    ep_burn_case c = quick();
    ep_ensemble *one = run(&c, 12, 1), *two = run(&c, 12, 2), *many = run(&c, 12, 5);
    for (int m = 0; m < 12; m++) {
        const ep_trace *a = one->trace[m], *b = two->trace[m], *d = many->trace[m];
        assert_int_equal(a->n_samples, b->n_samples);
        assert_int_equal(a->n_frames, 0);
        for (int n = 0; n < a->n_samples; n++) {
#define X(name)                                                                                    \
    assert_memory_equal(&a->sample[n].name, &b->sample[n].name, sizeof(double));                   \
    assert_memory_equal(&a->sample[n].name, &d->sample[n].name, sizeof(double));
            EP_SAMPLE_LIST(X)
#undef X
        }
    }
    ep_ensemble_destroy(one);
    ep_ensemble_destroy(two);
    ep_ensemble_destroy(many);
}

// a member is the candle one gets by burning its factors alone, and an ensemble of given factors is
// the one they were drawn for
static void members_are_candles(void **state)
{
    (void)state;
    ep_burn_case c = quick();
    ep_ensemble *e = run(&c, 6, 2), *given = NULL;
    ep_ensemble_opts opts = {.members = 6, .threads = 2};
    assert_int_equal(ep_ensemble_run_with(&c, &opts, e->factors, &given, NULL), EP_OK);
    for (int m = 0; m < 6; m++) {
        ep_burn_case member = c;
        member.factors = e->factors[m];
        ep_trace *t = candle_burn(&member);
        assert_true(t->left_kg == e->trace[m]->left_kg && t->stages == e->trace[m]->stages);
        assert_true(t->left_kg == given->trace[m]->left_kg);
        ep_trace_destroy(t);
    }
    ep_ensemble_destroy(given);
    ep_ensemble_destroy(e);
}

// the spread of burn rates is that of materials nobody has measured: wide, round the nominal candle
static void spread_is_wide(void **state)
{
    (void)state;
    ep_burn_case c = quick();
    c.schedule.max_sessions = 1;
    ep_trace *nominal = candle_burn(&c);
    ep_ensemble *e = run(&c, 48, 2);
    double rate[48];
    for (int m = 0; m < 48; m++) {
        rate[m] = e->trace[m]->session[0].burned_kg;
    }
    double lo = ep_quantile(rate, 48, 0.05), mid = ep_quantile(rate, 48, 0.5);
    double hi = ep_quantile(rate, 48, 0.95);
    check_rel(mid, nominal->session[0].burned_kg, 0.05);
    assert_true(hi / lo > 1.2 && hi / lo < 2.2);
    qsort(rate, 48, sizeof *rate, by_value);
    assert_true(rate[0] > 0.0);
    ep_ensemble_destroy(e);
    ep_trace_destroy(nominal);
}

static void refusals(void **state)
{
    (void)state;
    ep_burn_case c = quick();
    const int bad[] = {1, 0, -3, EP_MAX_MEMBERS + 1};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        ep_ensemble_opts opts = {.members = bad[i], .seed = 1, .threads = 1};
        ep_ensemble *e = NULL;
        ep_err err = {0};
        assert_int_equal(ep_ensemble_run(&c, &opts, &e, &err), EP_E_ARG);
        assert_null(e);
        assert_string_equal(err.field, "members");
        check_has(err.text, "2 to 512");
    }
    c.grid_m = 1.0;
    ep_ensemble_opts opts = {.members = 4, .seed = 1, .threads = 2};
    ep_ensemble *e = NULL;
    ep_err err = {0};
    assert_int_equal(ep_ensemble_run(&c, &opts, &e, &err), EP_E_ARG);
    assert_null(e);
    assert_string_equal(err.field, "grid");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_member_per_slice),
        cmocka_unit_test(marginals),
        cmocka_unit_test(no_two_go_together),
        cmocka_unit_test(sizes_share_their_members),
        cmocka_unit_test(quantiles),
        cmocka_unit_test(same_bytes_over_threads),
        cmocka_unit_test(members_are_candles),
        cmocka_unit_test(spread_is_wide),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests_name("ensemble", tests, NULL, NULL);
}
