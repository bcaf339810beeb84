// Geometry of round vessels: closed forms, laws, a legal measure, every refusal.
#include "base/rng.h"
#include "vessel/vessel.h"

#include "../base/check.h"

static const double pi = 3.14159265358979323846;

static ep_vessel tapered(double d0_m, double d1_m, double height_m)
{
    ep_vessel v = ep_vessel_straight(d0_m, height_m, 0.003, 0.005);
    v.station[1].inner_diameter_m = d1_m;
    return v;
}

// stations and diameters drawn at random within what the check allows
static ep_vessel random_vessel(ep_rng *r)
{
    ep_vessel v = {.wall_m = 0.003, .base_m = 0.005};
    v.n_stations = 2 + (int)(ep_rng_uniform(r) * 31.0);
    double h_m = 0.0;
    for (int i = 0; i < v.n_stations; i++) {
        v.station[i].height_m = h_m;
        v.station[i].inner_diameter_m = 0.015 + 0.385 * ep_rng_uniform(r);
        // now and then a hair of a taper, where the closed form of the inverse is 0/0
        if (i > 0 && ep_rng_uniform(r) < 0.3) {
            v.station[i].inner_diameter_m =
                fmin(v.station[i - 1].inner_diameter_m * (1.0 + 1e-9 * ep_rng_normal(r)), 0.4);
        }
        h_m += 0.0002 + 0.0118 * ep_rng_uniform(r);
    }
    if (ep_vessel_height_m(&v) < EP_VESSEL_H_MIN_M) {
        v.station[v.n_stations - 1].height_m = EP_VESSEL_H_MIN_M;
    }
    return v;
}

// The bushel: NIST Handbook 44 App. C gives 2150.42 cubic inches; the Winchester bushel is by
// statute a cylinder 18 1/2 in wide and 8 in deep (from memory). The wine gallon of 231 cubic
// inches: 7 in wide, 6 in deep, with the pi of its day (from memory).
static void legal_measures(void **state)
{
    (void)state;
    const double in_m = 0.0254, in3_m3 = in_m * in_m * in_m;
    ep_vessel bushel = ep_vessel_straight(18.5 * in_m, 8.0 * in_m, 0.01, 0.01);
    check_near(ep_vessel_volume_m3(&bushel, 8.0 * in_m) / in3_m3, 2150.42, 0.005);
    ep_vessel gallon = ep_vessel_straight(7.0 * in_m, 6.0 * in_m, 0.003, 0.003);
    check_near(ep_vessel_volume_m3(&gallon, 6.0 * in_m) / in3_m3, 231.0 * pi / (22.0 / 7.0), 1e-9);
}

static void equal_radii_make_a_cylinder(void **state)
{
    (void)state;
    ep_vessel v = tapered(0.07, 0.07, 0.09);
    for (double h_m = 0.0; h_m <= 0.09; h_m += 0.0037) {
        check_rel(ep_vessel_volume_m3(&v, h_m), pi * 0.035 * 0.035 * h_m, 1e-15);
        check_rel(ep_vessel_wall_area_m2(&v, h_m), pi * 0.07 * h_m, 1e-15);
        check_rel(ep_vessel_area_m2(&v, h_m), pi * 0.035 * 0.035, 1e-15);
    }
    // and a vanishing taper tends to it
    ep_vessel almost = tapered(0.07, 0.07 * (1.0 + 1e-12), 0.09);
    check_rel(ep_vessel_volume_m3(&almost, 0.09), ep_vessel_volume_m3(&v, 0.09), 1e-11);
}

// closed form: a frustum is a cone less the cone cut off its tip
static void cone_closed_form(void **state)
{
    (void)state;
    double r0_m = 0.02, r1_m = 0.045, h_m = 0.1;
    ep_vessel v = tapered(2.0 * r0_m, 2.0 * r1_m, h_m);
    double apex_m = h_m * r0_m / (r1_m - r0_m);  // depth of the tip below the floor
    for (double x_m = 0.01; x_m <= h_m; x_m += 0.01) {
        double r_m = r0_m + (r1_m - r0_m) * x_m / h_m;
        double want_m3 = pi / 3.0 * (r_m * r_m * (apex_m + x_m) - r0_m * r0_m * apex_m);
        check_rel(ep_vessel_volume_m3(&v, x_m), want_m3, 1e-14);
        // lateral area of a cone is pi r times its slant
        double want_m2 = pi * (r_m * hypot(r_m, apex_m + x_m) - r0_m * hypot(r0_m, apex_m));
        check_rel(ep_vessel_wall_area_m2(&v, x_m), want_m2, 1e-14);
        check_rel(ep_vessel_radius_m(&v, x_m), r_m, 1e-14);
    }
}

