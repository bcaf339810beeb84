// The status list and the error record: first error wins, nothing overflows.
#include "base/status.h"

#include "check.h"

static void every_status_has_words(void **state)
{
    (void)state;
#define X(name, value, text)                                                                       \
    assert_int_equal(name, value);                                                                 \
    assert_string_equal(ep_status_text(name), text);                                               \
    assert_string_equal(ep_status_name(name), #name);
    EP_STATUS_LIST(X)
#undef X
    assert_string_equal(ep_status_name((ep_status)99), "EP_E_UNKNOWN");
    assert_non_null(ep_status_text((ep_status)99));
}

static void first_error_wins(void **state)
{
    (void)state;
    ep_err err = {0};
    assert_int_equal(ep_err_set(&err, EP_E_ARG, "load", "load: %d %% is too much", 50), EP_E_ARG);
    assert_int_equal(ep_err_set(&err, EP_E_IO, "file", "later"), EP_E_IO);
    assert_int_equal(err.status, EP_E_ARG);
    assert_string_equal(err.field, "load");
    assert_string_equal(err.text, "load: 50 % is too much");
    ep_err_clear(&err);
    assert_int_equal(err.status, EP_OK);
    assert_int_equal(ep_err_set(&err, EP_E_IO, NULL, "later"), EP_E_IO);
    assert_string_equal(err.field, "");
}

static void further_mistakes_are_kept_for_who_asks(void **state)
{
    (void)state;
    ep_mistakes more = {0};
    ep_err err = {.more = &more};
    ep_err_next(&err);
    ep_err_set(&err, EP_E_ARG, "load", "load: 50 %% is too much");
    ep_err_set(&err, EP_E_DB, "", "an echo of the first");
    ep_err_next(&err);
    ep_err_set(&err, EP_E_PARSE, "wall", "wall: “thick” is no length");
    ep_err_set(&err, EP_E_DB, "", "an echo of the second");
    ep_err_next(&err);
    assert_int_equal(err.status, EP_E_ARG);
    assert_string_equal(err.text, "load: 50 % is too much");
    assert_int_equal(more.n, 1);
    assert_int_equal(more.at[0].status, EP_E_PARSE);
    assert_string_equal(more.at[0].field, "wall");
    assert_string_equal(more.at[0].text, "wall: “thick” is no length");
    assert_true(ep_err_names(&err, "load") && ep_err_names(&err, "wall"));
    assert_false(ep_err_names(&err, "base") || ep_err_names(NULL, "load"));
    for (int i = 0; i < EP_MISTAKES_MAX + 2; i++) {
        ep_err_next(&err);
        ep_err_set(&err, EP_E_ARG, "x", "x: again");
    }
    assert_int_equal(more.n, EP_MISTAKES_MAX);
    assert_int_equal(more.left_out, 3);
    ep_err_clear(&err);
    assert_true(err.status == EP_OK && err.more == &more && more.n == 0 && more.left_out == 0);
    // nobody asked: the first alone
    ep_err alone = {0};
    ep_err_set(&alone, EP_E_ARG, "load", "load: 50 %% is too much");
    ep_err_next(&alone);
    ep_err_set(&alone, EP_E_ARG, "wall", "wall: no");
    assert_string_equal(alone.field, "load");
}

static void no_record_is_allowed(void **state)
{
    (void)state;
    assert_int_equal(ep_err_set(NULL, EP_E_PARSE, "x", "%s", "y"), EP_E_PARSE);
    ep_err_next(NULL);
    ep_err_clear(NULL);
}

static void long_texts_are_cut(void **state)
{
    (void)state;
    char big[1000];
    memset(big, 'a', sizeof big - 1);
    big[sizeof big - 1] = '\0';
    ep_err err = {0};
    ep_err_set(&err, EP_E_ARG, big, "%s", big);
    assert_int_equal(strlen(err.field), sizeof err.field - 1);
    assert_int_equal(strlen(err.text), sizeof err.text - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_status_has_words),
        cmocka_unit_test(first_error_wins),
        cmocka_unit_test(further_mistakes_are_kept_for_who_asks),
        cmocka_unit_test(no_record_is_allowed),
        cmocka_unit_test(long_texts_are_cut),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
