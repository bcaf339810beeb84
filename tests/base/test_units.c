// Conversion of units against the definitions printed in the standards.
#include "base/units.h"

#include "check.h"

static double si(ep_unit unit)
{
    return ep_unit_to_si(unit, 1.0);
}

// NIST Handbook 44 (2024) Appendix C, "exact" relations; NIST SP 811 (2008) Appendix B.8
static void handbook_44_and_sp_811(void **state)
{
    (void)state;
    check_rel(si(EP_U_IN), 25.4e-3, 1e-15);                 // inch = 25.4 mm exactly
    check_rel(si(EP_U_US_FL_OZ), 29.5735295625e-6, 1e-12);  // US fluid ounce
    check_rel(si(EP_U_US_FL_OZ), 2.957353e-5, 5e-7);        // as SP 811 prints it
    check_rel(si(EP_U_IMP_FL_OZ), 28.4130625e-6, 1e-12);    // British fluid ounce
    check_rel(si(EP_U_OZ), 28.349523125e-3, 1e-12);         // avoirdupois ounce
    check_rel(si(EP_U_LB), 453.59237e-3, 1e-15);            // avoirdupois pound
    // relations that hold between them: 16 oz = 1 lb; 128 US fl oz = 231 cubic inches
    check_rel(16.0 * si(EP_U_OZ), si(EP_U_LB), 1e-15);
    double cubic_inch = si(EP_U_IN) * si(EP_U_IN) * si(EP_U_IN);
    check_rel(cubic_inch, 16.387064e-6, 1e-14);
    check_rel(128.0 * si(EP_U_US_FL_OZ), 231.0 * cubic_inch, 1e-14);
    // US liquid pint 473.176473 ml; imperial pint 568.26125 ml of 20 fl oz
    check_rel(16.0 * si(EP_U_US_FL_OZ), 473.176473e-6, 1e-14);
    check_rel(20.0 * si(EP_U_IMP_FL_OZ), 568.26125e-6, 1e-14);
}

// ASTM D2260 Table 1: (g/m) x (yd/lb) = 496.055 as printed; 453.59237 / 0.9144 in full
static void yards_per_pound(void **state)
{
    (void)state;
    for (double yd_lb = 50.0; yd_lb < 5000.0; yd_lb *= 1.7) {
        double g_m = ep_unit_from_si(EP_U_G_M, ep_unit_to_si(EP_U_YD_PER_LB, yd_lb));
        check_rel(g_m * yd_lb, 496.054648, 1e-9);
        check_rel(g_m * yd_lb, 496.055, 1e-6);
    }
    check_rel(ep_unit_from_si(EP_U_TEX, 1.0e-3), 1000.0, 1e-15);  // tex = g/km, ISO 1144
}

// SP 811 App. B.8: t/C = (t/F - 32) / 1.8; T/K = t/C + 273.15. Fixed points of the two scales.
static void temperatures(void **state)
{
    (void)state;
    const struct {
        double f, c;
    } same[] = {{32, 0}, {212, 100}, {-40, -40}, {185, 85}, {98.6, 37}, {140, 60}};
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        check_near(ep_unit_to_si(EP_U_DEG_F, same[i].f), same[i].c + 273.15, 1e-12);
        check_near(ep_unit_from_si(EP_U_DEG_C, ep_unit_to_si(EP_U_DEG_F, same[i].f)), same[i].c,
                   1e-12);
    }
    check_near(ep_unit_to_si(EP_U_DEG_F, -459.67), 0.0, 1e-12);  // absolute zero
    check_rel(ep_unit_to_si(EP_U_DF, 9.0), 5.0, 1e-15);          // a difference has no offset
}

static void decimal_prefixes(void **state)
{
    (void)state;
    // the double nearest the decimal, not one rounding away
    assert_true(ep_unit_to_si(EP_U_MM, 12.5) == 0.0125);
    assert_true(ep_unit_to_si(EP_U_G, 0.1) == 0.0001);
    assert_true(ep_unit_to_si(EP_U_PCT, 7.0) == 0.07);
    assert_true(ep_unit_to_si(EP_U_ML, 237.0) == 0.000237);
    check_rel(si(EP_U_H), 3600.0, 0.0);
    check_rel(si(EP_U_D), 24.0 * si(EP_U_H), 0.0);
    check_rel(si(EP_U_MJ_KG), 1e6, 0.0);
    check_rel(si(EP_U_MICRO_PER_K), 1e-6, 1e-15);
}

