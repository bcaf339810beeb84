// The verify door: JSON in, answers out, against the converged table of the cup case.
#include "app/verify.h"
#include "workshop.h"

#ifndef EP_TEST_DIR
#define EP_TEST_DIR "tests/app"
#endif

static char *read_file(const char *name)
{
    char path[512];
    snprintf(path, sizeof path, EP_TEST_DIR "/%s", name);
    json_t *o = json_load_file(path, 0, NULL);
    assert_non_null(o);
    char *text = json_dumps(o, 0);
    json_decref(o);
    return text;
}

static json_t *answer_of(const char *text)
{
    char *out = NULL;
    ep_err err = {0};
    if (ep_verify_run(text, &out, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    json_t *o = json_loads(out, 0, NULL);
    free(out);
    return o;
}

// Converged values of the cup case at 1 to 4 h: finite volumes at 0.125 mm, agreeing within 0.26 %
// with two general finite-element programs (docs/validation.md).
static void the_cup_case_agrees_with_its_converged_table(void **state)
{
    (void)state;
    static const double want[4][4] = {{14.0720, 13.8136, 5.38648, 24.64646},
                                      {15.2215, 16.0869, 7.56523, 26.52627},
                                      {15.7040, 17.1626, 8.71721, 27.35094},
                                      {15.9417, 17.7355, 9.35333, 27.75777}};
    char *text = read_file("cases/cup.json");
    json_t *o = answer_of(text);
    free(text);
    for (int h = 0; h < 4; h++) {
        const json_t *row = json_array_get(at(o, "hours"), (size_t)h);
        assert_near(real_at(row, "hour"), h + 1.0, 0);
        assert_near(real_at(row, "melt_radius_m") * 1e3 / want[h][0], 1.0, 0.004);
        assert_near(real_at(row, "melt_depth_m") * 1e3 / want[h][1], 1.0, 0.004);
        assert_near(real_at(row, "melted_kg") * 1e3 / want[h][2], 1.0, 0.004);
        assert_near((real_at(row, "wall_max_C") - 22.0) / (want[h][3] - 22.0), 1.0, 0.004);
        assert_true(real_at(row, "ledger") < 1e-12);
    }
    assert_true(real_at(o, "seconds") >= 0.0);
    json_decref(o);
}

static void refuse_case(const char *text, ep_status status, const char *field, const char *part)
{
    char *out = NULL;
    ep_err err = {0};
    ep_status got = ep_verify_run(text, &out, &err);
    assert_null(out);
    if (got != status || strcmp(err.field, field) != 0 || !strstr(err.text, part)) {
        fail_msg("wanted %s with “%s”, got %s on %s: %s", field, part, ep_status_name(got),
                 err.field, err.text);
    }
}

static const char PLAIN[] =
    "{\"wax\": {\"radius_m\": %s, \"height_m\": 0.05, \"k_W_mK\": 0.2, \"rho_kg_m3\": 850,"
    " \"cp_J_kgK\": 2200, \"latent_J_kg\": 180000, \"solidus_C\": 50, \"liquidus_C\": %s},"
    " \"film\": {\"top_W_m2K\": 8, \"side_W_m2K\": 8, \"base_W_m2K\": 4, \"ambient_C\": 22},"
    " \"start_C\": 22, \"hours\": %s%s}";

static void bad_cases_are_refused_by_field(void **state)
{
    (void)state;
    char text[1000];
    refuse_case("{", EP_E_PARSE, "", "line 1");
    refuse_case("[1]", EP_E_PARSE, "", "one JSON object");
    snprintf(text, sizeof text, PLAIN, "5", "50", "[1]", "");
    refuse_case(text, EP_E_ARG, "wax.radius_m", "0.002");
    snprintf(text, sizeof text, PLAIN, "0.03", "49", "[1]", "");
    refuse_case(text, EP_E_ARG, "wax.liquidus_C", "50");
    snprintf(text, sizeof text, PLAIN, "0.03", "50", "[2, 1]", "");
    refuse_case(text, EP_E_ARG, "hours", "does not rise");
    snprintf(text, sizeof text, PLAIN, "\"wide\"", "50", "[1]", "");
    refuse_case(text, EP_E_ARG, "wax.radius_m", "number");
    snprintf(text, sizeof text, PLAIN, "0.03", "50", "[1]", ", \"radius\": 3");
    refuse_case(text, EP_E_ARG, "radius", "not a field");
    refuse_case("{\"hours\": [1]}", EP_E_ARG, "wax.radius_m", "missing");
    snprintf(text, sizeof text, PLAIN, "0.03", "50", "[1]", ", \"heat\": {\"x_m\": 0.01}");
    refuse_case(text, EP_E_ARG, "x_m", "not a field");
    snprintf(text, sizeof text, PLAIN, "0.03", "50", "[1]", ", \"wall\": 8");
    refuse_case(text, EP_E_ARG, "wall", "object");
}

// one field of the case of two discs is changed, or taken out
static char *changed_pair(const char *path, json_t *value)
{
    char *text = read_file("cases/pair.json"), group[32];
    json_t *o = json_loads(text, 0, NULL);
    const char *dot = strchr(path, '.');
    snprintf(group, sizeof group, "%.*s", dot ? (int)(dot - path) : 0, path);
    json_t *object = dot ? json_object_get(o, group) : o;
    json_t *into = json_is_array(object) ? json_array_get(object, 1) : object;
    if (value) {
        json_object_set_new(into, dot ? dot + 1 : path, value);
    } else {
        json_object_del(into, dot ? dot + 1 : path);
    }
    free(text);
    text = json_dumps(o, 0);
    json_decref(o);
    return text;
}

static void refuse_pair(const char *path, json_t *value, const char *field, const char *part)
{
    char *text = changed_pair(path, value);
    refuse_case(text, EP_E_ARG, field, part);
    free(text);
}

// a vessel with discs anywhere: read whole, computed, every slip refused by name
static void a_case_in_a_vessel_is_read(void **state)
{
    (void)state;
    char *text = changed_pair("cells_per_mm", json_real(0.5));
    json_t *o = answer_of(text);
    const json_t *row = json_array_get(at(o, "hours"), 1);
    // within some per cent of the finite-element programs (bench/reference/pair.csv) on 2 mm cells
    assert_near(real_at(row, "melted_kg") * 1e3, 3.70, 0.1);
    assert_near(real_at(row, "melt_depth_m") * 1e3, 11.0, 0.4);
    assert_true(real_at(row, "ledger") < 1e-12);
    json_decref(o);
    free(text);
    refuse_pair("wax.radius_m", json_real(0.03), "wax.radius_m", "vessel.length_m");
    refuse_pair("vessel.outline", json_string("star"), "vessel.outline", "oval");
    refuse_pair("vessel.base_m", NULL, "vessel.base_m", "missing");
    refuse_pair("vessel.lid_m", json_real(1.0), "lid_m", "not a field");
    refuse_pair("wall.k_W_mK", NULL, "wall.k_W_mK", "missing");
    refuse_pair("heat.x_m", json_real(0.03), "heat[1].x_m", "0.024");
    refuse_pair("heat.radius_m", json_real(0.004), "radius_m", "not a field");
    refuse_pair("heat", json_pack("[n, n, n, n, n, n, n]"), "heat", "at most 6");
}

// no heat, everything at room temperature: nothing may happen
static void a_case_at_rest_stays_at_rest(void **state)
{
    (void)state;
    char text[1000];
    snprintf(text, sizeof text, PLAIN, "0.03", "50", "[1, 5]", "");
    json_t *o = answer_of(text);
    assert_near(real_at(o, "hours.1.stored_J"), 0.0, 1e-6);
    assert_near(real_at(o, "hours.1.centre_C"), 22.0, 1e-9);
    assert_near(real_at(o, "hours.1.melted_kg"), 0.0, 1e-12);
    json_decref(o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cup_case_agrees_with_its_converged_table),
        cmocka_unit_test(bad_cases_are_refused_by_field),
        cmocka_unit_test(a_case_at_rest_stays_at_rest),
        cmocka_unit_test(a_case_in_a_vessel_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
