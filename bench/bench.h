/// What the bench programs share: clocks, minima, and arguments written `-name value`.
/// Needs: libc. Allocates: nothing. Thread use: any, no shared state.
#pragma once
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static inline double bench_clock_s(clockid_t id)
{
    struct timespec t;
    clock_gettime(id, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/// Time on the wall and on the processor (all threads). On an idle machine one thread's two are
/// equal; on a shared one only the second says what the work costs.
typedef struct bench_time {
    double wall_s, cpu_s;
} bench_time;

static inline bench_time bench_now(void)
{
    return (bench_time){bench_clock_s(CLOCK_MONOTONIC), bench_clock_s(CLOCK_PROCESS_CPUTIME_ID)};
}

static inline bench_time bench_since(bench_time start)
{
    bench_time now = bench_now();
    return (bench_time){now.wall_s - start.wall_s, now.cpu_s - start.cpu_s};
}

/// Keep the lesser of each time; `best` starts as BENCH_NEVER.
#define BENCH_NEVER ((bench_time){1e30, 1e30})
static inline void bench_keep_least(bench_time *best, bench_time t)
{
    best->wall_s = t.wall_s < best->wall_s ? t.wall_s : best->wall_s;
    best->cpu_s = t.cpu_s < best->cpu_s ? t.cpu_s : best->cpu_s;
}

/// The word after `name`, or `otherwise` when it is not there.
static inline const char *bench_word(int argc, char **argv, const char *name, const char *otherwise)
{
    for (int n = 1; n + 1 < argc; n++) {
        if (strcmp(argv[n], name) == 0) {
            return argv[n + 1];
        }
    }
    return otherwise;
}

/// The number after `name`, or `otherwise` when it is not there. A word that is no number ends the
/// program: a bench that guesses measures something else.
static inline double bench_number(int argc, char **argv, const char *name, double otherwise)
{
    const char *word = bench_word(argc, argv, name, NULL);
    if (!word) {
        return otherwise;
    }
    char *end = NULL;
    double value = strtod(word, &end);
    if (end == word || *end != '\0') {
        fprintf(stderr, "%s: %s is not a number\n", name, word);
        exit(2);
    }
    return value;
}
