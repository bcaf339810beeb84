// Tables of comma-separated values: what goes out comes in again, wrong lines are told by line,
// column, value and range, a table is taken in whole or not at all.
#include <unistd.h>

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

static ep_status send(workshop *to, const char *name, const char *what, const char *table)
{
    return try_json(to, name, json_pack("{s:s, s:s}", "what", what, "table", table));
}

static json_t *take(workshop *to, const char *name, const char *what, const char *table)
{
    if (send(to, name, what, table) != EP_OK) {
        fail_msg("%s %s: %s", name, what, to->err.text);
    }
    return to->last;
}

/// Owned by the caller.
static char *table_of(workshop *from, const char *what)
{
    return strdup(text_at(call(from, "csv_export", "{'what': '%s'}", what), "text"));
}

static void counts(const json_t *o, int added, int changed, int there, int wrong)
{
    assert_int_equal(real_at(o, "added"), added);
    assert_int_equal(real_at(o, "changed"), changed);
    assert_int_equal(real_at(o, "there_already"), there);
    assert_int_equal(real_at(o, "wrong"), wrong);
}

/// Entry k of the errors of the last trial.
static void wrong(int k, int line, const char *column, const char *part)
{
    char path[40];
    snprintf(path, sizeof path, "errors.%d", k);
    const json_t *e = at(w->last, path);
    if (!e || real_at(e, "line") != line || strcmp(text_at(e, "column"), column) != 0 ||
        !strstr(text_at(e, "text"), part)) {
        char *all = json_dumps(at(w->last, "errors"), 0);
        fail_msg("wanted line %d, %s, %s; got %s", line, column, part, all);
    }
}

static void a_shelf(void)
{
    call(w, "material_add",
         "{'kind': 'wax', 'name': '=Soy, \\\"spring\\\"', 'based_on': 'std-wax-soy', 'props':"
         " {'liquidus': '52 C', 'max_load': {'value': '9 %%', 'lo': 8, 'hi': '10 %%',"
         " 'how': 'sheet', 'source': '-sheet, March'}}}");
    call(w, "material_add", "{'kind': 'wax', 'name': 'plain', 'based_on': 'std-wax-beeswax'}");
    call(
        w, "material_set",
        "{'id': '=Soy, \\\"spring\\\"', 'key': 'liquidus', 'value': '125.6 F', 'how': 'measured'}");
    describe(w);
    call(
        w, "container_add",
        "{'name': '@bowl', 'material': 'std-container-stoneware', 'profile': '0: 60, 40 mm: 3.1 in,"
        " 70: 80', 'wall': 5, 'outline': 'rectangle', 'across': 61.7, 'corner': 12,"
        " 'empty_mass': '7.5 oz'}");
    call(w, "container_add",
         "{'name': 'tin', 'material': 'std-container-soda-lime', 'inner_diameter': '2 7/8 in',"
         " 'height': 42, 'wall': 0.3, 'water_mass': 165, 'water_temp': 18, 'water_height': 40}");
    call(w, "lot_add",
         "{'material': '=Soy, \\\"spring\\\"', 'code': 'W-1', 'received': '2026-11-02',"
         " 'quantity': '10 kg', 'note': 'line one\\nline two'}");
    call(w, "lot_add", "{'material': 'tin', 'code': 'W-1'}");
    call(w, "lot_add", "{'material': 'flat', 'code': '+7', 'received': '2026-11-02T09:30'}");
    call(w, "lot_add", "{'material': 'std-wax-soy', 'code': 'W-1'}");
}

static void the_shelf_goes_out_and_comes_in(void **state)
{
    (void)state;
    static const char *const what[] = {"materials", "series", "containers", "lots"};
    static const int things[] = {2, 1, 3, 4};
    a_shelf();
    workshop *other = workshop_open("2026-11-26T08:00", false);
    for (int i = 0; i < EP_COUNT_OF(what); i++) {
        char *table = table_of(w, what[i]);
        counts(take(other, "csv_check", what[i], table), things[i], 0, 0, 0);
        assert_true(json_is_false(at(other->last, "kept")));
        // the trial kept nothing: it can be made again
        counts(take(other, "csv_import", what[i], table), things[i], 0, 0, 0);
        assert_true(json_is_true(at(other->last, "kept")));
        counts(take(other, "csv_import", what[i], table), 0, 0, things[i], 0);
        char *again = table_of(other, what[i]);
        assert_string_equal(again, table);
        free(again);
        free(table);
    }
    workshop_close(other);
}

