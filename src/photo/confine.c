// A child process for reading what a stranger's file says.
//
// C1  It has no open file but the pipe it answers through, and may open none.
//
// C2  It may not gain rights (no_new_privs), not be traced, and dies with its parent.
//
// C3  It has EP_PHOTO_MEMORY bytes and so many seconds.
//
// C4  A system call outside a short list ends it (seccomp). Without seccomp in the kernel C1 to C3
//     remain.
//
// C5  What it answers is measured before it is believed; however it ends, that is a refusal.
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <seccomp.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "photo/photo_int.h"

#if defined(__SANITIZE_ADDRESS__)
#define SHADOWED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer)
#define SHADOWED 1
#endif
#endif
#ifndef SHADOWED
#define SHADOWED 0  // a sanitizer's shadow takes terabytes of addresses
#endif

typedef struct answer {
    int status, width, height;
    size_t jpeg_len, small_len;
    char text[256];
} answer;

// --- the child ---

static size_t address_space(void)
{
    unsigned long pages = 0;
    char text[64] = "";
    int fd = open("/proc/self/statm", O_RDONLY | O_CLOEXEC);
    ssize_t n = fd < 0 ? -1 : read(fd, text, sizeof text - 1);
    if (fd >= 0) {
        close(fd);
    }
    return n > 0 && sscanf(text, "%lu", &pages) == 1 ? pages * (size_t)sysconf(_SC_PAGESIZE) : 0;
}

static int limit(int what, rlim_t most)
{
    struct rlimit r = {most, most};
    return setrlimit((__rlimit_resource_t)what, &r);
}

static int limit_all(double seconds)
{
    size_t now = address_space();
    int bad = limit(RLIMIT_CPU, (rlim_t)ceil(seconds)) | limit(RLIMIT_FSIZE, 0) |
              limit(RLIMIT_CORE, 0) | limit(RLIMIT_NPROC, 0);
    if (!SHADOWED) {
        bad |= now == 0 || limit(RLIMIT_AS, now + EP_PHOTO_MEMORY);
    }
    return bad;
}

