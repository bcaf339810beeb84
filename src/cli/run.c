// Commands of the table: workshop, call, answer.
#include "cli/run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cli/file.h"

#define DEFAULT_DB "workshop.evenpool"
#define JSON_OUT   (JSON_COMPACT | JSON_REAL_PRECISION(12))

static const char *environment(const char *name)
{
    const char *v = getenv(name);
    return v && *v ? v : NULL;
}

static ep_status make_clock(const ep_switches *on, ep_clock_scale *scale, ep_clock *clock,
                            ep_err *err)
{
    const char *start = on->clock ? on->clock : environment("EVENPOOL_CLOCK");
    const char *speed = environment("EVENPOOL_CLOCK_SPEED");
    *clock = ep_clock_system();
    *scale = (ep_clock_scale){.speed = on->clock_speed};
    if (on->clock_speed == 1 && speed &&
        (!ep_number_parse(speed, &scale->speed) || !(scale->speed > 0 && scale->speed <= 1e7))) {
        return ep_err_set(err, EP_E_ARG, "clock-speed", "EVENPOOL_CLOCK_SPEED: '%s' is no speed",
                          speed);
    }
    if (!start && scale->speed == 1) {
        return EP_OK;
    }
    scale->wall_start_ms = ep_clock_now(clock);
    scale->start_ms = scale->wall_start_ms;
    ep_status s = start ? ep_time_parse(start, "clock", &scale->start_ms, err) : EP_OK;
    *clock = ep_clock_scaled(scale);
    return s;
}

const char *ep_workshop_path(const ep_switches *on)
{
    const char *db = on->db ? on->db : environment("EVENPOOL_DB");
    return db ? db : DEFAULT_DB;
}

ep_status ep_workshop_open(const ep_switches *on, bool demo, ep_clock_scale *scale, ep_app **app,
                           ep_err *err)
{
    ep_app_config config = {.db_path = ep_workshop_path(on), .demo = demo};
    ep_status s = make_clock(on, scale, &config.clock, err);
    if (s != EP_OK) {
        return s;
    }
    bool fresh = access(config.db_path, F_OK) != 0;
    s = ep_app_open(&config, app, err);
    if (s == EP_OK && fresh) {
        fprintf(stderr, "evenpool: new workshop in %s\n", config.db_path);
    }
    return s;
}

static int exit_of(ep_status status)
{
    switch (status) {
    case EP_OK:
        return EP_EXIT_OK;
    case EP_E_ARG:
    case EP_E_PARSE:
    case EP_E_NOT_FOUND:
    case EP_E_CONFLICT:
    case EP_E_STATE:
    case EP_E_DENIED:
    case EP_E_USAGE:
        return EP_EXIT_USAGE;
    case EP_E_IO:
    case EP_E_DIVERGED:
    case EP_E_DB:
    case EP_E_MEMORY:
        return EP_EXIT_FAILED;
    }
    return EP_EXIT_FAILED;
}

static json_t *mistake_json(ep_status status, const char *field, const char *text)
{
    return json_pack("{s:s, s:s, s:s}", "status", ep_status_name(status), "field", field, "text",
                     text);
}

// as the HTTP door says it; false when there was no memory
static bool error_as_json(const ep_err *err, const char *text)
{
    json_t *error = mistake_json(err->status, err->field, text);
    json_t *more = err->more && err->more->n > 0 ? json_array() : NULL;
    for (int i = 0; more && i < err->more->n; i++) {
        const ep_mistake *m = &err->more->at[i];
        json_array_append_new(more, mistake_json(m->status, m->field, m->text));
    }
    if (more && error) {
        json_object_set_new(error, "more", more);
    }
    json_t *root = error ? json_pack("{s:o}", "error", error) : NULL;
    bool ok = root && json_dumpf(root, stderr, JSON_COMPACT) == 0;
    if (ok) {
        fputc('\n', stderr);
    }
    json_decref(root);
    return ok;
}

int ep_report_error(const ep_switches *on, const ep_args *a, const ep_err *err)
{
    const char *text = err->text[0] ? err->text : ep_status_text(err->status);
    if (on->json && error_as_json(err, text)) {
        return exit_of(err->status);
    }
    fprintf(stderr, "evenpool: %s\n", text);
    for (int i = 0; err->more && i < err->more->n; i++) {
        fprintf(stderr, "evenpool: %s\n", err->more->at[i].text);
    }
    if (err->more && err->more->left_out > 0) {
        fprintf(stderr, "evenpool: and %d more mistakes\n", err->more->left_out);
    }
    bool asks = err->status == EP_E_USAGE || err->status == EP_E_ARG || err->status == EP_E_PARSE;
    if (asks && a && a->c && a->c->n_fields > 0) {
        fprintf(stderr, "evenpool %s%s%s --help explains the fields\n", a->c->group,
                *a->c->verb ? " " : "", a->c->verb);
    }
    return exit_of(err->status);
}