static void columns_may_stand_anyhow(void **state)
{
    (void)state;
    take(w, "csv_import", "series",
         "LINEAR_DENSITY_G_M,size,series,construction\n"
         "450 yd/lb,small,\"Two, sizes\",std-wick-flat-braid\n1.5,large,\"Two, sizes\",\n");
    counts(w->last, 1, 0, 0, 0);
    const json_t *o = call(w, "series", "{'id': 'two, sizes'}");
    // 450 yd/lb = 496.054648 / 450 g/m: ASTM D2260 Table 1
    assert_near(real_at(o, "sizes.0.linear_density_g_m"), 1.10234366, 1e-7);
    assert_string_equal(text_at(o, "sizes.1.name"), "large");
}

static void every_wrong_line_is_told_at_once(void **state)
{
    (void)state;
    describe(w);
    take(w, "csv_check", "series",
         "series,construction,size,linear_density_g_m,width_mm\n"
         "thin,std-wick-flat-braid,1,0.9,\n"
         "thin,std-wick-flat-braid,2,30,\n"  // 3
         "fat,std-wick-flat-braid,1,1.1,\n"
         "odd,std-wick-flat-braid,1,,\n"       // 5
         "wide,std-wick-flat-braid,1,50,99\n"  // 6
         "none,no such thing,1,1,\n"           // 7
         "down,std-wick-flat-braid,1,1.2,\n"
         "down,std-wick-flat-braid,2,1.1,\n"  // 9
         "flat,std-wick-flat-braid,1,0.9,\n"  // 10
         "mixed,std-wick-flat-braid,1,1,\n"
         "mixed,std-wick-paper-core,2,1.2,\n"  // 12
         "word,std-wick-flat-braid,1,thick,\n");
    counts(w->last, 1, 0, 0, 9);
    wrong(0, 3, "linear_density_g_m", "30 g/m is outside 0.1 g/m to 20 g/m");
    wrong(1, 5, "linear_density_g_m", "a value is needed");
    wrong(2, 6, "linear_density_g_m", "50 g/m is outside");
    wrong(3, 6, "width_mm", "99 mm is outside 0.3 mm to 50 mm");
    wrong(4, 7, "construction", "no wick construction “no such thing”");
    wrong(5, 9, "linear_density_g_m", "least to most");
    wrong(6, 10, "size", "says otherwise");
    wrong(7, 12, "construction", "the same");
    wrong(8, 13, "linear_density_g_m", "0.1 g/m to 20 g/m");
}

static void nothing_of_a_wrong_table_is_kept(void **state)
{
    (void)state;
    const char *table = "container,material,inner_diameter_mm,height_mm,wall_mm\n"
                        "good,std-container-soda-lime,70,80,3\n"
                        "bad,std-container-soda-lime,7,80,3\n"
                        "worse,std-container-soda-lime,70,80,300\n";
    assert_int_equal(send(w, "csv_import", "containers", table), EP_E_ARG);
    assert_string_equal(w->err.field, "table");
    assert_non_null(
        strstr(w->err.text, "line 3, inner_diameter_mm: 7 mm is outside 15 mm to 400 mm"));
    assert_non_null(strstr(w->err.text, "1 more"));
    assert_int_equal(json_array_size(at(call(w, "containers", "{}"), "containers")), 0);
}

static void headers_are_checked(void **state)
{
    (void)state;
    assert_int_equal(send(w, "csv_check", "lots", "lot,off\nW,tin\n"), EP_E_ARG);
    assert_non_null(strstr(w->err.text, "line 1: lots has no column “off”"));
    assert_non_null(strstr(w->err.text, "quantity_g"));
    assert_int_equal(send(w, "csv_check", "lots", "lot\nW\n"), EP_E_ARG);
    assert_non_null(strstr(w->err.text, "line 1: the column of is missing"));
    assert_int_equal(send(w, "csv_check", "lots", "lot,of,LOT\nW,tin,x\n"), EP_E_ARG);
    assert_non_null(strstr(w->err.text, "twice"));
    assert_int_equal(send(w, "csv_check", "candles", "lot\nW\n"), EP_E_NOT_FOUND);
    assert_non_null(strstr(w->err.text, "materials, series, containers"));
    counts(take(w, "csv_check", "lots", "lot,of\n"), 0, 0, 0, 0);
}

