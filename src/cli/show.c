// The generic renderer: objects as lines of "label  value", arrays of objects as tables.
// Units come from the keys' endings, so a new field needs no work here.
#include "cli/show.h"

#include <stdio.h>
#include <string.h>

#include "cli/table.h"

#define SCALAR_MAX 2048

static bool is_empty(json_t *v)
{
    return json_is_null(v) || (json_is_string(v) && json_string_length(v) == 0) ||
           (json_is_array(v) && json_array_size(v) == 0) ||
           (json_is_object(v) && json_object_size(v) == 0);
}

// {id, name} and the like are shown by their name
static const char *name_of(json_t *object)
{
    const char *name = json_string_value(json_object_get(object, "name"));
    return name && json_object_size(object) <= 3 ? name : NULL;
}

static bool is_scalars(json_t *array)
{
    size_t i = 0;
    json_t *v = NULL;
    json_array_foreach(array, i, v)
    {
        if (json_is_object(v) || json_is_array(v)) {
            return false;
        }
    }
    return true;
}

static bool is_texts(json_t *array)
{
    return json_array_size(array) > 0 && json_is_string(json_array_get(array, 0));
}

// "3, 4, 5", or how many when there are too many to read
static void join(const ep_show *show, json_t *array, char *buf, size_t cap)
{
    size_t len = 0;
    buf[0] = '\0';
    if (json_array_size(array) > 12 || !is_scalars(array)) {
        snprintf(buf, cap, "%zu values", json_array_size(array));
        return;
    }
    for (size_t i = 0; i < json_array_size(array) && len + 1 < cap; i++) {
        char item[256];
        ep_show_scalar(show, json_array_get(array, i), "", item, sizeof item);
        int n = snprintf(buf + len, cap - len, "%s%s", i ? ", " : "", item);
        len += n > 0 ? (size_t)n : 0;
    }
}

static void cell_text(const ep_show *show, json_t *v, const char *unit, char *buf, size_t cap)
{
    if (!v) {
        snprintf(buf, cap, "-");
    } else if (json_is_array(v)) {
        join(show, v, buf, cap);
    } else if (json_is_object(v)) {
        const char *name = name_of(v);
        snprintf(buf, cap, "%s", name ? name : "...");
    } else if (json_is_number(v)) {
        ep_show_number(show, json_number_value(v), unit, buf, cap);
    } else {
        ep_show_scalar(show, v, unit, buf, cap);
    }
}

// --- tables ---

typedef struct column {
    const char *key;
    bool right;
} column;

static bool is_id_key(const char *key)
{
    size_t n = strlen(key);
    return strcmp(key, "id") == 0 || (n > 3 && strcmp(key + n - 3, "_id") == 0);
}

// a column is worth its room when some row says something in it
static bool is_told(json_t *rows, const char *key)
{
    size_t i = 0;
    json_t *row = NULL;
    json_array_foreach(rows, i, row)
    {
        json_t *v = json_object_get(row, key);
        bool unnamed = json_is_object(v) && !name_of(v);
        bool nested = json_is_array(v) && !is_scalars(v);
        if (v && !is_empty(v) && !json_is_false(v) && !unnamed && !nested) {
            return true;
        }
    }
    return false;
}

static bool is_number_column(json_t *rows, const char *key)
{
    size_t i = 0;
    json_t *row = NULL;
    bool number = false;
    json_array_foreach(rows, i, row)
    {
        json_t *v = json_object_get(row, key);
        if (json_is_number(v)) {
            number = true;
        } else if (v && !json_is_null(v)) {
            return false;
        }
    }
    return number;
}

// "how" says it shorter than "how_text", and explanations have their place elsewhere
static bool is_wordy(json_t *first, const char *key)
{
    static const char ending[] = "_text";
    size_t n = strlen(key);
    size_t e = sizeof ending - 1;
    if (strcmp(key, "help") == 0) {
        return true;
    }
    if (n <= e || n - e >= 64 || strcmp(key + n - e, ending) != 0) {
        return false;
    }
    char shorter[64];
    snprintf(shorter, sizeof shorter, "%.*s", (int)(n - e), key);
    return json_object_get(first, shorter) != NULL;
}

