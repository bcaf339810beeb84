// Whole candles against published measurements, numbered as in docs/validation.md, the ledger of
// all of them. A case the engine misses is held to the figure the ledger states, so that it cannot
// move unseen: whoever changes it changes the page too.
#include "candle.h"

// mean rate over a session, g/h
static double session_g_h(const ep_trace *t, int session)
{
    const ep_session_sum *s = &t->session[session - 1];
    return s->burned_kg * 1e3 / (s->lit_s / 3600.0);
}

static double between_g_h(const ep_trace *t, double from_min, double to_min)
{
    double from_kg = from_min > 0.0 ? candle_at(t, 1, from_min)->left_kg : t->fill_kg;
    return (from_kg - candle_at(t, 1, to_min)->left_kg) * 1e3 / ((to_min - from_min) / 60.0);
}

static ep_burn_case pillar(const char *construction, double g_m)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 75.0, 100.0, 3.0, 95.0);
    c.melt = candle_wax("std-wax-paraffin-pillar");
    c.wick = candle_wick_of(construction, g_m, 0.0, 0.0, 0.0);
    c.schedule.lit_s = 6.0 * 3600.0;
    c.schedule.first_wick_m = 12e-3;  // as sold
    c.schedule.max_sessions = 1;
    return c;
}

// Case 3. Five kinds of pillar candle burned 4.4 to 7.3 g/h in the first hour and 4.7 to 7.1 g/h in
// the five after it, the first a little faster ("Emissions of ultrafine particles from five types
// of candles during steady burn conditions", Indoor Air, abstract). Wicks of 0.6 to 1.6 g/m must
// span 4.2 to 7.5; hour one over the rest 1.00 to 1.15
static void pillars(void **state)
{
    (void)state;
    const char *construction[] = {"std-wick-flat-braid", "std-wick-cotton-core"};
    double least = 1e9, most = 0.0;
    for (int k = 0; k < 2; k++) {
        for (double g_m = 0.6; g_m < 1.7; g_m += 0.5) {
            ep_burn_case c = pillar(construction[k], g_m);
            ep_trace *t = candle_burn(&c);
            double first = between_g_h(t, 0.0, 60.0), late = between_g_h(t, 60.0, 360.0);
            printf("case 3, %s %.1f g/m: %.2f then %.2f g/h\n", construction[k] + 9, g_m, first,
                   late);
            assert_true(first / late >= 0.99 && first / late <= 1.15);
            least = fmin(least, late);
            most = fmax(most, late);
            ep_trace_destroy(t);
        }
    }
    assert_true(least <= 4.2);
    assert_true(most >= 7.5);
}

// Case 4. Flame length goes in a straight line with rate at a fixed fuel (Friedman and Stoliarov
// 2017; Roper 1977): over a series of sizes R^2 above 0.98. The slope over the series holds the
// exposed wick too, which grows with size
static void flame_against_rate(void **state)
{
    (void)state;
    double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0, yy = 0.0;
    for (double g_m = 0.5; g_m < 2.2; g_m += 0.2) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(g_m);
        c.schedule.max_sessions = 1;
        ep_trace *t = candle_burn(&c);
        const ep_sample *s = candle_at(t, 1, 240.0);
        double rate_mg_s = s->rate_kg_s * 1e6, above_mm = (s->flame_m - s->exposed_m) * 1e3;
        n += 1.0;
        x += rate_mg_s;
        y += above_mm;
        xx += rate_mg_s * rate_mg_s;
        xy += rate_mg_s * above_mm;
        yy += above_mm * above_mm;
        ep_trace_destroy(t);
    }
    double sxy = xy - x * y / n, sxx = xx - x * x / n, syy = yy - y * y / n;
    printf("case 4: %.2f mm per mg/s, R^2 %.4f\n", sxy / sxx, sxy * sxy / (sxx * syy));
    assert_true(sxy * sxy / (sxx * syy) > 0.98);
    check_rel(sxy / sxx, 16.4, 0.15);
}

static ep_trace *in_glass(const char *wax, double g_m, double trim_m)
{
    ep_burn_case c = candle_plain();
    c.melt = candle_wax(wax);
    // 200 g in the same glass
    c.fill_height_m = 0.2 / (c.melt.rho_solid_kg_m3.value * 0.25 * 3.14159265358979 * 4.9e-3);
    c.wick = candle_braid(g_m);
    c.schedule.trim_m = trim_m;
    c.schedule.first_wick_m = 6e-3;
    c.schedule.max_sessions = 3;
    return candle_burn(&c);
}