static void properties_are_set_anew(void **state)
{
    (void)state;
    const char *head = "kind,material,based_on,property,value,unit,lo,hi,how\n";
    char table[400];
    a_shelf();
    snprintf(table, sizeof table,
             "%swax,plain,std-wax-beeswax,flash,480,F,,,sheet\n"
             "wax,plain,std-wax-beeswax,liquidus,64,C,63,65,measured\n",
             head);
    counts(take(w, "csv_check", "materials", table), 0, 1, 0, 0);
    counts(take(w, "csv_import", "materials", table), 0, 1, 0, 0);
    const json_t *o = call(w, "material", "{'id': 'plain'}");
    assert_near(real_at(o, "props.flash.value"), 248.888888889, 1e-6);  // (480 - 32) / 1.8
    assert_near(real_at(o, "props.liquidus.lo"), 63, 1e-9);
    counts(take(w, "csv_import", "materials", table), 0, 0, 1, 0);
    snprintf(table, sizeof table,
             "%swax,plain,,liquidus,64,C,70,,\n"
             "wax,new,std-wax-soy,liquidus,300,C,,,\n"
             "wax,newer,std-wax-soy,melting,50,,,,\n"
             "wax,plain,std-wax-soy,flash,200,,,,\n"
             "wax,Soy,std-wax-soy,flash,200,furlong,,,\n",
             head);
    take(w, "csv_check", "materials", table);
    wrong(0, 2, "value", "does not lie between");
    wrong(1, 3, "value", "300 C is outside 10 C to 130 C");
    wrong(2, 4, "property", "melting");
    wrong(3, 5, "based_on", "std-wax-beeswax");
    wrong(4, 6, "value", "furlong");
}

static void the_same_import_sent_twice(void **state)
{
    (void)state;
    const char *in = "{'what': 'lots', 'request_id': '0198c0de-0000-7000-8000-00000000c5f1',"
                     " 'table': 'lot,of\\nA,std-wax-soy\\n'}";
    counts(call(w, "csv_import", "%s", in), 1, 0, 0, 0);
    counts(call(w, "csv_import", "%s", in), 1, 0, 0, 0);  // the first answer again
    assert_int_equal(json_array_size(at(call(w, "lots", "{}"), "lots")), 1);
}

// --- burns: two workshops with the same candles, one of which burned ---

static char db[2][64];

