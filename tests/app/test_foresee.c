// Forecasts, odds, plans and what-ifs through their cases: shapes, conservation, refusals, reuse.
#include "app/foresee_int.h"
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

static size_t length_at(const json_t *o, const char *path)
{
    return json_array_size(at(o, path));
}

static double sum_of(const json_t *list, const char *key)
{
    double sum = 0.0;
    size_t i;
    json_t *row;
    json_array_foreach(list, i, row)
    {
        sum += json_number_value(json_object_get(row, key));
    }
    return sum;
}

static void a_forecast_burns_to_the_end_and_keeps_its_books(void **state)
{
    (void)state;
    const json_t *o = call(w, "forecast", "{'id': 'FIG'}");
    assert_string_equal(text_at(o, "engine"), EP_ENGINE_VERSION);
    assert_true(real_at(o, "ledger.energy_rel") < 1e-9);
    assert_true(real_at(o, "ledger.mass_rel") < 1e-9);
    // what the sessions burned is what is gone
    double burned_g = sum_of(at(o, "sessions"), "burned_g");
    assert_near(real_at(o, "summary.fill_g") - real_at(o, "summary.left_g"), burned_g, 0.05);
    assert_true(length_at(o, "trace.hour") > 100);
    assert_int_equal(length_at(o, "trace.hour"), length_at(o, "trace.wall_max_C"));
    assert_true(length_at(o, "cut.frames") > 10);
    assert_int_equal(length_at(o, "cut.frames.0.T_C"),
                     (size_t)(real_at(o, "cut.nr") * real_at(o, "cut.nz")));
    assert_true(real_at(o, "heat.flame_W") > real_at(o, "heat.pool_W"));
    assert_true(json_is_true(at(o, "verdict.simulated")));
    assert_true(any_text(at(o, "cautions"), "Never leave a lit candle alone"));
    assert_true(any_text(at(o, "cautions"), "Nothing may stand or hang above the flame"));
    assert_int_equal(json_array_size(at(o, "above")), 5);
}

// what the engine does not know is said where it counts, on forecast and odds alike
static void a_short_trim_is_warned_of(void **state)
{
    (void)state;
    call(w, "recipe_revise", "{'id': 'FIG', 'trim': 3}");
    assert_false(any_text(at(call(w, "forecast", "{'id': 'FIG'}"), "cautions"), "is short"));
    call(w, "recipe_revise", "{'id': 'FIG', 'trim': 2}");
    assert_true(any_text(at(call(w, "forecast", "{'id': 'FIG'}"), "cautions"),
                         "Trimmed to 2 mm the wick is short"));
    assert_true(any_text(at(call(w, "odds", "{'id': 'FIG', 'members': 8}"), "cautions"),
                         "Trimmed to 2 mm the wick is short"));
    assert_true(any_text(at(call(w, "recipe", "{'id': 'FIG'}"), "cautions"),
                         "Trimmed to 2 mm the wick is short"));
}

static void members_give_odds_and_bands(void **state)
{
    (void)state;
    const json_t *o = call(w, "forecast", "{'id': 'FIG', 'members': 8, 'seed': 3}");
    double all = real_at(o, "odds.right_pct") + real_at(o, "odds.too_small_pct") +
                 real_at(o, "odds.too_big_pct") + real_at(o, "odds.wrong_kind_pct") +
                 real_at(o, "odds.unknown_pct");
    assert_near(all, 100.0, 0.5);
    size_t i;
    json_t *row;
    json_array_foreach(at(o, "intervals.rate_g_h"), i, row)
    {
        assert_true(real_at(row, "p05") <= real_at(row, "p50"));
        assert_true(real_at(row, "p50") <= real_at(row, "p95"));
    }
    // the claim is the lower bound of what candles reach down to the stop height
    assert_true(real_at(o, "summary.burn_h_claim") <= real_at(o, "odds.burn_to_stop_h.p50"));
    assert_near(real_at(o, "summary.burn_h_claim"), real_at(o, "odds.claim_h"), 1e-9);
    // eight candles say little: 1 - 0.95^8
    assert_near(real_at(o, "odds.claim_sure_pct"), 33.7, 0.05);
    assert_non_null(strstr(text_at(o, "odds.claim_text"), "Too few"));
    assert_non_null(
        strstr(text_at(o, "odds.claim_text"), "A label speaks of a proven candle only"));
}