// memory, the answer, the end; nothing may become executable
static int add_rules(scmp_filter_ctx f)
{
    static const int allowed[] = {
        SCMP_SYS(write),     SCMP_SYS(exit_group),   SCMP_SYS(exit),         SCMP_SYS(brk),
        SCMP_SYS(munmap),    SCMP_SYS(mremap),       SCMP_SYS(madvise),      SCMP_SYS(futex),
        SCMP_SYS(getrandom), SCMP_SYS(rt_sigreturn), SCMP_SYS(clock_gettime)};
    // the C library may look around when it is short of memory or meets a new processor
    static const int in_vain[] = {SCMP_SYS(open), SCMP_SYS(openat), SCMP_SYS(newfstatat),
                                  SCMP_SYS(fstat), SCMP_SYS(prlimit64)};
    int bad = 0;
    for (size_t i = 0; i < sizeof allowed / sizeof allowed[0]; i++) {
        bad |= seccomp_rule_add(f, SCMP_ACT_ALLOW, allowed[i], 0);
    }
    for (size_t i = 0; i < sizeof in_vain / sizeof in_vain[0]; i++) {
        bad |= seccomp_rule_add(f, SCMP_ACT_ERRNO(EACCES), in_vain[i], 0);
    }
    bad |= seccomp_rule_add(f, SCMP_ACT_ALLOW, SCMP_SYS(mmap), 1,
                            SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    bad |= seccomp_rule_add(f, SCMP_ACT_ALLOW, SCMP_SYS(mprotect), 1,
                            SCMP_A2(SCMP_CMP_MASKED_EQ, PROT_EXEC, 0));
    return bad;
}

// C4; 0 also when the kernel knows no filters
static int filter_calls(void)
{
    scmp_filter_ctx f = seccomp_init(SCMP_ACT_KILL_PROCESS);
    if (!f) {
        return -1;
    }
    int bad = add_rules(f);
    if (!bad) {
        int loaded = seccomp_load(f);
        bad = loaded != 0 && loaded != -EINVAL && loaded != -ENOSYS && loaded != -ECANCELED;
    }
    seccomp_release(f);
    return bad;
}

static int close_others(int out)
{
    return (out > 0 ? close_range(0, (unsigned)out - 1, 0) : 0) |
           close_range((unsigned)out + 1, ~0u, 0);
}

static int confine(int out, double seconds)
{
    int bad = prctl(PR_SET_PDEATHSIG, SIGKILL) | prctl(PR_SET_DUMPABLE, 0) |
              prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
    bad |= limit_all(seconds);
    bad |= close_others(out);
    return bad ? bad : filter_calls();
}

static void say(int fd, const void *data, size_t n)
{
    const char *at = data;
    while (n > 0) {
        ssize_t written = write(fd, at, n);
        if (written <= 0) {
            _exit(1);
        }
        at += written;
        n -= (size_t)written;
    }
}

static void be_child(ep_photo_work work, const unsigned char *bytes, size_t len, double seconds,
                     int out) __attribute__((noreturn));
static void be_child(ep_photo_work work, const unsigned char *bytes, size_t len, double seconds,
                     int out)
{
    answer a = {.status = EP_E_IO};
    ep_photo p = {0};
    ep_err err = {0};
    if (confine(out, seconds) != 0) {
        ep_err_set(&err, EP_E_IO, "jpeg", "jpeg: the process that reads it could not be confined");
    } else {
        a.status = (int)work(bytes, len, &p, &err);
    }
    a.width = p.width;
    a.height = p.height;
    a.jpeg_len = p.jpeg_len;
    a.small_len = p.small_len;
    memcpy(a.text, err.text, sizeof a.text - 1);
    say(out, &a, sizeof a);
    say(out, p.jpeg, p.jpeg_len);
    say(out, p.small_jpeg, p.small_len);
    _exit(0);
}

// --- the parent ---

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/// Exactly n bytes before the deadline.
static bool hear(int fd, void *data, size_t n, double deadline)
{
    char *at = data;
    while (n > 0) {
        double left = deadline - now_s();
        struct pollfd p = {.fd = fd, .events = POLLIN};
        int ready = left > 0 ? poll(&p, 1, (int)(left * 1e3) + 1) : 0;
        if (ready == 0 || (ready < 0 && errno != EINTR)) {
            return false;
        }
        ssize_t got = ready > 0 ? read(fd, at, n) : 0;
        if (ready > 0 && got <= 0 && !(got < 0 && errno == EINTR)) {
            return false;
        }
        at += got > 0 ? got : 0;
        n -= got > 0 ? (size_t)got : 0;
    }
    return true;
}

static bool is_jpeg(const unsigned char *b, size_t n)
{
    return n >= 4 && b[0] == 0xFF && b[1] == 0xD8 && b[n - 2] == 0xFF && b[n - 1] == 0xD9;
}

/// C5
static bool believable(const answer *a)
{
    return a->width >= 1 && a->width <= EP_PHOTO_LONGEST && a->height >= 1 &&
           a->height <= EP_PHOTO_LONGEST && a->jpeg_len >= 4 && a->jpeg_len <= EP_PHOTO_OUT_MAX &&
           a->small_len >= 4 && a->small_len <= EP_PHOTO_OUT_MAX / 8;
}

static bool hear_photo(int fd, const answer *a, double deadline, ep_photo *out)
{
    if (!believable(a)) {
        return false;
    }
    *out = (ep_photo){.width = a->width,
                      .height = a->height,
                      .jpeg = malloc(a->jpeg_len),
                      .small_jpeg = malloc(a->small_len),
                      .jpeg_len = a->jpeg_len,
                      .small_len = a->small_len};
    return out->jpeg && out->small_jpeg && hear(fd, out->jpeg, a->jpeg_len, deadline) &&
           hear(fd, out->small_jpeg, a->small_len, deadline) && is_jpeg(out->jpeg, a->jpeg_len) &&
           is_jpeg(out->small_jpeg, a->small_len);
}

static ep_status stopped(int how, ep_err *err)
{
    if (WIFSIGNALED(how)) {
        return ep_err_set(err, EP_E_ARG, "jpeg",
                          "jpeg: the picture could not be read; the process that tried was stopped "
                          "(signal %d)",
                          WTERMSIG(how));
    }
    return ep_err_set(err, EP_E_ARG, "jpeg", "jpeg: the picture could not be read");
}

static ep_status attend(pid_t child, int fd, double seconds, ep_photo *out, ep_err *err)
{
    answer a;
    int how = 0;
    double deadline = now_s() + seconds;
    bool heard = hear(fd, &a, sizeof a, deadline);
    bool good = heard && a.status == EP_OK && hear_photo(fd, &a, deadline, out);
    close(fd);
    // it has said all it had to say, or has had its time
    kill(child, SIGKILL);
    while (waitpid(child, &how, 0) < 0 && errno == EINTR) {
    }
    if (good) {
        return EP_OK;
    }
    ep_photo_clear(out);
    if (heard && a.status != EP_OK) {
        a.text[sizeof a.text - 1] = '\0';
        ep_status status =
            a.status == EP_E_IO || a.status == EP_E_MEMORY ? (ep_status)a.status : EP_E_ARG;
        return ep_err_set(err, status, "jpeg", "%s", a.text);
    }
    return stopped(how, err);
}

ep_status ep_photo_confined(ep_photo_work work, const unsigned char *bytes, size_t len,
                            double seconds, ep_photo *out, ep_err *err)
{
    int ends[2];
    *out = (ep_photo){0};
    if (pipe2(ends, O_CLOEXEC) != 0) {
        return ep_err_set(err, EP_E_IO, "jpeg", "jpeg: no pipe to the process that reads it: %s",
                          strerror(errno));
    }
    pid_t child = fork();
    if (child == 0) {
        be_child(work, bytes, len, seconds, ends[1]);
    }
    close(ends[1]);
    if (child < 0) {
        close(ends[0]);
        return ep_err_set(err, EP_E_IO, "jpeg", "jpeg: no process to read it: %s", strerror(errno));
    }
    return attend(child, ends[0], seconds, out, err);
}

ep_status ep_photo_make(const unsigned char *bytes, size_t len, ep_photo *out, ep_err *err)
{
    return ep_photo_confined(ep_photo_remake, bytes, len, EP_PHOTO_SECONDS, out, err);
}
