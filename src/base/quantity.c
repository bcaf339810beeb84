// Quantities: what people type at the bench ("2 3/4 in", "185°F", ".5 oz") to SI and back.
// The reader takes one number, whole, mixed or decimal, then one unit; it never guesses a comma.
#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/number_int.h"
#include "base/text.h"
#include "base/units.h"
#include "base/utf8.h"

enum { SHOWN = 41, NUMBER_MAX = 64 };
#define RANGE_SLACK 1e-14

typedef enum number_fault { NUMBER_OK, NUMBER_NONE, NUMBER_COMMA, NUMBER_FRACTION } number_fault;

static const char *skip_spaces(const char *s)
{
    uint32_t c;
    int n;
    while ((n = ep_utf8_next(s, &c)) > 0 &&
           (c == ' ' || c == '\t' || c == 0xA0 || c == 0x202F || c == 0x2009)) {
        s += n;
    }
    return s;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

// value of a one-character fraction, 0 when `s` does not start with one
static double glyph_fraction(const char *s, int *bytes)
{
    static const struct {
        uint32_t code;
        double value;
    } glyph[] = {{0xBC, 0.25},        {0xBD, 0.5},         {0xBE, 0.75},
                 {0x2153, 1.0 / 3.0}, {0x2154, 2.0 / 3.0}, {0x215B, 0.125},
                 {0x215C, 0.375},     {0x215D, 0.625},     {0x215E, 0.875}};
    uint32_t c = 0;
    *bytes = ep_utf8_next(s, &c);
    for (size_t i = 0; *bytes > 0 && i < sizeof glyph / sizeof glyph[0]; i++) {
        if (glyph[i].code == c) {
            return glyph[i].value;
        }
    }
    return 0.0;
}

// "3/4" at the head of s: length, or 0 when it is no fraction
static size_t slash_span(const char *s, size_t *top)
{
    *top = strspn(s, "0123456789");
    const char *slash = s + *top;
    size_t wide = *slash == '/' ? 1 : strncmp(slash, "\xE2\x81\x84", 3) == 0 ? 3 : 0;
    if (*top == 0 || wide == 0 || !is_digit(slash[wide])) {
        return 0;
    }
    return *top + wide + strspn(slash + wide, "0123456789");
}

static bool number_of(const char *s, size_t n, double *out)
{
    char text[NUMBER_MAX];
    if (n >= sizeof text) {
        return false;
    }
    memcpy(text, s, n);
    text[n] = '\0';
    return ep_number_parse(text, out);
}

// a fraction behind a whole number, or alone; moves the cursor past it
static number_fault read_fraction(const char **p, bool alone, double *out)
{
    int bytes;
    double glyph = glyph_fraction(*p, &bytes);
    if (glyph > 0.0) {
        *p += bytes;
        *out = glyph;
        return NUMBER_OK;
    }
    size_t top_n;
    size_t n = slash_span(*p, &top_n);
    if (n == 0) {
        return NUMBER_NONE;
    }
    size_t low_at = n;
    while (is_digit((*p)[low_at - 1])) {
        low_at--;
    }
    double top, low;
    if (!number_of(*p, top_n, &top) || !number_of(*p + low_at, n - low_at, &low) || low == 0.0 ||
        (!alone && top >= low)) {
        return NUMBER_FRACTION;
    }
    *p += n;
    *out = top / low;
    return NUMBER_OK;
}

// the part after a whole number: "2 3/4", "2-3/4", "2¾"
static number_fault read_mixed(const char **p, double *value)
{
    const char *q = skip_spaces(*p);
    size_t top_n;
    if (*q == '-' && slash_span(q + 1, &top_n) > 0) {
        q++;
    }
    double part;
    number_fault fault = read_fraction(&q, false, &part);
    if (fault == NUMBER_NONE) {
        return NUMBER_OK;
    }
    if (fault == NUMBER_OK) {
        *value += part;
        *p = q;
    }
    return fault;
}

static number_fault read_unsigned(const char **p, double *value)
{
    number_fault fault = read_fraction(p, true, value);
    if (fault != NUMBER_NONE) {
        return fault;
    }
    size_t n = ep_number_span(*p);
    if (n == 0 || **p == '+' || **p == '-' || !number_of(*p, n, value)) {
        return **p == ',' ? NUMBER_COMMA : NUMBER_NONE;
    }
    bool whole = strspn(*p, "0123456789") == n;
    *p += n;
    if (**p == ',') {
        return NUMBER_COMMA;
    }
    return whole ? read_mixed(p, value) : NUMBER_OK;
}

static number_fault read_number(const char **p, double *value)
{
    bool minus = false;
    if (**p == '+' || **p == '-') {
        minus = **p == '-';
        (*p)++;
    } else if (strncmp(*p, "\xE2\x88\x92", 3) == 0) {
        minus = true;
        *p += 3;
    }
    number_fault fault = read_unsigned(p, value);
    if (minus) {
        *value = -*value;
    }
    return fault;
}

static ep_status refuse_number(number_fault fault, ep_dim dim, const char *field, const char *shown,
                               ep_err *err)
{
    if (fault == NUMBER_COMMA) {
        return ep_err_set(err, EP_E_PARSE, field,
                          "%s: \"%s\" has a comma, which could mean two things; write a point for "
                          "decimals (1.5) and nothing between thousands (1500)",
                          field, shown);
    }
    if (fault == NUMBER_FRACTION) {
        return ep_err_set(
            err, EP_E_PARSE, field,
            "%s: \"%s\" has a fraction that cannot be read; write it as 2 3/4 or 2.75", field,
            shown);
    }
    char list[128];
    ep_dim_units(dim, list, sizeof list);
    const char *in = list[0] ? ", in " : "";
    if (shown[0] == '\0') {
        return ep_err_set(err, EP_E_PARSE, field, "%s: nothing is written here; a %s is needed%s%s",
                          field, ep_dim_name(dim), in, list);
    }
    return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" is no number; a %s is needed%s%s", field,
                      shown, ep_dim_name(dim), in, list);
}