// One candle is one thing: what passes a hot limit is too hot, whatever else it would be called.
static void shares_exclude_each_other(void **state)
{
    (void)state;
    call(w, "series_add",
         "{'name': 'plank', 'construction': 'Wooden, single ply', 'sizes': ["
         " {'name': 'P1', 'linear_density': '5 g/m', 'width': '10 mm', 'thickness': '1 mm'},"
         " {'name': 'P2', 'linear_density': '9 g/m', 'width': '16 mm', 'thickness': '1.5 mm'}]}");
    call(w, "recipe_revise", "{'id': 'FIG', 'series': 'plank', 'session': '8 h'}");
    const json_t *o = call(w, "odds", "{'id': 'FIG', 'members': 8}");
    double hot = 0.0;
    for (int i = 0; i < 2; i++) {
        static const char *const share[] = {"right", "too_small", "too_big", "wrong_kind",
                                            "unknown"};
        double all = 0.0;
        char path[40];
        for (size_t k = 0; k < sizeof share / sizeof *share; k++) {
            snprintf(path, sizeof path, "sizes.%d.%s_pct", i, share[k]);
            all += real_at(o, path);
        }
        assert_near(all, 100.0, 0.21);
        snprintf(path, sizeof path, "sizes.%d.hot_pct", i);
        hot += real_at(o, path);
        const double too_hot = real_at(o, path);
        snprintf(path, sizeof path, "sizes.%d.too_big_pct", i);
        assert_near(real_at(o, path), too_hot, 1e-9);
    }
    assert_true(hot > 10.0);
}

static void the_same_question_gets_the_same_answer(void **state)
{
    (void)state;
    char *first = json_dumps(at(call(w, "odds", "{'id': 'FIG', 'members': 8}"), "sizes"), 0);
    char *again = json_dumps(at(call(w, "odds", "{'id': 'FIG', 'members': 8}"), "sizes"), 0);
    assert_string_equal(first, again);
    free(first);
    free(again);
    // another seed draws other candles
    char *other =
        json_dumps(at(call(w, "odds", "{'id': 'FIG', 'members': 8, 'seed': 9}"), "sizes"), 0);
    char *base = json_dumps(at(call(w, "odds", "{'id': 'FIG', 'members': 8}"), "sizes"), 0);
    assert_string_not_equal(other, base);
    free(other);
    free(base);
}

static void a_heavier_wick_burns_faster(void **state)
{
    (void)state;
    const json_t *sizes = at(call(w, "odds", "{'id': 'FIG', 'members': 8}"), "sizes");
    double last = 0.0;
    size_t i;
    json_t *row;
    json_array_foreach(sizes, i, row)
    {
        assert_true(real_at(row, "rate_g_h.p50") > last);
        last = real_at(row, "rate_g_h.p50");
    }
    assert_true(i >= 2);
}

static void a_plan_names_sizes_candles_and_days(void **state)
{
    (void)state;
    const json_t *o = call(w, "plan", "{'id': 'FIG', 'members': 8, 'candles_each': 3}");
    size_t n = length_at(o, "set");
    assert_true(n >= 1 && n <= 3);
    assert_near(real_at(o, "candles"), 3.0 * (double)n, 0);
    assert_true(real_at(o, "days") >= real_at(o, "cure_days") + 1);
    assert_true(strlen(text_at(o, "sentence")) > 20);
    assert_string_equal(text_at(call(w, "recipe", "{'id': 'FIG'}"), "state"), "planned");
}

static void why_orders_what_matters(void **state)
{
    (void)state;
    const json_t *o = call(w, "why", "{'id': 'FIG'}");
    double before = 1e9;
    size_t i;
    json_t *row;
    json_array_foreach(at(o, "factors"), i, row)
    {
        assert_true(real_at(row, "weight") <= before);
        before = real_at(row, "weight");
    }
    assert_int_equal(i, EP_UNC_COUNT_);
    assert_true(real_at(o, "limit.demand_over_supply") > 0);
}

