// Words and numbers of the terminal: labels from keys, units, tones, paragraphs, bars.
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "base/utf8.h"
#include "cli/show.h"

int ep_show_columns(const char *text)
{
    int n = 0;
    uint32_t code = 0;
    for (int len; *text; text += len) {
        if (*text == '\033') {  // a colour sequence takes no room
            len = (int)strcspn(text, "m");
            len += text[len] == 'm';
            continue;
        }
        len = ep_utf8_next(text, &code);
        if (len == 0) {
            return n + (int)strlen(text);
        }
        n += !(code >= 0x300 && code < 0x370);  // combining marks take no room
    }
    return n;
}

// longest endings first, so that "_g_h" is not read as hours
static const struct {
    const char *ending, *unit;
} endings[] = {
    {"_yd_lb", "yd/lb"}, {"_g_h", "g/h"}, {"_g_m", "g/m"}, {"_pct", "%"}, {"_min", "min"},
    {"_mm", "mm"},       {"_ml", "ml"},   {"_kg", "kg"},   {"_C", "C"},   {"_W", "W"},
    {"_g", "g"},         {"_h", "h"},     {"_d", "d"},     {"_m", "m"},   {"_J", "J"},
};

const char *ep_show_label(const char *key, char *label, size_t cap)
{
    size_t n = strlen(key);
    const char *unit = "";
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++) {
        size_t e = strlen(endings[i].ending);
        if (n > e && strcmp(key + n - e, endings[i].ending) == 0) {
            unit = endings[i].unit;
            n -= e;
            break;
        }
    }
    snprintf(label, cap, "%.*s", (int)n, key);
    for (char *p = label; *p; p++) {
        if (*p == '_') {
            *p = ' ';
        }
    }
    return unit;
}

static const struct {
    const char *unit, *us;
    double scale, offset;
} us_units[] = {
    {"mm", "in", 1 / 25.4, 0.0},
    {"g", "oz", 1 / 28.349523125, 0.0},
    {"kg", "lb", 1 / 0.45359237, 0.0},
    {"ml", "fl oz", 1 / 29.5735295625, 0.0},
    {"C", "F", 1.8, 32.0},
    {"g/h", "oz/h", 1 / 28.349523125, 0.0},
};

// three or four figures are what a bench can use; nothing shown as exact that is not
static void format_number(double v, char *buf, size_t cap)
{
    double size = fabs(v);
    if (size < 1) {
        snprintf(buf, cap, "%.3g", v);
    } else {
        snprintf(buf, cap, "%.*f", size < 10 ? 2 : size < 10000 ? 1 : 0, v);
    }
    if (strchr(buf, '.') && !strchr(buf, 'e')) {
        size_t n = strlen(buf);
        while (buf[n - 1] == '0') {
            buf[--n] = '\0';
        }
        if (buf[n - 1] == '.') {
            buf[--n] = '\0';
        }
    }
    if (strcmp(buf, "-0") == 0) {
        snprintf(buf, cap, "0");
    }
}

// the value in the unit the reader wants, and that unit
static double to_shown(const ep_show *show, double value, const char **unit)
{
    for (size_t i = 0; show->us && i < sizeof us_units / sizeof us_units[0]; i++) {
        if (strcmp(*unit, us_units[i].unit) == 0) {
            *unit = us_units[i].us;
            return value * us_units[i].scale + us_units[i].offset;
        }
    }
    return value;
}

const char *ep_show_number(const ep_show *show, double value, const char *unit, char *buf,
                           size_t cap)
{
    double shown = to_shown(show, value, &unit);
    format_number(shown, buf, cap);
    return unit;
}

const char *ep_show_fixed(const ep_show *show, double value, const char *unit, int decimals,
                          char *buf, size_t cap)
{
    const char *shown_unit = unit;
    double shown = to_shown(show, value, &shown_unit);
    // an inch and an ounce are some twenty-five times as large as what they replace
    bool larger = strcmp(shown_unit, unit) != 0 && strcmp(shown_unit, "F") != 0;
    snprintf(buf, cap, "%.*f", larger ? decimals + 2 : decimals, shown);
    return shown_unit;
}

const char *ep_show_quantity(const ep_show *show, double value, const char *unit, char *buf,
                             size_t cap)
{
    char number[64];
    const char *in = ep_show_number(show, value, unit, number, sizeof number);
    bool degree = show->utf8 && (strcmp(in, "C") == 0 || strcmp(in, "F") == 0);
    snprintf(buf, cap, "%s%s%s%s", number, *in ? " " : "", degree ? "°" : "", in);
    return buf;
}

