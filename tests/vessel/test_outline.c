// Plans seen from above: area, perimeter and distance to the wall against sums over a fine wall.
#include "base/rng.h"
#include "vessel/vessel.h"

#include "../base/check.h"

static const double pi = 3.14159265358979323846;

static ep_vessel plan_of(ep_outline outline, double long_m, double short_m, double corner_frac)
{
    ep_vessel v = ep_vessel_straight(long_m, 0.08, 0.003, 0.005);
    v.outline = outline;
    v.across_frac = short_m / long_m;
    v.corner_frac = corner_frac;
    return v;
}

static double gap_mm(const ep_vessel *v, double x_mm, double y_mm)
{
    return 1e3 * ep_vessel_gap_m(v, 0.04, 1e-3 * x_mm, 1e-3 * y_mm);
}

// A point of the wall in the quarter x, y >= 0, turn 0..1. Both outlines are an arc of half axes
// (p, q) about (a - p, b - q), with straight pieces to the axes; an oval is all arc.
static void wall_at(const ep_vessel *v, double turn, double *x_m, double *y_m)
{
    double a_m = ep_vessel_radius_m(v, 0.04), b_m = ep_vessel_across_m(v, a_m);
    bool oval = v->outline == EP_OUTLINE_OVAL;
    double p_m = oval ? a_m : v->corner_frac * b_m, q_m = oval ? b_m : v->corner_frac * b_m;
    double third = oval ? turn : 3.0 * turn - 1.0, at = fmin(fmax(third, 0.0), 1.0) * 0.5 * pi;
    *x_m = a_m - p_m + p_m * cos(at);
    *y_m = b_m - q_m + q_m * sin(at);
    if (third < 0.0) {
        *y_m = (b_m - q_m) * (1.0 + third);
    } else if (third > 1.0) {
        *x_m = (a_m - p_m) * (2.0 - third);
    }
}

// least distance to the points of a fine wall: above the true one by no more than step^2/(8 gap)
static double nearest_by_force_m(const ep_vessel *v, double x_m, double y_m)
{
    enum { STEPS = 60000 };
    double best_m = (double)INFINITY;
    for (int i = 0; i <= STEPS; i++) {
        double wall_x_m, wall_y_m;
        wall_at(v, (double)i / STEPS, &wall_x_m, &wall_y_m);
        best_m = fmin(best_m, hypot(wall_x_m - fabs(x_m), wall_y_m - fabs(y_m)));
    }
    return best_m;
}

static const struct {
    ep_outline outline;
    double long_mm, short_mm, corner_frac;
} PLAN[] = {
    {EP_OUTLINE_OVAL, 140.0, 40.0, 0.0},  {EP_OUTLINE_OVAL, 100.0, 25.0, 0.0},
    {EP_OUTLINE_OVAL, 100.0, 60.0, 0.0},  {EP_OUTLINE_OVAL, 100.0, 99.99, 0.0},
    {EP_OUTLINE_OVAL, 100.0, 100.0, 0.0}, {EP_OUTLINE_RECT, 120.0, 70.0, 0.3},
    {EP_OUTLINE_RECT, 120.0, 30.0, 0.0},  {EP_OUTLINE_RECT, 100.0, 100.0, 1.0},
};
enum { PLANS = sizeof PLAN / sizeof *PLAN };

static ep_vessel plan_number(int i)
{
    return plan_of(PLAN[i].outline, 1e-3 * PLAN[i].long_mm, 1e-3 * PLAN[i].short_mm,
                   PLAN[i].corner_frac);
}

// closed form: on the long axis of an oval, at |x| <= c^2/a with c^2 = a^2 - b^2, the nearest wall
// is b sqrt(1 - x^2/c^2) away, beside the point and not at the end
static void ovals_on_their_axes(void **state)
{
    (void)state;
    ep_vessel v = plan_of(EP_OUTLINE_OVAL, 0.140, 0.040, 0.0);
    check_near(gap_mm(&v, 35.0, 0.0), 20.0 * sqrt(1.0 - 35.0 * 35.0 / 4500.0), 1e-12);
    check_near(gap_mm(&v, -35.0, 0.0), 17.06, 0.01);
    check_near(gap_mm(&v, 67.0, 0.0), 3.0, 1e-12);  // beyond 4500/70 = 64.3 mm the end is nearest
    check_near(gap_mm(&v, 4500.0 / 70.0, 0.0), 400.0 / 70.0, 1e-6);  // its radius of curvature
    check_near(gap_mm(&v, 0.0, 5.0), 15.0, 1e-12);
    check_near(gap_mm(&v, 0.0, 0.0), 20.0, 1e-12);
    check_near(gap_mm(&v, 75.0, 0.0), -5.0, 1e-12);
    check_near(gap_mm(&v, 0.0, -23.0), -3.0, 1e-12);
    v = plan_of(EP_OUTLINE_OVAL, 0.120, 0.050, 0.0);
    check_near(gap_mm(&v, 30.0, 0.0), 20.9, 0.03);
    v = plan_of(EP_OUTLINE_OVAL, 0.100, 0.025, 0.0);
    check_near(gap_mm(&v, 44.9, 0.0), 4.7, 0.03);
}

