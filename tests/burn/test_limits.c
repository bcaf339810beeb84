// What must come out when something goes to nothing or without end: the wick, what is mixed into
// the wax, the wall's conductivity and shine, the size of the cells. The books close in each.
#include "candle.h"

static ep_trace *first_session(ep_burn_case *c)
{
    c->schedule.max_sessions = 1;
    ep_trace *t = candle_burn(c);
    candle_books(t);
    return t;
}

// thinner and thinner: less and less, and nothing below the thinnest wick that holds a flame
static void wick_to_nothing(void **state)
{
    (void)state;
    double before_kg = INFINITY;
    int dead = 0;
    for (double g_m = 3.2; g_m > 0.1; g_m *= 0.8) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(g_m);
        ep_trace *t = first_session(&c);
        const double burned_kg = t->session[0].burned_kg;
        assert_true(burned_kg < before_kg || !(before_kg > 0.0));
        assert_true((c.wick.diameter_m < 0.88e-3) == !(burned_kg > 0.0));
        if (!(burned_kg > 0.0)) {
            dead++;
            assert_int_equal(t->session[0].out, EP_OUT_STARVED);
            check_near(t->heat.flame_J, 0.0, 0.0);
            check_near(t->left_kg, t->fill_kg, 1e-12 * t->fill_kg);
        }
        before_kg = burned_kg;
        ep_trace_destroy(t);
    }
    assert_true(dead >= 2);
}

// a wick that carries nothing burns nothing. Rates after five minutes: later a flame may be out,
// and one that burned less may have lived longer.
static void feed_to_nothing(void **state)
{
    (void)state;
    double before_kg_s = INFINITY;
    for (double feed = 1.0; feed > 1e-3; feed *= 0.5) {
        ep_burn_case c = candle_plain();
        c.factors.f[EP_UNC_FEED] = feed;
        ep_trace *t = first_session(&c);
        const double rate_kg_s = candle_at(t, 1, 5.0)->rate_kg_s;
        assert_true(rate_kg_s < before_kg_s);
        before_kg_s = rate_kg_s;
        ep_trace_destroy(t);
    }
    assert_true(before_kg_s >= 0.0 && before_kg_s < 1e-7);
}

static ep_trace *mixed(const char *with, double frac)
{
    ep_burn_case c = candle_plain();
    const candle_part part[] = {{"std-wax-paraffin-container", 1.0 - frac}, {with, frac}};
    c.melt = candle_melt(part, 2);
    return first_session(&c);
}

// nothing of a scent or a colour is the plain candle to the last bit, a trace of it nearly so
static void mixed_with_nothing(void **state)
{
    (void)state;
    ep_burn_case c = candle_plain();
    ep_trace *plain = first_session(&c);
    const char *const with[] = {"std-fragrance-floral", "std-fragrance-resin", "std-dye-pigment"};
    for (int n = 0; n < 3; n++) {
        ep_trace *none = mixed(with[n], 0.0), *trace = mixed(with[n], 1e-6);
        assert_int_equal(none->n_samples, plain->n_samples);
        assert_memory_equal(none->sample, plain->sample,
                            (size_t)plain->n_samples * sizeof *plain->sample);
        check_rel(trace->session[0].burned_kg, plain->session[0].burned_kg, 1e-3);
        check_near(trace->session[0].wall_max_C, plain->session[0].wall_max_C, 0.1);
        ep_trace_destroy(none);
        ep_trace_destroy(trace);
    }
    ep_trace_destroy(plain);
}

static ep_trace *walled(ep_container_prop p, double value)
{
    ep_burn_case c = candle_plain();
    ep_material wall = *c.wall;
    wall.prop[p].value = value;
    c.wall = &wall;
    return first_session(&c);
}

// A wall that conducts ever better: no fall of temperature through it, no hot place, and answers
// that stop changing; one that hardly conducts keeps the heat in.
static void conductivity(void **state)
{
    (void)state;
    double stress = INFINITY, wall_C = INFINITY;
    ep_trace *last = NULL;
    for (double k_W_mK = 1.0; k_W_mK < 2e4; k_W_mK *= 10.0) {
        ep_trace *t = walled(EP_CONTAINER_K, k_W_mK);
        const ep_session_sum *s = &t->session[0];
        assert_true(s->stress_max < 0.7 * stress && s->wall_max_C < wall_C);
        if (k_W_mK > 900.0) {
            check_near(s->wall_max_C, wall_C, 0.7);
            check_rel(s->burned_kg, last->session[0].burned_kg, 1e-3);
        }
        stress = s->stress_max;
        wall_C = s->wall_max_C;
        ep_trace_destroy(last);
        last = t;
    }
    ep_trace *tight = walled(EP_CONTAINER_K, 0.01);
    assert_true(tight->heat.room_J < 0.9 * last->heat.room_J);
    assert_true(tight->session[0].reach_end_frac > last->session[0].reach_end_frac);
    ep_trace_destroy(tight);
    ep_trace_destroy(last);
}

// a wall that shines less is hotter, and the jar keeps more of its heat, down to none at all
static void emissivity(void **state)
{
    (void)state;
    double wall_C = -INFINITY, room_J = INFINITY;
    for (double e = 1.0; e > -0.01; e -= 0.25) {
        ep_trace *t = walled(EP_CONTAINER_EMISSIVITY, fmax(e, 0.0));
        assert_true(t->session[0].wall_max_C > wall_C && t->heat.room_J < room_J);
        wall_C = t->session[0].wall_max_C;
        room_J = t->heat.room_J;
        ep_trace_destroy(t);
    }
}

typedef struct answer {
    double burned_g, reach, depth_mm, wall_C;
} answer;

static answer on_cells(ep_burn_case c, double grid_mm)
{
    c.grid_m = grid_mm * 1e-3;
    ep_trace *t = first_session(&c);
    const ep_session_sum *s = &t->session[0];
    answer a = {s->burned_kg * 1e3, s->reach_end_frac, s->depth_mid_m * 1e3, s->wall_max_C};
    printf("%4.2f mm: %.3f g, reach %.3f, %.2f mm, %.2f C\n", grid_mm, a.burned_g, a.reach,
           a.depth_mm, a.wall_C);
    ep_trace_destroy(t);
    return a;
}

// what is wrong goes down with the size of the cells, against the finest that is allowed
static void cells_to_nothing(void **state)
{
    (void)state;
    for (double g_m = 1.2; g_m < 2.1; g_m += 0.8) {
        ep_burn_case c = candle_plain();
        c.wick = candle_braid(g_m);
        const answer finest = on_cells(c, 0.5);
        for (double mm = 0.7; mm < 4.0; mm *= sqrt(2.0)) {
            const answer a = on_cells(c, mm);
            check_rel(a.burned_g, finest.burned_g, 0.006 * mm);
            check_near(a.reach, finest.reach, 0.04 * mm);
            check_near(a.depth_mm, finest.depth_mm, 0.5 * mm);
            check_near(a.wall_C, finest.wall_C, 0.6 * mm);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wick_to_nothing),    cmocka_unit_test(feed_to_nothing),
        cmocka_unit_test(mixed_with_nothing), cmocka_unit_test(conductivity),
        cmocka_unit_test(emissivity),         cmocka_unit_test(cells_to_nothing),
    };
    return cmocka_run_group_tests_name("limits", tests, NULL, NULL);
}
