// The shelf: materials with their own values, wick series, containers with tape and water, lots.
#include "workshop.h"

static workshop *w;

static int setup(void **state)
{
    (void)state;
    w = workshop_open("2026-11-25T12:00", false);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    workshop_close(w);
    return 0;
}

static void own_spring_soy(void)
{
    call(w, "material_add",
         "{'kind': 'wax', 'name': 'Spring soy', 'based_on': 'std-wax-soy', 'props':"
         " {'liquidus': '52 C', 'max_load': {'value': '9 %%', 'lo': 8, 'hi': '10 %%',"
         " 'how': 'sheet', 'source': 'sheet of March'}}}");
}

static void built_in_materials_show_where_numbers_come_from(void **state)
{
    (void)state;
    int waxes = (int)json_array_size(at(call(w, "materials", "{'kind': 'wax'}"), "materials"));
    assert_int_equal(waxes, ep_builtin_count(EP_MAT_WAX));
    const json_t *o = call(w, "material", "{'id': 'std-wax-soy'}");
    int n;
    const ep_prop_def *def = ep_prop_defs(EP_MAT_WAX, &n);
    for (int i = 0; i < n; i++) {
        char path[80];
        const ep_prop *p = &ep_builtin_find("std-wax-soy")->prop[i];
        snprintf(path, sizeof path, "props.%s.value", def[i].key);
        assert_near(real_at(o, path), ep_unit_from_si(def[i].unit, p->value),
                    1e-8 * fabs(ep_unit_from_si(def[i].unit, p->value)) + 1e-9);
        snprintf(path, sizeof path, "props.%s.how", def[i].key);
        assert_string_equal(text_at(o, path), ep_how_key(p->how));
    }
    assert_true(json_is_true(at(o, "builtin")));
}

static void an_own_material_starts_from_a_built_in_one(void **state)
{
    (void)state;
    own_spring_soy();
    const json_t *o = w->last;
    const ep_material *soy = ep_builtin_find("std-wax-soy");
    assert_true(json_is_false(at(o, "builtin")));
    assert_string_equal(text_at(o, "klass"), soy->klass);
    assert_near(real_at(o, "props.liquidus.value"), 52, 1e-9);
    assert_string_equal(text_at(o, "props.liquidus.how"), "sheet");
    assert_near(real_at(o, "props.max_load.lo"), 8, 1e-9);
    assert_string_equal(text_at(o, "props.max_load.source"), "sheet of March");
    // what was not entered is the built-in value, with its own origin
    assert_near(real_at(o, "props.latent.value"),
                ep_unit_from_si(EP_U_KJ_KG, soy->prop[EP_WAX_LATENT].value), 1e-6);
    assert_string_equal(text_at(o, "props.latent.how"), ep_how_key(soy->prop[EP_WAX_LATENT].how));
}

static void the_newest_value_holds(void **state)
{
    (void)state;
    own_spring_soy();
    call(w, "material_set", "{'id': 'spring soy', 'key': 'liquidus', 'value': '53 C'}");
    call(w, "material_set",
         "{'id': 'Spring soy', 'key': 'liquidus', 'value': '125.6 F', 'how': 'measured',"
         " 'source': 'our thermometer'}");
    const json_t *o = call(w, "material", "{'id': 'Spring soy'}");
    assert_near(real_at(o, "props.liquidus.value"), 52, 1e-6);
    assert_string_equal(text_at(o, "props.liquidus.how"), "measured");
    assert_true(real_at(o, "props.liquidus.lo") < 52 && real_at(o, "props.liquidus.hi") > 52);
    // all three entries are still in the book
    int64_t rows = 0;
    ep_err err = {0};
    ep_bind of[] = {ep_bind_text("material", text_at(o, "id"))};
    json_t *all = NULL;
    assert_int_equal(ep_store_json(w->app->store, EP_Q_MATERIAL_PROPS, of, 1, &all, &err), EP_OK);
    rows = (int64_t)json_array_size(all);
    json_decref(all);
    assert_int_equal(rows, 4);
}

