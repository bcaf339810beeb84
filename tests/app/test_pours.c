// Pours through the cases: what was weighed stands beside the plan, strays are warned of, nothing
// of a refused pour is left.
#include "workshop.h"

#define START "2026-03-02T09:00:00Z"

static int open_workshop(void **state)
{
    workshop *w = workshop_open(START, false);
    describe(w);
    *state = w;
    return 0;
}

static int close_workshop(void **state)
{
    workshop_close(*state);
    return 0;
}

// the fill of a cylinder: pi/4 d2 h times the mix's own cold density, here asked of the weigh-out
static void planned_stands_beside_actual(void **state)
{
    workshop *w = *state;
    call(w, "recipe_weigh", "{'id': 'fig', 'candles': 3}");
    double planned_g = real_at(w->last, "total_g"), fill_g = real_at(w->last, "fill_mass_g");
    const json_t *p = call(w, "pour_add",
                           "{'recipe': 'fig', 'set': [{'size': '1', 'candles': 1}, {'size': '2',"
                           " 'candles': 2}], 'wax_mass': '22 oz', 'fragrance_mass': '49.9 g',"
                           " 'wax_peak': '180 F', 'add_temp': '170 F', 'pour_temp': '135 F',"
                           " 'vessel_temp': 30, 'room_temp': '70 F', 'humidity': '45 %%',"
                           " 'note': 'new pot'}");
    assert_near(real_at(p, "planned.total_g"), planned_g, 1e-9);
    // 1 oz = 28.349523125 g (NIST Handbook 44, App. C); F to C by definition
    assert_near(real_at(p, "actual.wax_mass_g"), 22 * 28.349523125, 1e-6);
    assert_near(real_at(p, "actual.pour_temp_C"), (135.0 - 32.0) / 1.8, 1e-6);
    assert_near(real_at(p, "actual.humidity_pct"), 45.0, 1e-9);
    assert_near(real_at(p, "load_of_wax_pct"), 100.0 * 49.9 / (22 * 28.349523125), 1e-6);
    assert_int_equal(json_array_size(at(p, "warnings")), 0);
    assert_int_equal(json_array_size(at(p, "candles")), 3);
    assert_string_equal(text_at(p, "candles.0.size_name"), "1");
    assert_string_equal(text_at(p, "candles.2.size_name"), "2");
    assert_near(real_at(p, "candles.0.wax_mass_g"), fill_g, 1e-6);
    assert_string_equal(text_at(p, "note"), "new pot");
    assert_true(json_is_null(at(p, "actual.dye_mass_g")));
}

// soy: 14 days before a burn test in the built-in table (common practice, no source)
static void the_cure_clock_follows_the_wax(void **state)
{
    workshop *w = *state;
    pour_some(w, "2", 1);
    assert_string_equal(text_at(w->last, "cure_burn_at"), "2026-03-16T09:00:00.000Z");
    assert_string_equal(text_at(w->last, "candles.0.state"), "curing");
    assert_near(real_at(w->last, "candles.0.cure_left_h"), 14 * 24, 1e-9);
    pass_hours(w, 14 * 24);
    call(w, "candle_list", "{'state': 'ready'}");
    assert_int_equal(json_array_size(at(w->last, "candles")), 1);
    assert_true(json_is_true(at(w->last, "candles.0.cured")));
    // paraffin is ready the next day
    call(w, "recipe_revise",
         "{'id': 'fig', 'waxes': [{'id': 'std-wax-paraffin-container',"
         " 'share': '100 %%'}]}");
    pour_some(w, "2", 1);
    assert_string_equal(text_at(w->last, "cure_burn_at"), "2026-03-17T09:00:00.000Z");
    assert_int_equal((int)real_at(w->last, "revision"), 2);
}

static void codes_are_short_plain_and_different(void **state)
{
    workshop *w = *state;
    json_t *seen = json_object();
    for (int k = 0; k < 3; k++) {
        pour_some(w, "2", 100);
        for (size_t i = 0; i < 100; i++) {
            const char *code = json_string_value(
                json_object_get(json_array_get(at(w->last, "candles"), i), "code"));
            assert_int_equal(strlen(code), 4);
            assert_int_equal(strspn(code, "23456789ABCDEFGHJKMNPQRSTVWXYZ"), 4);
            assert_true(strspn(code, "0123456789E") < 4);
            assert_null(json_object_get(seen, code));
            json_object_set_new(seen, code, json_true());
        }
    }
    json_decref(seen);
}

