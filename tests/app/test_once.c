// A write is done once and whole: sent again with the same id it gives the first answer, with other
// content it is refused, and a refused write leaves nothing behind.
#include <unistd.h>

#include "workshop.h"

#define ID_A "019ab000-0000-7000-8000-00000000000a"
#define ID_B "019ab000-0000-7000-8000-00000000000b"

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

static const char *const jar = "'name': 'jar', 'material': 'std-container-soda-lime', 'wall': 3,"
                               " 'height': 80";

static void the_same_write_again_gives_the_first_answer(void **state)
{
    (void)state;
    json_t *first = json_deep_copy(
        call(w, "container_add", "{'id': '" ID_A "', %s, 'inner_diameter': '3 in'}", jar));
    assert_string_equal(text_at(first, "id"), ID_A);
    pass_hours(w, 5);
    // the same said in another order and unit
    call(w, "container_add", "{'inner_diameter': '3 in', %s, 'id': '" ID_A "'}", jar);
    assert_true(json_equal(first, w->last));
    json_decref(first);
    assert_int_equal(json_array_size(at(call(w, "containers", "{}"), "containers")), 2);
}

static void other_content_under_the_same_id_is_refused(void **state)
{
    (void)state;
    call(w, "container_add", "{'id': '" ID_A "', %s, 'inner_diameter': 76}", jar);
    refuse(w, EP_E_CONFLICT, "id", "already used for something else", "container_add",
           "{'id': '" ID_A "', %s, 'inner_diameter': 77}", jar);
    refuse(w, EP_E_CONFLICT, "id", "already used", "lot_add",
           "{'id': '" ID_A "', 'material': 'std-wax-soy', 'code': 'W-1'}");
}

static void a_refused_write_does_not_use_up_its_id(void **state)
{
    (void)state;
    refuse(w, EP_E_ARG, "inner_diameter", "outside", "container_add",
           "{'id': '" ID_A "', %s, 'inner_diameter': 7}", jar);
    call(w, "container_add", "{'id': '" ID_A "', %s, 'inner_diameter': 70}", jar);
}

/// Where the id is the path, the request carries its own.
static void a_revision_sent_twice_is_made_once(void **state)
{
    (void)state;
#define TWICE "{'id': 'fig', 'request_id': '" ID_B "', 'load': '9 %%'}"
    call(w, "recipe_revise", TWICE);
    const json_t *o = call(w, "recipe_revise", TWICE);
    assert_int_equal(json_array_size(at(o, "revisions")), 2);
    refuse(w, EP_E_CONFLICT, "id", "already used", "recipe_revise",
           "{'id': 'fig', 'request_id': '" ID_B "', 'load': '7 %%'}");
}

/// After the answers are cleared the id still guards its row.
static void an_old_id_is_still_taken(void **state)
{
    (void)state;
    call(w, "container_add", "{'id': '" ID_A "', %s, 'inner_diameter': 76}", jar);
    ep_err err = {0};
    ep_bind all[] = {ep_bind_int("before", w->now + 1)};
    assert_int_equal(ep_store_run(w->app->store, EP_Q_RECEIPT_CLEAR, all, 1, &err), EP_OK);
    refuse(w, EP_E_CONFLICT, "id", "already recorded", "container_add",
           "{'id': '" ID_A "', 'name': 'other', 'material': 'std-container-soda-lime', 'wall': 3,"
           " 'height': 80, 'inner_diameter': 76}");
}

/// What fails after its first row takes that row back.
static void a_write_that_fails_half_way_leaves_nothing(void **state)
{
    (void)state;
    ep_err err = {0};
    assert_int_equal(ep_app_begin(w->app, true, "test", &err), EP_OK);
    ep_bind bind[] = {ep_bind_text("id", ID_A), ep_bind_text("name", "half"), ep_bind_int("at", 1)};
    assert_int_equal(ep_store_run(w->app->store, EP_Q_RECIPE_ADD, bind, 3, &err), EP_OK);
    ep_bind share[] = {ep_bind_text("revision", "nobody"), ep_bind_text("role", "wax"),
                       ep_bind_int("position", 1), ep_bind_text("material", "std-wax-soy"),
                       ep_bind_real("share", 100)};
    ep_status status = ep_store_run(w->app->store, EP_Q_SHARE_ADD, share, 5, &err);
    assert_int_equal(status, EP_E_ARG);
    assert_int_equal(ep_app_end(w->app, status, &err), EP_E_ARG);
    assert_int_equal(ep_store_depth(w->app->store), 0);
    refuse(w, EP_E_NOT_FOUND, "id", "no recipe", "recipe", "{'id': 'half'}");
}

static void receipts_clear_themselves_when_the_book_is_opened(void **state)
{
    (void)state;
    char path[] = "/tmp/ep-once-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    workshop other = {.now = time_of("2026-01-01")};
    ep_err err = {0};
    ep_app_config config = {.db_path = path, .clock = {workshop_now, &other}};
    assert_int_equal(ep_app_open(&config, &other.app, &err), EP_OK);
    call(&other, "setting_set", "{'id': '" ID_A "', 'key': 'units', 'value': 'us'}");
    ep_app_close(other.app);
    other.now = time_of("2026-06-01");
    assert_int_equal(ep_app_open(&config, &other.app, &err), EP_OK);
    int64_t left = -1;
    ep_bind all[] = {ep_bind_int("before", other.now + 1)};
    assert_int_equal(ep_store_int(other.app->store, EP_Q_RECEIPT_OLD, all, 1, 0, &left, &err),
                     EP_OK);
    assert_int_equal(left, 0);
    char units[16];
    assert_string_equal(ep_app_setting(other.app, "units", units, sizeof units), "us");
    json_decref(other.last);
    ep_app_close(other.app);
    close(fd);
    unlink(path);
}

int main(void)
{
#define T(f) cmocka_unit_test_setup_teardown(f, setup, teardown)
    const struct CMUnitTest tests[] = {
        T(the_same_write_again_gives_the_first_answer),
        T(other_content_under_the_same_id_is_refused),
        T(a_refused_write_does_not_use_up_its_id),
        T(a_revision_sent_twice_is_made_once),
        T(an_old_id_is_still_taken),
        T(a_write_that_fails_half_way_leaves_nothing),
        T(receipts_clear_themselves_when_the_book_is_opened),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