static void a_copy_of_an_own_material_keeps_its_values(void **state)
{
    (void)state;
    own_spring_soy();
    call(
        w, "material_add",
        "{'kind': 'wax', 'name': 'Autumn soy', 'based_on': 'Spring soy', 'props': {'flash': 220}}");
    // and does not follow it any more
    call(w, "material_set", "{'id': 'Spring soy', 'key': 'liquidus', 'value': '54 C'}");
    const json_t *o = call(w, "material", "{'id': 'Autumn soy'}");
    assert_near(real_at(o, "props.liquidus.value"), 52, 1e-6);
    assert_near(real_at(o, "props.flash.value"), 220, 1e-6);
    assert_string_equal(text_at(o, "props.max_load.source"), "sheet of March");
}

// a side that the outline does not have is refused where it was typed, by field and value
static void a_side_that_is_not_there_is_refused(void **state)
{
    (void)state;
    const char *tub = "'name': 'tub', 'material': 'std-container-soda-lime', 'inner_diameter': 90,"
                      " 'height': 70, 'wall': 3";
    refuse(w, EP_E_ARG, "corner", "10 mm is given", "container_add",
           "{%s, 'outline': 'oval', 'across': 60, 'corner': 10}", tub);
    refuse(w, EP_E_ARG, "corner", "10 mm is given", "container_add", "{%s, 'corner': 10}", tub);
    refuse(w, EP_E_ARG, "across", "60 mm is given", "container_add",
           "{%s, 'outline': 'round', 'across': 60}", tub);
    call(w, "container_add", "{%s, 'outline': 'oval', 'across': 60}", tub);
}

// the engine's own layout, in the container as it is and as wide as is asked; a recipe burns the
// same
static void the_door_tells_where_wicks_stand(void **state)
{
    (void)state;
    static const struct {
        const char *name, *sides;
        ep_outline outline;
        double across_frac, corner_frac;
    } jar[] = {
        {"bowl", "", EP_OUTLINE_ROUND, 1.0, 0.0},
        {"tin", ", 'outline': 'rectangle', 'across': 96, 'corner': 12", EP_OUTLINE_RECT, 0.8, 0.25},
        {"tub", ", 'outline': 'oval', 'across': 72", EP_OUTLINE_OVAL, 0.6, 0.0}};
    call(w, "series_add",
         "{'name': 'flat', 'construction': 'std-wick-flat-braid', 'sizes':"
         " [{'name': '1', 'linear_density': '0.9 g/m'}]}");
    for (int i = 0; i < 3 * 6; i++) {
        const int k = i / 6, n = i % 6 + 1;
        const double wide_m =
            n % 2 == 0 ? 0.150 : 0.110;  // at 50 mm of 100 to 120 mm, it is 110 mm
        ep_vessel v = {.n_stations = 2,
                       .station = {{0.0, 0.100 * wide_m / 0.110}, {0.100, 0.120 * wide_m / 0.110}},
                       .wall_m = 0.003,
                       .base_m = 0.003,
                       .outline = jar[k].outline,
                       .across_frac = jar[k].across_frac,
                       .corner_frac = jar[k].corner_frac};
        ep_place place[EP_MAX_WICKS];
        double wall_m = 0, apart_m = 0;
        ep_places_default(&v, 0.050, n, place);
        ep_places_clearance(&v, 0.050, n, place, &wall_m, &apart_m);
        if (n == 1) {
            call(w, "container_add",
                 "{'name': '%s', 'material': 'std-container-soda-lime', 'wall': 3,"
                 " 'profile': '0: 100, 100: 120'%s}",
                 jar[k].name, jar[k].sides);
        }
        const json_t *o = call(w, "places",
                               "{'id': '%s', 'wick_count': %d, 'fill_height': 50,"
                               " 'inner_diameter': %g}",
                               jar[k].name, n, wide_m * 1e3);
        assert_int_equal((int)json_array_size(at(o, "places")), n);
        for (int a = 0; a < n; a++) {
            const json_t *row = json_array_get(at(o, "places"), (size_t)a);
            assert_near(real_at(row, "x_mm"), place[a].x_m * 1e3, 2e-3);
            assert_near(real_at(row, "y_mm"), place[a].y_m * 1e3, 2e-3);
        }
        assert_near(real_at(o, "wall_clearance_mm"), wall_m * 1e3, 2e-3);
        assert_true(n == 1 ? json_is_null(at(o, "wick_clearance_mm"))
                           : fabs(real_at(o, "wick_clearance_mm") - apart_m * 1e3) < 4e-3);
        assert_true(json_is_null(at(o, "problem")));
        assert_near(real_at(o, "inner_diameter_mm"), wide_m * 1e3, 1e-9);
        // as the shelf has it, the recipe says the same
        json_t *told =
            json_deep_copy(call(w, "places", "{'id': '%s', 'wick_count': %d}", jar[k].name, n));
        o = call(w, "recipe_add",
                 "{'name': '%s, %d', 'container': '%s', 'waxes': 'std-wax-soy: 100 %%',"
                 " 'series': 'flat', 'wick_count': %d}",
                 jar[k].name, n, jar[k].name, n);
        assert_true(json_equal(at(told, "places"), at(o, "revision.places")));
        assert_true(json_equal(at(told, "wall_clearance_mm"), at(o, "revision.wall_clearance_mm")));
        json_decref(told);
    }
}