static workshop *open_file(const char *path, ep_time_ms now)
{
    workshop *one = calloc(1, sizeof *one);
    ep_err err = {0};
    one->now = now;
    ep_app_config config = {.db_path = path, .clock = {workshop_now, one}};
    if (ep_app_open(&config, &one->app, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return one;
}

static void copy_book(const char *from, const char *to)
{
    char command[200];
    snprintf(command, sizeof command, "cp %s %s", from, to);
    assert_int_equal(system(command), 0);
}

static void burn_an_evening(workshop *one, const char *a, const char *b)
{
    char id[40], first[40];
    call(one, "session_light",
         "{'candles': ['%s', '%s'], 'planned': 4, 'room_temp': 21, 'draught': 1, 'trim': '1/4 in',"
         " 'masses': {'%s': 500, '%s': '17.5 oz'}}",
         a, b, a, b);
    copy_text(id, sizeof id, one->last, "id");
    pass_hours(one, 2);
    call(one, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': '2 in', 'note': '=x'}",
         a);
    copy_text(first, sizeof first, one->last, "id");
    call(one, "reading_add", "{'candle': '%s', 'kind': 'flicker', 'value': 1}", b);
    call(one, "reading_add", "{'candle': '%s', 'kind': 'wall_temp', 'value': '130 F'}", a);
    pass_hours(one, 0.1);
    call(one, "reading_add",
         "{'candle': '%s', 'kind': 'pool_wide', 'value': 52, 'minute': 119, 'corrects': '%s'}", a,
         first);
    pass_hours(one, 1.5);
    call(one, "session_end", "{'id': '%s', 'candles': ['%s'], 'reason': 'went_out'}", id, b);
    pass_hours(one, 0.4);
    call(one, "session_end", "{'id': '%s', 'masses': {'%s': 484.5}}", id, a);
    pass_hours(one, 1);
    call(one, "session_end", "{'id': '%s', 'masses': {'%s': 480.25}}", id, b);
}

/// A flame that went out is noted by the program, under an id of its own in each book.
static void without_ids(json_t *o)
{
    const char *key;
    json_t *value;
    size_t i;
    json_object_del(o, "readings");
    json_object_foreach(o, key, value)
    {
        without_ids(value);
    }
    json_array_foreach(o, i, value)
    {
        without_ids(value);
    }
}

static void burns_go_out_and_come_in(void **state)
{
    (void)state;
    char a[16], b[16];
    snprintf(db[0], sizeof db[0], "/tmp/ep-csv-%d-a.db", (int)getpid());
    snprintf(db[1], sizeof db[1], "/tmp/ep-csv-%d-b.db", (int)getpid());
    workshop *one = open_file(db[0], time_of("2026-11-01T12:00"));
    describe(one);
    pour_some(one, "2", 2);
    copy_text(a, sizeof a, one->last, "candles.0.code");
    copy_text(b, sizeof b, one->last, "candles.1.code");
    workshop_close(one);
    copy_book(db[0], db[1]);
    one = open_file(db[0], time_of("2026-11-20T18:00"));
    burn_an_evening(one, a, b);
    pass_hours(one, 24);
    burn_an_evening(one, b, a);
    workshop *two = open_file(db[1], one->now);
    static const char *const what[] = {"sessions", "readings"};
    for (int i = 0; i < 2; i++) {
        char *table = table_of(one, what[i]);
        // the same book: all of it is there already
        take(one, "csv_import", what[i], table);
        assert_int_equal(real_at(one->last, "added") + real_at(one->last, "changed"), 0);
        take(two, "csv_import", what[i], table);
        assert_int_equal(real_at(two->last, "wrong"), 0);
        take(two, "csv_import", what[i], table);
        assert_int_equal(real_at(two->last, "added") + real_at(two->last, "changed"), 0);
        free(table);
    }
    char *s1 = table_of(one, "sessions"), *s2 = table_of(two, "sessions");
    assert_string_equal(s1, s2);
    free(s1);
    free(s2);
    // the judge reads the same in both
    json_t *x = json_incref(call(one, "verdict", "{'id': 'fig'}"));
    json_t *y = call(two, "verdict", "{'id': 'fig'}");
    without_ids(x);
    without_ids(y);
    assert_true(json_array_size(at(x, "wicks.0.verdict.findings")) > 0);
    assert_true(json_equal(x, y));
    json_decref(x);
    workshop_close(one);
    workshop_close(two);
    unlink(db[0]);
    unlink(db[1]);
}

static void burns_typed_in_a_spreadsheet(void **state)
{
    (void)state;
    char a[16], b[16], table[900];
    describe(w);
    pour_some(w, "2", 2);
    copy_text(a, sizeof a, w->last, "candles.0.code");
    copy_text(b, sizeof b, w->last, "candles.1.code");
    pass_hours(w, 24 * 20);
    snprintf(table, sizeof table,
             "lit_at,candle,mass_before_g,out_at,mass_after_g,room_temp_C\n"
             "2026-12-10T18:00,%s,500,2026-12-10T22:00,485,20\n"
             "2026-12-10T18:00,%s,501,2026-12-10T21:00,,20\n"
             "2026-12-11T18:00,%s,485,2026-12-11T22:00,470,21\n",
             a, b, a);
    counts(take(w, "csv_import", "sessions", table), 2, 0, 0, 0);
    snprintf(table, sizeof table,
             "candle,at,kind,value,unit\n%s,2026-12-10T20:00,pool_wide,50,mm\n"
             "%s,2026-12-11T20:00,pool_wide,2,in\n%s,2026-12-11T21:00,sooot,yes,\n",
             a, a, a);
    take(w, "csv_check", "readings", table);
    wrong(0, 4, "kind", "sooot");
    snprintf(table, sizeof table,
             "candle,at,kind,value,unit\n%s,2026-12-10T20:00,pool_wide,50,mm\n"
             "%s,2026-12-11T20:00,pool_wide,2,in\n",
             a, a);
    counts(take(w, "csv_import", "readings", table), 2, 0, 0, 0);
    counts(take(w, "csv_import", "readings", table), 0, 0, 2, 0);
    snprintf(table, sizeof table,
             "candle,minute,kind,value\n%s,60,pool_wide,50\n%s,60,pool_wide,500\n"
             "%s,,pool_wide,50\n%s,60,flicker,9\n",
             a, b, b, b);
    take(w, "csv_check", "readings", table);
    counts(w->last, 0, 0, 0, 4);
    wrong(0, 2, "session", "burned 2 times");
    wrong(1, 3, "value", "500 mm");
    wrong(2, 4, "minute", "0 min to 100000 min");
    wrong(3, 5, "value", "9");
    snprintf(table, sizeof table,
             "lit_at,candle,mass_before_g,out_at,mass_after_g\n"
             "2026-12-11T19:00,%s,500,2026-12-11T22:00,485\n"
             "2026-12-13T19:00,%s,470,2026-12-13T22:00,480\n"
             "2026-12-14T19:00,none,470,2026-12-13T22:00,460\n",
             a, a);
    take(w, "csv_check", "sessions", table);
    wrong(0, 2, "lit_at", "last put out");
    wrong(1, 3, "mass_after_g", "480.0 g after");
    wrong(2, 4, "candle", "none");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_shelf_goes_out_and_comes_in, setup, teardown),
        cmocka_unit_test_setup_teardown(columns_may_stand_anyhow, setup, teardown),
        cmocka_unit_test_setup_teardown(every_wrong_line_is_told_at_once, setup, teardown),
        cmocka_unit_test_setup_teardown(nothing_of_a_wrong_table_is_kept, setup, teardown),
        cmocka_unit_test_setup_teardown(headers_are_checked, setup, teardown),
        cmocka_unit_test_setup_teardown(properties_are_set_anew, setup, teardown),
        cmocka_unit_test_setup_teardown(the_same_import_sent_twice, setup, teardown),
        cmocka_unit_test(burns_go_out_and_come_in),
        cmocka_unit_test_setup_teardown(burns_typed_in_a_spreadsheet, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
