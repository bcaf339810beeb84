// How a wick is foreseen to burn: one run told by sessions, and the odds of each size side by side.
#include <stdio.h>
#include <string.h>

#include "cli/show.h"
#include "cli/table.h"

static void cell_number(ep_show *show, ep_table *t, json_t *row, const char *key, const char *unit,
                        int decimals)
{
    char text[64] = "-";
    double v = 0;
    if (ep_show_get(row, key, &v)) {
        ep_show_fixed(show, v, unit, decimals, text, sizeof text);
    }
    ep_table_cell(t, text);
}

static void head_unit(ep_show *show, ep_table *t, const char *label, const char *unit)
{
    char ignored[64], head[96];
    const char *shown = ep_show_number(show, 0, unit, ignored, sizeof ignored);
    snprintf(head, sizeof head, "%s%s%s", label, *shown ? " " : "", shown);
    ep_table_column(t, head, true);
}

static const struct {
    const char *head, *key, *unit;
    int decimals;
} session_columns[] = {
    {"burn", "number", "", 0},          {"rate", "rate_g_h", "g/h", 2},
    {"reach", "reach_pct", "%", 0},     {"at wall", "wall_reached_min", "min", 0},
    {"depth", "depth_mid_mm", "mm", 1}, {"flame", "flame_max_mm", "mm", 1},
    {"wall", "wall_max_C", "C", 0},     {"left", "left_pct", "%", 0},
};