static void what_if_changes_only_what_was_asked(void **state)
{
    (void)state;
    const json_t *o = call(w, "what_if", "{'id': 'FIG'}");
    assert_near(real_at(o, "now.rate_g_h"), real_at(o, "then.rate_g_h"), 1e-9);
    o = call(w, "what_if", "{'id': 'FIG', 'inner_diameter': '110 mm'}");
    // a wider jar holds more and its pool covers less of the way
    assert_true(real_at(o, "then.fill_g") > real_at(o, "now.fill_g"));
    assert_true(real_at(o, "then.sessions.2.reach_pct") < real_at(o, "now.sessions.2.reach_pct"));
}

static void what_if_turns_wick_height_and_load(void **state)
{
    (void)state;
    const json_t *o = call(w, "what_if", "{'id': 'FIG', 'fill_height': '40 mm', 'sessions': 1}");
    assert_true(real_at(o, "then.fill_g") < real_at(o, "now.fill_g"));
    assert_near(real_at(o, "then.fill_height_mm"), 40, 1e-9);
    // two wicks burn faster than one, each in its share of the wax
    o = call(w, "what_if", "{'id': 'FIG', 'wick_count': 2, 'sessions': 1}");
    assert_int_equal((int)real_at(o, "then.wick_count"), 2);
    assert_true(real_at(o, "then.rate_g_h") > 1.4 * real_at(o, "now.rate_g_h"));
    // a size up burns faster
    o = call(w, "what_if", "{'id': 'FIG', 'wick': '1', 'size': '2', 'sessions': 1}");
    assert_true(real_at(o, "then.rate_g_h") > real_at(o, "now.rate_g_h"));
    assert_string_equal(text_at(o, "then.size_name"), "2");
    refuse(w, EP_E_NOT_FOUND, "size", "it has", "what_if", "{'id': 'FIG', 'size': 'rope'}");
    refuse(w, EP_E_ARG, "fill_height", "8 mm to 80 mm", "what_if",
           "{'id': 'FIG', 'fill_height': '390 mm'}");
}

static void what_if_shows_a_session_or_a_life(void **state)
{
    (void)state;
    const json_t *o =
        call(w, "what_if", "{'id': 'FIG', 'now': false, 'frames': 'session', 'shown': 2}");
    assert_true(json_is_null(at(o, "now")));
    const json_t *frames = at(o, "then.cut.frames"), *session = at(o, "then.trace.session");
    assert_true(json_array_size(frames) > 2 && json_array_size(session) > 10);
    for (size_t i = 0; i < json_array_size(frames); i++) {
        assert_int_equal((int)real_at(json_array_get(frames, i), "session"), 2);
    }
    // the last session stands in for one the candle does not live to see
    o = call(w, "what_if", "{'id': 'FIG', 'now': false, 'frames': 'session', 'shown': 60}");
    assert_int_equal((int)json_integer_value(json_array_get(at(o, "then.trace.session"), 0)), 3);
    o = call(w, "what_if", "{'id': 'FIG', 'now': false, 'frames': 'all'}");
    assert_int_equal((int)json_integer_value(json_array_get(at(o, "then.trace.session"), 0)), 1);
    // as finely as the forecast is the forecast
    o = call(w, "what_if", "{'id': 'FIG', 'now': false, 'detail': 'fine', 'sessions': 64}");
    double rate_g_h = real_at(o, "then.summary.rate_g_h");
    double wall_C = real_at(o, "then.summary.wall_max_C");
    o = call(w, "forecast", "{'id': 'FIG'}");
    assert_near(rate_g_h, real_at(o, "summary.rate_g_h"), 1e-9);
    assert_near(wall_C, real_at(o, "summary.wall_max_C"), 1e-9);
}

static void a_newer_question_ends_an_older_one(void **state)
{
    (void)state;
    const json_t *o =
        call(w, "what_if", "{'id': 'FIG', 'asker': 'page', 'turn': 7, 'sessions': 1}");
    assert_true(real_at(o, "then.rate_g_h") > 0.0);
    refuse(w, EP_E_STATE, "", "nobody waits", "what_if",
           "{'id': 'FIG', 'asker': 'page', 'turn': 6, 'sessions': 1}");
    call(w, "what_if", "{'id': 'FIG', 'asker': 'another', 'turn': 6, 'sessions': 1}");
}