// ids are for programs; people have names and codes, and ids where there is neither
static bool is_wanted(json_t *rows, json_t *first, const char *key)
{
    bool named = json_object_get(first, "name") || json_object_get(first, "code") ||
                 json_object_get(first, "label") || json_object_get(first, "number");
    return is_told(rows, key) && !(is_id_key(key) && (named || strcmp(key, "id") != 0)) &&
           strcmp(key, "cautions") != 0 && !is_wordy(first, key);
}

// what a bench reads first of the things it reads most; known by a key only they have
static const struct {
    const char *marker, *column[10];
} shapes[] = {
    {"wax_text",
     {"name", "state", "container", "wax_text", "series_name", "size_name", "revision"}},
    {"cure_burn_at",
     {"code", "state", "size_name", "recipe_name", "left_pct", "sessions", "cure_left_h",
      "ready_at"}},
    {"due_minutes", {"lit_at", "open", "minute", "id", "planned_h", "room_temp_C"}},
    {"rate_g_h",
     {"code", "size_name", "recipe_name", "number", "burned_g", "rate_g_h", "wax_left_pct",
      "before_cure", "reason"}},
    {"corrected_by", {"code", "label", "value", "unit", "minute", "at", "corrected_by", "note"}},
};

static const char *const *shape_of(const json_t *first)
{
    // a pour carries its candles; it is told apart by them
    if (json_is_array(json_object_get(first, "candles")) && json_object_get(first, "planned")) {
        static const char *const pour[] = {"poured_at", "recipe_name", "revision", "id", NULL};
        return pour;
    }
    for (size_t i = 0; i < sizeof shapes / sizeof shapes[0]; i++) {
        if (json_object_get(first, shapes[i].marker)) {
            return shapes[i].column;
        }
    }
    return NULL;
}

static column make_column(json_t *rows, const char *key)
{
    // an id that was cut would be of no use: it stands whole, like a number
    return (column){key, is_id_key(key) || is_number_column(rows, key)};
}

static int choose_columns(json_t *rows, column *out)
{
    int n = 0;
    json_t *first = json_array_get(rows, 0);
    const char *const *shape = shape_of(first);
    for (; shape && *shape; shape++) {
        if (is_told(rows, *shape)) {
            out[n++] = make_column(rows, *shape);
        }
    }
    if (n > 0) {
        return n;
    }
    // what the row is called comes first
    static const char *const lead[] = {"code", "name", "label", "key", NULL};
    for (const char *const *k = lead; *k; k++) {
        if (json_object_get(first, *k) && is_told(rows, *k)) {
            out[n++] = (column){*k, false};
        }
    }
    const char *key = NULL;
    json_t *value = NULL;
    json_object_foreach(first, key, value)
    {
        bool taken = false;
        for (int i = 0; i < n; i++) {
            taken = taken || strcmp(out[i].key, key) == 0;
        }
        if (!taken && n < EP_TABLE_COLUMNS_MAX && is_wanted(rows, first, key)) {
            out[n++] = make_column(rows, key);
        }
    }
    return n;
}

static void head_text(const ep_show *show, const char *key, char *buf, size_t cap)
{
    char label[128], ignored[64];
    const char *unit = ep_show_label(key, label, sizeof label);
    unit = ep_show_number(show, 0, unit, ignored, sizeof ignored);
    snprintf(buf, cap, "%s%s%s", label, *unit ? ", " : "", unit);
}