static void strays_are_warned_of(void **state)
{
    workshop *w = *state;
    const json_t *p = call(w, "pour_add",
                           "{'recipe': 'fig', 'set': [{'size': '2', 'candles': 2}],"
                           " 'wax_mass': 410, 'fragrance_mass': 61.5, 'pour_temp': 135,"
                           " 'add_temp': '77 F', 'wax_peak': 180}");
    const json_t *all = at(p, "warnings");
    assert_true(any_text(all, "load 15.00 % of wax as weighed, 8.00 % in the recipe"));
    assert_true(any_text(all, "more than the"));
    assert_true(any_text(all, "poured at 135 C: did you mean 135 F (57 C)?"));
    assert_true(any_text(all, "fragrance added at 77 F (25 C): did you mean 77 C?"));
    assert_true(any_text(all, "hottest wax 180 C: did you mean 180 F (82 C)?"));
    // the same again when looked at later: warnings follow from what was written down
    char id[EP_ID_CAP];
    json_t *first = json_deep_copy(all);
    call(w, "pour_show", "{'id': '%s'}", copy_text(id, sizeof id, p, "id"));
    assert_true(json_equal(first, at(w->last, "warnings")));
    json_decref(first);
    p = call(w, "pour_add",
             "{'recipe': 'fig', 'set': [{'size': '2', 'candles': 3}], 'wax_mass': 300,"
             " 'fragrance_mass': 24, 'pour_temp': 45, 'vessel_temp': 5, 'room_temp': 12}");
    all = at(p, "warnings");
    assert_true(any_text(all, "do not fill 3 candles"));
    assert_true(any_text(all, "poured at 45 C is 12 K colder than the 57 C of the wax"));
    assert_true(any_text(all, "containers at 5 C"));
    assert_true(any_text(all, "room at 12 C"));
    // less in the pot, less in each candle
    assert_near(real_at(p, "candles.0.wax_mass_g"), 324.0 / 3.0, 1e-6);
}

static void lots_are_kept_and_wrong_ones_noticed(void **state)
{
    workshop *w = *state;
    call(w, "lot_add", "{'material': 'std-wax-soy', 'code': 'W-1'}");
    call(w, "lot_add", "{'material': 'std-wax-palm', 'code': 'W-2'}");
    const json_t *p = call(w, "pour_add",
                           "{'recipe': 'fig', 'set': [{'size': '2', 'candles': 1}],"
                           " 'lots': ['W-1', 'W-2', 'w-1']}");
    assert_int_equal(json_array_size(at(p, "lots")), 2);
    assert_true(any_text(at(p, "warnings"), "lot W-2"));
    assert_false(any_text(at(p, "warnings"), "lot W-1"));
    refuse(w, EP_E_NOT_FOUND, "lots", "W-9", "pour_add",
           "{'recipe': 'fig', 'set': [{'size': '2', 'candles': 1}], 'lots': ['W-9']}");
}

