// A candle does not know left from right: mirrored or turned layouts burn the same candle, and no
// wick is special for being named first. Cells land on cells in all of these, so what differs is
// the order of sums, and whose turn it is where soft wax slides to one of two equal places.
#include "candle.h"

typedef struct layout {
    int n;
    ep_place place[EP_MAX_WICKS];
} layout;

// Places stay clear of the borders of the cells, where which cell a wick stands in is a matter of
// the last digit. no mirror plane and no turn maps it on itself
static const layout LOPSIDED = {2, {{0.0213, 0.0087}, {-0.0117, -0.0173}}};

static ep_burn_case jar_of(ep_outline outline, layout l)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-soda-lime", 90.0, 90.0, 3.0, 60.0);
    c.vessel.outline = outline;
    c.vessel.across_frac = outline == EP_OUTLINE_OVAL ? 0.8 : 1.0;
    c.vessel.corner_frac = 0.25;
    c.grid_m = 4e-3;
    c.schedule.max_sessions = outline == EP_OUTLINE_ROUND ? 2 : 1;
    c.n_wicks = l.n;
    memcpy(c.place, l.place, sizeof c.place);
    return c;
}

// x' = a x + b y, y' = c x + d y
static layout moved(layout l, double a, double b, double c, double d)
{
    for (int n = 0; n < l.n; n++) {
        ep_place p = l.place[n];
        l.place[n] = (ep_place){a * p.x_m + b * p.y_m, c * p.x_m + d * p.y_m};
    }
    return l;
}

// how far two burns may be apart: shares, kelvin, metres
typedef struct apart {
    double share, reach, K, m;
} apart;

static const apart ROUNDING = {1e-9, 1e-9, 1e-9, 1e-9};
// soft wax that could slide to either of two equal places takes one of them
static const apart EQUAL = {1e-5, 1e-3, 0.05, 0.2e-3};

// every reading that has no direction of its own, at every sample
static void same_burn(const ep_trace *a, const ep_trace *b, apart most)
{
    candle_books(a);
    candle_books(b);
    assert_int_equal(a->n_samples, b->n_samples);
    check_rel(b->fill_kg, a->fill_kg, 1e-12);
    for (int n = 0; n < a->n_samples; n++) {
        const ep_sample *p = &a->sample[n], *q = &b->sample[n];
        check_rel(q->left_kg, p->left_kg, most.share);
        check_rel(q->rate_kg_s, p->rate_kg_s, most.share);
        check_rel(q->flame_m, p->flame_m, most.share);
        check_near(q->reach_frac, p->reach_frac, most.reach);
        check_near(q->pool_width_m, p->pool_width_m, most.m);
        check_near(q->depth_axis_m, p->depth_axis_m, most.m);
        check_near(q->wall_max_C, p->wall_max_C, most.K);
        check_near(q->pool_wick_C, p->pool_wick_C, most.K);
        check_near(q->hangup_kg, p->hangup_kg, most.share * p->left_kg);
    }
}

static void compare(ep_outline outline, layout l, layout other, apart most)
{
    ep_burn_case c = jar_of(outline, l), d = jar_of(outline, other);
    ep_trace *a = candle_burn(&c), *b = candle_burn(&d);
    same_burn(a, b, most);
    ep_trace_destroy(a);
    ep_trace_destroy(b);
}

static void mirrors(void **state)
{
    (void)state;
    const ep_outline outline[] = {EP_OUTLINE_ROUND, EP_OUTLINE_RECT, EP_OUTLINE_OVAL};
    for (int o = 0; o < 3; o++) {
        compare(outline[o], LOPSIDED, moved(LOPSIDED, -1.0, 0.0, 0.0, 1.0), ROUNDING);
        compare(outline[o], LOPSIDED, moved(LOPSIDED, 1.0, 0.0, 0.0, -1.0), ROUNDING);
        compare(outline[o], LOPSIDED, moved(LOPSIDED, -1.0, 0.0, 0.0, -1.0), ROUNDING);
    }
}

static void quarter_turns(void **state)
{
    (void)state;
    compare(EP_OUTLINE_ROUND, LOPSIDED, moved(LOPSIDED, 0.0, -1.0, 1.0, 0.0), ROUNDING);
    compare(EP_OUTLINE_RECT, LOPSIDED, moved(LOPSIDED, 0.0, -1.0, 1.0, 0.0), ROUNDING);
    compare(EP_OUTLINE_RECT, LOPSIDED, moved(LOPSIDED, 0.0, 1.0, -1.0, 0.0), ROUNDING);
}

// readings "at the first wick" are the same whichever of three or four alike is named first: they
// share heat and wax equally
static void first_named(void **state)
{
    (void)state;
    const layout four = {
        4, {{0.0193, 0.0217}, {-0.0217, 0.0193}, {-0.0193, -0.0217}, {0.0217, -0.0193}}};
    const layout after = {
        4, {{-0.0193, -0.0217}, {0.0217, -0.0193}, {0.0193, 0.0217}, {-0.0217, 0.0193}}};
    const layout turned = {
        4, {{-0.0217, 0.0193}, {-0.0193, -0.0217}, {0.0217, -0.0193}, {0.0193, 0.0217}}};
    compare(EP_OUTLINE_ROUND, four, after, EQUAL);
    compare(EP_OUTLINE_RECT, four, turned, EQUAL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(mirrors), cmocka_unit_test(quarter_turns),
                                       cmocka_unit_test(first_named)};
    return cmocka_run_group_tests_name("symmetry", tests, NULL, NULL);
}
