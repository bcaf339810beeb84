// The bench: what is lit and due today, what to weigh, and what the readings say of a wick.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/show.h"
#include "cli/table.h"

// --- verdicts ---

static ep_tone tone_of(const char *weight)
{
    if (strcmp(weight, "stop") == 0) {
        return EP_TONE_STOP;
    }
    return strcmp(weight, "note") == 0 ? EP_TONE_FAINT : EP_TONE_WARN;
}

static const char *word_of(const char *weight)
{
    static const char *const words[][2] = {
        {"stop", "STOP NOW"}, {"against", "against"}, {"warn", "warning"}, {"note", "note"}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(weight, words[i][0]) == 0) {
            return words[i][1];
        }
    }
    return weight;
}

void ep_show_findings(ep_show *show, json_t *findings)
{
    size_t i = 0;
    json_t *f = NULL;
    json_array_foreach(findings, i, f)
    {
        const char *weight = ep_show_get_text(f, "weight");
        const char *candle = ep_show_get_text(f, "candle");
        double session = 0;
        char where[96] = "", tag[64], toned[96], first[128], text[512];
        bool told = strncmp(ep_show_get_text(f, "text"), candle, strlen(candle)) == 0;
        if (told) {
            where[0] = '\0';  // the sentence begins with the candle itself
        } else if (ep_show_get(f, "session", &session)) {
            snprintf(where, sizeof where, "%s, session %.0f: ", candle, session);
        } else {
            snprintf(where, sizeof where, "%s: ", candle);
        }
        snprintf(tag, sizeof tag, "%-8s %-4s", word_of(weight), ep_show_get_text(f, "requirement"));
        snprintf(first, sizeof first, "  %s ",
                 ep_show_toned(show, tone_of(weight), tag, toned, sizeof toned));
        snprintf(text, sizeof text, "%s%s", where, ep_show_get_text(f, "text"));
        ep_show_say(show, 16, first, text);
    }
}

static void show_proof(ep_show *show, json_t *verdict)
{
    double right = 0;
    double wrong = 0;
    double bound = 0;
    ep_show_get(verdict, "candles_right", &right);
    ep_show_get(verdict, "candles_wrong", &wrong);
    const char *proof = ep_show_get_text(verdict, "proof");
    if (*proof) {
        ep_show_say(show, 0, "", proof);
    } else if (ep_show_get(verdict, "failure_bound_pct", &bound)) {
        ep_text_addf(&show->out,
                     "%.0f right, %.0f wrong: up to %.0f %% of such candles could still fail\n",
                     right, wrong, bound);
    }
}

void ep_show_verdict(ep_show *show, json_t *verdict)
{
    bool stop = json_is_true(json_object_get(verdict, "stop_now"));
    if (stop) {
        ep_show_tone(show, EP_TONE_STOP, "STOP NOW: put the candle out and do not light it again.");
        ep_text_add(&show->out, "\n");
    }
    const char *text = ep_show_get_text(verdict, "kind_text");
    ep_show_tone(show, EP_TONE_BOLD, *text ? text : ep_show_get_text(verdict, "kind"));
    ep_text_add(&show->out, "\n");
    ep_show_findings(show, json_object_get(verdict, "findings"));
    size_t i = 0;
    json_t *missing = NULL;
    json_array_foreach(json_object_get(verdict, "missing"), i, missing)
    {
        if (json_is_string(missing)) {
            ep_show_say(show, 11, "  missing  ", json_string_value(missing));
        }
    }
    if (*ep_show_get_text(verdict, "next_move")) {
        ep_show_say(show, 11, "  next     ", ep_show_get_text(verdict, "next_move"));
    }
    show_proof(show, verdict);
}