static ep_status refuse_unit(const char *unit, ep_dim dim, const char *field, const char *shown,
                             ep_err *err)
{
    char list[128], typed[SHOWN];
    ep_dim_units(dim, list, sizeof list);
    ep_text_excerpt(unit, typed, sizeof typed);
    const char *name = ep_dim_name(dim);
    const char *lead = list[0] ? ", in " : " without a unit";
    if (is_digit(unit[0])) {
        return ep_err_set(err, EP_E_PARSE, field,
                          "%s: \"%s\" holds more than one number; a single %s is needed%s%s", field,
                          shown, name, lead, list);
    }
    for (int other = 0; other < EP_DIM_COUNT_; other++) {
        ep_unit found;
        if (ep_unit_find((ep_dim)other, unit, &found)) {
            return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" is a %s; a %s is needed here%s%s",
                              field, shown, ep_dim_name((ep_dim)other), name, lead, list);
        }
    }
    return ep_err_set(err, EP_E_PARSE, field,
                      "%s: \"%s\" has the unknown unit \"%s\"; a %s is needed here%s%s", field,
                      shown, typed, name, lead, list);
}

// copy without surrounding spaces; false when it is empty or too long to be a quantity
static bool trimmed(const char *text, char *out, size_t cap)
{
    text = text ? skip_spaces(text) : "";
    if (!ep_copy(out, cap, text)) {
        return false;
    }
    size_t len = 0;
    for (const char *p = out; *p;) {
        const char *q = skip_spaces(p);
        if (*q == '\0') {
            break;
        }
        uint32_t c;
        int n = ep_utf8_next(q, &c);
        p = q + (n > 0 ? n : 1);
        len = (size_t)(p - out);
    }
    out[len] = '\0';
    return len > 0;
}

ep_status ep_quantity_parse(const char *text, ep_dim dim, ep_unit assumed, const char *field,
                            double *si, ep_err *err)
{
    assert(ep_unit_dim(assumed) == dim);
    char shown[SHOWN], clean[96];
    ep_text_excerpt(text ? skip_spaces(text) : "", shown, sizeof shown);
    if (!trimmed(text, clean, sizeof clean)) {
        return refuse_number(NUMBER_NONE, dim, field, shown, err);
    }
    const char *p = clean;
    double value = 0.0;
    number_fault fault = read_number(&p, &value);
    if (fault != NUMBER_OK) {
        return refuse_number(fault, dim, field, shown, err);
    }
    p = skip_spaces(p);
    ep_unit unit = assumed;
    if (*p != '\0' && !ep_unit_find(dim, p, &unit)) {
        return refuse_unit(p, dim, field, shown, err);
    }
    if (unit == EP_U_YD_PER_LB && value <= 0.0) {
        return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" must be above 0 yd/lb", field, shown);
    }
    double result = ep_unit_to_si(unit, value);
    if (!isfinite(result)) {
        return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" is too large a number", field, shown);
    }
    if (dim == EP_DIM_TEMPERATURE && result < 0.0) {
        return ep_err_set(err, EP_E_PARSE, field, "%s: \"%s\" is below absolute zero (0 K)", field,
                          shown);
    }
    *si = result;
    return EP_OK;
}

const char *ep_quantity_format(double si, ep_unit unit, int digits, char *buf, size_t cap)
{
    char number[64], text[96];
    ep_number_format(ep_unit_from_si(unit, si), digits, number, sizeof number);
    const char *symbol = isfinite(si) ? ep_unit_symbol(unit) : "";
    snprintf(text, sizeof text, "%s%s%s", number, symbol[0] ? " " : "", symbol);
    ep_copy(buf, cap, text);
    return buf;
}

static ep_status refuse_range(double si, double lo, double hi, ep_unit shown, const char *field,
                              ep_err *err)
{
    char value[96], low[96], high[96];
    // enough digits that a value just outside never reads the same as the limit it misses
    for (int digits = 6; digits <= 17; digits += 11) {
        ep_quantity_format(si, shown, digits, value, sizeof value);
        ep_quantity_format(lo, shown, digits == 6 ? 6 : 12, low, sizeof low);
        ep_quantity_format(hi, shown, digits == 6 ? 6 : 12, high, sizeof high);
        if (strcmp(value, low) != 0 && strcmp(value, high) != 0) {
            break;
        }
    }
    // an inverse unit turns the range round
    bool turned = ep_unit_from_si(shown, lo) > ep_unit_from_si(shown, hi);
    return ep_err_set(err, EP_E_ARG, field, "%s: %s is outside %s to %s", field, value,
                      turned ? high : low, turned ? low : high);
}

ep_status ep_range_check(double si, double lo, double hi, ep_unit shown, const char *field,
                         ep_err *err)
{
    assert(lo <= hi);
    // the limit itself, typed in another unit, may miss it by a rounding error of the conversion
    double slack_lo = RANGE_SLACK * fabs(lo), slack_hi = RANGE_SLACK * fabs(hi);
    // written so that NaN fails; infinite limits do not let an infinite value through
    if (isfinite(si) && (si >= lo || lo - si <= slack_lo) && (si <= hi || si - hi <= slack_hi)) {
        return EP_OK;
    }
    return refuse_range(si, lo, hi, shown, field, err);
}
