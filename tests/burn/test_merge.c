// Flames that burn as one, Eq. B24-B26, and case 10 of docs/validation.md. Sources: Manoj, Pawar,
// Sujith, Sci. Rep. 2018, s41598-018-30026-3 (one flame is steady, three or more beat); Chen et
// al., Sci. Rep. 2019, s41598-018-36754-w (frequency falls with the number in the bundle); an
// experimenter's recording of three bundled candles, 9.9 Hz; Cetegen and Ahmed, Combust. Flame 93
// (1993) 157 (1.5 / sqrt of the diameter); Merging of small-scale buoyant flames, Fire 4 (2021) 51
// (up to half as tall again); flames seen to bend together at 3 mm, apart above 5 mm.
#include "burn/merge.h"

#include "candle.h"

typedef struct ring {
    double x_m[EP_MAX_WICKS], y_m[EP_MAX_WICKS];
    bool lit[EP_MAX_WICKS];
    ep_common_flame one[EP_MAX_WICKS];
} ring;

// n flames on a circle, neighbours apart_mm from axis to axis
static void stand(ring *r, int n, double apart_mm, double turn)
{
    double radius_m = n > 1 ? 0.5e-3 * apart_mm / sin(M_PI / n) : 0.0;
    for (int i = 0; i < n; i++) {
        r->x_m[i] = radius_m * cos(2.0 * M_PI * i / n + turn);
        r->y_m[i] = radius_m * sin(2.0 * M_PI * i / n + turn);
        r->lit[i] = true;
    }
    ep_flames_merge(r->x_m, r->y_m, r->lit, n, r->one);
}

static void merging_distance(void **state)
{
    (void)state;
    double merged_mm = 0.0;
    for (double gap_mm = 0.0; gap_mm < 8.0; gap_mm += 0.05) {
        ring r;
        stand(&r, 2, EP_FLAME_WIDE_M * 1e3 + gap_mm, 0.3);
        assert_int_equal(r.one[0].flames, r.one[1].flames);
        merged_mm = r.one[0].flames == 2 ? gap_mm : merged_mm;
    }
    printf("case 10: two flames merge below a gap of %.2f mm\n", merged_mm);
    assert_true(merged_mm > 3.0 && merged_mm < 5.0);
}

// never shorter than alone, never above what was seen, taller the nearer
static void height_of_a_common_flame(void **state)
{
    (void)state;
    for (int n = 2; n <= EP_MAX_WICKS; n++) {
        double before = 2.0;
        for (double apart_mm = 5.0; apart_mm < 12.5; apart_mm += 0.5) {
            ring r;
            stand(&r, n, apart_mm, 0.1 * n);
            assert_int_equal(r.one[0].flames, n);
            assert_true(r.one[0].stretch > 1.0 && r.one[0].stretch <= 1.5);
            assert_true(r.one[0].stretch <= before);
            before = r.one[0].stretch;
        }
    }
    // two touching: 2 pi / (pi + 2); three: 3 pi / (pi + 3) is above what was seen
    ring r;
    stand(&r, 2, 8.0, 1.0);
    check_rel(r.one[0].stretch, 2.0 * M_PI / (M_PI + 2.0), 1e-9);
    stand(&r, 3, 8.0, 1.0);
    check_rel(r.one[0].stretch, 1.5, 1e-12);
    stand(&r, 3, 10.0, 1.0);
    check_rel(r.one[0].stretch, 3.0 * M_PI / (M_PI + 3.0 * 1.25), 1e-9);
}

static void beat(void **state)
{
    (void)state;
    double before_Hz = 100.0;
    for (int n = 1; n <= EP_MAX_WICKS; n++) {
        ring r;
        stand(&r, n, 11.0, 0.0);
        if (n < 3) {
            check_near(r.one[0].flicker_Hz, 0.0, 0.0);
            continue;
        }
        assert_true(r.one[0].flicker_Hz < before_Hz);
        before_Hz = r.one[0].flicker_Hz;
    }
    // three candles of 9.5 to 12.5 mm bundled so that they touch: 9 to 11 Hz asked
    for (double apart_mm = 9.5; apart_mm < 12.6; apart_mm += 1.0) {
        ring r;
        stand(&r, 3, apart_mm, 0.7);
        printf("case 10: three flames %.1f mm apart beat at %.1f Hz\n", apart_mm,
               r.one[0].flicker_Hz);
        assert_true(r.one[0].flicker_Hz > 9.0 && r.one[0].flicker_Hz < 11.0);
    }
}

static void rows_and_strangers(void **state)
{
    (void)state;
    // a row of three, one far away, one not lit
    const double x_m[] = {0.0, 10e-3, 20e-3, 60e-3, 30e-3}, y_m[] = {0.0, 0.0, 0.0, 0.0, 0.0};
    const bool lit[] = {true, true, true, true, false};
    ep_common_flame one[5];
    ep_flames_merge(x_m, y_m, lit, 5, one);
    const int flames[] = {3, 3, 3, 1, 0};
    for (int i = 0; i < 5; i++) {
        assert_int_equal(one[i].flames, flames[i]);
    }
    check_rel(one[1].stretch, 3.0 * M_PI * 8.0 / (M_PI * 8.0 + 40.0), 1e-9);
    check_rel(one[0].across_m, 28e-3, 1e-12);
    check_near(one[3].stretch, 1.0, 0.0);
    check_near(one[4].flicker_Hz, 0.0, 0.0);
}

static ep_trace *three_wicks(double apart_mm)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 80.0, 60.0, 3.0, 40.0);
    c.wick = candle_braid(0.8);
    c.n_wicks = 3;
    c.grid_m = 4e-3;
    c.schedule.lit_s = 3600.0;
    c.schedule.max_sessions = 1;
    ring r;
    stand(&r, 3, apart_mm, 0.0);
    for (int i = 0; i < 3; i++) {
        c.place[i] = (ep_place){r.x_m[i], r.y_m[i]};
    }
    return candle_burn(&c);
}

// the whole candle says so: flames, height, beat, distance
static void in_the_trace(void **state)
{
    (void)state;
    ep_trace *near = three_wicks(10.0), *far = three_wicks(25.0);
    const ep_sample *a = candle_at(near, 1, 60.0), *b = candle_at(far, 1, 60.0);
    check_near(a->flames_in_one, 3.0, 0.0);
    check_near(b->flames_in_one, 1.0, 0.0);
    check_near(a->flame_apart_m, 10e-3, 1e-9);
    assert_true(a->flame_m > 1.15 * b->flame_m && a->flame_m < 1.5 * b->flame_m);
    assert_true(near->session[0].flicker_Hz > 9.0 && near->session[0].flicker_Hz < 11.5);
    check_near(far->session[0].flicker_Hz, 0.0, 0.0);
    assert_true(near->ledger_energy_rel < 1e-10 && near->ledger_mass_rel < 1e-10);
    ep_trace_destroy(near);
    ep_trace_destroy(far);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(merging_distance),
        cmocka_unit_test(height_of_a_common_flame),
        cmocka_unit_test(beat),
        cmocka_unit_test(rows_and_strangers),
        cmocka_unit_test(in_the_trace),
    };
    return cmocka_run_group_tests_name("merge", tests, NULL, NULL);
}
