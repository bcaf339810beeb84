// Learning through the workshop's own calls: plan, explain, carry-over to another jar, the record
// of forecasts, a decimal slip, rebuild. Readings are invented (tests/app/programme.h).
#include "../app/programme.h"

static const json_t *material(const json_t *explain, const char *owner)
{
    size_t i;
    json_t *m;
    json_array_foreach(at(explain, "materials"), i, m)
    {
        if (strcmp(text_at(m, "owner"), owner) == 0) {
            return m;
        }
    }
    fail_msg("no %s", owner);
    return NULL;
}

static double most_narrowed(const json_t *m)
{
    double most = 0.0;
    size_t i;
    json_t *f;
    json_array_foreach(at(m, "factors"), i, f)
    {
        most = fmax(most, real_at(f, "narrowed_pct"));
    }
    return most;
}

static void test_from_plan_to_explain(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-01-01T08:00:00Z", false);
    describe(w);
    call(w, "explain", "{'id': 'fig'}");
    assert_int_equal((int)real_at(w->last, "learned.wicks"), 0);
    assert_true(most_narrowed(material(w->last, "wax")) < 1e-9);

    call(w, "plan", "{'id': 'fig', 'members': 8}");
    assert_string_equal(text_at(w->last, "status"), "pour");
    real_at(w->last, "chance_wrong_pct");

    programme p = programme_pour(w, "1", 2, 14 * 24);
    call(w, "plan", "{'id': 'fig', 'members': 8}");
    const char *before = text_at(w->last, "status");
    assert_true(strcmp(before, "burn_on") == 0 || strcmp(before, "pour") == 0);
    programme_burn(w, &p, &too_small, 3);

    call(w, "explain", "{'id': 'fig'}");
    assert_int_equal((int)real_at(w->last, "learned.sessions"), 6);
    assert_true(real_at(w->last, "learned.engine_runs") > 10);
    // a slow burn says that the wick carries less than the tables' middle
    assert_true(most_narrowed(material(w->last, "series")) > 15.0);
    call(w, "plan", "{'id': 'fig', 'members': 8}");
    real_at(w->last, "learned.misfit");
    assert_true(json_is_array(at(w->last, "doubts")));

    // the record: the plan before the burns held intervals of every size
    call(w, "record", "{'recipe': 'fig'}");
    assert_true(real_at(w->last, "scored") > 0);
    double inside = real_at(w->last, "kinds.0.inside_pct");
    assert_true(inside >= 0.0 && inside <= 100.0);
    workshop_close(w);
}

static void test_carry_over(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-01-01T08:00:00Z", false);
    describe(w);
    programme p = programme_pour(w, "2", 1, 14 * 24);
    programme_burn(w, &p, &fits, 2);
    call(w, "container_add",
         "{'name': 'wide', 'material': 'std-container-soda-lime', 'inner_diameter': '80 mm',"
         " 'height': '80 mm', 'wall': '3 mm', 'base': '6 mm', 'empty_mass': '260 g'}");
    call(w, "recipe_add",
         "{'name': 'second', 'container': 'wide', 'waxes': [{'id': 'std-wax-soy', 'share': '100 "
         "%%'}],"
         " 'series': 'flat', 'fill_height': '60 mm', 'trim': '5 mm', 'session': '4 h',"
         " 'stop_height': '10 mm'}");
    call(w, "recipe_add",
         "{'name': 'other', 'container': 'wide',"
         " 'waxes': [{'id': 'std-wax-paraffin-container', 'share': '100 %%'}],"
         " 'series': 'flat', 'fill_height': '60 mm', 'trim': '5 mm', 'session': '4 h',"
         " 'stop_height': '10 mm'}");
    call(w, "explain", "{'id': 'second'}");
    // same wax and wick: narrower; its own container: as the tables have it
    assert_false(json_is_true(at(w->last, "learned.own")));
    assert_true(most_narrowed(material(w->last, "wax")) > 5.0);
    assert_true(most_narrowed(material(w->last, "container")) < 1.0);
    // a new wax starts from its class
    call(w, "explain", "{'id': 'other'}");
    assert_true(most_narrowed(material(w->last, "wax")) < 1.0);
    assert_true(most_narrowed(material(w->last, "series")) > 5.0);
    workshop_close(w);
}

static void test_slip_is_asked_about_and_correctable(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-01-01T08:00:00Z", false);
    describe(w);
    programme p = programme_pour(w, "2", 1, 14 * 24);
    programme_burn(w, &p, &fits, 3);
    char id[EP_ID_CAP], session[EP_ID_CAP];
    call(w, "session_light", "{'candles': ['%s'], 'masses': {'%s': %.1f}}", p.code[0], p.code[0],
         p.mass_g[0]);
    copy_text(session, sizeof session, w->last, "id");
    pass_hours(w, 4);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'wall_temp', 'value': 5.1}", p.code[0]);
    copy_text(id, sizeof id, w->last, "id");
    call(w, "session_end", "{'id': '%s', 'masses': {'%s': %.1f}}", session, p.code[0],
         p.mass_g[0] - 18.0);
    call(w, "explain", "{'id': 'fig'}");
    bool asked = false;
    size_t i;
    json_t *d;
    json_array_foreach(at(w->last, "doubts"), i, d)
    {
        const char *which = json_string_value(at(d, "reading_id"));
        asked = asked || (which && strcmp(which, id) == 0 && strstr(text_at(d, "text"), "decimal"));
    }
    assert_true(asked);
    call(w, "reading_add", "{'candle': '%s', 'kind': 'wall_temp', 'value': 51, 'corrects': '%s'}",
         p.code[0], id);
    call(w, "explain", "{'id': 'fig'}");
    json_array_foreach(at(w->last, "doubts"), i, d)
    {
        assert_null(strstr(text_at(d, "text"), "outside temperature"));
    }

    call(w, "rebuild", "{}");
    assert_int_equal((int)json_array_size(at(w->last, "beliefs")), 1);
    workshop_close(w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_from_plan_to_explain),
        cmocka_unit_test(test_carry_over),
        cmocka_unit_test(test_slip_is_asked_about_and_correctable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