static void several_wicks_are_burned_and_placed(void **state)
{
    (void)state;
    call(w, "container_add",
         "{'name': 'trough', 'material': 'std-container-stoneware', 'inner_diameter': '120 mm', "
         "'height': '60 mm', 'wall': '5 mm', 'outline': 'rectangle', 'across': '60 mm', 'corner': "
         "'10 mm'}");
    call(w, "container_add",
         "{'name': 'narrow', 'material': 'std-container-soda-lime', 'inner_diameter': '26 mm', "
         "'height': '60 mm', 'wall': '2 mm'}");
    const json_t *o = call(w, "recipe_add",
                           "{'name': 'LONG', 'container': 'trough', 'waxes': 'std-wax-soy', "
                           "'series': 'flat', 'wick_count': 2}");
    assert_true(json_is_true(at(o, "revision.places_default")));
    assert_near(real_at(o, "revision.places.0.x_mm"), -real_at(o, "revision.places.1.x_mm"), 1e-6);
    o = call(w, "what_if", "{'id': 'LONG', 'sessions': 1}");
    assert_true(real_at(o, "now.rate_g_h") > 4.0);  // two flames
    // nearer to the ends, nearer to the wall
    o = call(w, "what_if", "{'id': 'LONG', 'sessions': 1, 'places': '50 mm: 0 mm, -50 mm: 0 mm'}");
    assert_true(real_at(o, "then.sessions.0.flame_gap_mm") <
                real_at(o, "now.sessions.0.flame_gap_mm"));
    refuse(w, EP_E_ARG, "places", "at least 5 mm", "recipe_revise",
           "{'id': 'LONG', 'places': '70 mm: 0 mm, -30 mm: 0 mm'}");
    refuse(w, EP_E_ARG, "places", "at least 8 mm", "recipe_revise",
           "{'id': 'LONG', 'places': '3 mm: 0 mm, -3 mm: 0 mm'}");
    refuse(w, EP_E_ARG, "wick_count", "apart", "recipe_add",
           "{'name': 'TIGHT', 'container': 'narrow', 'waxes': 'std-wax-soy', 'series': 'flat', "
           "'wick_count': 6}");
    o = call(w, "recipe_revise", "{'id': 'LONG', 'places': '35 mm: 0 mm, -35 mm: 0 mm'}");
    assert_near(real_at(o, "revision.wick_clearance_mm"), 70, 1e-6);
    o = call(w, "recipe_diff", "{'id': 'LONG'}");
    assert_string_equal(text_at(o, "factors.0.key"), "places");
}

static void abuse_is_no_expectation(void **state)
{
    (void)state;
    const json_t *o = call(w, "forecast", "{'id': 'FIG', 'abuse': 'both', 'draught': 2}");
    assert_true(real_at(o, "sessions.0.lit_h") > 7.9);
}

// the lit hours of one session longer than any session of abuse are not cut short
static void abuse_is_never_gentler_than_the_recipe(void **state)
{
    (void)state;
    call(w, "recipe_revise", "{'id': 'FIG', 'session': '12 h'}");
    const json_t *o = call(w, "forecast", "{'id': 'FIG', 'abuse': 'long_burn'}");
    assert_true(real_at(o, "sessions.0.lit_h") > 11.9);
}

// grams burned in the first session of the forecast that sessions will be held against; NAN = none
static double expected_g(const char *revision_id, const char *size_id)
{
    const ep_bind bind[] = {ep_bind_text("revision", revision_id), ep_bind_text("size", size_id)};
    json_t *row = NULL;
    ep_err err = {0};
    ep_status s = ep_app_begin(w->app, false, "test", &err);
    s = s == EP_OK ? ep_store_one(w->app->store, EP_Q_FORECAST_SESSIONS, bind, 2, &row, &err) : s;
    const double g = s == EP_OK ? real_at(row, "sessions.0.burned_g") : (double)NAN;
    ep_app_end(w->app, EP_OK, &err);
    json_decref(row);
    return g;
}

