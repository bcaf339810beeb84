// Devices of the network: let in by code and number, recognised by cookie, shut out, and what each
// may call.
#include "workshop.h"

#include "app/devices_int.h"

typedef struct asked {
    char id[EP_ID_CAP], ticket[40], number[16];
} asked;

static const char *const start = "2026-11-25T12:00:00Z";

static void pass_seconds(workshop *w, double s)
{
    w->now += (ep_time_ms)llround(s * 1e3);
}

static void invite(workshop *w, const char *role, char code[40])
{
    call(w, "device_invite", "{'role': '%s'}", role);
    copy_text(code, 40, w->last, "code");
}

static asked ask(workshop *w, const char *code, const char *name)
{
    asked a;
    call(w, "device_pair", "{'code': '%s', 'name': '%s'}", code, name);
    copy_text(a.id, sizeof a.id, w->last, "id");
    copy_text(a.ticket, sizeof a.ticket, w->last, "ticket");
    copy_text(a.number, sizeof a.number, w->last, "number");
    return a;
}

/// Invited, asked, confirmed and given its cookie.
static asked pair(workshop *w, const char *role, char token[EP_TOKEN_LEN + 1])
{
    char code[40];
    invite(w, role, code);
    asked a = ask(w, code, "bench phone");
    call(w, "device_confirm", "{'id': '%s', 'number': '%s'}", a.id, a.number);
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    copy_text(token, EP_TOKEN_LEN + 1, w->last, "token");
    return a;
}

static const char *wrong_number(const asked *a)
{
    static char number[16];
    snprintf(number, sizeof number, "%s", a->number);
    number[0] = number[0] == '9' ? '0' : (char)(number[0] + 1);
    return number;
}

static bool may_come_in(workshop *w, const char *token, ep_visitor *v)
{
    ep_err err = {0};
    ep_status status = ep_visitor_of_token(w->app, token, v, &err);
    if (status != EP_OK) {
        assert_int_equal(status, EP_E_DENIED);
        assert_string_equal(err.field, "device");
    }
    return status == EP_OK;
}

static void a_phone_is_let_in(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40];
    invite(w, "bench", code);
    assert_int_equal(strlen(code), 32);  // 128 bits
    assert_string_equal(text_at(w->last, "until"), "2026-11-25T12:02:00.000Z");
    assert_int_equal(strncmp(text_at(w->last, "path"), "/pair#", 6), 0);
    assert_string_equal(text_at(w->last, "path") + 6, code);

    asked a = ask(w, code, "bench phone");
    assert_int_equal(strlen(a.number), 6);
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    assert_string_equal(text_at(w->last, "state"), "pending");
    assert_null(json_object_get(w->last, "token"));

    call(w, "device_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "devices")), 0);
    assert_string_equal(text_at(w->last, "pending.0.name"), "bench phone");
    assert_near(real_at(w->last, "pending.0.tries_left"), 3, 0);
    // the number is to be read off the phone: the computer's page never shows it
    char *shown = json_dumps(w->last, 0);
    assert_null(strstr(shown, a.number));
    free(shown);

    char spaced[24];
    snprintf(spaced, sizeof spaced, "%.3s %s", a.number, a.number + 3);
    call(w, "device_confirm", "{'id': '%s', 'number': '%s'}", a.id, spaced);
    assert_string_equal(text_at(w->last, "state"), "paired");
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    char token[EP_TOKEN_LEN + 1];
    copy_text(token, sizeof token, w->last, "token");
    assert_int_equal(strlen(text_at(w->last, "token")), 64);  // 32 bytes

    ep_visitor v;
    assert_true(may_come_in(w, token, &v));
    assert_int_equal(v.who, EP_WHO_BENCH);
    assert_string_equal(v.id, a.id);
    assert_string_equal(v.name, "bench phone");
    call(w, "device_list", "{}");
    assert_string_equal(text_at(w->last, "devices.0.last_seen_at"), "2026-11-25T12:00:00.000Z");
    workshop_close(w);
}