// where room is missing the places are told with what is wrong; what is no jar is refused
static void places_that_do_not_fit(void **state)
{
    (void)state;
    call(w, "container_add",
         "{'name': 'cup', 'material': 'std-container-soda-lime', 'wall': 3, 'outline': 'oval',"
         " 'profile': '0: 40, 60: 80', 'across': 50}");
    const json_t *o = call(w, "places", "{'id': 'cup', 'wick_count': 6}");
    assert_int_equal((int)json_array_size(at(o, "places")), 6);
    assert_non_null(strstr(text_at(o, "problem"), "wick_count: "));
    assert_non_null(strstr(text_at(o, "problem"), "at least"));
    refuse(w, EP_E_ARG, "wick_count", "7 is outside 1 to 6", "places",
           "{'id': 'cup', 'wick_count': 7}");
    refuse(w, EP_E_ARG, "wick_count", "a value is needed", "places", "{'id': 'cup'}");
    refuse(w, EP_E_ARG, "fill_height", "70 mm is outside 8 mm to 60 mm", "places",
           "{'id': 'cup', 'wick_count': 2, 'fill_height': 70}");
    // the floor, half as wide as the brim, would be less than a container's least
    refuse(w, EP_E_ARG, "inner_diameter", "29 mm is outside 30 mm to 400 mm", "places",
           "{'id': 'cup', 'wick_count': 2, 'headspace': 0, 'inner_diameter': 29}");
    refuse(w, EP_E_NOT_FOUND, "id", "cap", "places", "{'id': 'cap', 'wick_count': 2}");
}