// Case 7. 200 g of wax in glass, the same wick: soy burns 30 % slower than paraffin when trimmed,
// only a little slower untrimmed, with a shorter flame (Rezaei, Wang, Johnson 2002; figures as
// quoted by two summaries)
static void soy_and_paraffin(void **state)
{
    (void)state;
    for (int untrimmed = 0; untrimmed < 2; untrimmed++) {
        double trim_m = untrimmed ? 0.0 : 6e-3;
        ep_trace *paraffin = in_glass("std-wax-paraffin-container", 1.0, trim_m);
        ep_trace *soy = in_glass("std-wax-soy", 1.0, trim_m);
        double change_pct = 100.0 * (session_g_h(soy, 3) / session_g_h(paraffin, 3) - 1.0);
        printf("case 7, %s: %.1f %%\n", untrimmed ? "untrimmed" : "trimmed", change_pct);
        if (untrimmed) {
            // missed: the band is 0 to -15 % (docs/validation.md)
            check_near(change_pct, -28.3, 2.5);
        } else {
            assert_true(change_pct > -40.0 && change_pct < -20.0);
            check_near(change_pct, -25.9, 2.5);
        }
        assert_true(soy->session[2].flame_max_m < paraffin->session[2].flame_max_m - 4e-3);
        ep_trace_destroy(soy);
        ep_trace_destroy(paraffin);
    }
}

// surface temperature at a radius, as a thermometer just under it would read, C
static double surface_C(const ep_trace *t, const ep_frame *f, double r_m)
{
    size_t i = (size_t)(r_m / t->dr_m), k = (size_t)t->nz - 1;
    while (k > 0 && f->T_C[k * (size_t)t->nr + i] < 0) {
        k--;
    }
    return f->T_C[k * (size_t)t->nr + i];
}

// Case 8. Pools of container candles in paraffin stand at 150 to 200 F, 66 to 93 C (background of
// US 6,508,644 and 6,793,484); to be met within 62 to 95 C with a full pool, the edge at the
// melting point, hotter when less than 3 mm are left; 177 C, the flash point of the lightest
// paraffins of the same patents, nowhere but at the wick
static void pool_temperature(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(1.6);
    c.keep_frames = true;
    c.neck_m = 1e-3;
    ep_trace *t = candle_burn(&c);
    int looked = 0;
    double lo_C = 1e9, hi_C = 0.0;
    for (int n = 0; n < t->n_frames; n++) {
        const ep_frame *f = &t->frame[n];
        const ep_sample *s = f->lit ? candle_at(t, f->session, f->minute) : NULL;
        if (!s || s->reach_frac < 0.995 || f->minute < 200.0) {
            continue;
        }
        // half-way between wick and wall
        double half_C = surface_C(t, f, 0.0175);
        lo_C = fmin(lo_C, half_C);
        hi_C = fmax(hi_C, half_C);
        assert_true(half_C >= 62.0 && half_C <= 95.0);
        // the rim of the pool stands within the melting range, 42 to 52 C, or a little above, as
        // long as there is solid below it
        assert_true(s->pool_edge_C >= 42.0);
        assert_true(s->pool_edge_C <= 65.0 || s->left_kg < 0.25 * t->fill_kg);
        for (double r_m = 6e-3; r_m < 0.034; r_m += 2e-3) {
            assert_true(surface_C(t, f, r_m) < 177.0);
        }
        looked++;
    }
    assert_true(looked >= 4);
    const ep_sample *early = candle_at(t, 3, 240.0), *last = NULL;
    for (int n = 0; n < t->n_samples; n++) {
        last = t->sample[n].lit ? &t->sample[n] : last;
    }
    printf("case 8: half-way %.0f to %.0f C; mean of all melt %.0f C, at the very end %.0f C\n",
           lo_C, hi_C, early->pool_bulk_C, last->pool_bulk_C);
    assert_true(last->level_m < 3e-3 && last->pool_bulk_C > early->pool_bulk_C + 10.0);
    // the mean of all melt counts the cool layer below too: not what the thermometer reads
    check_near(early->pool_bulk_C, 55.5, 3.0);
    ep_trace_destroy(t);
}