// a zone of a sphere cut into frusta: error falls by four when the steps halve (closed form
// V = pi h (3a^2 + 3b^2 + h^2) / 6)
static double zone_error(int steps)
{
    const double R_m = 0.05, z0_m = -0.03, z1_m = 0.03;
    ep_vessel v = {.n_stations = steps + 1, .wall_m = 0.003, .base_m = 0.003};
    for (int i = 0; i <= steps; i++) {
        double h_m = (z1_m - z0_m) * i / steps;
        double z_m = z0_m + h_m;
        v.station[i] = (ep_station){h_m, 2.0 * sqrt(R_m * R_m - z_m * z_m)};
    }
    double a2_m2 = R_m * R_m - z0_m * z0_m, h_m = z1_m - z0_m;
    double want_m3 = pi * h_m * (6.0 * a2_m2 + h_m * h_m) / 6.0;
    return 1.0 - ep_vessel_volume_m3(&v, h_m) / want_m3;
}

static void sphere_is_approached_with_order_two(void **state)
{
    (void)state;
    for (int steps = 4; steps <= 15; steps++) {
        double order = log2(zone_error(steps) / zone_error(2 * steps));
        check_near(order, 2.0, 0.03);
    }
    assert_true(zone_error(31) > 0.0 && zone_error(31) < 4e-4);  // chords lie inside the sphere
}

static void volume_and_back(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(11, 0);
    for (int n = 0; n < 2000; n++) {
        ep_vessel v = random_vessel(&r);
        ep_err err = {0};
        if (ep_vessel_check(&v, &err) != EP_OK) {
            fail_msg("%s", err.text);
        }
        double brim_m = ep_vessel_height_m(&v), full_m3 = ep_vessel_volume_m3(&v, brim_m);
        for (int k = 0; k <= 10; k++) {
            double want_m3 = k == 10 ? full_m3 : full_m3 * ep_rng_uniform(&r);
            double h_m = 999.0;
            assert_int_equal(ep_vessel_height_of(&v, want_m3, &h_m, NULL), EP_OK);
            check_near(ep_vessel_volume_m3(&v, h_m), want_m3, 1e-12 * full_m3);

            double x_m = brim_m * ep_rng_uniform(&r);
            assert_int_equal(ep_vessel_height_of(&v, ep_vessel_volume_m3(&v, x_m), &h_m, NULL),
                             EP_OK);
            // in a neck a rounding of the whole volume is a larger step of height
            double neck = full_m3 / (ep_vessel_area_m2(&v, x_m) * brim_m);
            check_near(h_m, x_m, 1e-12 * brim_m * fmax(1.0, neck / 100.0));
        }
    }
}

// the inverse does not lose digits as the taper goes to nothing (closed form / series seam)
static void faint_tapers_invert(void **state)
{
    (void)state;
    for (double taper = 1e-16; taper < 0.5; taper *= 1.7) {
        for (int sign = -1; sign <= 1; sign += 2) {
            ep_vessel v = tapered(0.07, 0.07 * (1.0 + sign * taper), 0.09);
            for (double x_m = 1e-6; x_m < 0.09; x_m *= 2.3) {
                double h_m = 999.0;
                ep_vessel_height_of(&v, ep_vessel_volume_m3(&v, x_m), &h_m, NULL);
                check_near(h_m, x_m, 1e-14 * 0.09);
            }
        }
    }
}

// Simpson's rule is exact for the squared radius of a straight wall: an independent integral
static void volume_is_the_integral_of_area(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(12, 0);
    for (int n = 0; n < 200; n++) {
        ep_vessel v = random_vessel(&r);
        double sum_m3 = 0.0, slant_m2 = 0.0;
        for (int i = 0; i + 1 < v.n_stations; i++) {
            double a_m = v.station[i].height_m, b_m = v.station[i + 1].height_m;
            sum_m3 += (b_m - a_m) / 6.0 *
                      (ep_vessel_area_m2(&v, a_m) + 4.0 * ep_vessel_area_m2(&v, 0.5 * (a_m + b_m)) +
                       ep_vessel_area_m2(&v, b_m));
            double dr_m = ep_vessel_radius_m(&v, b_m) - ep_vessel_radius_m(&v, a_m);
            slant_m2 +=
                2.0 * pi * ep_vessel_radius_m(&v, 0.5 * (a_m + b_m)) * hypot(b_m - a_m, dr_m);
            check_rel(ep_vessel_volume_m3(&v, b_m), sum_m3, 1e-13);
            check_rel(ep_vessel_wall_area_m2(&v, b_m), slant_m2, 1e-13);
        }
    }
}