static void impossible_materials_are_refused_whole(void **state)
{
    (void)state;
    refuse(w, EP_E_ARG, "props.liquidus", "300 C is outside 10 C to 130 C", "material_add",
           "{'kind': 'wax', 'name': 'x', 'based_on': 'std-wax-soy', 'props': {'flash': 220,"
           " 'liquidus': '300 C'}}");
    refuse(w, EP_E_ARG, "props", "no property “melting”", "material_add",
           "{'kind': 'wax', 'name': 'x', 'based_on': 'std-wax-soy', 'props': {'melting': 52}}");
    refuse(w, EP_E_ARG, "liquidus", "must be above solidus", "material_add",
           "{'kind': 'wax', 'name': 'x', 'based_on': 'std-wax-soy', 'props': {'solidus': 80}}");
    refuse(w, EP_E_ARG, "props.flash.sorce", "source", "material_add",
           "{'kind': 'wax', 'name': 'x', 'based_on': 'std-wax-soy', 'props': {'flash':"
           " {'value': 220, 'sorce': 'sheet'}}}");
    refuse(w, EP_E_ARG, "props.flash", "lie between", "material_add",
           "{'kind': 'wax', 'name': 'x', 'based_on': 'std-wax-soy', 'props': {'flash':"
           " {'value': 220, 'lo': 230}}}");
    refuse(w, EP_E_NOT_FOUND, "based_on", "no fragrance", "material_add",
           "{'kind': 'fragrance', 'name': 'x', 'based_on': 'std-wax-soy'}");
    refuse(w, EP_E_STATE, "id", "built in", "material_set",
           "{'id': 'std-wax-soy', 'key': 'liquidus', 'value': 52}");
    own_spring_soy();
    refuse(w, EP_E_CONFLICT, "name", "already a wax called", "material_add",
           "{'kind': 'wax', 'name': 'SPRING SOY', 'based_on': 'std-wax-soy'}");
    refuse(w, EP_E_ARG, "value", "liquidus: 9 C is outside 10 C to 130 C", "material_set",
           "{'id': 'spring soy', 'key': 'liquidus', 'value': 9}");
    int own = (int)json_array_size(at(call(w, "materials", "{'kind': 'wax'}"), "materials")) -
              ep_builtin_count(EP_MAT_WAX);
    assert_int_equal(own, 1);
}

/// 450 yd/lb = 496.054648 / 450 g/m (ASTM D2260 Table 1).
static void a_series_is_described_physically(void **state)
{
    (void)state;
    const json_t *o = call(w, "series_add",
                           "{'name': 'our flat', 'construction': 'std-wick-flat-braid',"
                           " 'sizes': '1 = 0.9 g/m; 2 = 450 yd/lb, 2.4 mm, 0.9 mm'}");
    assert_near(real_at(o, "sizes.1.linear_density_g_m"), 496.054648 / 450, 1e-6);
    assert_near(real_at(o, "sizes.0.yield_yd_lb"), 496.054648 / 0.9, 1e-3);
    assert_near(real_at(o, "sizes.1.width_mm"), 2.4, 1e-9);
    assert_true(json_is_null(at(o, "sizes.0.width_mm")));
    assert_true(real_at(o, "sizes.0.diameter_mm") > 0.5);
    assert_string_equal(text_at(o, "construction.id"), "std-wick-flat-braid");
    assert_int_equal(real_at(o, "sizes.1.position"), 2);
    assert_int_equal(json_array_size(at(call(w, "series_list", "{}"), "series")), 1);
}

static void impossible_series_are_refused_whole(void **state)
{
    (void)state;
    refuse(w, EP_E_ARG, "sizes[2].linear_density", "0.7 g/m is less than the 0.9 g/m before it",
           "series_add",
           "{'name': 'x', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 0.9; 2 = 0.7'}");
    refuse(w, EP_E_ARG, "sizes[2].name", "twice", "series_add",
           "{'name': 'x', 'construction': 'std-wick-flat-braid', 'sizes': 'a = 0.9; A = 1.1'}");
    refuse(w, EP_E_ARG, "sizes[1].linear_density", "50 g/m is outside 0.1 g/m to 20 g/m",
           "series_add", "{'name': 'x', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 50'}");
    refuse(w, EP_E_NOT_FOUND, "construction", "no wick construction", "series_add",
           "{'name': 'x', 'construction': 'std-wax-soy', 'sizes': '1 = 1'}");
    refuse(w, EP_E_ARG, "sizes", "a value is needed", "series_add",
           "{'name': 'x', 'construction': 'std-wick-flat-braid'}");
    assert_int_equal(json_array_size(at(call(w, "series_list", "{}"), "series")), 0);
}

