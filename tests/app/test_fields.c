// Input against fields: units, ranges, unknown names, lists as text, nothing silently changed.
// Conversions: inch and pound from NIST Handbook 44 App. C, g/m from yd/lb from ASTM D2260 Table 1.
#include "workshop.h"

static const ep_field profile_items[] = {
    F(QUANTITY, "height", .required = true, .unit = EP_U_MM, .min = 0, .max = 400, .label = "h",
      .help = ""),
    F(QUANTITY, "inner_diameter", .required = true, .unit = EP_U_MM, .min = 15, .max = 400,
      .label = "d", .help = ""),
};

static const ep_field size_items[] = {
    F(TEXT, "name", .required = true, .label = "name", .help = ""),
    F(QUANTITY, "linear_density", .required = true, .unit = EP_U_G_M, .min = 0.1, .max = 20,
      .label = "density", .help = ""),
    F(QUANTITY, "width", .unit = EP_U_MM, .min = 0.3, .max = 50, .label = "width", .help = ""),
};

static const ep_field fields[] = {
    F(TEXT, "name", .required = true, .max = 10, .label = "name", .help = ""),
    F(QUANTITY, "wall", .unit = EP_U_MM, .min = 0.1, .max = 30, .label = "wall", .help = ""),
    F(QUANTITY, "water_temp", .unit = EP_U_DEG_C, .min = 0, .max = 40, .label = "t", .help = ""),
    F(INT, "candles", .min = 1, .max = 500, .label = "candles", .help = ""),
    F(BOOL, "archived", .label = "archived", .help = ""),
    F(CHOICE, "basis", .choices = "of_wax|of_total", .label = "basis", .help = ""),
    F(TIME, "at", .label = "at", .help = ""),
    F(LIST, "profile", .min = 2, .max = 32, F_ITEMS(profile_items), .label = "profile", .help = ""),
    F(LIST, "sizes", .max = 24, F_ITEMS(size_items), .label = "sizes", .help = ""),
    F(LIST, "lots", .label = "lots", .help = ""),
    F(OBJECT, "masses", .unit = EP_U_G, .min = 1, .max = 20000, .label = "masses", .help = ""),
    F(OBJECT, "props", .label = "props", .help = ""),
    F(VALUE, "value", .label = "value", .help = ""),
    F(ID, "thing", .label = "thing", .help = ""),
    F_NEW_ID,
};

static ep_status check(const char *text, json_t **out, ep_err *err)
{
    char buf[600];
    snprintf(buf, sizeof buf, "%s", text);
    for (char *c = buf; *c; c++) {
        *c = *c == '\'' ? '"' : *c;
    }
    json_t *in = json_loads(buf, 0, NULL);
    assert_non_null(in);
    *err = (ep_err){0};
    *out = NULL;
    ep_status status = ep_fields_check(fields, EP_COUNT_OF(fields), in, "", out, err);
    json_decref(in);
    return status;
}

/// One number of the checked input.
static double si(const char *text, const char *path)
{
    json_t *out = NULL;
    ep_err err;
    if (check(text, &out, &err) != EP_OK) {
        fail_msg("%s: %s", text, err.text);
    }
    double value = real_at(out, path);
    json_decref(out);
    return value;
}

static void refused(const char *text, const char *field, const char *part)
{
    json_t *out = NULL;
    ep_err err;
    ep_status status = check(text, &out, &err);
    assert_null(out);
    if (status == EP_OK || strcmp(err.field, field) != 0 || !strstr(err.text, part)) {
        fail_msg("%s gave %s [%s] %s", text, ep_status_name(status), err.field, err.text);
    }
}

static void units_become_si(void **state)
{
    (void)state;
    assert_near(si("{'name':'x','wall':3}", "wall"), 0.003, 1e-15);
    assert_near(si("{'name':'x','wall':'3'}", "wall"), 0.003, 1e-15);
    assert_near(si("{'name':'x','wall':'1/8 in'}", "wall"), 0.003175, 1e-15);
    assert_near(si("{'name':'x','wall':'0.3 cm'}", "wall"), 0.003, 1e-15);
    assert_near(si("{'name':'x','water_temp':'68 F'}", "water_temp"), 293.15, 1e-9);
    assert_near(si("{'name':'x','water_temp':20}", "water_temp"), 293.15, 1e-9);
    assert_near(si("{'name':'x','masses':{'K7QF':'1 lb'}}", "masses.K7QF"), 0.45359237, 1e-12);
    assert_near(si("{'name':'x','candles':'6'}", "candles"), 6, 0);
    assert_near(si("{'name':'x','at':'2026-11-25T12:00:00Z'}", "at"), 1795608000000.0, 0);
}

