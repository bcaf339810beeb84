// The child that reads a photo: what it may not do, and that its end, however it comes, is a
// refusal and nothing more. C-numbers are those of src/photo/confine.c.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include "photo/photo_int.h"

static ep_err err;
static int a_file = -1;

/// Runs `work` confined; it must be refused, with this text.
static void ends_with(ep_photo_work work, double seconds, const char *part)
{
    ep_photo p = {.width = 999};
    err = (ep_err){0};
    ep_status status = ep_photo_confined(work, (const unsigned char *)"x", 1, seconds, &p, &err);
    if (status == EP_OK || !strstr(err.text, part)) {
        fail_msg("wanted “%s”, got %s: %s", part, ep_status_name(status), err.text);
    }
    assert_null(p.jpeg);
    // nothing of it is left behind
    assert_int_equal(waitpid(-1, NULL, WNOHANG), -1);
    assert_int_equal(errno, ECHILD);
}

#define WORK(name)                                                                                 \
    static ep_status name(const unsigned char *bytes, size_t len, ep_photo *out, ep_err *e)

static ep_status tell(ep_err *e, const char *text, long value)
{
    return ep_err_set(e, EP_E_ARG, "jpeg", "%s %ld", text, value);
}

WORK(opens_a_file)
{
    (void)bytes, (void)len, (void)out;
    return tell(e, "opened", open("/etc/passwd", O_RDONLY));
}

WORK(reads_what_was_open)
{
    (void)bytes, (void)len, (void)out;
    char c;
    // the descriptor is closed (C1) before reading is forbidden (C4)
    return tell(e, "read", read(a_file, &c, 1));
}

WORK(calls_out)
{
    (void)bytes, (void)len, (void)out;
    return tell(e, "socket", socket(AF_INET, SOCK_STREAM, 0));
}

WORK(starts_a_process)
{
    (void)bytes, (void)len, (void)out;
    return tell(e, "forked", fork());
}

WORK(runs_a_program)
{
    (void)bytes, (void)len, (void)out;
    char *const argv[] = {(char[]){"sh"}, NULL};
    return tell(e, "ran", execv("/bin/sh", argv));
}

WORK(makes_code)
{
    (void)bytes, (void)len, (void)out;
    void *p =
        mmap(NULL, 4096, PROT_READ | PROT_WRITE | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    return tell(e, "mapped", p != MAP_FAILED);
}

WORK(takes_memory)
{
    (void)bytes, (void)len, (void)out;
    size_t mib = 0;
    for (; mib < 4096; mib++) {
        char *p = malloc(1 << 20);
        if (!p) {
            return tell(e, mib <= EP_PHOTO_MEMORY >> 20 ? "within bounds, MiB" : "too much, MiB",
                        (long)mib);
        }
        memset(p, 1, 1 << 20);
    }
    return tell(e, "endless, MiB", (long)mib);
}

WORK(never_ends)
{
    (void)bytes, (void)len, (void)out, (void)e;
    for (volatile int i = 0; i >= 0; i = 1 - i) {
    }
    return EP_OK;
}

WORK(sleeps)
{
    (void)bytes, (void)len, (void)out, (void)e;
    static int never = 0;
    for (;;) {
        syscall(SYS_futex, &never, 0 /* wait */, 0, NULL, NULL, 0);
    }
    return EP_OK;
}

WORK(crashes)
{
    (void)bytes, (void)len, (void)out, (void)e;
    __builtin_trap();
}

WORK(says_nothing)
{
    (void)bytes, (void)len, (void)out, (void)e;
    _exit(0);
}

WORK(lies_about_lengths)
{
    (void)bytes, (void)len, (void)e;
    *out = (ep_photo){.width = 10, .height = 10, .jpeg_len = (size_t)-1, .small_len = 10};
    return EP_OK;
}

WORK(answers_no_picture)
{
    (void)bytes, (void)len, (void)e;
    *out = (ep_photo){.width = 10,
                      .height = 10,
                      .jpeg = calloc(1, 64),
                      .small_jpeg = calloc(1, 64),
                      .jpeg_len = 64,
                      .small_len = 64};
    return EP_OK;
}

static bool has_filter(void)
{
    return prctl(PR_GET_SECCOMP) >= 0;
}

static void c1_no_file(void **state)
{
    (void)state;
    a_file = open("/etc/passwd", O_RDONLY);
    ends_with(opens_a_file, 5, "opened -1");
    if (has_filter()) {
        ends_with(reads_what_was_open, 5, "signal 31");
    }
    close(a_file);
}

static void c3_so_much_memory_and_time(void **state)
{
    (void)state;
#if !defined(__SANITIZE_ADDRESS__)
    ends_with(takes_memory, 10, "within bounds");
#endif
    ends_with(never_ends, 1, "signal");
    ends_with(sleeps, 1, "signal 9");
}

static void c4_no_other_call(void **state)
{
    (void)state;
    if (!has_filter()) {
        skip();
    }
    ends_with(calls_out, 5, "signal 31");
    ends_with(starts_a_process, 5, "signal 31");
    ends_with(runs_a_program, 5, "signal 31");
    ends_with(makes_code, 5, "signal 31");
}

static void c5_its_end_is_a_refusal(void **state)
{
    (void)state;
    ends_with(crashes, 5, "could not be read");
    ends_with(says_nothing, 5, "could not be read");
    ends_with(lies_about_lengths, 5, "could not be read");
    ends_with(answers_no_picture, 5, "could not be read");
}

static int open_files(void)
{
    int n = 0;
    DIR *d = opendir("/proc/self/fd");
    while (readdir(d)) {
        n++;
    }
    closedir(d);
    return n;
}

static void the_parent_keeps_nothing(void **state)
{
    (void)state;
    int before = open_files();
    for (int i = 0; i < 50; i++) {
        ends_with(says_nothing, 5, "could not be read");
    }
    assert_int_equal(open_files(), before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(c1_no_file),
        cmocka_unit_test(c3_so_much_memory_and_time),
        cmocka_unit_test(c4_no_other_call),
        cmocka_unit_test(c5_its_end_is_a_refusal),
        cmocka_unit_test(the_parent_keeps_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
