// The table of cases holds to what both doors build on: names, routes and commands are unique, path
// parameters are fields, every field explains itself, reading cases cannot write.
#include <ctype.h>

#include "workshop.h"

static bool same(const char *a, const char *b)
{
    return a && b && strcmp(a, b) == 0;
}

static void nothing_is_said_twice(void **state)
{
    (void)state;
    int n;
    const ep_use_case *c = ep_use_cases(&n);
    assert_true(n > 30);
    for (int a = 0; a < n; a++) {
        assert_ptr_equal(ep_use_case_find(c[a].name), &c[a]);
        for (int b = a + 1; b < n; b++) {
            bool route = same(c[a].method, c[b].method) && same(c[a].path, c[b].path);
            bool command = same(c[a].group, c[b].group) && same(c[a].verb, c[b].verb);
            if (same(c[a].name, c[b].name) || route || command) {
                fail_msg("%s and %s clash", c[a].name, c[b].name);
            }
        }
    }
    assert_null(ep_use_case_find("no_such_case"));
}

/// The name between braces in a path, or "".
static void parameter_of(const char *path, char *buf, size_t cap)
{
    const char *open = path ? strchr(path, '{') : NULL;
    snprintf(buf, cap, "%.*s", open ? (int)strcspn(open + 1, "}") : 0, open ? open + 1 : "");
}

static void path_parameters_are_fields(void **state)
{
    (void)state;
    int n;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        char name[40];
        int path_fields = 0;
        parameter_of(c[i].path, name, sizeof name);
        for (int k = 0; k < c[i].n_fields; k++) {
            const ep_field *f = &c[i].field[k];
            path_fields += f->path;
            if (f->path && c[i].path && (strcmp(f->name, name) != 0 || !f->required)) {
                fail_msg("%s: path field %s", c[i].name, f->name);
            }
        }
        if (c[i].path && path_fields != (name[0] != '\0')) {
            fail_msg("%s: %d path fields for %s", c[i].name, path_fields, c[i].path);
        }
        if (c[i].method && strcmp(c[i].method, "GET") != 0 && strcmp(c[i].method, "POST") != 0) {
            fail_msg("%s: method %s", c[i].name, c[i].method);
        }
    }
}

static void check_field(const char *where, const ep_field *f, int n)
{
    for (int k = 0; k < n; k++) {
        for (const char *p = f[k].name; *p; p++) {
            assert_true(islower((unsigned char)*p) || *p == '_' || isdigit((unsigned char)*p));
        }
        if (!f[k].label || !f[k].label[0] || !f[k].help) {
            fail_msg("%s.%s does not explain itself", where, f[k].name);
        }
        bool ranged = f[k].min != 0 || f[k].max != 0;
        if (f[k].kind == EP_FIELD_QUANTITY && (!ranged || f[k].min >= f[k].max)) {
            fail_msg("%s.%s is a quantity without a range", where, f[k].name);
        }
        if (f[k].kind == EP_FIELD_CHOICE && !f[k].choices) {
            fail_msg("%s.%s has no choices", where, f[k].name);
        }
        for (int m = k + 1; m < n; m++) {
            if (strcmp(f[k].name, f[m].name) == 0) {
                fail_msg("%s.%s stands there twice", where, f[k].name);
            }
        }
        if (f[k].n_items > 0) {
            check_field(f[k].name, f[k].item, f[k].n_items);
        }
    }
}

static void every_field_explains_itself(void **state)
{
    (void)state;
    int n;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        assert_true(c[i].summary && c[i].summary[0] && c[i].fn);
        check_field(c[i].name, c[i].field, c[i].n_fields);
    }
}

/// GET never changes the book; what it computes may be kept, in the derived half.
static void gets_do_not_write(void **state)
{
    (void)state;
    int n;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        if (same(c[i].method, "GET") && c[i].needs == EP_NEEDS_WRITE) {
            fail_msg("%s is a GET that writes", c[i].name);
        }
        if (same(c[i].method, "POST") && c[i].needs == EP_NEEDS_READ) {
            fail_msg("%s is a POST that only reads", c[i].name);
        }
    }
}

/// Every write case takes the id of its client, so that a phone may send it again.
static void every_write_can_be_sent_again(void **state)
{
    (void)state;
    int n;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        bool has = c[i].needs != EP_NEEDS_WRITE;
        for (int k = 0; k < c[i].n_fields; k++) {
            const ep_field *f = &c[i].field[k];
            has = has || (f->kind == EP_FIELD_ID && f->choices && !f->required);
        }
        if (!has) {
            fail_msg("%s takes no id of the client", c[i].name);
        }
    }
}

static void about_names_the_versions(void **state)
{
    (void)state;
    workshop *w = workshop_open("2026-11-25T12:00", false);
    const json_t *o = call(w, "about", "{}");
    assert_string_equal(text_at(o, "now"), "2026-11-25T12:00:00.000Z");
    assert_string_equal(text_at(o, "tables"), ep_tables_version());
    assert_string_equal(text_at(o, "database"), ":memory:");
    assert_true(json_is_false(at(o, "demo")));
    assert_true(json_array_size(at(o, "cautions.melting")) > 0);
    assert_true(any_text(at(o, "cautions.melting"), "Never put water on burning wax"));
    assert_true(any_text(at(o, "cautions.burning"), "Never leave a lit candle alone"));
    assert_true(json_array_size(at(o, "cautions.glass")) > 0);
    workshop_close(w);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_said_twice),
        cmocka_unit_test(path_parameters_are_fields),
        cmocka_unit_test(every_field_explains_itself),
        cmocka_unit_test(gets_do_not_write),
        cmocka_unit_test(every_write_can_be_sent_again),
        cmocka_unit_test(about_names_the_versions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
