// Recipes: describing, revising, comparing, weighing out, and how far each has come.
#include "app/recipe_int.h"
#include "base/uuid.h"
#include "burn/burn.h"
#include "workshop.h"

static workshop *w;

static int setup(void **state)
{
    (void)state;
    w = workshop_open("2026-11-25T12:00", false);
    describe(w);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    workshop_close(w);
    return 0;
}

static void a_recipe_says_what_it_is(void **state)
{
    (void)state;
    const json_t *o = call(w, "recipe", "{'id': 'FIG'}");
    assert_string_equal(text_at(o, "state"), "described");
    assert_near(real_at(o, "revision.number"), 1, 0);
    assert_near(real_at(o, "revision.fill_height_mm"), 60, 1e-9);
    assert_near(real_at(o, "revision.headspace_mm"), 20, 1e-9);
    // a cylinder of 70 mm to 60 mm
    assert_near(real_at(o, "revision.fill_ml"), 3.14159265358979 * 3.5 * 3.5 * 6, 1e-4);
    // 8 of wax is 8/108 of the total
    assert_near(real_at(o, "revision.load_of_wax_pct"), 8, 1e-9);
    assert_near(real_at(o, "revision.load_of_total_pct"), 800.0 / 108.0, 1e-6);
    assert_string_equal(text_at(o, "revision.waxes.0.id"), "std-wax-soy");
    assert_true(json_is_null(at(o, "revision.size")));
    assert_true(json_is_null(at(o, "revision.dye")));
    assert_true(json_is_false(at(o, "revision.poured")));
    assert_true(any_text(at(o, "cautions"), "Never leave a lit candle alone"));
    double density = real_at(o, "revision.fill_mass_g") / real_at(o, "revision.fill_ml");
    assert_true(density > 0.8 && density < 1.0);  // any candle wax floats
}

static void open_fields_get_common_practice(void **state)
{
    (void)state;
    const json_t *o =
        call(w, "recipe_add",
             "{'name': 'plain', 'container': 'glass', 'waxes': 'std-wax-soy', 'series': 'flat'}");
    assert_near(real_at(o, "revision.headspace_mm"), 10, 1e-9);
    assert_near(real_at(o, "revision.stop_height_mm"), 10, 1e-9);
    assert_near(real_at(o, "revision.session_h"), 4, 1e-9);
    assert_near(real_at(o, "revision.wick_count"), 1, 0);
    assert_near(real_at(o, "revision.trim_mm"),
                ep_builtin_find("std-wick-flat-braid")->prop[EP_WICK_TRIM].value * 1e3, 1e-6);
    assert_near(real_at(o, "revision.waxes.0.share_pct"), 100, 1e-9);
    assert_true(json_is_null(at(o, "revision.fragrance")));
    call(w, "setting_set", "{'key': 'session_h', 'value': '2 h'}");
    o = call(w, "recipe_add",
             "{'name': 'short', 'container': 'glass', 'waxes': 'std-wax-soy', 'series': 'flat'}");
    assert_near(real_at(o, "revision.session_h"), 2, 1e-9);
}

