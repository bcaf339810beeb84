// The power fails at every single operation on the disk, and the disk keeps or loses what was not
// yet synced at random: acknowledged rows stay, pairs are whole, the file opens clean.
#include "cutvfs.h"
#include "scratch.h"

enum { PAIRS = 6, SEEDS = 3, STRIDE = 1, BIRTH_STRIDE = 3 };

#define BOOK "book.db"

static ep_store *open_book(void)
{
    ep_store *s = NULL;
    ep_err err = {0};
    if (ep_store_open(BOOK, &s, &err) != EP_OK) {
        if (!cut_is_off()) {
            fail_msg("%s", err.text);
        }
        return NULL;
    }
    return s;
}

/// Some pairs of rows, one transaction each; returns how many were acknowledged.
static int write_pairs(ep_store *s)
{
    int done = 0;
    ep_err err = {0};
    char value[600];
    memset(value, 'v', sizeof value - 1);
    value[sizeof value - 1] = '\0';
    for (; done < PAIRS; done++) {
        if (ep_store_begin(s, true, "pair", &err) != EP_OK) {
            break;
        }
        if (put_setting(s, "left", value, &err) != EP_OK ||
            put_setting(s, "right", value, &err) != EP_OK) {
            ep_store_rollback(s);
            break;
        }
        if (ep_store_commit(s, &err) != EP_OK) {
            break;
        }
    }
    return done;
}

static void check_book(int acknowledged, int64_t cut_at)
{
    ep_err err = {0};
    ep_store *s = open_book();
    assert_non_null(s);
    if (ep_store_check(s, &err) != EP_OK) {
        fail_msg("cut at %lld: %s", (long long)cut_at, err.text);
    }
    int64_t left = ask(s, "SELECT count(*) FROM setting WHERE key = 'left'");
    int64_t right = ask(s, "SELECT count(*) FROM setting WHERE key = 'right'");
    if (left != right || left < acknowledged || left > acknowledged + 1) {
        fail_msg("cut at %lld: %d acknowledged, found %lld and %lld", (long long)cut_at,
                 acknowledged, (long long)left, (long long)right);
    }
    ep_store_close(s);
}

/// Operations a run without a cut takes.
static int64_t whole_run(void)
{
    cut_restore();
    cut_power_off_after(0);
    ep_store *s = open_book();
    assert_int_equal(write_pairs(s), PAIRS);
    ep_store_close(s);
    return cut_operations();
}

static void a_cut_at_any_write_loses_nothing(void **state)
{
    (void)state;
    int cuts = 0;
    cut_start();
    cut_format();
    ep_store_close(open_book());
    cut_keep();
    int64_t operations = whole_run();
    assert_true(operations > 4 * PAIRS);
    for (int64_t at = 1; at <= operations; at += STRIDE) {
        for (uint64_t seed = 1; seed <= SEEDS; seed++) {
            cut_restore();
            cut_power_off_after(at);
            ep_store *s = open_book();
            int acknowledged = s ? write_pairs(s) : 0;
            ep_store_close(s);
            assert_true(cut_is_off());
            cut_power_on(seed * 1000003u + (uint64_t)at);
            check_book(acknowledged, at);
            cuts++;
        }
    }
    print_message("%d power cuts over %lld operations\n", cuts, (long long)operations);
}

/// A file whose making was cut short is either still to be made or whole.
static void a_cut_while_the_file_is_made_can_be_repaired(void **state)
{
    (void)state;
    cut_format();
    cut_power_off_after(0);
    ep_store_close(open_book());
    int64_t operations = cut_operations();
    for (int64_t at = 1; at <= operations; at += BIRTH_STRIDE) {
        cut_format();
        cut_power_off_after(at);
        ep_store_close(open_book());
        assert_true(cut_is_off());
        cut_power_on((uint64_t)at);
        check_book(0, at);
    }
    print_message("%lld operations make a file\n", (long long)operations);
}

/// The test of the test: a disk that lies about having synced must be found out, or the check above
/// proves nothing. Here nothing is synced at all, and some cut must show a loss.
static void a_careless_store_would_be_caught(void **state)
{
    (void)state;
    int losses = 0;
    cut_format();
    cut_power_off_after(0);
    ep_store_close(open_book());
    cut_keep();
    int64_t operations = whole_run();
    for (int64_t at = 2; at <= operations; at++) {
        cut_restore();
        cut_power_off_after(0);
        ep_store *s = open_book();
        must(s, "PRAGMA synchronous = OFF");
        cut_power_off_after(at);
        int acknowledged = write_pairs(s);
        ep_store_close(s);
        cut_power_on((uint64_t)at);
        ep_store *again = NULL;
        ep_err err = {0};
        bool sound = ep_store_open(BOOK, &again, &err) == EP_OK &&
                     ep_store_check(again, &err) == EP_OK &&
                     ask(again, "SELECT count(*) FROM setting") >= 2 * acknowledged;
        losses += !sound;
        ep_store_close(again);
    }
    assert_true(losses > 0);
    cut_format();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_at_any_write_loses_nothing),
        cmocka_unit_test(a_cut_while_the_file_is_made_can_be_repaired),
        cmocka_unit_test(a_careless_store_would_be_caught),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