void ep_show_rows(ep_show *show, json_t *array, int indent)
{
    column cols[EP_TABLE_COLUMNS_MAX];
    int n = choose_columns(array, cols);
    ep_table t;
    ep_table_init(&t);
    char text[SCALAR_MAX], label[128];
    for (int i = 0; i < n; i++) {
        head_text(show, cols[i].key, text, sizeof text);
        ep_table_column(&t, text, cols[i].right);
    }
    size_t r = 0;
    json_t *row = NULL;
    json_array_foreach(array, r, row)
    {
        for (int i = 0; i < n; i++) {
            const char *unit = ep_show_label(cols[i].key, label, sizeof label);
            cell_text(show, json_object_get(row, cols[i].key), unit, text, sizeof text);
            ep_table_cell(&t, text);
        }
    }
    ep_table_print(&t, show, indent);
    ep_table_clear(&t);
}

// --- objects ---

static bool is_list_key(const char *key)
{
    return strcmp(key, "cautions") == 0 || strcmp(key, "warnings") == 0;
}

void ep_show_list(ep_show *show, const char *heading, json_t *array)
{
    if (json_array_size(array) == 0) {
        return;
    }
    ep_show_heading(show, heading);
    size_t i = 0;
    json_t *v = NULL;
    json_array_foreach(array, i, v)
    {
        ep_show_say(show, 2, show->utf8 ? "· " : "- ",
                    json_is_string(v) ? json_string_value(v) : "");
    }
}

static int widest_label(json_t *object)
{
    int w = 0;
    const char *key = NULL;
    json_t *v = NULL;
    char label[128];
    json_object_foreach(object, key, v)
    {
        ep_show_label(key, label, sizeof label);
        int n = ep_show_columns(label);
        w = n > w ? n : w;
    }
    return w < 28 ? w : 28;
}

static bool is_line(json_t *v)
{
    if (json_is_object(v)) {
        return name_of(v) != NULL;
    }
    return !json_is_array(v) || is_scalars(v);
}

static void show_line(ep_show *show, const char *key, json_t *v, int indent, int label_width)
{
    char label[128], text[SCALAR_MAX], first[192];
    const char *unit = ep_show_label(key, label, sizeof label);
    if (json_is_object(v) || json_is_array(v)) {
        cell_text(show, v, unit, text, sizeof text);
    } else {
        ep_show_scalar(show, v, unit, text, sizeof text);
    }
    snprintf(first, sizeof first, "%*s%-*s  ", indent, "", label_width, label);
    // what a person typed is left alone; sentences have keys of their own
    bool sentence = strcmp(key, "text") == 0 || strcmp(key, "sentence") == 0;
    (sentence ? ep_show_say : ep_show_wrap)(show, indent + label_width + 2, first, text);
}

// {"solidus": {...}, "liquidus": {...}}: things of one kind by their key
static json_t *rows_of_map(json_t *map)
{
    const char *key = NULL;
    json_t *v = NULL;
    json_object_foreach(map, key, v)
    {
        if (!json_is_object(v) || json_object_size(v) < 2) {
            return NULL;
        }
    }
    json_t *rows = json_object_size(map) > 1 ? json_array() : NULL;
    json_object_foreach(map, key, v)
    {
        json_t *row = json_pack("{s:s}", "key", key);
        json_object_update(row, v);
        json_array_append_new(rows, row);
    }
    return rows;
}

static void show_map(ep_show *show, json_t *map, int indent)
{
    json_t *rows = rows_of_map(map);
    if (rows) {
        ep_show_rows(show, rows, indent);
    } else {
        ep_show_object(show, map, indent);
    }
    json_decref(rows);
}

static void show_part(ep_show *show, const char *key, json_t *v, int indent)
{
    if (strcmp(key, "verdict") == 0) {
        ep_show_verdict(show, v);
        return;
    }
    if (strcmp(key, "findings") == 0 || strcmp(key, "stop") == 0) {
        ep_show_findings(show, v);
        return;
    }
    char label[128];
    ep_show_label(key, label, sizeof label);
    ep_show_heading(show, label);
    if (json_is_object(v)) {
        show_map(show, v, indent + 2);
    } else if (json_is_object(json_array_get(v, 0))) {
        ep_show_rows(show, v, indent + 2);
    } else {
        char text[64];
        snprintf(text, sizeof text, "%zu values", json_array_size(v));
        ep_show_wrap(show, indent + 2, "  ", text);
    }
}