/// Frustum 70 to 74 mm over 90 mm: pi h (d1^2 + d1 d2 + d2^2) / 12. Density of water at 20 C
/// 998.2067 kg/m3 (Tanaka et al. 2001).
static void a_container_compares_tape_and_water(void **state)
{
    (void)state;
    double ml = 3.14159265358979 * 9.0 * (7.0 * 7.0 + 7.0 * 7.4 + 7.4 * 7.4) / 12.0;
    const json_t *o = call(w, "container_add",
                           "{'name': 'jar', 'material': 'std-container-soda-lime', 'wall': '3 mm',"
                           " 'profile': '0 mm: 70 mm, 90 mm: 74 mm', 'water_mass': '12 oz'}");
    assert_near(real_at(o, "brim_ml"), ml, 1e-4);
    assert_near(real_at(o, "water.mass_g"), 12 * 28.349523125, 1e-6);
    // 1.2 kg/m3 of air carries about 0.1 % of the water
    assert_near(real_at(o, "water.ml"), 12 * 28.349523125 / 0.9982067 * 1.00105, 0.05);
    assert_near(real_at(o, "water.ratio"), real_at(o, "water.ml") / ml, 1e-6);
    assert_true(json_is_true(at(o, "water.mismatch")));
    assert_non_null(strstr(text_at(o, "water.text"), "less than the tape"));
    assert_near(real_at(o, "base_mm"), 3, 1e-9);
    assert_near(real_at(o, "curve.20.ml"), ml, 1e-4);
    assert_near(real_at(o, "curve.0.ml"), 0, 1e-9);
    assert_near(real_at(o, "profile.1.inner_diameter_mm"), 74, 1e-9);
}

static void a_straight_jar_by_inches(void **state)
{
    (void)state;
    const json_t *o =
        call(w, "container_add",
             "{'name': 'tin', 'material': 'std-container-soda-lime', 'wall': '1/8 in',"
             " 'inner_diameter': '3 in', 'height': '3 1/2 in'}");
    assert_near(real_at(o, "height_mm"), 88.9, 1e-9);
    assert_near(real_at(o, "brim_ml"), 3.14159265358979 * 3.81 * 3.81 * 8.89, 1e-4);
    assert_true(json_is_null(at(o, "water")));
}

static void impossible_containers_are_refused_whole(void **state)
{
    (void)state;
    const char *head = "'name': 'x', 'material': 'std-container-soda-lime', 'wall': 3";
    refuse(w, EP_E_ARG, "inner_diameter", "7 mm is outside 15 mm to 400 mm", "container_add",
           "{%s, 'inner_diameter': '7 mm', 'height': 80}", head);
    refuse(w, EP_E_ARG, "inner_diameter", "a value is needed", "container_add", "{%s}", head);
    refuse(w, EP_E_ARG, "height", "a value is needed", "container_add",
           "{%s, 'inner_diameter': 70}", head);
    refuse(w, EP_E_ARG, "profile", "not both", "container_add",
           "{%s, 'inner_diameter': 70, 'profile': '0: 70, 80: 70'}", head);
    refuse(w, EP_E_ARG, "profile", "", "container_add", "{%s, 'profile': '0: 70, 80: 70, 60: 70'}",
           head);
    refuse(w, EP_E_ARG, "water_mass", "needed with", "container_add",
           "{%s, 'inner_diameter': 70, 'height': 80, 'water_temp': 20}", head);
    refuse(w, EP_E_ARG, "water_height", "outside 5 mm to 80 mm", "container_add",
           "{%s, 'inner_diameter': 70, 'height': 80, 'water_mass': 200, 'water_height': 90}", head);
    refuse(w, EP_E_ARG, "wall", "outside 0.1 mm to 30 mm", "container_add",
           "{'name': 'x', 'material': 'std-container-soda-lime', 'wall': '3 in',"
           " 'inner_diameter': 70, 'height': 80}");
    assert_int_equal(json_array_size(at(call(w, "containers", "{}"), "containers")), 0);
}