static void impossible_recipes_are_refused_whole(void **state)
{
    (void)state;
    const char *head = "'name': 'x', 'container': 'glass', 'series': 'flat'";
    const char *soy = "'waxes': 'std-wax-soy: 100'";
    refuse(w, EP_E_ARG, "waxes", "sum to 90 %", "recipe_add",
           "{%s, 'waxes': 'std-wax-soy: 70 %%, std-wax-beeswax: 20 %%'}", head);
    refuse(w, EP_E_ARG, "waxes[2].share", "needed", "recipe_add",
           "{%s, 'waxes': 'std-wax-soy: 70 %%, std-wax-beeswax'}", head);
    refuse(w, EP_E_ARG, "waxes", "twice", "recipe_add",
           "{%s, 'waxes': 'std-wax-soy: 50 %%, std-wax-soy: 50 %%'}", head);
    refuse(w, EP_E_NOT_FOUND, "waxes[1].id", "no wax “std-dye", "recipe_add",
           "{%s, 'waxes': 'std-dye-x: 100 %%'}", head);
    refuse(w, EP_E_ARG, "load", "31 % is outside 0 % to 30 %", "recipe_add",
           "{%s, %s, 'fragrance': 'std-fragrance-resin', 'load': '31 %%'}", head, soy);
    refuse(w, EP_E_ARG, "load", "needed with a fragrance, 0.001 % to 30 %", "recipe_add",
           "{%s, %s, 'fragrance': 'std-fragrance-resin'}", head, soy);
    refuse(w, EP_E_ARG, "load", "8 % is given, but there is no fragrance", "recipe_add",
           "{%s, %s, 'load': 8}", head, soy);
    refuse(w, EP_E_ARG, "dye_share", "0.1 % is given, but there is no dye", "recipe_add",
           "{%s, %s, 'dye_share': 0.1}", head, soy);
    refuse(w, EP_E_ARG, "headspace", "79 mm is outside 0 mm to 72 mm", "recipe_add",
           "{%s, %s, 'headspace': '79 mm'}", head, soy);
    refuse(w, EP_E_ARG, "fill_height", "90 mm is outside 8 mm to 80 mm", "recipe_add",
           "{%s, %s, 'fill_height': '90 mm'}", head, soy);
    refuse(w, EP_E_ARG, "fill_height", "not both", "recipe_add",
           "{%s, %s, 'fill_height': 60, 'headspace': 20}", head, soy);
    refuse(w, EP_E_ARG, "stop_height", "65 mm is outside", "recipe_add",
           "{%s, %s, 'fill_height': 60, 'stop_height': 65}", head, soy);
    refuse(w, EP_E_ARG, "trim", "outside 1 mm to 15 mm", "recipe_add", "{%s, %s, 'trim': '1 in'}",
           head, soy);
    refuse(w, EP_E_NOT_FOUND, "size", "there is: 1; 2; 3", "recipe_add", "{%s, %s, 'size': '9'}",
           head, soy);
    refuse(w, EP_E_NOT_FOUND, "container", "there is: glass", "recipe_add",
           "{'name': 'x', 'container': 'gless', 'series': 'flat', %s}", soy);
    refuse(w, EP_E_ARG, "series", "a value is needed", "recipe_add",
           "{'name': 'x', 'container': 'glass', %s}", soy);
    refuse(w, EP_E_CONFLICT, "name", "already a recipe called", "recipe_add",
           "{'name': 'FIG', 'container': 'glass', 'series': 'flat', %s}", soy);
    assert_int_equal(json_array_size(at(call(w, "recipes", "{}"), "recipes")), 1);
}

// one mistake is told once: no empty one behind it
static void a_single_mistake_stands_alone(void **state)
{
    (void)state;
    static const char *const wrong[][3] = {
        {"'fragrance': 'std-fragrance-resin', 'load': 0", "load", "0 % is outside 0.001 % to 30 %"},
        {"'load': 8", "load", "8 % is given"},
        {"'dye': 'std-dye-solvent-deep', 'dye_share': 0", "dye_share",
         "0 % is outside 0.001 % to 5"},
        {"'stop_height': '70 mm'", "stop_height", "70 mm is outside 0 mm to 60 mm"},
        {"'waxes': 'std-wax-soy: 70 %, std-wax-beeswax'", "waxes[2].share", "0.001 % to 100 %"},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        ep_mistakes more = {0};
        try_all(w, &more, "recipe_add",
                "{'name': 'x', 'container': 'glass', 'series': 'flat', %s%s}",
                strstr(wrong[i][0], "waxes") ? "" : "'waxes': 'std-wax-soy', ", wrong[i][0]);
        if (strcmp(w->err.field, wrong[i][1]) != 0 || !strstr(w->err.text, wrong[i][2])) {
            fail_msg("wanted %s with “%s”, got %s", wrong[i][1], wrong[i][2], w->err.text);
        }
        if (more.n != 0) {
            fail_msg("%s: and “%s” on “%s”", w->err.text, more.at[0].text, more.at[0].field);
        }
    }
}

// does the engine refuse this fill and stop height, by this field?
static bool engine_refuses(const char *field, double fill_m, double stop_m)
{
    const ep_material *wall = ep_builtin_find("std-container-soda-lime");
    ep_burn_case c = ep_burn_case_default();
    ep_err err = {0};
    c.vessel = ep_vessel_straight(0.07, 0.4, 0.003, 0.003);
    c.wall = wall;
    c.wick.diameter_m = 0.002;
    c.fill_height_m = fill_m;
    c.stop_height_m = stop_m;
    (void)ep_burn_case_check(&c, &err);
    return strcmp(err.field, field) == 0;
}