static void a_code_is_good_once_and_for_two_minutes(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40];
    invite(w, "bench", code);
    ask(w, code, "first");
    refuse(w, EP_E_DENIED, "code", "does not hold", "device_pair",
           "{'code': '%s', 'name': 'second'}", code);
    refuse(w, EP_E_DENIED, "code", "does not hold", "device_pair",
           "{'code': '00000000000000000000000000000000', 'name': 'guess'}");
    invite(w, "bench", code);
    pass_seconds(w, 119.9);
    invite(w, "bench", code);  // a newer one does not end the older, nor the other way round
    pass_seconds(w, 120);
    refuse(w, EP_E_DENIED, "code", "does not hold", "device_pair", "{'code': '%s', 'name': 'late'}",
           code);
    invite(w, "bench", code);
    pass_seconds(w, 119.9);
    ask(w, code, "in time");
    workshop_close(w);
}

static void three_wrong_numbers_end_a_request(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40];
    invite(w, "bench", code);
    asked a = ask(w, code, "phone");
    const char *wrong = wrong_number(&a);
    refuse(w, EP_E_DENIED, "number", "two tries", "device_confirm", "{'id': '%s', 'number': '%s'}",
           a.id, wrong);
    refuse(w, EP_E_DENIED, "number", "one try", "device_confirm", "{'id': '%s', 'number': '%s'}",
           a.id, wrong);
    call(w, "device_list", "{}");
    assert_near(real_at(w->last, "pending.0.tries_left"), 1, 0);
    refuse(w, EP_E_DENIED, "number", "third", "device_confirm", "{'id': '%s', 'number': '%s'}",
           a.id, wrong);
    // the right one comes too late
    refuse(w, EP_E_STATE, "id", "refused", "device_confirm", "{'id': '%s', 'number': '%s'}", a.id,
           a.number);
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    assert_string_equal(text_at(w->last, "state"), "refused");
    assert_null(json_object_get(w->last, "token"));
    call(w, "device_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "pending")), 0);
    workshop_close(w);
}

static void a_number_that_is_none_is_wrong(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40];
    invite(w, "bench", code);
    asked a = ask(w, code, "phone");
    char longer[24];
    snprintf(longer, sizeof longer, "%s0", a.number);
    refuse(w, EP_E_DENIED, "number", "not what", "device_confirm", "{'id': '%s', 'number': '%s'}",
           a.id, longer);
    refuse(w, EP_E_DENIED, "number", "not what", "device_confirm", "{'id': '%s', 'number': '%.5s'}",
           a.id, a.number);
    refuse(w, EP_E_NOT_FOUND, "id", "no device", "device_confirm",
           "{'id': 'nobody', 'number': '%s'}", a.number);
    workshop_close(w);
}

static void a_request_lapses(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40];
    invite(w, "bench", code);
    asked a = ask(w, code, "phone");
    pass_seconds(w, 120);
    refuse(w, EP_E_STATE, "id", "lapsed", "device_confirm", "{'id': '%s', 'number': '%s'}", a.id,
           a.number);
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    assert_string_equal(text_at(w->last, "state"), "lapsed");
    call(w, "device_list", "{'all': true}");
    assert_string_equal(text_at(w->last, "devices.0.state"), "lapsed");
    workshop_close(w);
}

static void a_ticket_ends_with_the_first_visit(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char code[40], first[EP_TOKEN_LEN + 1], second[EP_TOKEN_LEN + 1];
    ep_visitor v;
    asked a = pair(w, "bench", first);
    // the answer with the cookie was lost: asked again, another cookie replaces it
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    copy_text(second, sizeof second, w->last, "token");
    assert_string_not_equal(first, second);
    assert_false(may_come_in(w, first, &v));
    assert_true(may_come_in(w, second, &v));
    refuse(w, EP_E_DENIED, "ticket", "does not hold", "device_wait", "{'ticket': '%s'}", a.ticket);
    refuse(w, EP_E_DENIED, "ticket", "does not hold", "device_wait", "{'ticket': 'x'}");
    assert_true(may_come_in(w, second, &v));
    // and ten minutes after it was let in it is too late to fetch one
    invite(w, "bench", code);
    a = ask(w, code, "slow phone");
    call(w, "device_confirm", "{'id': '%s', 'number': '%s'}", a.id, a.number);
    pass_seconds(w, 600);
    refuse(w, EP_E_DENIED, "ticket", "does not hold", "device_wait", "{'ticket': '%s'}", a.ticket);
    workshop_close(w);
}

