// The table of units: kinds, symbols, conversion, look-up of what someone typed.
#include "base/units.h"

#include <assert.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/utf8.h"

typedef struct unit_row {
    ep_dim dim;
    const char *symbol;
    const char *aliases;  // separated by '|'
    double scale, offset;
} unit_row;

static const unit_row units[EP_U_COUNT_] = {
#define X(id, dim, symbol, aliases, scale, offset) {dim, symbol, aliases, scale, offset},
    EP_UNIT_LIST(X)
#undef X
};

static const char *const dim_names[EP_DIM_COUNT_] = {
    [EP_DIM_NONE] = "plain number",
    [EP_DIM_LENGTH] = "length",
    [EP_DIM_MASS] = "mass",
    [EP_DIM_VOLUME] = "volume",
    [EP_DIM_TEMPERATURE] = "temperature",
    [EP_DIM_TEMP_DIFF] = "temperature difference",
    [EP_DIM_TIME] = "time",
    [EP_DIM_FRACTION] = "share",
    [EP_DIM_LINEAR_DENSITY] = "linear density",
    [EP_DIM_DENSITY] = "density",
    [EP_DIM_SPECIFIC_ENERGY] = "specific energy",
    [EP_DIM_SPECIFIC_HEAT] = "specific heat",
    [EP_DIM_CONDUCTIVITY] = "heat conductivity",
    [EP_DIM_VISCOSITY] = "viscosity",
    [EP_DIM_SURFACE_TENSION] = "surface tension",
    [EP_DIM_PRESSURE] = "pressure",
    [EP_DIM_EXPANSION] = "thermal expansion",
};

static const unit_row *row_of(ep_unit unit)
{
    assert((int)unit >= 0 && unit < EP_U_COUNT_);
    return &units[unit];
}

ep_dim ep_unit_dim(ep_unit unit)
{
    return row_of(unit)->dim;
}

const char *ep_unit_symbol(ep_unit unit)
{
    return row_of(unit)->symbol;
}

const char *ep_dim_name(ep_dim dim)
{
    assert((int)dim >= 0 && dim < EP_DIM_COUNT_);
    return dim_names[dim];
}

// 1 / scale when it is a whole number (milli, centi, micro), else 0: 12.5 / 1000 is the double
// nearest 0.0125, 12.5 * 1e-3 is not, and a page should show the number that was typed
static double whole_inverse(double scale)
{
    double inverse = 1.0 / scale;
    return scale < 1.0 && inverse == (double)(long)inverse ? inverse : 0.0;
}

double ep_unit_to_si(ep_unit unit, double value)
{
    const unit_row *u = row_of(unit);
    if (unit == EP_U_YD_PER_LB) {
        return u->scale / value;
    }
    double inverse = whole_inverse(u->scale);
    return (inverse > 0.0 ? value / inverse : value * u->scale) + u->offset;
}

double ep_unit_from_si(ep_unit unit, double si)
{
    const unit_row *u = row_of(unit);
    if (unit == EP_U_YD_PER_LB) {
        return u->scale / si;
    }
    double inverse = whole_inverse(u->scale);
    return inverse > 0.0 ? (si - u->offset) * inverse : (si - u->offset) / u->scale;
}

// one spelling for the many that keyboards and pasted pages give: spaces, brackets and dots between
// letters go, look-alike signs become one sign, letters become lower case
static bool normalise(const char *s, size_t n, char *out, size_t cap)
{
    size_t len = 0;
    const char *end = s + n;
    while (s < end) {
        uint32_t c = 0;
        int width = ep_utf8_next(s, &c);
        if (width == 0) {
            return false;
        }
        const char *put = NULL;
        char one[5] = {0};
        switch (c) {
        case ' ':
        case '\t':
        case 0xA0:
        case 0x202F:
        case '(':
        case ')':
        case '.':
        case 0xB7:
            put = "";
            break;
        case 0xB5:
        case 0x3BC:
            put = "u";
            break;
        case 0xBA:
            put = "\xC2\xB0";
            break;
        case 0xB3:
            put = "3";
            break;
        case 0x2033:
        case 0x201D:
            put = "\"";
            break;
        default:
            memcpy(one, s, (size_t)width);
            if (c >= 'A' && c <= 'Z') {
                one[0] = (char)(c - 'A' + 'a');
            }
            put = one;
        }
        size_t add = strlen(put);
        if (len + add >= cap) {
            return false;
        }
        memcpy(out + len, put, add);
        len += add;
        s += width;
    }
    out[len] = '\0';
    return true;
}

static bool same_spelling(const char *name, size_t n, const char *wanted)
{
    char mine[32];
    return n > 0 && normalise(name, n, mine, sizeof mine) && strcmp(mine, wanted) == 0;
}

static bool row_has(const unit_row *u, const char *wanted)
{
    if (same_spelling(u->symbol, strlen(u->symbol), wanted)) {
        return true;
    }
    const char *p = u->aliases;
    while (*p) {
        size_t n = strcspn(p, "|");
        if (same_spelling(p, n, wanted)) {
            return true;
        }
        p += n + (p[n] == '|');
    }
    return false;
}

bool ep_unit_find(ep_dim dim, const char *text, ep_unit *out)
{
    char wanted[32];
    if (!text || !normalise(text, strlen(text), wanted, sizeof wanted) || wanted[0] == '\0') {
        return false;
    }
    for (int i = 0; i < EP_U_COUNT_; i++) {
        if (units[i].dim == dim && row_has(&units[i], wanted)) {
            *out = (ep_unit)i;
            return true;
        }
    }
    return false;
}

const char *ep_dim_units(ep_dim dim, char *buf, size_t cap)
{
    size_t len = 0;
    buf[0] = '\0';
    for (int i = 0; i < EP_U_COUNT_; i++) {
        if (units[i].dim != dim || units[i].symbol[0] == '\0') {
            continue;
        }
        int n = snprintf(buf + len, cap - len, "%s%s", len ? ", " : "", units[i].symbol);
        if (n < 0 || (size_t)n >= cap - len) {
            buf[len] = '\0';  // a list cut short is better than half a symbol
            break;
        }
        len += (size_t)n;
    }
    return buf;
}
