// The workshop's own choices: settings and limits.
#include "app/source_int.h"
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

static const json_t *row_of(const json_t *list, const char *key)
{
    size_t i;
    json_t *row;
    json_array_foreach((json_t *)(uintptr_t)list, i, row)
    {
        if (strcmp(text_at(row, "key"), key) == 0) {
            return row;
        }
    }
    fail_msg("no row %s", key);
    return NULL;
}

static const json_t *setting(const char *key)
{
    return row_of(at(call(w, "settings", "{}"), "settings"), key);
}

static const json_t *limit(const char *key)
{
    return row_of(at(call(w, "limits", "{}"), "limits"), key);
}

static void settings_have_defaults_and_explain_themselves(void **state)
{
    (void)state;
    assert_string_equal(text_at(setting("units"), "value"), "metric");
    assert_int_equal(json_array_size(at(setting("units"), "choices")), 2);
    assert_near(real_at(setting("session_h"), "value"), 4, 0);
    assert_string_equal(text_at(setting("due_minutes"), "value"), "5, 30, 60, 120, 180, 240");
    assert_true(text_at(setting("rest_h"), "help")[0] != '\0');
}

static void the_newest_setting_holds(void **state)
{
    (void)state;
    call(w, "setting_set", "{'key': 'units', 'value': 'US'}");
    assert_string_equal(text_at(setting("units"), "value"), "us");
    call(w, "setting_set", "{'key': 'session_h', 'value': '180 min'}");
    assert_near(real_at(setting("session_h"), "value"), 3, 1e-9);
    assert_near(ep_app_setting_number(w->app, "session_h"), 3, 1e-9);
    call(w, "setting_set", "{'key': 'due_minutes', 'value': ' 10,20 , 90'}");
    assert_string_equal(text_at(setting("due_minutes"), "value"), "10, 20, 90");
    call(w, "setting_set", "{'key': 'units', 'value': 'metric'}");
    assert_string_equal(text_at(setting("units"), "value"), "metric");
}

static void wrong_settings_are_refused(void **state)
{
    (void)state;
    refuse(w, EP_E_ARG, "key", "there are: units", "setting_set", "{'key': 'colour', 'value': 1}");
    refuse(w, EP_E_ARG, "value", "none of metric|us", "setting_set",
           "{'key': 'units', 'value': 'royal'}");
    refuse(w, EP_E_ARG, "value", "40 h is outside 0.25 h to 12 h", "setting_set",
           "{'key': 'session_h', 'value': 40}");
    refuse(w, EP_E_ARG, "value", "due_minutes", "setting_set",
           "{'key': 'due_minutes', 'value': '30, 5'}");
    refuse(w, EP_E_ARG, "value", "due_minutes", "setting_set",
           "{'key': 'due_minutes', 'value': '5, 30 x'}");
    refuse(w, EP_E_ARG, "value", "due_minutes", "setting_set",
           "{'key': 'due_minutes', 'value': '1,2,3,4,5,6,7,8,9,10,11,12,13'}");
    refuse(w, EP_E_ARG, "value", "due_minutes", "setting_set",
           "{'key': 'due_minutes', 'value': 5}");
    refuse(w, EP_E_ARG, "value", "a value is needed", "setting_set", "{'key': 'units'}");
}

// a book of before may hold a value of a setting there is no more: nothing reads it, nothing
// stumbles
static void a_setting_that_went_away_breaks_nothing(void **state)
{
    (void)state;
    ep_bind bind[] = {ep_bind_text("key", "currency"), ep_bind_text("value", "EUR"),
                      ep_bind_int("at", 1)};
    ep_err err = {0};
    assert_int_equal(ep_store_run(w->app->store, EP_Q_SETTING_ADD, bind, 3, &err), EP_OK);
    const json_t *list = at(call(w, "settings", "{}"), "settings");
    assert_true(json_array_size(list) > 0);
    for (size_t i = 0; i < json_array_size(list); i++) {
        assert_string_not_equal(text_at(json_array_get(list, i), "key"), "currency");
    }
    refuse(w, EP_E_ARG, "key", "there is no setting", "setting_set",
           "{'key': 'currency', 'value': 'USD'}");
    // a number says what it may be
    assert_near(real_at(setting("session_h"), "min"), 0.25, 0);
    assert_near(real_at(setting("session_h"), "max"), 12, 0);
    assert_string_equal(text_at(setting("session_h"), "unit"), "h");
}

static void every_limit_has_its_owner(void **state)
{
    (void)state;
    const json_t *list = at(call(w, "limits", "{}"), "limits");
    assert_int_equal(json_array_size(list), EP_LIMIT_COUNT_);
    for (int i = 0; i < EP_LIMIT_COUNT_; i++) {
        const json_t *row = json_array_get(list, (size_t)i);
        const ep_limit *l = &ep_limits_default()[i];
        assert_string_equal(text_at(row, "key"), l->key);
        assert_near(real_at(row, "value"), l->value, 1e-9 * fabs(l->value));
        assert_true(text_at(row, "owner")[0] && text_at(row, "grade")[0] &&
                    text_at(row, "text")[0]);
        assert_true(json_is_false(at(row, "changed")));
    }
}