// Rule of thumb, common practice without a source: about an hour per 25 mm of width for a wick that
// fills the jar, pool 6 to 13 mm deep after four hours. Within a factor of two for jars up to 66
// mm; wider ones the engine fills later than the rule (docs/validation.md)
static void full_pool_rule_of_thumb(void **state)
{
    (void)state;
    for (double wide_mm = 54.0; wide_mm < 67.0; wide_mm += 6.0) {
        ep_burn_case c = candle_plain();
        candle_jar(&c, "std-container-soda-lime", wide_mm, 90.0, 3.0, 70.0);
        c.wick = candle_braid(1.0 + 0.6 * (wide_mm - 54.0) / 12.0);
        c.schedule.max_sessions = 1;
        ep_trace *t = candle_burn(&c);
        double rule_h = wide_mm / 25.0, ours_h = t->session[0].wall_reached_s / 3600.0;
        printf("full pool, %.0f mm: %.2f h, rule %.2f h, depth %.1f mm\n", wide_mm, ours_h, rule_h,
               t->session[0].depth_mid_m * 1e3);
        assert_true(ours_h > 0.5 * rule_h && ours_h < 2.0 * rule_h);
        assert_true(t->session[0].depth_mid_m > 5e-3 && t->session[0].depth_mid_m < 13e-3);
        ep_trace_destroy(t);
    }
}

// One wick in still air does not flicker by itself (Manoj et al. 2018): rate and flame of a settled
// session do not swing. What is left is soft wax sliding into the pool
static void steady_flame(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(1.2);
    c.schedule.max_sessions = 1;
    ep_trace *t = candle_burn(&c);
    double lo_m = 1.0, hi_m = 0.0;
    for (int n = 0; n < t->n_samples; n++) {
        if (t->sample[n].lit && t->sample[n].minute >= 150.0) {
            lo_m = fmin(lo_m, t->sample[n].flame_m);
            hi_m = fmax(hi_m, t->sample[n].flame_m);
        }
    }
    assert_true(hi_m / lo_m < 1.03);
    ep_trace_destroy(t);
}

static ep_burn_case narrow_and_deep(const char *wax, double g_m)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 55.0, 200.0, 3.0, 160.0);
    c.melt = candle_wax(wax);
    c.wick = candle_braid(g_m);
    c.schedule.lit_s = 8.0 * 3600.0;
    c.schedule.max_sessions = 2;
    return c;
}

static bool lost(const ep_burn_case *c)
{
    ep_trace *t = candle_burn(c);
    bool went_out = false;
    for (int n = 0; n < t->n_sessions; n++) {
        went_out = went_out || t->session[n].out == EP_OUT_DROWNED;
    }
    ep_trace_destroy(t);
    return went_out;
}

// Drowning. A small wick in 2:1 beeswax and soy drowned in a glass of 55 x 200 mm after an hour;
// the wick of case 1 must not (one maker's notes). Half met: a starved wick does drown in the
// engine, in a soft wax; in the high-melting mix it does not (docs/validation.md)
static void drowning(void **state)
{
    (void)state;
    ep_burn_case c = narrow_and_deep("std-wax-soy", 0.4);
    c.factors.f[EP_UNC_FEED] = 0.1;
    assert_true(lost(&c));
    // the candle of case 1 stays alight in every wax of the table
    for (int i = 0; i < ep_builtin_count(EP_MAT_WAX); i++) {
        c = narrow_and_deep(ep_builtin(EP_MAT_WAX, i)->id, 1.25);
        c.grid_m = 3e-3;
        assert_false(lost(&c));
    }
    c = narrow_and_deep("std-wax-beeswax", 0.3);
    c.melt =
        candle_melt((candle_part[]){{"std-wax-beeswax", 2.0 / 3.0}, {"std-wax-soy", 1.0 / 3.0}}, 2);
    assert_false(lost(&c));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pillars),
        cmocka_unit_test(flame_against_rate),
        cmocka_unit_test(soy_and_paraffin),
        cmocka_unit_test(pool_temperature),
        cmocka_unit_test(full_pool_rule_of_thumb),
        cmocka_unit_test(steady_flame),
        cmocka_unit_test(drowning),
    };
    return cmocka_run_group_tests_name("published", tests, NULL, NULL);
}