static void only_the_usual_forecast_is_kept(void **state)
{
    (void)state;
    static const char *const others[] = {"'grid': '4 mm'", "'from': 'tables'", "'draught': 2",
                                         "'abuse': 'both'"};
    char revision[EP_ID_CAP], size[EP_ID_CAP];
    copy_text(revision, sizeof revision, call(w, "recipe", "{'id': 'FIG'}"), "revision.id");
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        const json_t *o = call(w, "forecast", "{'id': 'FIG', %s}", others[i]);
        copy_text(size, sizeof size, o, "wick.size_id");
        assert_false(json_is_true(at(o, "kept")));
        assert_non_null(strstr(text_at(o, "made_of.text"), "not kept"));
        assert_true(isnan(expected_g(revision, size)));
    }
    const json_t *o = call(w, "forecast", "{'id': 'FIG'}");
    const double usual_g = real_at(o, "sessions.0.burned_g");
    assert_true(json_is_true(at(o, "kept")));
    assert_near(real_at(o, "grid_mm"), 2.0, 1e-9);
    assert_null(strstr(text_at(o, "made_of.text"), "not kept"));
    assert_near(expected_g(revision, size), usual_g, 1e-9);
    o = call(w, "forecast", "{'id': 'FIG', 'grid': '4 mm'}");
    assert_non_null(strstr(text_at(o, "made_of.text"), "4 mm instead of 2 mm"));
    assert_true(fabs(real_at(o, "sessions.0.burned_g") - usual_g) > 1e-3);
    assert_near(expected_g(revision, size), usual_g, 1e-9);
    // the usual grid said outright is the usual forecast
    assert_true(json_is_true(at(call(w, "forecast", "{'id': 'FIG', 'grid': '2 mm'}"), "kept")));
}

// a session that ended before anything was measured says so: no zeros, and no "nan" in a sentence
static void what_nobody_measured_is_null(void **state)
{
    (void)state;
    const double no = (double)NAN;
    ep_foresight f = {0};
    ep_trace t = {.n_sessions = 1, .burn_total_s = 40.0, .fill_kg = 0.2, .left_kg = 0.1999};
    t.end = EP_OUT_STARVED;
    t.burn_to_stop_s = no;
    t.session[0] = (ep_session_sum){.number = 1, .lit_s = 40.0, .burned_kg = 1e-4, .inner_m = 0.07};
    ep_session_sum *u = &t.session[0];
    u->reach_end_frac = u->reach_max_frac = u->wall_reached_s = u->depth_mid_m = no;
    u->depth_wall_m = u->hangup_kg = u->wall_max_C = u->flame_max_m = u->pool_bulk_C = no;
    u->ring_end_m = u->ring_least_m = u->touch_end_frac = no;
    u->soot_margin_min_m = u->stress_max = u->flame_gap_m = u->flicker_Hz = no;
    json_t *o = json_object(), *sessions = ep_shape_sessions(&t);
    static const char *const keys[] = {"reach_pct",    "depth_mid_mm", "depth_wall_mm", "hangup_g",
                                       "flame_max_mm", "wall_max_C",   "stress_index"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        assert_true(json_is_null(json_object_get(json_array_get(sessions, 0), keys[i])));
    }
    ep_shape_summary(o, &f, &t, NULL);
    assert_true(json_is_null(at(o, "summary.wall_max_C")));
    assert_true(json_is_null(at(o, "summary.flame_max_mm")));
    assert_null(strstr(text_at(o, "summary.text"), "nan"));
    assert_null(strstr(text_at(o, "summary.text"), "mm"));
    json_decref(o);
    json_decref(sessions);
}

