// Sentences made by the program speak metric ("the container gets 46 C"); here they are put into
// the units the reader asked for. A quantity is a number, or two with "to", "of" or a stroke
// between them, a blank and a unit's symbol.
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "cli/show.h"

typedef struct quantity {
    double value[2];
    int n;                // 1 or 2 numbers
    const char *between;  // one of BETWEEN, or ""
    const char *unit;     // as the door writes it
    size_t len;           // of the text it was read from
} quantity;

// longest first, for "g/h" begins with "g"
static const char *const UNIT[] = {"g/h", "mm", "ml", "kg", "C", "K", "g"};

static const char *const BETWEEN[] = {" to ", " of ", "/"};

static const char *read_between(const char *text)
{
    for (size_t i = 0; i < sizeof BETWEEN / sizeof *BETWEEN; i++) {
        if (strncmp(text, BETWEEN[i], strlen(BETWEEN[i])) == 0) {
            return BETWEEN[i];
        }
    }
    return "";
}

static size_t read_number(const char *text, double *value)
{
    size_t n = strspn(text, "0123456789");
    if (n > 0 && text[n] == '.' && isdigit((unsigned char)text[n + 1])) {
        n += 1 + strspn(text + n + 1, "0123456789");
    }
    *value = n > 0 ? strtod(text, NULL) : 0.0;
    return n;
}

// not "20 mm2", not "2 g/m", not "5 Candles"
static const char *read_unit(const char *text)
{
    for (size_t i = 0; i < sizeof UNIT / sizeof *UNIT; i++) {
        size_t n = strlen(UNIT[i]);
        unsigned char after = (unsigned char)text[strncmp(text, UNIT[i], n) == 0 ? n : 0];
        if (strncmp(text, UNIT[i], n) == 0 && !isalnum(after) && after != '/' && after < 0x80) {
            return UNIT[i];
        }
    }
    return NULL;
}

static bool read_quantity(const char *text, quantity *q)
{
    size_t at = read_number(text, &q->value[0]);
    if (at == 0) {
        return false;
    }
    q->n = 1;
    q->between = read_between(text + at);
    size_t second = 0;
    if (*q->between) {
        second = read_number(text + at + strlen(q->between), &q->value[1]);
    }
    if (second > 0) {
        q->n = 2;
        at += strlen(q->between) + second;
    }
    q->unit = text[at] == ' ' ? read_unit(text + at + 1) : NULL;
    q->len = q->unit ? at + 1 + strlen(q->unit) : 0;
    return q->unit != NULL;
}

// "121 C (250 F)" says it in both already: the length of what stands in brackets, or 0
static size_t in_both(const char *text, const quantity *q)
{
    double other;
    size_t n = strcmp(q->unit, "C") == 0 && strncmp(text, " (", 2) == 0
                   ? read_number(text + 2, &other)
                   : 0;
    return n > 0 && strncmp(text + 2 + n, " F)", 3) == 0 ? 2 + n + 3 : 0;
}

static void add_shown(ep_show *show, ep_text *out, const quantity *q)
{
    const char *unit = q->unit;
    for (int i = 0; i < q->n; i++) {
        char number[64];
        // a step of temperature has no nought of its own
        bool step = strcmp(q->unit, "K") == 0;
        unit = step ? ep_show_fixed(show, q->value[i] * 1.8, "F", 0, number, sizeof number)
                    : ep_show_fixed(show, q->value[i], q->unit, strcmp(q->unit, "g/h") == 0, number,
                                    sizeof number);
        ep_text_add(out, i > 0 ? q->between : "");
        ep_text_add(out, number);
    }
    ep_text_addf(out, " %s", unit);
}

// what stands in quotes was typed or named by a person: its length, quotes included, or 0
static size_t quoted(const char *text)
{
    static const char *const PAIR[][2] = {{"\xe2\x80\x9c", "\xe2\x80\x9d"}, {"\"", "\""}};
    for (size_t i = 0; i < sizeof PAIR / sizeof *PAIR; i++) {
        size_t open = strlen(PAIR[i][0]);
        const char *close =
            strncmp(text, PAIR[i][0], open) == 0 ? strstr(text + open, PAIR[i][1]) : NULL;
        if (close) {
            return (size_t)(close - text) + strlen(PAIR[i][1]);
        }
    }
    return 0;
}

void ep_show_say(ep_show *show, int indent, const char *first, const char *text)
{
    // both readings of a slip of the unit are meant as they stand
    if (!show->us || strstr(text, "did you mean")) {
        ep_show_wrap(show, indent, first, text);
        return;
    }
    ep_text out;
    ep_text_init(&out);
    bool inside = false;  // a word, where no number begins
    for (const char *at = text; *at;) {
        quantity q;
        if (!inside && read_quantity(at, &q)) {
            size_t both = in_both(at + q.len, &q);
            if (both > 0) {
                ep_text_add_n(&out, at, q.len + both);
            } else {
                add_shown(show, &out, &q);
            }
            at += q.len + both;
        } else if (quoted(at) > 0) {
            ep_text_add_n(&out, at, quoted(at));
            at += quoted(at);
            inside = false;
        } else {
            inside = isalnum((unsigned char)*at) || *at == '.';
            ep_text_add_n(&out, at++, 1);
        }
    }
    ep_show_wrap(show, indent, first, ep_text_str(&out));
    ep_text_clear(&out);
}