static void a_revoked_device_stays_out(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char token[EP_TOKEN_LEN + 1], other[EP_TOKEN_LEN + 1];
    ep_visitor v;
    asked a = pair(w, "bench", token);
    pair(w, "all", other);
    assert_true(may_come_in(w, token, &v));
    call(w, "device_revoke", "{'id': '%s'}", a.id);
    assert_string_equal(text_at(w->last, "state"), "revoked");
    assert_false(may_come_in(w, token, &v));
    assert_true(may_come_in(w, other, &v));
    assert_int_equal(v.who, EP_WHO_ALL);
    call(w, "device_revoke", "{'id': '%s'}", a.id);  // twice is as good as once
    refuse(w, EP_E_STATE, "id", "revoked", "device_confirm", "{'id': '%s', 'number': '%s'}", a.id,
           a.number);
    refuse(w, EP_E_NOT_FOUND, "id", "no device", "device_revoke", "{'id': 'nobody'}");
    call(w, "device_list", "{}");
    assert_int_equal(json_array_size(at(w->last, "devices")), 1);
    call(w, "device_list", "{'all': true}");
    assert_int_equal(json_array_size(at(w->last, "devices")), 2);
    // one that waits is turned away the same way
    char code[40];
    invite(w, "bench", code);
    a = ask(w, code, "stranger");
    call(w, "device_revoke", "{'id': '%s'}", a.id);
    call(w, "device_wait", "{'ticket': '%s'}", a.ticket);
    assert_string_equal(text_at(w->last, "state"), "revoked");
    workshop_close(w);
}

static void a_device_away_for_long_is_forgotten(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char token[EP_TOKEN_LEN + 1];
    ep_visitor v;
    pair(w, "bench", token);
    assert_true(may_come_in(w, token, &v));
    pass_hours(w, 179 * 24);
    assert_true(may_come_in(w, token, &v));
    pass_hours(w, 179 * 24);
    assert_true(may_come_in(w, token, &v));
    pass_hours(w, 180 * 24);
    assert_false(may_come_in(w, token, &v));
    workshop_close(w);
}

static void what_is_no_cookie_opens_nothing(void **state)
{
    (void)state;
    workshop *w = workshop_open(start, false);
    char token[EP_TOKEN_LEN + 1], bent[EP_TOKEN_LEN + 8];
    ep_visitor v;
    pair(w, "bench", token);
    assert_false(may_come_in(w, "", &v));
    assert_false(may_come_in(w, "' OR 1 --", &v));
    snprintf(bent, sizeof bent, "%s0", token);
    assert_false(may_come_in(w, bent, &v));
    snprintf(bent, sizeof bent, "%.63s", token);
    assert_false(may_come_in(w, bent, &v));
    snprintf(bent, sizeof bent, "%s", token);
    bent[10] = bent[10] == '0' ? '1' : '0';
    assert_false(may_come_in(w, bent, &v));
    assert_true(may_come_in(w, token, &v));
    workshop_close(w);
}

