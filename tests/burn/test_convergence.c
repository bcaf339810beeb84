// How far grid and step move the answers of a whole candle: asserted loosely here, stated output by
// output in docs/validation.md.
#include "candle.h"

typedef struct answer {
    double rate_g_h, reach, depth_mm, flame_mm, wall_C, total_h, hangup_g;
} answer;

static answer burn(double g_m, double grid_mm, double step_s)
{
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(g_m);
    c.grid_m = grid_mm * 1e-3;
    c.step_s = step_s;
    ep_trace *t = candle_burn(&c);
    const ep_session_sum *s = &t->session[2];
    answer a = {.rate_g_h = s->burned_kg * 1e3 / (s->lit_s / 3600.0),
                .reach = s->reach_end_frac,
                .depth_mm = s->depth_mid_m * 1e3,
                .total_h = t->burn_total_s / 3600.0,
                .hangup_g = s->hangup_kg * 1e3};
    for (int n = 0; n < t->n_sessions; n++) {
        a.flame_mm = fmax(a.flame_mm, t->session[n].flame_max_m * 1e3);
        a.wall_C = fmax(a.wall_C, t->session[n].wall_max_C);
    }
    ep_trace_destroy(t);
    return a;
}

static void show(const char *what, double value, answer a)
{
    printf("%s %5.1f: %.3f g/h, reach %.3f, depth %.2f mm, flame %.2f mm, wall %.2f C, %.2f h, "
           "hang-up %.1f g\n",
           what, value, a.rate_g_h, a.reach, a.depth_mm, a.flame_mm, a.wall_C, a.total_h,
           a.hangup_g);
}

static void close_to(answer a, answer b, double scale)
{
    check_rel(a.rate_g_h, b.rate_g_h, 0.03 * scale);
    check_near(a.reach, b.reach, 0.06 * scale);
    check_near(a.depth_mm, b.depth_mm, 1.2 * scale);
    check_rel(a.flame_mm, b.flame_mm, 0.03 * scale);
    check_near(a.wall_C, b.wall_C, 1.5 * scale);
    check_rel(a.total_h, b.total_h, 0.08 * scale);
}

static void grid(void **state)
{
    (void)state;
    for (double g_m = 1.2; g_m < 2.1; g_m += 0.8) {
        answer fine = burn(g_m, 1.0, 60.0);
        const double mm[] = {3.0, 2.0, 1.5};
        show("grid mm", 1.0, fine);
        for (int i = 0; i < 3; i++) {
            answer a = burn(g_m, mm[i], 60.0);
            show("grid mm", mm[i], a);
            close_to(a, fine, mm[i] > 2.5 ? 1.5 : 1.0);
        }
    }
}

static void step(void **state)
{
    (void)state;
    for (double g_m = 1.2; g_m < 2.1; g_m += 0.8) {
        answer fine = burn(g_m, 2.0, 15.0);
        show("step s", 15.0, fine);
        for (double step_s = 120.0; step_s > 20.0; step_s /= 2.0) {
            answer a = burn(g_m, 2.0, step_s);
            show("step s", step_s, a);
            close_to(a, fine, step_s > 100.0 ? 0.5 : 0.25);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(grid), cmocka_unit_test(step)};
    return cmocka_run_group_tests_name("convergence", tests, NULL, NULL);
}