static void refusals_name_field_value_and_range(void **state)
{
    (void)state;
    refused("{'name':'x','wall':'40 mm'}", "wall", "40 mm is outside 0.1 mm to 30 mm");
    refused("{'name':'x','wall':'3 oz'}", "wall", "oz");
    refused("{'name':'x','wall':'thick'}", "wall", "thick");
    refused("{'name':'x','wall':'thick'}", "wall", "; 0.1 mm to 30 mm");
    refused("{'name':'x','wall':'2 in'}", "wall", "outside 0.1 mm to 30 mm (typed: 2 in)");
    refused("{'name':'x','wall':true}", "wall", "number");
    refused("{'name':'x','candles':0}", "candles", "0 is outside 1 to 500");
    refused("{'name':'x','candles':2.5}", "candles", "whole number");
    refused("{'name':'x','candles':'many'}", "candles", "“many” is not a whole number, 1 to 500");
    refused("{'name':'x','archived':'perhaps'}", "archived", "yes or no");
    refused("{'name':'x','basis':'of_air'}", "basis", "of_wax,of_total");
    refused("{'name':'x','at':'yesterday'}", "at", "yesterday");
    refused("{'name':'x','at':'1492-10-12'}", "at", "");
    refused("{'name':'x','profile':[{'height':0,'inner_diameter':70}]}", "profile", "2 to 32");
    refused("{'name':'x','profile':[{'height':0,'inner_diameter':70},{'height':90,"
            "'inner_diameter':7}]}",
            "profile[2].inner_diameter", "7 mm is outside 15 mm to 400 mm");
    refused("{'name':'x','profile':[{'height':0,'inner_diameter':70},{'height':90}]}",
            "profile[2].inner_diameter", "needed");
    refused("{'name':'x','masses':{'K7QF':'0.2 g'}}", "masses.K7QF", "0.2 g is outside 1 g to");
    refused("{'name':'x','id':'17'}", "id", "not a UUID");
    refused("{'name':'a name of many letters'}", "name", "22 characters are too many, at most 10");
    refused("{'name':'bell \\u0007'}", "name", "characters");
    refused("{'name':7}", "name", "text");
}

static void all_mistakes_are_told_at_once(void **state)
{
    (void)state;
    static const char *const expected[][2] = {
        {"wal", "no such field"},
        {"name", "a value is needed"},
        {"water_temp", "outside 0 C to 40 C"},
        {"candles", "outside 1 to 500"},
        {"profile[1].inner_diameter", "outside 15 mm to 400 mm"},
        {"profile[2].height", "a value is needed (h), 0 mm to 400 mm"},
        {"profile[2].inner_diameter", "wide"},
        {"masses.K7QF", "outside 1 g to 20000 g"},
        {"masses.M2XA", "heavy"},
    };
    json_t *in =
        json_loads("{\"wal\": 3, \"water_temp\": 95, \"candles\": 0, \"profile\": "
                   "[{\"height\": 0, \"inner_diameter\": 7}, {\"inner_diameter\": \"wide\"}], "
                   "\"masses\": {\"K7QF\": 0.2, \"M2XA\": \"heavy\"}}",
                   0, NULL);
    ep_mistakes more = {0};
    ep_err err = {.more = &more};
    json_t *out = NULL;
    assert_int_equal(ep_fields_check(fields, EP_COUNT_OF(fields), in, "", &out, &err), EP_E_ARG);
    assert_null(out);
    assert_int_equal(more.n + 1, EP_COUNT_OF(expected));
    for (int i = 0; i < EP_COUNT_OF(expected); i++) {
        const char *field = i ? more.at[i - 1].field : err.field;
        const char *text = i ? more.at[i - 1].text : err.text;
        if (strcmp(field, expected[i][0]) != 0 || !strstr(text, expected[i][1])) {
            fail_msg("mistake %d: wanted %s with “%s”, got %s: %s", i, expected[i][0],
                     expected[i][1], field, text);
        }
    }
    json_decref(in);
}

static void what_is_missing_is_said(void **state)
{
    (void)state;
    refused("{}", "name", "a value is needed");
    refused("{'name':null}", "name", "a value is needed");
    refused("{'name':'   '}", "name", "a value is needed");
}