static const ep_field *field_of(const char *name, const char *field)
{
    const ep_use_case *c = ep_use_case_find(name);
    for (int i = 0; i < c->n_fields; i++) {
        if (strcmp(c->field[i].name, field) == 0) {
            return &c->field[i];
        }
    }
    fail_msg("%s has no %s", name, field);
    return NULL;
}

static void what_is_taken_down_can_be_burned(void **state)
{
    (void)state;
    static const char *const cases[] = {"recipe_add", "recipe_revise", "what_if"};
    const double mm = 1e-3, least_m = EP_BURN_FILL_MIN_M, most_m = EP_BURN_STOP_MAX_M;
    assert_false(engine_refuses("fill_height", least_m, 5 * mm));
    assert_true(engine_refuses("fill_height", least_m - 0.1 * mm, 5 * mm));
    assert_false(engine_refuses("stop_height", 0.2, most_m));
    assert_true(engine_refuses("stop_height", 0.2, most_m + 0.1 * mm));
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_near(field_of(cases[i], "fill_height")->min * mm, least_m, 1e-12);
    }
    for (size_t i = 0; i < 2; i++) {
        assert_near(field_of(cases[i], "stop_height")->max * mm, most_m, 1e-12);
    }
    refuse(w, EP_E_ARG, "fill_height", "6 mm is outside 8 mm to", "recipe_revise",
           "{'id': 'fig', 'fill_height': '6 mm'}");
    refuse(w, EP_E_ARG, "headspace", "74 mm is outside 0 mm to 72 mm", "recipe_revise",
           "{'id': 'fig', 'headspace': '74 mm'}");
    call(w, "recipe_revise", "{'id': 'fig', 'fill_height': '75 mm', 'stop_height': '60 mm'}");
    call(w, "what_if", "{'id': 'fig', 'sessions': 1, 'now': false}");
    call(w, "recipe_revise", "{'id': 'fig', 'fill_height': '8 mm', 'stop_height': '2 mm'}");
    call(w, "what_if", "{'id': 'fig', 'sessions': 1, 'now': false}");
}

static void a_revision_follows_and_the_first_stays(void **state)
{
    (void)state;
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'load': '10 %%', 'trim': '6 mm'}");
    assert_near(real_at(o, "revision.number"), 2, 0);
    assert_int_equal(json_array_size(at(o, "revisions")), 2);
    assert_near(real_at(o, "revisions.0.load_pct"), 8, 1e-9);
    assert_near(real_at(o, "revision.load_pct"), 10, 1e-9);
    o = call(w, "recipe_diff", "{'id': 'fig'}");
    assert_int_equal(json_array_size(at(o, "factors")), 2);
    assert_string_equal(text_at(o, "factors.0.key"), "load");
    assert_string_equal(text_at(o, "factors.0.before"), "8 % of wax");
    assert_string_equal(text_at(o, "factors.0.after"), "10 % of wax");
    assert_true(json_is_true(at(o, "factors.0.retest")));
    assert_non_null(strstr(text_at(o, "text"), "must be done again"));
    refuse(w, EP_E_STATE, "", "nothing differs", "recipe_revise", "{'id': 'fig', 'load': '10 %%'}");
    refuse(w, EP_E_NOT_FOUND, "revision", "run from 1 to 2", "recipe_diff",
           "{'id': 'fig', 'from': 7}");
}

/// 8 % of wax and 8/108 of the total are the same candle.
static void the_same_load_on_the_other_basis_is_no_change(void **state)
{
    (void)state;
    refuse(w, EP_E_STATE, "", "nothing differs", "recipe_revise",
           "{'id': 'fig', 'load': '7.407407407407407 %%', 'load_basis': 'of_total'}");
    const json_t *o = call(w, "recipe_revise",
                           "{'id': 'fig', 'load': '7.407407407407407 %%', 'load_basis': 'of_total',"
                           " 'note': 'stated on the total'}");
    assert_string_equal(text_at(o, "revision.load_basis"), "of_total");
    o = call(w, "recipe_diff", "{'id': 'fig'}");
    assert_int_equal(json_array_size(at(o, "factors")), 0);
}

static void a_field_set_to_null_is_taken_away(void **state)
{
    (void)state;
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'size': '2', 'fragrance': null}");
    assert_true(json_is_null(at(o, "revision.fragrance")));
    assert_near(real_at(o, "revision.load_pct"), 0, 1e-12);
    assert_string_equal(text_at(o, "revision.size.name"), "2");
    o = call(w, "recipe_revise", "{'id': 'fig', 'size': 'none'}");
    assert_true(json_is_null(at(o, "revision.size")));
}