void ep_show_judge(ep_show *show, json_t *answer)
{
    size_t i = 0;
    json_t *wick = NULL;
    json_t *wicks = json_object_get(answer, "wicks");
    json_array_foreach(wicks, i, wick)
    {
        char text[512];
        int n = snprintf(text, sizeof text, "%s", ep_show_get_text(wick, "size_name"));
        size_t k = 0;
        json_t *code = NULL;
        json_array_foreach(json_object_get(wick, "candles"), k, code)
        {
            if (json_is_string(code) && n > 0 && (size_t)n < sizeof text) {
                n += snprintf(text + n, sizeof text - (size_t)n, "%s%s", k ? ", " : ": ",
                              json_string_value(code));
            }
        }
        ep_show_heading(show, text);
        ep_show_verdict(show, json_object_get(wick, "verdict"));
    }
    if (*ep_show_get_text(answer, "text")) {
        ep_text_add(&show->out, json_array_size(wicks) > 0 ? "\n" : "");
        ep_show_say(show, 0, "", ep_show_get_text(answer, "text"));
    }
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}

// --- readings ---

// what says otherwise of one moment, and the command that keeps one of them
static void show_conflict(ep_show *show, json_t *conflict)
{
    size_t i = 0;
    json_t *one = NULL;
    ep_show_say(show, 2, "  ", ep_show_get_text(conflict, "text"));
    json_array_foreach(json_object_get(conflict, "readings"), i, one)
    {
        char line[160];
        snprintf(line, sizeof line, "to keep %s: evenpool burn keep %s",
                 ep_show_get_text(one, "said"), ep_show_get_text(one, "id"));
        ep_show_say(show, 4, "    ", line);
    }
}

void ep_show_readings(ep_show *show, json_t *answer)
{
    json_t *rows = json_object_get(answer, "readings"), *conflict = NULL;
    json_t *conflicts = json_object_get(answer, "conflicts");
    size_t i = 0;
    if (json_array_size(rows) == 0) {
        ep_text_add(&show->out, "no readings\n");
        return;
    }
    ep_show_rows(show, rows, 0);
    if (json_array_size(conflicts) > 0) {
        ep_show_heading(show, "Conflicts");
    }
    json_array_foreach(conflicts, i, conflict)
    {
        show_conflict(show, conflict);
    }
}

// --- today ---

static void show_due(ep_show *show, json_t *due)
{
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "candle", false);
    ep_table_column(&t, "minute", true);
    ep_table_column(&t, "due", false);
    ep_table_column(&t, "read", false);
    size_t i = 0;
    json_t *row = NULL;
    json_array_foreach(due, i, row)
    {
        char text[256] = "";
        double over = 0;
        double minute = 0;
        ep_show_get(row, "minute", &minute);
        ep_table_cell(&t, ep_show_get_text(row, "code"));
        snprintf(text, sizeof text, "%.0f", minute);
        ep_table_cell(&t, text);
        if (ep_show_get(row, "overdue_min", &over) && over > 0) {
            snprintf(text, sizeof text, "%.0f min late", over);
        } else if (json_object_get(row, "due_at")) {
            ep_show_scalar(show, json_object_get(row, "due_at"), "", text, sizeof text);
        }
        ep_table_cell(&t, text);
        text[0] = '\0';
        size_t k = 0;
        json_t *kind = NULL;
        size_t len = 0;
        json_array_foreach(json_object_get(row, "kinds"), k, kind)
        {
            const char *key =
                json_is_string(kind) ? json_string_value(kind) : ep_show_get_text(kind, "label");
            int n = snprintf(text + len, sizeof text - len, "%s%s", k ? ", " : "", key);
            len = n > 0 && len + (size_t)n < sizeof text ? len + (size_t)n : len;
        }
        ep_table_cell(&t, text);
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
}

static void show_lit(ep_show *show, json_t *sessions)
{
    size_t i = 0;
    json_t *s = NULL;
    json_array_foreach(sessions, i, s)
    {
        char planned[64] = "", line[256];
        double minute = 0;
        double h = 0;
        ep_show_get(s, "minute", &minute);
        if (ep_show_get(s, "planned_h", &h)) {
            snprintf(planned, sizeof planned, " of %.0f", h * 60);
        }
        snprintf(line, sizeof line, "minute %.0f%s, session %s", minute, planned,
                 ep_show_get_text(s, "id"));
        ep_show_wrap(show, 2, "", line);
        ep_show_rows(show, json_object_get(s, "candles"), 2);
    }
}