void ep_show_object(ep_show *show, json_t *object, int indent)
{
    int w = widest_label(object);
    const char *key = NULL;
    json_t *v = NULL;
    // short facts first, then what has parts of its own, cautions last
    json_object_foreach(object, key, v)
    {
        if (is_line(v) && !is_list_key(key) && !is_empty(v)) {
            show_line(show, key, v, indent, w);
        }
    }
    json_object_foreach(object, key, v)
    {
        if (!is_line(v) && !is_list_key(key) && !is_empty(v)) {
            show_part(show, key, v, indent);
        }
    }
    ep_show_list(show, "Note", json_object_get(object, "warnings"));
    json_t *cautions = json_object_get(object, "cautions");
    ep_show_list(show, "Cautions", cautions);
    if (json_is_object(cautions)) {
        // by subject: {"melting": [...], "burning": [...]}
        json_object_foreach(cautions, key, v)
        {
            char heading[96];
            snprintf(heading, sizeof heading, "Cautions: %s", key);
            ep_show_list(show, heading, v);
        }
    }
}

// an answer that is one list: {"recipes": [...]}, or a first page of it: with "more"
static json_t *only_list(json_t *answer, const char **key)
{
    const char *k = NULL;
    json_t *v = NULL;
    size_t others = json_object_size(answer) - (json_object_get(answer, "more") != NULL);
    json_object_foreach(answer, k, v)
    {
        if (others == 1 && json_is_array(v) && !is_texts(v)) {
            *key = k;
            return v;
        }
    }
    return NULL;
}

typedef void (*renderer)(ep_show *show, json_t *answer);

static renderer special_of(const ep_use_case *c)
{
    static const struct {
        const char *group, *verb;
        renderer fn;
    } table[] = {
        {"predict", "", ep_show_predict},       {"odds", "", ep_show_odds},
        {"candidates", "", ep_show_candidates}, {"plan", "", ep_show_plan},
        {"judge", "", ep_show_judge},           {"today", "", ep_show_today},
        {"recipe", "weigh", ep_show_weighout},  {"burn", "readings", ep_show_readings},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (strcmp(c->group, table[i].group) == 0 && strcmp(c->verb, table[i].verb) == 0) {
            return table[i].fn;
        }
    }
    return NULL;
}

void ep_show_answer(ep_show *show, const ep_use_case *c, json_t *answer)
{
    renderer special = special_of(c);
    const char *key = "";
    json_t *list = only_list(answer, &key);
    if (special) {
        special(show, answer);
    } else if (list && json_array_size(list) == 0) {
        char label[128];
        ep_show_label(key, label, sizeof label);
        ep_text_addf(&show->out, "no %s\n", label);
    } else if (list && json_is_object(json_array_get(list, 0))) {
        ep_show_rows(show, list, 0);
        if (json_is_true(json_object_get(answer, "more"))) {
            ep_text_add(&show->out, "(there are more: --before and --limit go on from here)\n");
        }
    } else {
        ep_show_object(show, answer, 0);
    }
}

// --- findings a script must hear about ---

static bool is_stop_verdict(json_t *verdict)
{
    return json_is_true(json_object_get(verdict, "stop_now")) &&
           !json_is_true(json_object_get(verdict, "simulated"));
}

bool ep_show_has_finding(const json_t *answer)
{
    json_t *water = json_object_get(answer, "water");
    if (json_is_true(json_object_get(water, "mismatch")) ||
        json_array_size(json_object_get(answer, "stop")) > 0 ||
        json_integer_value(json_object_get(answer, "wrong")) > 0 ||
        is_stop_verdict(json_object_get(answer, "verdict"))) {
        return true;
    }
    size_t i = 0;
    json_t *wick = NULL;
    json_array_foreach(json_object_get(answer, "wicks"), i, wick)
    {
        if (is_stop_verdict(json_object_get(wick, "verdict"))) {
            return true;
        }
    }
    return false;
}