static void a_lot_belongs_to_anything_delivered(void **state)
{
    (void)state;
    own_spring_soy();
    call(w, "series_add",
         "{'name': 'our flat', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 0.9'}");
    const json_t *o = call(w, "lot_add",
                           "{'material': 'spring soy', 'code': 'W-2417', 'received': '2026-11-02',"
                           " 'quantity': '10 lb', 'note': 'dented box'}");
    assert_near(real_at(o, "quantity_g"), 4535.9237, 1e-6);
    assert_string_equal(text_at(o, "received"), "2026-11-02T00:00:00.000Z");
    assert_string_equal(text_at(o, "material_name"), "Spring soy");
    call(w, "lot_add", "{'material': 'our flat', 'code': 'W-2417'}");
    refuse(w, EP_E_CONFLICT, "code", "already entered", "lot_add",
           "{'material': 'spring soy', 'code': 'W-2417'}");
    refuse(w, EP_E_NOT_FOUND, "material", "nothing called", "lot_add",
           "{'material': 'winter soy', 'code': 'W-1'}");
    assert_int_equal(json_array_size(at(call(w, "lots", "{}"), "lots")), 2);
    assert_int_equal(json_array_size(at(call(w, "lots", "{'material': 'our flat'}"), "lots")), 1);
}

static void archived_things_step_back_and_can_return(void **state)
{
    (void)state;
    own_spring_soy();
    call(w, "archive", "{'thing': 'spring soy', 'archived': true}");
    int shown = (int)json_array_size(at(call(w, "materials", "{'kind': 'wax'}"), "materials"));
    assert_int_equal(shown, ep_builtin_count(EP_MAT_WAX));
    shown = (int)json_array_size(
        at(call(w, "materials", "{'kind': 'wax', 'archived': 'yes'}"), "materials"));
    assert_int_equal(shown, ep_builtin_count(EP_MAT_WAX) + 1);
    call(w, "archive", "{'thing': 'spring soy', 'archived': false}");
    assert_true(json_is_false(at(call(w, "material", "{'id': 'spring soy'}"), "archived")));
    refuse(w, EP_E_NOT_FOUND, "thing", "nothing called", "archive",
           "{'thing': 'nobody', 'archived': true}");
}

/// A thing gets its name back once the one that had it is put away; by id both stay reachable.
static void names_are_free_again_after_archiving(void **state)
{
    (void)state;
    char first[40];
    copy_text(first, sizeof first,
              call(w, "series_add",
                   "{'name': 'flat', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 0.9'}"),
              "id");
    refuse(w, EP_E_CONFLICT, "name", "already a wick series", "series_add",
           "{'name': 'Flat', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 1.9'}");
    call(w, "archive", "{'thing': 'flat', 'archived': true}");
    call(w, "series_add",
         "{'name': 'flat', 'construction': 'std-wick-flat-braid', 'sizes': '1 = 1.9'}");
    assert_near(real_at(call(w, "series", "{'id': 'flat'}"), "sizes.0.linear_density_g_m"), 1.9,
                1e-9);
    assert_near(real_at(call(w, "series", "{'id': '%s'}", first), "sizes.0.linear_density_g_m"),
                0.9, 1e-9);
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, setup, teardown)
    const struct CMUnitTest tests[] = {
        T(built_in_materials_show_where_numbers_come_from),
        T(an_own_material_starts_from_a_built_in_one),
        T(the_newest_value_holds),
        T(a_copy_of_an_own_material_keeps_its_values),
        T(a_side_that_is_not_there_is_refused),
        T(the_door_tells_where_wicks_stand),
        T(places_that_do_not_fit),
        T(impossible_materials_are_refused_whole),
        T(a_series_is_described_physically),
        T(impossible_series_are_refused_whole),
        T(a_container_compares_tape_and_water),
        T(a_straight_jar_by_inches),
        T(impossible_containers_are_refused_whole),
        T(a_lot_belongs_to_anything_delivered),
        T(archived_things_step_back_and_can_return),
        T(names_are_free_again_after_archiving),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