void ep_show_today(ep_show *show, json_t *answer)
{
    static const struct {
        const char *key, *heading;
        void (*fn)(ep_show *show, json_t *rows);
    } parts[] = {
        {"lit", "Lit now", show_lit},
        {"due", "Readings due", show_due},
        {"ready", "Cured and ready to burn", NULL},
        {"resting", "Resting", NULL},
        {"curing", "Curing", NULL},
        {"to_pour", "To pour", NULL},
    };
    bool any = false;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        json_t *rows = json_object_get(answer, parts[i].key);
        if (json_array_size(rows) == 0) {
            continue;
        }
        any = true;
        ep_show_heading(show, parts[i].heading);
        if (parts[i].fn) {
            parts[i].fn(show, rows);
        } else {
            ep_show_rows(show, rows, 0);
        }
    }
    if (!any) {
        ep_text_add(&show->out, "nothing lit, due or curing\n");
    }
    if (json_array_size(json_object_get(answer, "lit")) > 0) {
        ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
    }
}

// --- weigh-out ---

// as many decimals as the scale shows: 0.5 g -> 1, 0.01 g -> 2
static int decimals_of(double resolution_g)
{
    int n = 0;
    while (n < 4 && resolution_g > 0 && fabs(resolution_g - round(resolution_g)) > 1e-6) {
        resolution_g *= 10;
        n++;
    }
    return n;
}

static void mass_text(const ep_show *show, double mass_g, int decimals, char *buf, size_t cap)
{
    if (show->us) {
        ep_show_number(show, mass_g, "g", buf, cap);
    } else {
        snprintf(buf, cap, "%.*f", decimals, mass_g);
    }
}

static void show_ends(ep_show *show, json_t *answer)
{
    static const struct {
        const char *label, *key, *unit;
    } lines[] = {
        {"load of wax", "load_of_wax_pct", "%"},
        {"load of total", "load_of_total_pct", "%"},
        {"one candle", "fill_mass_g", "g"},
        {"loss allowed", "loss_pct", "%"},
        {"stays in the pot", "residue_g", "g"},
        {"rounding moves the load by", "rounding_pct", "%"},
        {"add scent at", "add_C", "C"},
        {"pour at", "pour_C", "C"},
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        char text[64];
        double v = 0;
        if (ep_show_get(answer, lines[i].key, &v)) {
            ep_show_quantity(show, v, lines[i].unit, text, sizeof text);
            ep_text_addf(&show->out, "%-27s%s\n", lines[i].label, text);
        }
    }
}

void ep_show_weighout(ep_show *show, json_t *answer)
{
    char text[128];
    double candles = 0;
    double resolution_g = 0.1;
    double total_g = 0;
    ep_show_get(answer, "candles", &candles);
    ep_show_get(answer, "resolution_g", &resolution_g);
    int decimals = decimals_of(resolution_g);
    snprintf(text, sizeof text, "Weigh out for %.0f candle%s", candles, candles == 1 ? "" : "s");
    ep_show_heading(show, text);
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "what", false);
    ep_table_column(&t, "name", false);
    ep_table_column(&t, show->us ? "oz" : "g", true);
    size_t i = 0;
    json_t *line = NULL;
    json_array_foreach(json_object_get(answer, "lines"), i, line)
    {
        double g = 0;
        ep_show_get(line, "mass_g", &g);
        ep_table_cell(&t, ep_show_get_text(line, "what"));
        ep_table_cell(&t, ep_show_get_text(line, "name"));
        mass_text(show, g, decimals, text, sizeof text);
        ep_table_cell(&t, text);
    }
    if (ep_show_get(answer, "total_g", &total_g)) {
        ep_table_cell(&t, "total");
        ep_table_cell(&t, "");
        mass_text(show, total_g, decimals, text, sizeof text);
        ep_table_cell(&t, text);
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
    ep_text_add(&show->out, "\n");
    show_ends(show, answer);
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}