static void a_house_limit_can_be_moved_within_its_bounds(void **state)
{
    (void)state;
    const json_t *o = call(w, "limit_set", "{'key': 'wall_temp_warn', 'value': '140 F'}");
    assert_near(real_at(o, "value"), 60, 1e-6);
    call(w, "limit_set", "{'key': 'wall_temp_warn', 'value': 55}");
    assert_near(real_at(limit("wall_temp_warn"), "value"), 55, 1e-9);
    assert_true(json_is_true(at(limit("wall_temp_warn"), "changed")));
    ep_limit limits[EP_LIMIT_COUNT_];
    ep_err err = {0};
    assert_int_equal(ep_app_limits_load(w->app, limits, &err), EP_OK);
    assert_near(limits[EP_LIMIT_WALL_WARN].value, 55, 1e-9);
    assert_near(ep_limits_default()[EP_LIMIT_WALL_WARN].value, 60, 1e-9);
    refuse(w, EP_E_ARG, "value", "10 C is outside 40 C to 90 C", "limit_set",
           "{'key': 'wall_temp_warn', 'value': '10 C'}");
    refuse(w, EP_E_PARSE, "value", "temperature is needed", "limit_set",
           "{'key': 'wall_temp_warn', 'value': '10 mm'}");
}

static void a_standards_limit_stays(void **state)
{
    (void)state;
    refuse(w, EP_E_STATE, "key", "EN 15493", "limit_set", "{'key': 'flame_max', 'value': 60}");
    refuse(w, EP_E_NOT_FOUND, "key", "no limit", "limit_set", "{'key': 'flame', 'value': 60}");
    // not even a row written past the case moves it
    ep_err err = {0};
    ep_bind bind[] = {ep_bind_text("key", "flame_max"), ep_bind_real("value", 200),
                      ep_bind_text("unit", "mm"), ep_bind_int("at", 1)};
    assert_int_equal(ep_store_run(w->app->store, EP_Q_LIMIT_ADD, bind, 4, &err), EP_OK);
    assert_near(real_at(limit("flame_max"), "value"), 75, 1e-9);
}

static void every_kind_of_reading_is_listed(void **state)
{
    (void)state;
    const json_t *kinds = at(call(w, "reading_kinds", "{}"), "kinds");
    assert_int_equal(json_array_size(kinds), EP_READ_COUNT_);
    const json_t *flame = row_of(kinds, "flame");
    assert_string_equal(text_at(flame, "unit"), "mm");
    assert_string_equal(text_at(flame, "type"), "number");
    assert_near(real_at(flame, "max"), 300, 0);
    assert_string_equal(text_at(row_of(kinds, "pool_at_wall"), "type"), "flag");
}

/// Every citation of the tables has a title to show, and no row of the bibliography came out
/// broken.
static void every_source_has_a_title(void **state)
{
    (void)state;
    assert_true(ep_n_sources > 50);
    for (int i = 0; i < ep_n_sources; i++) {
        const ep_source *s = &ep_sources[i];
        assert_true(strlen(s->text) > 15);
        assert_null(strpbrk(s->text, "{}\\\n"));
        assert_ptr_equal(ep_source_find(s->key), s);
    }
    for (int i = 0; i < EP_LIMIT_COUNT_; i++) {
        const char *key = ep_limits_default()[i].src;
        assert_true(key[0] == '\0' || ep_source_find(key));
    }
    for (int k = 0; k < EP_MAT_KIND_COUNT_; k++) {
        for (int i = 0; i < ep_builtin_count((ep_material_kind)k); i++) {
            const ep_material *m = ep_builtin((ep_material_kind)k, i);
            for (int p = 0; p < m->n_props; p++) {
                assert_true(m->prop[p].src[0] == '\0' || ep_source_find(m->prop[p].src));
            }
        }
    }
    assert_string_equal(ep_source_find("en15426_2018")->text,
                        "Candles \xe2\x80\x93 Specification for sooting behaviour. European "
                        "Committee for Standardization, EN 15426:2018");
    assert_null(ep_source_find("sheet of March"));
    assert_string_equal(text_at(limit("flame_max"), "source"), "en15493_2019");
    assert_non_null(strstr(text_at(limit("flame_max"), "source_text"), "EN 15493:2019"));
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, setup, teardown)
    const struct CMUnitTest tests[] = {
        T(every_source_has_a_title),
        T(settings_have_defaults_and_explain_themselves),
        T(the_newest_setting_holds),
        T(wrong_settings_are_refused),
        T(a_setting_that_went_away_breaks_nothing),
        T(every_limit_has_its_owner),
        T(a_house_limit_can_be_moved_within_its_bounds),
        T(a_standards_limit_stays),
        T(every_kind_of_reading_is_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