static bool is_time(const char *s)
{
    static const char form[] = "dddd-dd-ddTdd:dd:dd";
    for (size_t i = 0; form[i]; i++) {
        if (form[i] == 'd' ? s[i] < '0' || s[i] > '9' : s[i] != form[i]) {
            return false;
        }
    }
    return true;
}

// times are kept in UTC and read in the maker's own zone
static void local_time(const char *text, char *buf, size_t cap)
{
    ep_time_ms t = 0;
    ep_err err = {0};
    if (ep_time_parse(text, "time", &t, &err) != EP_OK) {
        snprintf(buf, cap, "%s", text);
        return;
    }
    time_t seconds = (time_t)(t / 1000);
    struct tm tm;
    localtime_r(&seconds, &tm);
    strftime(buf, cap, "%Y-%m-%d %H:%M", &tm);
}

const char *ep_show_scalar(const ep_show *show, const json_t *value, const char *unit, char *buf,
                           size_t cap)
{
    switch (json_typeof(value)) {
    case JSON_STRING:
        if (is_time(json_string_value(value))) {
            local_time(json_string_value(value), buf, cap);
        } else {
            snprintf(buf, cap, "%s", json_string_value(value));
        }
        break;
    case JSON_INTEGER:
    case JSON_REAL:
        ep_show_quantity(show, json_number_value(value), unit, buf, cap);
        break;
    case JSON_TRUE:
        snprintf(buf, cap, "yes");
        break;
    case JSON_FALSE:
        snprintf(buf, cap, "no");
        break;
    case JSON_NULL:
    case JSON_OBJECT:
    case JSON_ARRAY:
        snprintf(buf, cap, "-");
        break;
    }
    return buf;
}

const char *ep_show_toned(const ep_show *show, ep_tone tone, const char *text, char *buf,
                          size_t cap)
{
    static const char *const code[] = {[EP_TONE_PLAIN] = "",
                                       [EP_TONE_BOLD] = "\033[1m",
                                       [EP_TONE_FAINT] = "\033[2m",
                                       [EP_TONE_WARN] = "\033[33m",
                                       [EP_TONE_STOP] = "\033[1;31m"};
    bool on = show->colour && tone != EP_TONE_PLAIN;
    snprintf(buf, cap, "%s%s%s", on ? code[tone] : "", text, on ? "\033[0m" : "");
    return buf;
}

void ep_show_tone(ep_show *show, ep_tone tone, const char *text)
{
    char buf[512];
    ep_text_add(&show->out, ep_show_toned(show, tone, text, buf, sizeof buf));
}

void ep_show_heading(ep_show *show, const char *text)
{
    if (show->out.len > 0) {
        ep_text_add(&show->out, "\n");
    }
    ep_show_tone(show, EP_TONE_BOLD, text);
    ep_text_add(&show->out, "\n");
}

void ep_show_wrap(ep_show *show, int indent, const char *first, const char *text)
{
    ep_text_add(&show->out, first);
    int at = ep_show_columns(first);
    for (; at < indent; at++) {
        ep_text_add(&show->out, " ");
    }
    int start = at;
    while (*text) {
        size_t n = strcspn(text, " \n");
        char word[512];
        snprintf(word, sizeof word, "%.*s", (int)n, text);
        int w = ep_show_columns(word);
        if (at > start && at + 1 + w > show->width) {
            ep_text_addf(&show->out, "\n%*s", indent, "");
            at = start = indent;
        } else if (at > start) {
            ep_text_add(&show->out, " ");
            at++;
        }
        ep_text_add_n(&show->out, text, n);
        at += w;
        text += n;
        while (*text == ' ' || *text == '\n') {
            text++;
        }
    }
    ep_text_add(&show->out, "\n");
}

void ep_show_bar(ep_show *show, double share, int cells)
{
    double clamped = share < 0 ? 0 : share > 1 ? 1 : share;
    int full = (int)lround(clamped * cells);
    for (int i = 0; i < cells; i++) {
        const char *on = show->utf8 ? "█" : "#";
        const char *off = show->utf8 ? "·" : ".";
        ep_text_add(&show->out, i < full ? on : off);
    }
}

bool ep_show_get(const json_t *object, const char *key, double *out)
{
    const json_t *v = json_object_get(object, key);
    if (!json_is_number(v)) {
        return false;
    }
    *out = json_number_value(v);
    return true;
}

const char *ep_show_get_text(const json_t *object, const char *key)
{
    const char *s = json_string_value(json_object_get(object, key));
    return s ? s : "";
}