/// What stands in the file lets nobody in: every table that tells of devices, and the receipts, are
/// read whole and searched for each secret.
static void secrets_are_not_in_the_book(void **state)
{
    (void)state;
    char path[] = "/tmp/ep-devices-XXXXXX", command[64];
    assert_non_null(mkdtemp(path));
    char db[64], token[EP_TOKEN_LEN + 1];
    snprintf(db, sizeof db, "%s/w.db", path);
    workshop w = {.now = time_of(start)};
    ep_err err = {0};
    ep_app_config config = {.db_path = db, .clock = {workshop_now, &w}};
    assert_int_equal(ep_app_open(&config, &w.app, &err), EP_OK);
    char code[40];
    invite(&w, "bench", code);
    asked a = ask(&w, code, "phone");
    call(&w, "device_confirm", "{'id': '%s', 'number': '%s'}", a.id, a.number);
    call(&w, "device_wait", "{'ticket': '%s'}", a.ticket);
    copy_text(token, sizeof token, w.last, "token");
    json_decref(w.last);
    ep_app_close(w.app);

    FILE *f = fopen(db, "rb");
    static char all[4 << 20];
    size_t n = fread(all, 1, sizeof all, f);
    fclose(f);
    assert_true(n > 1000 && n < sizeof all);
    assert_non_null(memmem(all, n, a.id, strlen(a.id)));  // the search finds what is there
    assert_null(memmem(all, n, code, strlen(code)));
    assert_null(memmem(all, n, a.ticket, strlen(a.ticket)));
    assert_null(memmem(all, n, token, strlen(token)));
    snprintf(command, sizeof command, "rm -r '%s'", path);
    assert_int_equal(system(command), 0);
}

/// BLAKE2b-256 with the parts ended by zero bytes. The expected value was made with another
/// implementation: python3, hashlib.blake2b(b"code\0\0abc\0", digest_size=32).
static void hashes_are_blake2b(void **state)
{
    (void)state;
    char a[EP_HASH_LEN + 1], b[EP_HASH_LEN + 1];
    ep_secret_hash("code", "", "abc", a);
    assert_string_equal(a, "87ecbd7432d63e0ff7d032ffed6778ca22c612d10b33777d99948854ecf0f930");
    ep_secret_hash("code", "a", "bc", b);
    assert_false(ep_secret_same(a, b));
    ep_secret_hash("code", "", "abc", b);
    assert_true(ep_secret_same(a, b));
}

static ep_who who_of(const char *name)
{
    const ep_use_case *c = ep_use_case_find(name);
    if (!c) {
        fail_msg("there is no case %s", name);
        return EP_WHO_HERE;
    }
    return ep_case_who(c);
}

static void each_may_call_its_own(void **state)
{
    (void)state;
    static const char *const bench[] = {
        "session_light", "session_end", "reading_add",  "reading_batch", "candle_weigh",
        "candle_finish", "today",       "session_show", "about",         "settings",
        "limits",        "recipes",     "reading_keep"};
    static const char *const all[] = {"setting_set", "limit_set",   "decide",       "recipe_add",
                                      "pour_add",    "device_list", "device_revoke"};
    for (int i = 0; i < EP_COUNT_OF(bench); i++) {
        assert_int_equal(who_of(bench[i]), EP_WHO_BENCH);
    }
    for (int i = 0; i < EP_COUNT_OF(all); i++) {
        assert_int_equal(who_of(all[i]), EP_WHO_ALL);
    }
    assert_int_equal(who_of("device_invite"), EP_WHO_HERE);
    assert_int_equal(who_of("device_confirm"), EP_WHO_HERE);
    // strangers may ask to be let in, and nothing else in the whole table
    int n = 0, open = 0;
    const ep_use_case *c = ep_use_cases(&n);
    for (int i = 0; i < n; i++) {
        open += ep_case_who(&c[i]) == EP_WHO_STRANGER;
    }
    assert_int_equal(open, 2);
    assert_int_equal(who_of("device_pair"), EP_WHO_STRANGER);
    assert_int_equal(who_of("device_wait"), EP_WHO_STRANGER);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_phone_is_let_in),
        cmocka_unit_test(a_code_is_good_once_and_for_two_minutes),
        cmocka_unit_test(three_wrong_numbers_end_a_request),
        cmocka_unit_test(a_number_that_is_none_is_wrong),
        cmocka_unit_test(a_request_lapses),
        cmocka_unit_test(a_ticket_ends_with_the_first_visit),
        cmocka_unit_test(a_revoked_device_stays_out),
        cmocka_unit_test(a_device_away_for_long_is_forgotten),
        cmocka_unit_test(what_is_no_cookie_opens_nothing),
        cmocka_unit_test(secrets_are_not_in_the_book),
        cmocka_unit_test(hashes_are_blake2b),
        cmocka_unit_test(each_may_call_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