static void show_sessions(ep_show *show, json_t *sessions)
{
    size_t n = sizeof session_columns / sizeof session_columns[0];
    ep_table t;
    ep_table_init(&t);
    for (size_t i = 0; i < n; i++) {
        head_unit(show, &t, session_columns[i].head, session_columns[i].unit);
    }
    size_t r = 0;
    json_t *row = NULL;
    bool any_out = false;
    json_array_foreach(sessions, r, row)
    {
        any_out = any_out || *ep_show_get_text(row, "out");
    }
    if (any_out) {
        ep_table_column(&t, "out", false);
    }
    json_array_foreach(sessions, r, row)
    {
        for (size_t i = 0; i < n; i++) {
            cell_number(show, &t, row, session_columns[i].key, session_columns[i].unit,
                        session_columns[i].decimals);
        }
        if (any_out) {
            ep_table_cell(&t, ep_show_get_text(row, "out"));
        }
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
}

static void show_head(ep_show *show, json_t *answer)
{
    json_t *wick = json_object_get(answer, "wick");
    char text[256], density[64] = "";
    double v = 0;
    if (ep_show_get(wick, "linear_density_g_m", &v)) {
        ep_show_quantity(show, v, "g/m", density, sizeof density);
    }
    const char *series = ep_show_get_text(wick, "series_name");
    const char *size = ep_show_get_text(wick, "size_name");
    // sizes are often named after their series
    bool told = strncmp(size, series, strlen(series)) == 0;
    double count = 1;
    ep_show_get(wick, "count", &count);
    snprintf(text, sizeof text, "%s%s%s%s%s%s", told ? "" : series, told ? "" : " ", size,
             *density ? ", " : "", density, count > 1 ? ", more than one wick" : "");
    ep_show_heading(show, text);
}

// where every figure of a forecast comes from, so that it can be had again
static void show_origin(ep_show *show, json_t *answer)
{
    json_t *made_of = json_object_get(answer, "made_of");
    if (*ep_show_get_text(made_of, "text")) {
        ep_text_add(&show->out, "\n");
        ep_show_say(show, 0, "", ep_show_get_text(made_of, "text"));
    }
    double members = 0;
    double seed = 0;
    double seconds = 0;
    ep_show_get(answer, "members", &members);
    ep_show_get(answer, "seed", &seed);
    char text[256];
    snprintf(text, sizeof text, "Computed: engine %s, tables %s, seed %.0f, %.0f members",
             ep_show_get_text(answer, "engine"), ep_show_get_text(answer, "tables"), seed, members);
    ep_text_add(&show->out, "\n");
    ep_show_tone(show, EP_TONE_FAINT, text);
    if (ep_show_get(answer, "seconds", &seconds)) {
        ep_text_addf(&show->out, ", %.2f s", seconds);
    }
    ep_text_add(&show->out, "\n");
}

// The burn told of is the last whole one of the nominal candle: later ones are reached by few
// members.
static void show_intervals(ep_show *show, json_t *intervals, size_t sessions)
{
    if (json_object_size(intervals) == 0 || sessions == 0) {
        return;
    }
    size_t told = sessions > 1 ? sessions - 2 : 0;
    char text[96];
    snprintf(text, sizeof text, "Nine candles in ten, in burn %zu", told + 1);
    ep_show_heading(show, text);
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "", false);
    ep_table_column(&t, "low", true);
    ep_table_column(&t, "middle", true);
    ep_table_column(&t, "high", true);
    const char *key = NULL;
    json_t *list = NULL;
    json_object_foreach(intervals, key, list)
    {
        json_t *row = json_array_get(list, told);
        char label[64], ignored[64], head[160];
        const char *unit = ep_show_label(key, label, sizeof label);
        const char *shown = ep_show_number(show, 0, unit, ignored, sizeof ignored);
        snprintf(head, sizeof head, "%s, %s", label, shown);
        ep_table_cell(&t, head);
        cell_number(show, &t, row, "p05", unit, 1);
        cell_number(show, &t, row, "p50", unit, 1);
        cell_number(show, &t, row, "p95", unit, 1);
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
}

void ep_show_predict(ep_show *show, json_t *answer)
{
    show_head(show, answer);
    json_t *summary = json_object_get(answer, "summary");
    ep_show_say(show, 0, "", ep_show_get_text(summary, "text"));
    ep_text_add(&show->out, "\n");
    show_sessions(show, json_object_get(answer, "sessions"));
    json_t *heat = json_object_get(answer, "heat");
    if (*ep_show_get_text(heat, "text")) {
        ep_show_heading(show, "Where the heat goes");
        ep_show_say(show, 0, "", ep_show_get_text(heat, "text"));
    }
    show_intervals(show, json_object_get(answer, "intervals"),
                   json_array_size(json_object_get(answer, "sessions")));
    json_t *odds = json_object_get(answer, "odds");
    if (json_is_object(odds)) {
        json_t *one = json_pack("[O]", odds);
        ep_show_heading(show, "Odds");
        ep_show_sizes(show, one);
        json_decref(one);
        ep_show_heading(show, "Burn time");
        ep_show_wrap(show, 0, "", ep_show_get_text(odds, "claim_text"));
    }
    if (json_is_object(json_object_get(answer, "verdict"))) {
        ep_show_heading(show, "What the simulated candle would be judged");
        ep_show_verdict(show, json_object_get(answer, "verdict"));
    }
    show_origin(show, answer);
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}

static double percent(json_t *row, const char *key)
{
    double v = 0;
    ep_show_get(row, key, &v);
    return v;
}

static void pad_to(ep_show *show, const char *text, int width)
{
    ep_text_add(&show->out, text);
    for (int n = ep_show_columns(text); n < width; n++) {
        ep_text_add(&show->out, " ");
    }
}

// "24 to 27": nine candles in ten
static void cell_range(ep_show *show, ep_table *t, json_t *row, const char *key, const char *unit,
                       int decimals)
{
    json_t *range = json_object_get(row, key);
    double low = 0;
    double high = 0;
    char a[64], b[64], text[160] = "-";
    if (ep_show_get(range, "p05", &low) && ep_show_get(range, "p95", &high)) {
        ep_show_fixed(show, low, unit, decimals, a, sizeof a);
        ep_show_fixed(show, high, unit, decimals, b, sizeof b);
        snprintf(text, sizeof text, "%s to %s", a, b);
    }
    ep_table_cell(t, text);
}

static void show_ranges(ep_show *show, json_t *sizes)
{
    static const struct {
        const char *head, *key, *unit;
        int decimals;
    } columns[] = {{"rate", "rate_g_h", "g/h", 1},
                   {"hottest wall", "wall_max_C", "C", 0},
                   {"flame", "flame_max_mm", "mm", 0},
                   {"burns", "burn_h", "h", 0}};
    size_t n = sizeof columns / sizeof columns[0];
    ep_show_heading(show, "Nine candles in ten");
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "size", false);
    for (size_t k = 0; k < n; k++) {
        head_unit(show, &t, columns[k].head, columns[k].unit);
    }
    head_unit(show, &t, "95 of 100 reach", "h");
    size_t i = 0, claims = 0;
    json_t *row = NULL;
    json_array_foreach(sizes, i, row)
    {
        ep_table_cell(&t, ep_show_get_text(row, "size_name"));
        for (size_t k = 0; k < n; k++) {
            cell_range(show, &t, row, columns[k].key, columns[k].unit, columns[k].decimals);
        }
        // with few members there is a shortest burn, but nothing to claim
        double sure = 0;
        bool enough = ep_show_get(row, "claim_sure_pct", &sure) && sure >= 95;
        claims += enough;
        cell_number(show, &t, enough ? row : NULL, "claim_h", "h", 1);
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
    if (claims == 0) {
        ep_show_wrap(show, 0, "", "What 95 of 100 reach takes 59 simulated candles: --members 64.");
    }
}

// one line per size, a bar for "right", the three ways to be wrong as numbers
void ep_show_sizes(ep_show *show, json_t *sizes)
{
    int name_width = 4;
    size_t i = 0;
    json_t *row = NULL;
    json_array_foreach(sizes, i, row)
    {
        int n = ep_show_columns(ep_show_get_text(row, "size_name"));
        name_width = n > name_width ? n : name_width;
    }
    name_width = name_width < 20 ? name_width : 20;
    int bar = show->width - name_width - 2 - 6 - 2 - 4 * 10;
    bar = bar < 8 ? 8 : bar > 24 ? 24 : bar;

    pad_to(show, "size", name_width + 2);
    pad_to(show, "right", bar + 6);
    ep_text_add(&show->out, " too small   too hot wrong kind   unclear\n");
    json_array_foreach(sizes, i, row)
    {
        pad_to(show, ep_show_get_text(row, "size_name"), name_width + 2);
        ep_show_bar(show, percent(row, "right_pct") / 100, bar);
        ep_text_addf(&show->out, " %3.0f %%", percent(row, "right_pct"));
        static const char *const wrong[] = {"too_small_pct", "too_big_pct", "wrong_kind_pct",
                                            "unknown_pct"};
        for (size_t k = 0; k < sizeof wrong / sizeof wrong[0]; k++) {
            ep_text_addf(&show->out, "%8.0f %%", percent(row, wrong[k]));
        }
        ep_text_add(&show->out, "\n");
    }
    json_array_foreach(sizes, i, row)
    {
        char first[64];
        snprintf(first, sizeof first, "%.20s: ", ep_show_get_text(row, "size_name"));
        if (*ep_show_get_text(row, "text")) {
            ep_text_add(&show->out, i == 0 ? "\n" : "");
            ep_show_say(show, 2, first, ep_show_get_text(row, "text"));
        }
    }
}

void ep_show_odds(ep_show *show, json_t *answer)
{
    ep_show_heading(show, "Odds of each size");
    ep_show_sizes(show, json_object_get(answer, "sizes"));
    show_ranges(show, json_object_get(answer, "sizes"));
    show_origin(show, answer);
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}

static void candidate_row(ep_show *show, ep_table *t, json_t *way, json_t *size)
{
    json_t *odds = json_object_get(size, "odds");
    ep_table_cell(t, ep_show_get_text(json_object_get(way, "series"), "name"));
    cell_number(show, t, way, "wick_count", "", 0);
    ep_table_cell(t, ep_show_get_text(size, "size_name"));
    cell_number(show, t, odds, "right_pct", "%", 0);
    cell_number(show, t, odds, "too_small_pct", "%", 0);
    cell_number(show, t, odds, "too_big_pct", "%", 0);
    cell_number(show, t, odds, "wrong_kind_pct", "%", 0);
    cell_range(show, t, odds, "wall_max_C", "C", 0);
    cell_range(show, t, odds, "burn_h", "h", 0);
}

// the sizes that have odds, the likeliest series first; then each series in words
void ep_show_candidates(ep_show *show, json_t *answer)
{
    ep_show_heading(show, "Wicks that could be right in this jar");
    ep_table t;
    ep_table_init(&t);
    ep_table_column(&t, "series", false);
    ep_table_column(&t, "wicks", true);
    ep_table_column(&t, "size", false);
    head_unit(show, &t, "right", "%");
    head_unit(show, &t, "too small", "%");
    head_unit(show, &t, "too hot", "%");
    head_unit(show, &t, "wrong kind", "%");
    head_unit(show, &t, "hottest wall", "C");
    head_unit(show, &t, "burns", "h");
    size_t i = 0, k = 0;
    json_t *way = NULL, *size = NULL, *ways = json_object_get(answer, "ways");
    json_array_foreach(ways, i, way)
    {
        json_array_foreach(json_object_get(way, "sizes"), k, size)
        {
            if (json_is_object(json_object_get(size, "odds"))) {
                candidate_row(show, &t, way, size);
            }
        }
    }
    ep_table_print(&t, show, 0);
    ep_table_clear(&t);
    ep_text_add(&show->out, "\n");
    json_array_foreach(ways, i, way)
    {
        char first[160];
        double wicks = 1.0;
        ep_show_get(way, "wick_count", &wicks);
        snprintf(first, sizeof first,
                 "%.60s, %.0f wick%s: ", ep_show_get_text(json_object_get(way, "series"), "name"),
                 wicks, wicks > 1.0 ? "s" : "");
        ep_show_say(show, 2, first, ep_show_get_text(way, "text"));
    }
    ep_text_add(&show->out, "\n");
    ep_show_wrap(show, 0, "", ep_show_get_text(answer, "sentence"));
    show_origin(show, answer);
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}

static void show_set(ep_show *show, json_t *set)
{
    size_t i = 0;
    json_t *row = NULL;
    json_array_foreach(set, i, row)
    {
        char first[128];
        snprintf(first, sizeof first, "  %.0f x %.60s  ", percent(row, "candles"),
                 ep_show_get_text(row, "size_name"));
        ep_show_say(show, ep_show_columns(first), first, ep_show_get_text(row, "reason"));
    }
}

// what the plan comes to, before its reasons
static const char *plan_heading(const char *status)
{
    if (strcmp(status, "burn_on") == 0) {
        return "Burn on";
    }
    if (strcmp(status, "proven") == 0) {
        return "Proven";
    }
    if (strcmp(status, "none") == 0) {
        return "No wick here fits";
    }
    return "What to pour";
}

static void show_cost(ep_show *show, json_t *answer)
{
    ep_show_heading(show, "What it costs");
    static const struct {
        const char *label, *key, *unit;
    } lines[] = {{"candles", "candles", ""},
                 {"cure", "cure_days", "d"},
                 {"burning", "burn_days", "d"},
                 {"in all", "days", "d"},
                 {"at the bench", "bench_hours", "h"}};
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        char text[64];
        double v = 0;
        if (ep_show_get(answer, lines[i].key, &v)) {
            ep_show_quantity(show, v, lines[i].unit, text, sizeof text);
            ep_text_addf(&show->out, "  %-14s%s\n", lines[i].label, text);
        }
    }
}

void ep_show_plan(ep_show *show, json_t *answer)
{
    const char *status = ep_show_get_text(answer, "status");
    ep_show_heading(show, plan_heading(status));
    show_set(show, json_object_get(answer, "set"));
    ep_text_add(&show->out, "\n");
    ep_show_say(show, 0, "", ep_show_get_text(answer, "sentence"));
    if (strcmp(status, "none") == 0) {
        ep_show_wrap(show, 0, "",
                     "\"evenpool candidates\" with this recipe looks at every other wick on the "
                     "shelf.");
    }
    double candles = 0;
    if (ep_show_get(answer, "candles", &candles) && candles > 0) {
        show_cost(show, answer);
    }
    if (json_array_size(json_object_get(answer, "sizes")) > 0) {
        ep_show_heading(show, "Odds of each size");
        ep_show_sizes(show, json_object_get(answer, "sizes"));
    }
    ep_show_list(show, "Cautions", json_object_get(answer, "cautions"));
}