static int terminal_width(void)
{
    struct winsize w = {0};
    int width = 80;
    const char *columns = environment("COLUMNS");
    double asked = 0;
    if (isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &w) == 0 && w.ws_col > 0) {
        width = w.ws_col;
    } else if (columns && ep_number_parse(columns, &asked) && asked >= 40 && asked <= 400) {
        width = (int)asked;
    }
    return width < 40 ? 40 : width > 140 ? 140 : width;
}

static bool speaks_utf8(void)
{
    const char *locale = environment("LC_ALL");
    locale = locale ? locale : environment("LC_CTYPE");
    locale = locale ? locale : environment("LANG");
    return locale && (strstr(locale, "UTF-8") || strstr(locale, "utf8"));
}

ep_show ep_terminal(const ep_switches *on)
{
    const char *term = environment("TERM");
    ep_show show = {.width = terminal_width(),
                    .colour = isatty(STDOUT_FILENO) && !environment("NO_COLOR") && term &&
                              strcmp(term, "dumb") != 0,
                    .utf8 = speaks_utf8(),
                    .us = on->units && strcmp(on->units, "us") == 0};
    ep_text_init(&show.out);
    return show;
}

int ep_print(ep_text *text, int status)
{
    bool ok = text->ok && fputs(ep_text_str(text), stdout) >= 0 && fflush(stdout) == 0;
    if (!ok) {
        fprintf(stderr, "evenpool: the answer could not be written\n");
        status = EP_EXIT_FAILED;
    }
    ep_text_clear(text);
    return status;
}

// the workshop's own choice of units, when the command line made none
static bool workshop_is_us(ep_app *app)
{
    int n = 0;
    const ep_use_case *cases = ep_use_cases(&n);
    json_t *out = NULL;
    json_t *in = json_object();
    ep_err err = {0};
    for (int i = 0; i < n && in; i++) {
        if (strcmp(cases[i].group, "settings") == 0 && cases[i].verb &&
            strcmp(cases[i].verb, "list") == 0) {
            ep_app_call(app, &cases[i], in, &out, &err);
            break;
        }
    }
    bool us = false;
    size_t k = 0;
    json_t *row = NULL;
    json_array_foreach(json_object_get(out, "settings"), k, row)
    {
        us = us || (strcmp(ep_show_get_text(row, "key"), "units") == 0 &&
                    strcmp(ep_show_get_text(row, "value"), "us") == 0);
    }
    json_decref(in);
    json_decref(out);
    return us;
}

static int print_json(const json_t *answer, int status)
{
    bool ok = json_dumpf(answer, stdout, JSON_OUT) == 0 && fputc('\n', stdout) != EOF &&
              fflush(stdout) == 0;
    if (!ok) {
        fprintf(stderr, "evenpool: the answer could not be written\n");
        return EP_EXIT_FAILED;
    }
    return status;
}

int ep_table_run(const ep_args *a)
{
    ep_mistakes more = {0};
    ep_err err = {.more = &more};
    ep_app *app = NULL;
    ep_clock_scale scale;
    ep_status s = ep_workshop_open(&a->on, false, &scale, &app, &err);
    if (s != EP_OK) {
        err.status = s;
        return ep_report_error(&a->on, a, &err);
    }
    json_t *answer = NULL;
    int status = EP_EXIT_OK;
    s = ep_app_call(app, a->c, a->in, &answer, &err);
    if (s != EP_OK) {
        err.status = s;
        status = ep_report_error(&a->on, a, &err);
    } else {
        status = ep_show_has_finding(answer) ? EP_EXIT_FINDING : EP_EXIT_OK;
        if (a->c->gives && !a->on.json) {
            status = ep_file_print(answer);
        } else if (a->on.json) {
            status = print_json(answer, status);
        } else {
            ep_show show = ep_terminal(&a->on);
            show.us = a->on.units ? show.us : workshop_is_us(app);
            ep_show_answer(&show, a->c, answer);
            status = ep_print(&show.out, status);
        }
    }
    json_decref(answer);
    ep_app_close(app);
    return status;
}
