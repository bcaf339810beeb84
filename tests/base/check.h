/// Checks that cmocka lacks: numbers within a tolerance, texts that hold a word.
#pragma once
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/// |got - want| <= tol; NaN fails.
#define check_near(got, want, tol) check_near_at((got), (want), (tol), __FILE__, __LINE__)
/// |got - want| <= tol * |want|.
#define check_rel(got, want, tol)                                                                  \
    check_near_at((got), (want), (tol)*fabs((double)(want)), __FILE__, __LINE__)
/// `text` contains `part`.
#define check_has(text, part) check_has_at((text), (part), __FILE__, __LINE__)

static inline void check_near_at(double got, double want, double tol, const char *file, int line)
{
    if (!(fabs(got - want) <= tol)) {
        print_error("got %.17g, want %.17g within %.3g, off by %.3g\n", got, want, tol, got - want);
        _fail(file, line);
    }
}

static inline void check_has_at(const char *text, const char *part, const char *file, int line)
{
    if (!strstr(text, part)) {
        print_error("\"%s\" does not hold \"%s\"\n", text, part);
        _fail(file, line);
    }
}