static void a_hair_off_the_axis_is_no_jump(void **state)
{
    (void)state;
    ep_vessel v = plan_of(EP_OUTLINE_OVAL, 0.140, 0.040, 0.0);
    for (double x_mm = 0.0; x_mm <= 70.0; x_mm += 0.7) {
        for (double y_mm = 1e-310; y_mm < 1e-3; y_mm *= 100.0) {
            check_near(gap_mm(&v, x_mm, y_mm), gap_mm(&v, x_mm, 0.0), y_mm + 1e-12);
        }
    }
}

static void nearest_wall_by_force(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(5, 1);
    for (int i = 0; i < PLANS; i++) {
        ep_vessel v = plan_number(i);
        for (int n = 0; n < 60; n++) {
            double x_m = 0.08 * (2.0 * ep_rng_uniform(&r) - 1.0);
            double y_m = 0.07 * (2.0 * ep_rng_uniform(&r) - 1.0);
            double gap_m = ep_vessel_gap_m(&v, 0.04, x_m, y_m);
            check_near(fabs(gap_m), nearest_by_force_m(&v, x_m, y_m), 3e-6);
        }
    }
}

// positive inside, negative outside, nought on the wall
static void the_wall_is_where_the_sign_changes(void **state)
{
    (void)state;
    for (int i = 0; i < PLANS; i++) {
        ep_vessel v = plan_number(i);
        for (int n = 0; n <= 300; n++) {
            double x_m, y_m;
            wall_at(&v, n / 300.0, &x_m, &y_m);
            check_near(ep_vessel_gap_m(&v, 0.04, x_m, y_m), 0.0, 1e-15);
            assert_true(ep_vessel_gap_m(&v, 0.04, 0.999 * x_m, 0.999 * y_m) > 0.0);
            assert_true(ep_vessel_gap_m(&v, 0.04, 1.001 * x_m, 1.001 * y_m) < 0.0);
        }
    }
}

// a distance cannot change by more than the move
static void a_move_changes_no_more_than_itself(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(7, 1);
    for (int n = 0; n < 40000; n++) {
        ep_vessel v = plan_number(n % PLANS);
        double x_m = 0.08 * ep_rng_uniform(&r), y_m = 0.06 * ep_rng_uniform(&r);
        double reach_m = pow(10.0, -2.0 - 7.0 * ep_rng_uniform(&r));
        double dx_m = reach_m * ep_rng_normal(&r), dy_m = reach_m * ep_rng_normal(&r);
        double change_m =
            ep_vessel_gap_m(&v, 0.04, x_m + dx_m, y_m + dy_m) - ep_vessel_gap_m(&v, 0.04, x_m, y_m);
        assert_true(fabs(change_m) <= hypot(dx_m, dy_m) + 1e-15);
    }
    ep_vessel v = plan_of(EP_OUTLINE_OVAL, 0.100, 0.060, 0.0);
    assert_true(gap_mm(&v, 5.0, 0.0) < gap_mm(&v, 0.0, 0.0));
}

static void equal_axes_make_a_circle(void **state)
{
    (void)state;
    ep_vessel round = ep_vessel_straight(0.1, 0.08, 0.003, 0.005);
    ep_vessel oval = plan_of(EP_OUTLINE_OVAL, 0.1, 0.1, 0.0);
    ep_vessel rect = plan_of(EP_OUTLINE_RECT, 0.1, 0.1, 1.0);
    for (double x_mm = -60.0; x_mm <= 60.0; x_mm += 6.0) {
        for (double y_mm = -60.0; y_mm <= 60.0; y_mm += 6.0) {
            check_near(gap_mm(&oval, x_mm, y_mm), gap_mm(&round, x_mm, y_mm), 1e-12);
            check_near(gap_mm(&rect, x_mm, y_mm), gap_mm(&round, x_mm, y_mm), 1e-12);
        }
    }
}

static void areas_and_perimeters_by_sum(void **state)
{
    (void)state;
    enum { STEPS = 30000 };
    for (int i = 0; i < PLANS; i++) {
        ep_vessel v = plan_number(i);
        double area_m2 = 0.0, round_m = 0.0, x0_m, y0_m, x1_m, y1_m;
        wall_at(&v, 0.0, &x0_m, &y0_m);
        for (int n = 1; n <= STEPS; n++) {
            wall_at(&v, (double)n / STEPS, &x1_m, &y1_m);
            area_m2 += 2.0 * (x0_m * y1_m - x1_m * y0_m);  // four quarters
            round_m += 4.0 * hypot(x1_m - x0_m, y1_m - y0_m);
            x0_m = x1_m;
            y0_m = y1_m;
        }
        const double long_m = 2.0 * ep_vessel_radius_m(&v, 0.04);
        check_rel(ep_vessel_area_m2(&v, 0.04), area_m2, 1e-7);
        check_rel(ep_vessel_plan_perimeter(&v) * long_m, round_m, 1e-6);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ovals_on_their_axes),
        cmocka_unit_test(a_hair_off_the_axis_is_no_jump),
        cmocka_unit_test(nearest_wall_by_force),
        cmocka_unit_test(the_wall_is_where_the_sign_changes),
        cmocka_unit_test(a_move_changes_no_more_than_itself),
        cmocka_unit_test(equal_axes_make_a_circle),
        cmocka_unit_test(areas_and_perimeters_by_sum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
