// Numbers as text, the same under every locale: the C locale is asked for by name at each call.
#include <assert.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number_int.h"
#include "base/text.h"
#include "base/units.h"

size_t ep_number_span(const char *s)
{
    const char *p = s;
    if (*p == '+' || *p == '-') {
        p++;
    }
    size_t whole = strspn(p, "0123456789");
    p += whole;
    size_t part = 0;
    if (*p == '.') {
        part = strspn(p + 1, "0123456789");
        p += 1 + part;
    }
    if (whole + part == 0) {
        return 0;
    }
    if (*p == 'e' || *p == 'E') {
        const char *q = p + 1;
        if (*q == '+' || *q == '-') {
            q++;
        }
        size_t power = strspn(q, "0123456789");
        if (power > 0) {
            p = q + power;
        }
    }
    return (size_t)(p - s);
}

bool ep_number_parse(const char *text, double *out)
{
    size_t n = text ? ep_number_span(text) : 0;
    if (n == 0 || text[n] != '\0') {
        return false;
    }
    // glibc hands out its built-in "C" locale here, nothing is allocated
    locale_t c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (c == (locale_t)0) {
        return false;
    }
    double v = strtod_l(text, NULL, c);
    freelocale(c);
    if (!isfinite(v)) {
        return false;
    }
    *out = v;
    return true;
}

static void drop_trailing_zeros(char *s)
{
    if (!strchr(s, '.')) {
        return;
    }
    size_t n = strlen(s);
    while (n > 0 && s[n - 1] == '0') {
        n--;
    }
    if (n > 0 && s[n - 1] == '.') {
        n--;
    }
    s[n] = '\0';
}

// the digits are settled in exponent form first, so that rounding happens once
static void write_number(double value, int digits, char *out, size_t cap)
{
    char e_form[40];
    snprintf(e_form, sizeof e_form, "%.*e", digits - 1, value);
    char *e = strchr(e_form, 'e');
    int power = atoi(e + 1);
    if (power < -4 || power >= 9) {
        *e = '\0';
        drop_trailing_zeros(e_form);
        snprintf(out, cap, "%se%d", e_form, power);
        return;
    }
    int decimals = digits - 1 - power;
    snprintf(out, cap, "%.*f", decimals > 0 ? decimals : 0, strtod(e_form, NULL));
    drop_trailing_zeros(out);
}

const char *ep_number_format(double value, int digits, char *buf, size_t cap)
{
    assert(digits >= 1 && digits <= 17 && cap > 0);
    char text[64] = "not a number";
    if (isinf(value)) {
        ep_copy(text, sizeof text, value > 0 ? "infinity" : "-infinity");
    } else if (value == 0.0) {
        ep_copy(text, sizeof text, "0");
    } else if (!isnan(value)) {
        locale_t c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
        locale_t before = uselocale(c);
        write_number(value, digits, text, sizeof text);
        uselocale(before);
        freelocale(c);
    }
    ep_copy(buf, cap, text);
    return buf;
}