static void refusals_say_field_value_range(void **state)
{
    workshop *w = *state;
    const char *one = "'set': [{'size': '2', 'candles': 1}]";
    refuse(w, EP_E_ARG, "recipe", "needed", "pour_add", "{%s}", one);
    refuse(w, EP_E_NOT_FOUND, "recipe", "plum", "pour_add", "{'recipe': 'plum', %s}", one);
    refuse(w, EP_E_ARG, "set", "entries", "pour_add", "{'recipe': 'fig', 'set': []}");
    refuse(w, EP_E_NOT_FOUND, "set", "9", "pour_add",
           "{'recipe': 'fig', 'set': [{'size': '9', 'candles': 1}]}");
    refuse(w, EP_E_ARG, "set[1].candles", "0 is outside 1 to 200", "pour_add",
           "{'recipe': 'fig', 'set': [{'size': '2', 'candles': 0}]}");
    refuse(w, EP_E_ARG, "set", "501 candles", "pour_add",
           "{'recipe': 'fig', 'set': [{'size': '1', 'candles': 200}, {'size': '2', 'candles': 200},"
           " {'size': '3', 'candles': 101}]}");
    refuse(w, EP_E_ARG, "pour_temp", "300 C is outside 20 C to 200 C", "pour_add",
           "{'recipe': 'fig', %s, 'pour_temp': 300}", one);
    refuse(w, EP_E_PARSE, "wax_mass", "wax_mass", "pour_add",
           "{'recipe': 'fig', %s, 'wax_mass': '12 ml'}", one);
    refuse(w, EP_E_ARG, "fragrance_mass", "outside 0 g to the 100.0 g of wax", "pour_add",
           "{'recipe': 'fig', %s, 'wax_mass': 100, 'fragrance_mass': 120}", one);
    refuse(w, EP_E_ARG, "dye_mass", "undyed", "pour_add", "{'recipe': 'fig', %s, 'dye_mass': 1}",
           one);
    refuse(w, EP_E_ARG, "poured_at", "now", "pour_add",
           "{'recipe': 'fig', %s, 'poured_at': '2026-04-01'}", one);
    refuse(w, EP_E_ARG, "pour_tmp", "no such field", "pour_add",
           "{'recipe': 'fig', %s, 'pour_tmp': 60}", one);
    refuse(w, EP_E_NOT_FOUND, "id", "no pour", "pour_show", "{'id': 'nothing'}");
    // nothing half-written
    call(w, "pour_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "pours")), 0);
    call(w, "candle_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "candles")), 0);
}

#define POUR_TWICE                                                                                 \
    "{'id': '01956a00-0000-7000-8000-0000000000a1', 'recipe': 'fig',"                              \
    " 'set': [{'size': '2', 'candles': %d}]}"

static void the_same_pour_twice_is_one_pour(void **state)
{
    workshop *w = *state;
    json_t *first = json_deep_copy(call(w, "pour_add", POUR_TWICE, 2));
    pass_hours(w, 1);
    assert_true(json_equal(first, call(w, "pour_add", POUR_TWICE, 2)));
    refuse(w, EP_E_CONFLICT, "id", "", "pour_add", POUR_TWICE, 3);
    call(w, "candle_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "candles")), 2);
    json_decref(first);
}

static void pours_of_one_recipe(void **state)
{
    workshop *w = *state;
    pour_some(w, "2", 1);
    pass_hours(w, 1);
    pour_some(w, "3", 1);
    call(w, "recipe_add",
         "{'name': 'plain', 'container': 'glass', 'waxes': [{'id': 'std-wax-soy', 'share': '100 "
         "%%'}],"
         " 'series': 'flat', 'fill_height': '60 mm'}");
    call(w, "pour_add", "{'recipe': 'plain', 'set': [{'size': '1', 'candles': 1}]}");
    refuse(w, EP_E_ARG, "fragrance_mass", "unscented", "pour_add",
           "{'recipe': 'plain', 'set': [{'size': '1', 'candles': 1}], 'fragrance_mass': 5}");
    call(w, "pour_list", "{'recipe': 'fig'}");
    assert_int_equal(json_array_size(at(w->last, "pours")), 2);
    assert_string_equal(text_at(w->last, "pours.0.candles.0.size_name"), "3");
    call(w, "pour_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "pours")), 3);
    assert_true(json_is_false(at(w->last, "more")));
    char before[40];
    call(w, "pour_list", "{'limit': 2}");
    assert_true(json_is_true(at(w->last, "more")));
    copy_text(before, sizeof before, w->last, "pours.0.poured_at");
    call(w, "pour_list", "{'before': '%s'}", before);
    assert_int_equal(json_array_size(at(w->last, "pours")), 1);
    // poured, so changed only by the next revision
    call(w, "recipe", "{'id': 'fig'}");
    assert_true(json_is_true(at(w->last, "revision.poured")));
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, open_workshop, close_workshop)
    const struct CMUnitTest tests[] = {
        T(planned_stands_beside_actual),         T(the_cure_clock_follows_the_wax),
        T(codes_are_short_plain_and_different),  T(strays_are_warned_of),
        T(lots_are_kept_and_wrong_ones_noticed), T(refusals_say_field_value_range),
        T(the_same_pour_twice_is_one_pour),      T(pours_of_one_recipe),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