static void there_and_back(void **state)
{
    (void)state;
    for (int u = 0; u < EP_U_COUNT_; u++) {
        for (double v = 0.0137; v < 1e5; v *= 7.3) {
            double back = ep_unit_from_si((ep_unit)u, ep_unit_to_si((ep_unit)u, v));
            check_near(back, v, 1e-13 * (v + 273.15));
        }
    }
}

static void symbols_find_their_unit(void **state)
{
    (void)state;
    for (int u = 0; u < EP_U_COUNT_; u++) {
        const char *symbol = ep_unit_symbol((ep_unit)u);
        ep_unit found = EP_U_NONE;
        if (symbol[0] != '\0') {
            assert_true(ep_unit_find(ep_unit_dim((ep_unit)u), symbol, &found));
            assert_int_equal(found, u);
        }
    }
}

static void spellings(void **state)
{
    (void)state;
    const struct {
        ep_dim dim;
        const char *text;
        ep_unit unit;
    } same[] = {
        {EP_DIM_LENGTH, "INCHES", EP_U_IN},
        {EP_DIM_LENGTH, "\"", EP_U_IN},
        {EP_DIM_LENGTH, "in.", EP_U_IN},
        {EP_DIM_LENGTH, "\xC2\xB5m", EP_U_UM},
        {EP_DIM_MASS, "Lbs", EP_U_LB},
        {EP_DIM_VOLUME, "fl. oz", EP_U_US_FL_OZ},
        {EP_DIM_VOLUME, "FL OZ", EP_U_US_FL_OZ},
        {EP_DIM_VOLUME, "uk fl oz", EP_U_IMP_FL_OZ},
        {EP_DIM_VOLUME, "mL", EP_U_ML},
        {EP_DIM_TEMPERATURE,
         "\xC2\xB0"
         "F",
         EP_U_DEG_F},
        {EP_DIM_TEMPERATURE, "deg c", EP_U_DEG_C},
        {EP_DIM_CONDUCTIVITY, "W/(m K)", EP_U_W_MK},
        {EP_DIM_DENSITY, "kg/m\xC2\xB3", EP_U_KG_M3},
        {EP_DIM_TEMP_DIFF, "C", EP_U_DK},
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        ep_unit found = EP_U_NONE;
        assert_true(ep_unit_find(same[i].dim, same[i].text, &found));
        assert_int_equal(found, same[i].unit);
    }
    ep_unit found = EP_U_M;
    assert_false(ep_unit_find(EP_DIM_LENGTH, "kg", &found));
    assert_false(ep_unit_find(EP_DIM_MASS, "oz/lb", &found));
    assert_false(ep_unit_find(EP_DIM_MASS, "", &found));
    assert_false(ep_unit_find(EP_DIM_MASS, "\xFF", &found));
    assert_int_equal(found, EP_U_M);
}

static void lists_of_units(void **state)
{
    (void)state;
    char buf[64];
    assert_string_equal(ep_dim_units(EP_DIM_LENGTH, buf, sizeof buf), "m, mm, cm, um, in");
    assert_string_equal(ep_dim_units(EP_DIM_NONE, buf, sizeof buf), "");
    assert_string_equal(ep_dim_units(EP_DIM_LENGTH, buf, 8), "m, mm");  // whole symbols only
    for (int d = 0; d < EP_DIM_COUNT_; d++) {
        assert_true(strlen(ep_dim_name((ep_dim)d)) > 2);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(handbook_44_and_sp_811),
        cmocka_unit_test(yards_per_pound),
        cmocka_unit_test(temperatures),
        cmocka_unit_test(decimal_prefixes),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(symbols_find_their_unit),
        cmocka_unit_test(spellings),
        cmocka_unit_test(lists_of_units),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