static void another_series_forgets_the_size(void **state)
{
    (void)state;
    call(
        w, "series_add",
        "{'name': 'square', 'construction': 'std-wick-square-braid', 'sizes': 'a = 1.2; b = 1.6'}");
    call(w, "recipe_revise", "{'id': 'fig', 'size': '2'}");
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'series': 'square'}");
    assert_true(json_is_null(at(o, "revision.size")));
    o = call(w, "recipe_revise", "{'id': 'fig', 'series': 'flat', 'size': '3'}");
    assert_string_equal(text_at(o, "revision.size.name"), "3");
}

static void another_container_keeps_the_headspace(void **state)
{
    (void)state;
    call(w, "container_add",
         "{'name': 'tall', 'material': 'std-container-soda-lime', 'inner_diameter': 70,"
         " 'height': 120, 'wall': 3}");
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'container': 'tall'}");
    assert_near(real_at(o, "revision.headspace_mm"), 20, 1e-9);
    assert_near(real_at(o, "revision.fill_height_mm"), 100, 1e-9);
}

static void a_dye_comes_with_its_usual_share(void **state)
{
    (void)state;
    const ep_material *dye = ep_builtin(EP_MAT_DYE, 0);
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'dye': '%s'}", dye->id);
    assert_near(real_at(o, "revision.dye_share_pct"), dye->prop[EP_DYE_TYPICAL].value * 100, 1e-6);
}

static void a_recipe_keeps_its_name(void **state)
{
    (void)state;
    call(w, "recipe_revise", "{'id': 'fig', 'name': 'fig', 'load': 9}");
    refuse(w, EP_E_STATE, "name", "keeps that name", "recipe_revise",
           "{'id': 'fig', 'name': 'figs', 'load': 7}");
}

static void too_much_scent_is_a_caution(void **state)
{
    (void)state;
    const json_t *o = call(w, "recipe_revise", "{'id': 'fig', 'load': '25 %%'}");
    assert_true(any_text(at(o, "cautions"), "above the"));
    o = call(w, "recipe_revise", "{'id': 'fig', 'load': '5 %%'}");
    assert_false(any_text(at(o, "cautions"), "above the"));
}

/// Sums by hand: n fills, plus the allowance, plus what stays in the pot; each part rounded.
static void the_weigh_out_adds_up(void **state)
{
    (void)state;
    double fill = real_at(call(w, "recipe", "{'id': 'fig'}"), "revision.fill_mass_g");
    const json_t *o = call(w, "recipe_weigh",
                           "{'id': 'fig', 'candles': 6, 'loss': '5 %%', 'residue': '10 g',"
                           " 'resolution': '0.1 g'}");
    assert_near(real_at(o, "fill_mass_g"), fill, 1e-6);
    double total = 6 * fill * 1.05 + 10;
    assert_near(real_at(o, "total_g"), total, 0.11);
    assert_near(real_at(o, "lines.0.mass_g"), total / 1.08, 0.051);
    assert_near(real_at(o, "lines.1.mass_g"), total * 0.08 / 1.08, 0.051);
    assert_string_equal(text_at(o, "lines.1.what"), "fragrance");
    assert_near(real_at(o, "lines.0.mass_g") + real_at(o, "lines.1.mass_g"), real_at(o, "total_g"),
                1e-6);
    assert_near(real_at(o, "load_of_wax_pct"), 8, 0.05);
    assert_true(any_text(at(o, "cautions"), "Never put water on burning wax"));
    assert_true(any_text(at(o, "cautions"), "flash point"));
    refuse(w, EP_E_ARG, "candles", "a value is needed", "recipe_weigh", "{'id': 'fig'}");
    refuse(w, EP_E_ARG, "loss", "outside 0 % to 25 %", "recipe_weigh",
           "{'id': 'fig', 'candles': 6, 'loss': 40}");
}

static void a_coarse_scale_is_told(void **state)
{
    (void)state;
    const json_t *o = call(w, "recipe_weigh", "{'id': 'fig', 'candles': 1, 'resolution': '10 g'}");
    assert_true(any_text(at(o, "cautions"), "too coarse"));
}

