// A program killed while it writes, and a disk that takes no more: nothing acknowledged is lost,
// nothing half-written is found, the file opens clean.
#include <errno.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

#include "scratch.h"

enum { ROUNDS = 12, WAIT_STEP_US = 370 };

/// Write pairs of rows, one transaction each, and tell the parent about each that was committed.
static void write_for_ever(const char *path, int tell, int64_t from)
{
    ep_store *s = NULL;
    ep_err err = {0};
    if (ep_store_open(path, &s, &err) != EP_OK) {
        _exit(2);
    }
    for (int64_t i = from;; i++) {
        char value[32];
        snprintf(value, sizeof value, "%lld", (long long)i);
        if (ep_store_begin(s, true, "pair", &err) != EP_OK ||
            put_setting(s, "left", value, &err) != EP_OK ||
            put_setting(s, "right", value, &err) != EP_OK || ep_store_commit(s, &err) != EP_OK) {
            _exit(3);
        }
        if (write(tell, &i, sizeof i) != sizeof i) {
            _exit(4);
        }
    }
}

/// Last number told: of the next `most` ones, or of all until the child has died.
static int64_t last_told(int from, int most)
{
    int64_t last = -1, i;
    for (int n = 0; n < most && read(from, &i, sizeof i) == sizeof i; n++) {
        last = i;
    }
    return last;
}

/// Let a child write some pairs, then kill it somewhere in a later one.
static int64_t kill_one_writer(const char *path, int64_t from, int pairs, int wait_us)
{
    int pipe_fd[2], how = 0;
    assert_int_equal(pipe(pipe_fd), 0);
    pid_t child = fork();
    if (child == 0) {
        close(pipe_fd[0]);
        write_for_ever(path, pipe_fd[1], from);
    }
    close(pipe_fd[1]);
    int64_t last = last_told(pipe_fd[0], pairs);
    struct timespec t = {.tv_sec = 0, .tv_nsec = wait_us * 1000L};
    nanosleep(&t, NULL);
    kill(child, SIGKILL);
    waitpid(child, &how, 0);
    // killed, not stopped by an error of its own
    assert_true(WIFSIGNALED(how) && WTERMSIG(how) == SIGKILL);
    int64_t later = last_told(pipe_fd[0], INT32_MAX);
    close(pipe_fd[0]);
    return later > last ? later : last;
}

static void killed_writers_lose_nothing(void **state)
{
    (void)state;
    char path[128], sql[128];
    ep_err err = {0};
    int64_t told = -1, next = 0;
    ep_store_close(scratch_store("killed.db"));
    scratch_path("killed.db", path, sizeof path);
    for (int round = 0; round < ROUNDS; round++) {
        int64_t last = kill_one_writer(path, next, 1 + round % 3, round * WAIT_STEP_US);
        told = last > told ? last : told;
        ep_store *s = scratch_reopen("killed.db");
        assert_int_equal(ep_store_check(s, &err), EP_OK);
        // every acknowledged pair is there; at most one more was committed but not yet told
        int64_t pairs = ask(s, "SELECT count(*) FROM setting WHERE key = 'left'");
        assert_true(pairs == told + 1 || pairs == told + 2);
        snprintf(sql, sizeof sql, "SELECT count(*) FROM setting WHERE key = 'right'");
        assert_int_equal(ask(s, sql), pairs);
        assert_int_equal(ask(s, "SELECT count(DISTINCT value) FROM setting"), pairs);
        told = pairs - 1;
        next = pairs;
        ep_store_close(s);
    }
    assert_true(told > ROUNDS);  // the writers really wrote
}

/// In a child whose files may not grow: write until it fails, report how many went in.
static void write_until_full(const char *path, int tell)
{
    struct stat st;
    int64_t done = 0;
    ep_store *s = NULL;
    ep_err err = {0};
    signal(SIGXFSZ, SIG_IGN);
    if (stat(path, &st) != 0 || ep_store_open(path, &s, &err) != EP_OK) {
        _exit(2);
    }
    struct rlimit limit = {.rlim_cur = (rlim_t)st.st_size + 16384, .rlim_max = RLIM_INFINITY};
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) {
        _exit(3);
    }
    char value[400];
    memset(value, 'x', sizeof value - 1);
    value[sizeof value - 1] = '\0';
    ep_status status = EP_OK;
    while (done < 10000) {
        status = ep_store_begin(s, true, "filling the disk", &err);
        if (status == EP_OK) {
            status = put_setting(s, "filler", value, &err);
            if (status == EP_OK) {
                status = ep_store_commit(s, &err);
            } else {
                ep_store_rollback(s);
            }
        }
        if (status != EP_OK) {
            break;
        }
        done++;
    }
    bool told = write(tell, &done, sizeof done) == sizeof done;
    // the store stays usable for reading, and says what happened
    bool reads = ask(s, "SELECT count(*) FROM setting") == done;
    bool depth = ep_store_depth(s) == 0;
    ep_store_close(s);
    _exit(told && reads && depth && status == EP_E_DB && err.text[0] ? 0 : 5);
}

static void a_full_disk_is_an_error_not_a_loss(void **state)
{
    (void)state;
    char path[128];
    int pipe_fd[2], how = 0;
    ep_err err = {0};
    ep_store_close(scratch_store("full.db"));
    scratch_path("full.db", path, sizeof path);
    assert_int_equal(pipe(pipe_fd), 0);
    pid_t child = fork();
    if (child == 0) {
        write_until_full(path, pipe_fd[1]);
    }
    close(pipe_fd[1]);
    waitpid(child, &how, 0);
    assert_true(WIFEXITED(how));
    assert_int_equal(WEXITSTATUS(how), 0);
    int64_t done = last_told(pipe_fd[0], 1);
    close(pipe_fd[0]);
    assert_true(done > 0);
    ep_store *s = scratch_reopen("full.db");
    assert_int_equal(ep_store_check(s, &err), EP_OK);
    assert_int_equal(ask(s, "SELECT count(*) FROM setting"), done);
    assert_int_equal(put_setting(s, "after", "1", &err), EP_OK);
    ep_store_close(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(killed_writers_lose_nothing),
        cmocka_unit_test(a_full_disk_is_an_error_not_a_loss),
    };
    return cmocka_run_group_tests(tests, NULL, scratch_teardown);
}