// the drawing stands where the burn was computed, whatever mirror planes the layout has
static void the_cut_runs_through_its_wicks(void **state)
{
    (void)state;
    static const struct {
        const char *sides;
        int wicks, cut;
        double at_mm[3];
        bool alike;
    } row[] = {
        {"'inner_diameter': 100, 'outline': 'rectangle', 'across': 60", 2, 1, {25.0}, true},
        {"'inner_diameter': 110, 'outline': 'rectangle', 'across': 110", 4, 1, {38.891}, true},
        {"'inner_diameter': 120, 'outline': 'rectangle', 'across': 90", 4, 1, {37.5}, true},
        {"'inner_diameter': 100, 'outline': 'rectangle', 'across': 60", 3, 2, {0.0, 33.333}, true},
        {"'inner_diameter': 160, 'outline': 'rectangle', 'across': 50", 5, 3, {0, 32, 64}, true},
        {"'inner_diameter': 130, 'outline': 'oval', 'across': 80", 5, 1, {23.157}, false},
        {"'inner_diameter': 100", 1, 1, {0.0}, true},
        {"'inner_diameter': 100", 3, 1, {25.0}, false},
    };
    for (int i = 0; i < EP_COUNT_OF(row); i++) {
        call(w, "container_add",
             "{'name': 'c%d', 'material': 'std-container-stoneware', 'height': 40, 'wall': 4, %s}",
             i, row[i].sides);
        call(w, "recipe_add",
             "{'name': 'r%d', 'container': 'c%d', 'waxes': 'std-wax-soy', 'series': 'flat',"
             " 'fill_height': 25, 'wick_count': %d}",
             i, i, row[i].wicks);
        const json_t *o = call(w, "forecast", "{'id': 'r%d', 'grid': 4}", i);
        assert_int_equal(length_at(o, "cut.wicks_at_mm"), row[i].cut);
        for (int k = 0; k < row[i].cut; k++) {
            const json_t *one = json_array_get(at(o, "cut.wicks_at_mm"), (size_t)k);
            assert_near(json_number_value(one), row[i].at_mm[k], 0.001);
        }
        assert_near(real_at(o, "cut.wick_at_mm"), row[i].at_mm[0], 0.001);
        assert_int_equal(json_is_true(at(o, "cut.halves_alike")), row[i].alike);
    }
}

static void refusals_name_what_is_wrong(void **state)
{
    (void)state;
    refuse(w, EP_E_NOT_FOUND, "id", "no recipe", "forecast", "{'id': 'nothing like it'}");
    refuse(w, EP_E_NOT_FOUND, "wick", "it has", "forecast", "{'id': 'FIG', 'wick': 'huge'}");
    refuse(w, EP_E_ARG, "members", "0", "forecast", "{'id': 'FIG', 'members': 100000}");
    refuse(w, EP_E_ARG, "members", "no odds", "forecast", "{'id': 'FIG', 'members': 1}");
    refuse(w, EP_E_ARG, "grid", "0.5 mm to 4 mm", "forecast", "{'id': 'FIG', 'grid': '9 mm'}");
    refuse(w, EP_E_ARG, "inner_diameter", "15 mm to 400 mm", "what_if",
           "{'id': 'FIG', 'inner_diameter': '2 m'}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_forecast_burns_to_the_end_and_keeps_its_books, setup,
                                        teardown),
        cmocka_unit_test_setup_teardown(a_short_trim_is_warned_of, setup, teardown),
        cmocka_unit_test_setup_teardown(members_give_odds_and_bands, setup, teardown),
        cmocka_unit_test_setup_teardown(shares_exclude_each_other, setup, teardown),
        cmocka_unit_test_setup_teardown(the_same_question_gets_the_same_answer, setup, teardown),
        cmocka_unit_test_setup_teardown(a_heavier_wick_burns_faster, setup, teardown),
        cmocka_unit_test_setup_teardown(a_plan_names_sizes_candles_and_days, setup, teardown),
        cmocka_unit_test_setup_teardown(why_orders_what_matters, setup, teardown),
        cmocka_unit_test_setup_teardown(what_if_changes_only_what_was_asked, setup, teardown),
        cmocka_unit_test_setup_teardown(what_if_turns_wick_height_and_load, setup, teardown),
        cmocka_unit_test_setup_teardown(what_if_shows_a_session_or_a_life, setup, teardown),
        cmocka_unit_test_setup_teardown(a_newer_question_ends_an_older_one, setup, teardown),
        cmocka_unit_test_setup_teardown(several_wicks_are_burned_and_placed, setup, teardown),
        cmocka_unit_test_setup_teardown(abuse_is_no_expectation, setup, teardown),
        cmocka_unit_test_setup_teardown(abuse_is_never_gentler_than_the_recipe, setup, teardown),
        cmocka_unit_test_setup_teardown(only_the_usual_forecast_is_kept, setup, teardown),
        cmocka_unit_test_setup_teardown(what_nobody_measured_is_null, setup, teardown),
        cmocka_unit_test_setup_teardown(the_cut_runs_through_its_wicks, setup, teardown),
        cmocka_unit_test_setup_teardown(refusals_name_what_is_wrong, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