static void a_recipe_comes_on_step_by_step(void **state)
{
    (void)state;
    pour_some(w, "2", 2);
    const json_t *o = call(w, "recipes", "{}");
    assert_string_equal(text_at(o, "recipes.0.state"), "testing");
    assert_near(real_at(o, "recipes.0.candles_poured"), 2, 0);
    assert_true(json_is_true(at(call(w, "recipe", "{'id': 'fig'}"), "revision.poured")));
    // a poured revision never changes: a revision follows
    o = call(w, "recipe_revise", "{'id': 'fig', 'load': '9 %%'}");
    assert_near(real_at(o, "revisions.0.load_pct"), 8, 1e-9);
    assert_true(json_is_false(at(o, "revision.poured")));
}

/// Write a decision past the judge, to see what the state makes of it.
static void decide(const char *decision, int named)
{
    ep_err err = {0};
    ep_revision r, next;
    char recipe[40];
    copy_text(recipe, sizeof recipe, call(w, "recipe", "{'id': 'fig'}"), "id");
    assert_int_equal(ep_app_revision_load(w->app, recipe, 1, &r, &err), EP_OK);
    char size[EP_ID_CAP];
    assert_int_equal(ep_find_size(w->app, r.series_id, "2", "size", size, &err), EP_OK);
    if (named) {
        next = r;
        snprintf(next.size_id, sizeof next.size_id, "%s", size);
        assert_int_equal(ep_revision_save(w->app, &next, NULL, &err), EP_OK);
    }
    w->now += 1000;
    ep_uuid id = ep_uuid_make(w->now);
    ep_bind bind[] = {ep_bind_text("id", id.text),    ep_bind_text("recipe", recipe),
                      ep_bind_text("revision", r.id), ep_bind_text("named", named ? next.id : NULL),
                      ep_bind_text("size", size),     ep_bind_text("decision", decision),
                      ep_bind_text("verdict", "{}"),  ep_bind_null("note"),
                      ep_bind_int("at", w->now)};
    assert_int_equal(ep_store_run(w->app->store, EP_Q_DECISION_ADD, bind, EP_COUNT_OF(bind), &err),
                     EP_OK);
}

static void a_decision_holds_until_the_candle_changes(void **state)
{
    (void)state;
    pour_some(w, "2", 2);
    decide("proven", 1);
    const json_t *o = call(w, "recipe", "{'id': 'fig'}");
    assert_string_equal(text_at(o, "state"), "proven");
    // a change that calls for no new burn test leaves it proven
    o = call(w, "recipe_revise", "{'id': 'fig', 'session': '3 h'}");
    assert_string_equal(text_at(o, "state"), "proven");
    o = call(w, "recipe_revise", "{'id': 'fig', 'load': '6 %%'}");
    assert_string_equal(text_at(o, "state"), "testing");
    assert_non_null(strstr(text_at(o, "state_text"), "fragrance load"));
    decide("reopened", 0);
    o = call(w, "recipe", "{'id': 'fig'}");
    assert_string_equal(text_at(o, "state"), "testing");
    decide("rejected", 0);
    o = call(w, "recipe_revise", "{'id': 'fig', 'load': '8 %%', 'size': '2'}");
    assert_string_equal(text_at(o, "state"), "rejected");
}

static void an_archived_recipe_steps_back(void **state)
{
    (void)state;
    call(w, "archive", "{'thing': 'fig', 'archived': true}");
    assert_int_equal(json_array_size(at(call(w, "recipes", "{}"), "recipes")), 0);
    assert_int_equal(json_array_size(at(call(w, "recipes", "{'archived': true}"), "recipes")), 1);
    assert_true(json_is_true(at(call(w, "recipe", "{'id': 'fig'}"), "archived")));
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, setup, teardown)
    const struct CMUnitTest tests[] = {
        T(a_recipe_says_what_it_is),
        T(open_fields_get_common_practice),
        T(impossible_recipes_are_refused_whole),
        T(a_single_mistake_stands_alone),
        T(what_is_taken_down_can_be_burned),
        T(a_revision_follows_and_the_first_stays),
        T(the_same_load_on_the_other_basis_is_no_change),
        T(a_field_set_to_null_is_taken_away),
        T(another_series_forgets_the_size),
        T(another_container_keeps_the_headspace),
        T(a_dye_comes_with_its_usual_share),
        T(a_recipe_keeps_its_name),
        T(too_much_scent_is_a_caution),
        T(the_weigh_out_adds_up),
        T(a_coarse_scale_is_told),
        T(a_recipe_comes_on_step_by_step),
        T(a_decision_holds_until_the_candle_changes),
        T(an_archived_recipe_steps_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