static void unknown_fields_are_refused_with_the_close_ones(void **state)
{
    (void)state;
    refused("{'name':'x','wal':3}", "wal", "known here: wall");
    refused("{'name':'x','water':3}", "water", "water_temp");
    refused("{'name':'x','zzzzzzzz':3}", "zzzzzzzz", "name, wall, water_temp, candles");
    refused("{'name':'x','profile':[{'height':0,'inner_diameter':70},{'height':90,"
            "'inner_diametre':74}]}",
            "profile[2].inner_diametre", "inner_diameter");
}

static void null_and_blank_clear(void **state)
{
    (void)state;
    json_t *out = NULL;
    ep_err err;
    assert_int_equal(check("{'name':' x ','wall':null,'thing':'  '}", &out, &err), EP_OK);
    assert_string_equal(ep_in_text(out, "name"), "x");
    assert_true(ep_in_cleared(out, "wall") && ep_in_cleared(out, "thing"));
    assert_false(ep_in_has(out, "wall"));
    assert_false(ep_in_cleared(out, "candles") || ep_in_has(out, "candles"));
    json_decref(out);
}

static void lists_may_be_text(void **state)
{
    (void)state;
    const char *profile = "{'name':'x','profile':'0 mm: 70 mm, 3.5 in: 74 mm'}";
    assert_near(si(profile, "profile.1.height"), 0.0889, 1e-12);
    assert_near(si(profile, "profile.1.inner_diameter"), 0.074, 1e-12);
    const char *sizes = "{'name':'x','sizes':'1=0.9 g/m; 2 = 450 yd/lb, 2.4 mm;'}";
    assert_near(si(sizes, "sizes.0.linear_density"), 0.9e-3, 1e-15);
    assert_near(si(sizes, "sizes.1.linear_density"), 0.496054648 / 450, 1e-9);
    assert_near(si(sizes, "sizes.1.width"), 2.4e-3, 1e-15);
    json_t *out = NULL;
    ep_err err;
    assert_int_equal(
        check("{'name':'x','lots':'W-1, F-2 ,','props':'liquidus: 52 C; flash: 200'}", &out, &err),
        EP_OK);
    assert_int_equal(json_array_size(at(out, "lots")), 2);
    assert_string_equal(text_at(out, "lots.1"), "F-2");
    assert_string_equal(text_at(out, "props.liquidus"), "52 C");
    assert_string_equal(text_at(out, "props.flash"), "200");
    json_decref(out);
    refused("{'name':'x','sizes':'1 = 0.9 g/m, 2 mm, 5; 2 = 1'}", "sizes", "more values");
    refused("{'name':'x','masses':'312 g'}", "masses", "no name");
    refused("{'name':'x','profile':7}", "profile", "a list");
    refused("{'name':'x','masses':[1]}", "masses", "names with values");
}

static void json_text_is_taken_for_lists(void **state)
{
    (void)state;
    ep_err err = {0};
    const ep_field *f = &fields[7];
    json_t *list = ep_field_from_text(f, " [{\"height\": 0, \"inner_diameter\": 70}]", &err);
    assert_int_equal(json_array_size(list), 1);
    json_decref(list);
    assert_null(ep_field_from_text(f, "[{\"height\": 0,", &err));
    assert_non_null(strstr(err.text, "JSON"));
    assert_string_equal(err.field, "profile");
}

static void values_stay_as_they_came(void **state)
{
    (void)state;
    json_t *out = NULL;
    ep_err err;
    assert_int_equal(check("{'name':'x','value':true}", &out, &err), EP_OK);
    assert_true(json_is_true(at(out, "value")));
    json_decref(out);
    assert_int_equal(check("{'name':'x','value':'54 mm'}", &out, &err), EP_OK);
    assert_string_equal(text_at(out, "value"), "54 mm");
    json_decref(out);
    refused("{'name':'x','value':[1]}", "value", "a value is needed");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_become_si),
        cmocka_unit_test(refusals_name_field_value_and_range),
        cmocka_unit_test(all_mistakes_are_told_at_once),
        cmocka_unit_test(what_is_missing_is_said),
        cmocka_unit_test(unknown_fields_are_refused_with_the_close_ones),
        cmocka_unit_test(null_and_blank_clear),
        cmocka_unit_test(lists_may_be_text),
        cmocka_unit_test(json_text_is_taken_for_lists),
        cmocka_unit_test(values_stay_as_they_came),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