static void more_height_holds_more(void **state)
{
    (void)state;
    ep_rng r = ep_rng_make(13, 0);
    for (int n = 0; n < 200; n++) {
        ep_vessel v = random_vessel(&r);
        double brim_m = ep_vessel_height_m(&v), last_m3 = -1.0, last_m2 = -1.0;
        for (int k = 0; k <= 64; k++) {
            double h_m = brim_m * k / 64.0;
            double lo_m, hi_m;
            ep_vessel_width_range_m(&v, h_m, &lo_m, &hi_m);
            double d_m = 2.0 * ep_vessel_radius_m(&v, h_m);
            assert_true(lo_m <= d_m && d_m <= hi_m);
            double now_m3 = ep_vessel_volume_m3(&v, h_m), now_m2 = ep_vessel_wall_area_m2(&v, h_m);
            assert_true(now_m3 > last_m3 && now_m2 > last_m2);
            // between the cylinders of its narrowest and widest diameter
            assert_true(now_m3 >= pi / 4.0 * lo_m * lo_m * h_m * (1.0 - 1e-13));
            assert_true(now_m3 <= pi / 4.0 * hi_m * hi_m * h_m * (1.0 + 1e-13));
            last_m3 = now_m3;
            last_m2 = now_m2;
        }
    }
}

static void heights_are_clamped(void **state)
{
    (void)state;
    ep_vessel v = tapered(0.06, 0.08, 0.1);
    assert_true(ep_vessel_volume_m3(&v, -1.0) == 0.0);
    assert_true(ep_vessel_volume_m3(&v, (double)NAN) == 0.0);
    assert_true(ep_vessel_volume_m3(&v, 5.0) == ep_vessel_volume_m3(&v, 0.1));
    assert_true(ep_vessel_wall_area_m2(&v, -1.0) == 0.0);
    check_near(ep_vessel_radius_m(&v, -1.0), 0.03, 0.0);
    check_near(ep_vessel_radius_m(&v, 5.0), 0.04, 0.0);
    check_near(ep_vessel_area_m2(&v, 5.0), pi * 0.04 * 0.04, 1e-18);
}

static void width_of_a_waisted_jar(void **state)
{
    (void)state;
    ep_vessel v = {.n_stations = 3,
                   .station = {{0.0, 0.08}, {0.05, 0.06}, {0.1, 0.09}},
                   .wall_m = 0.003,
                   .base_m = 0.005};
    double lo_m, hi_m;
    ep_vessel_width_range_m(&v, 0.025, &lo_m, &hi_m);
    check_near(lo_m, 0.07, 1e-15);
    check_near(hi_m, 0.08, 0.0);
    ep_vessel_width_range_m(&v, 0.1, &lo_m, &hi_m);
    check_near(lo_m, 0.06, 0.0);
    check_near(hi_m, 0.09, 0.0);
    ep_vessel_width_range_m(&v, 0.0, &lo_m, &hi_m);
    check_near(lo_m, 0.08, 0.0);
    check_near(hi_m, 0.08, 0.0);
}

static void refused(const ep_vessel *v, const char *field, const char *value, const char *range)
{
    ep_err err = {0};
    assert_int_equal(ep_vessel_check(v, &err), EP_E_ARG);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, value);
    check_has(err.text, range);
}

static void refusals(void **state)
{
    (void)state;
    const ep_vessel good = ep_vessel_straight(0.07, 0.09, 0.003, 0.005);
    assert_int_equal(ep_vessel_check(&good, NULL), EP_OK);

    ep_vessel v = good;
    v.n_stations = 1;
    refused(&v, "profile", "1 stations", "2 to 32");
    v.n_stations = 33;
    refused(&v, "profile", "33 stations", "2 to 32");
    v = tapered(0.07, 0.0149, 0.09);
    refused(&v, "profile", "station 2 has an inner diameter of 14.9 mm", "15 mm to 400 mm");
    v = tapered(0.401, 0.07, 0.09);
    refused(&v, "profile", "station 1 has an inner diameter of 401 mm", "15 mm to 400 mm");
    v = tapered((double)NAN, 0.07, 0.09);
    refused(&v, "profile", "not a number", "15 mm to 400 mm");
    v = tapered(0.07, 0.07, 0.0099);
    refused(&v, "profile", "height above the floor of 9.9 mm", "10 mm to 400 mm");
    v = tapered(0.07, 0.07, 0.41);
    refused(&v, "profile", "height above the floor of 410 mm", "400 mm");
    v = good;
    v.station[0].height_m = 0.001;
    refused(&v, "profile", "station 1 has a height (the inner floor) of 1 mm", "0 mm");
    v = good;
    v.n_stations = 3;
    v.station[2] = (ep_station){0.09, 0.07};  // same height as the one below
    refused(&v, "profile", "station 3 has a height above the floor of 90 mm", "90.1 mm to 400 mm");
    v.station[1].height_m = 0.4;  // the highest place, with another station to come
    refused(&v, "profile", "station 2 has a height above the floor of 400 mm",
            "0.1 mm to 399.9 mm");
    v.station[1].height_m = 0.3999;
    v.station[2].height_m = 0.4;
    assert_int_equal(ep_vessel_check(&v, NULL), EP_OK);
    v = ep_vessel_straight(0.07, 0.09, 0.00005, 0.005);
    refused(&v, "wall", "0.05 mm", "0.1 mm to 30 mm");
    v = ep_vessel_straight(0.07, 0.09, 0.003, 0.031);
    refused(&v, "base", "31 mm", "0.1 mm to 30 mm");
    v = ep_vessel_straight(0.07, 0.09, 0.003, (double)INFINITY);
    refused(&v, "base", "infinity", "0.1 mm to 30 mm");
}

static void volumes_that_do_not_fit(void **state)
{
    (void)state;
    ep_vessel v = ep_vessel_straight(0.07, 0.09, 0.003, 0.005);
    const double bad[] = {-1e-9, 400e-6, (double)NAN};
    for (int i = 0; i < 3; i++) {
        double h_m = 999.0;
        ep_err err = {0};
        assert_int_equal(ep_vessel_height_of(&v, bad[i], &h_m, &err), EP_E_ARG);
        assert_true(h_m == 999.0);
        assert_string_equal(err.field, "volume");
        check_has(err.text, "0 ml to 346.361 ml");
    }
}

// rows of any thickness hold together what the vessel holds, shoulders between rows or in them
static void slices_add_up(void **state)
{
    (void)state;
    ep_vessel shoulder = {.n_stations = 4, .wall_m = 0.003, .base_m = 0.005};
    shoulder.station[0] = (ep_station){0.0, 0.09};
    shoulder.station[1] = (ep_station){0.04, 0.09};
    shoulder.station[2] = (ep_station){0.0401, 0.04};
    shoulder.station[3] = (ep_station){0.06, 0.04};
    ep_rng r = ep_rng_make(18, 1);
    for (int n = 0; n < 300; n++) {
        ep_vessel v = n == 0 ? shoulder : random_vessel(&r);
        v.outline = (ep_outline)(n % 3);
        v.across_frac = 0.7;
        v.corner_frac = 0.4;
        const double brim_m = ep_vessel_height_m(&v);
        const int rows = 1 + (int)(60.0 * ep_rng_uniform(&r));
        double sum_m3 = 0.0;
        for (int k = 0; k < rows; k++) {
            double low_m = brim_m * k / rows, high_m = brim_m * (k + 1) / rows;
            sum_m3 += ep_vessel_mean_area_m2(&v, low_m, high_m) * (high_m - low_m);
            check_rel(sum_m3, ep_vessel_volume_m3(&v, high_m), 1e-12);
        }
    }
    // by hand: 2 mm of 90 mm, the shoulder of 0.1 mm, 1.9 mm of 40 mm
    double cone_mm3 = pi / 3.0 * 0.1 * (45.0 * 45.0 + 45.0 * 20.0 + 20.0 * 20.0);
    double want_mm3 = pi * (2.0 * 45.0 * 45.0 + 1.9 * 20.0 * 20.0) + cone_mm3;
    check_rel(ep_vessel_mean_area_m2(&shoulder, 0.038, 0.042), want_mm3 / 4.0 * 1e-6, 1e-12);
    check_rel(ep_vessel_mean_area_m2(&shoulder, 0.042, 0.038), want_mm3 / 4.0 * 1e-6, 1e-12);
    // beyond floor and brim there is nothing to add
    check_rel(ep_vessel_mean_area_m2(&shoulder, 0.05, 0.9), pi * 4e-4, 1e-12);
    check_rel(ep_vessel_mean_area_m2(&shoulder, 0.07, 0.08), pi * 4e-4, 1e-12);
    check_rel(ep_vessel_mean_area_m2(&shoulder, 0.02, 0.02), pi * 0.045 * 0.045, 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(legal_measures),
        cmocka_unit_test(equal_radii_make_a_cylinder),
        cmocka_unit_test(cone_closed_form),
        cmocka_unit_test(sphere_is_approached_with_order_two),
        cmocka_unit_test(volume_and_back),
        cmocka_unit_test(faint_tapers_invert),
        cmocka_unit_test(volume_is_the_integral_of_area),
        cmocka_unit_test(more_height_holds_more),
        cmocka_unit_test(slices_add_up),
        cmocka_unit_test(heights_are_clamped),
        cmocka_unit_test(width_of_a_waisted_jar),
        cmocka_unit_test(refusals),
        cmocka_unit_test(volumes_that_do_not_fit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
