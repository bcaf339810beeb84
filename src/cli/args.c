// Reading the command line. getopt_long does the scanning, in the order things were typed; it also
// takes shortened option names, which would break scripts as soon as a field is added, so those are
// refused with the full name in the message.
#include "cli/args.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "cli/file.h"

#define NAME_MAX_LEN 80
#define OPTIONS_MAX  128
#define WORDS_MAX    256

enum { OPT_FIELD = 1000, OPT_NO_FIELD = 2000 };
enum { OPT_DB = 256, OPT_JSON, OPT_INPUT, OPT_CLOCK, OPT_SPEED, OPT_UNITS, OPT_VERSION, OPT_HELP };

const ep_switch_doc ep_switch_docs[] = {
    {"db", "FILE", "workshop file; else $EVENPOOL_DB, else ./workshop.evenpool"},
    {"json", "", "print the answer as JSON"},
    {"input", "FILE", "take fields from a JSON object in a file, - for standard input"},
    {"units", "metric|us", "units shown; else the workshop's setting"},
    {"clock", "TIME", "pretend it is this time, e.g. 2026-01-01T08:00:00Z; for trials"},
    {"clock-speed", "N", "let the pretended clock run N times as fast"},
    {"help", "", "explain the command"},
    {NULL, NULL, NULL},
};

static const struct option switch_options[] = {
    {"db", required_argument, NULL, OPT_DB},
    {"json", no_argument, NULL, OPT_JSON},
    {"input", required_argument, NULL, OPT_INPUT},
    {"units", required_argument, NULL, OPT_UNITS},
    {"clock", required_argument, NULL, OPT_CLOCK},
    {"clock-speed", required_argument, NULL, OPT_SPEED},
    {"version", no_argument, NULL, OPT_VERSION},
    {"help", no_argument, NULL, OPT_HELP},
};
#define N_SWITCHES ((int)(sizeof switch_options / sizeof switch_options[0]))

const char *ep_args_option(const char *field, char *buf, size_t cap)
{
    snprintf(buf, cap, "%s", field);
    for (char *p = buf; *p; p++) {
        if (*p == '_') {
            *p = '-';
        }
    }
    return buf;
}

bool ep_args_positional(const ep_field *f)
{
    return f->path || f->word;
}

static int command_count(const ep_commands *cmds)
{
    return cmds->n_extra + cmds->n_cases;
}

static const ep_use_case *command_at(const ep_commands *cmds, int i)
{
    return i < cmds->n_extra ? &cmds->extra[i] : &cmds->cases[i - cmds->n_extra];
}

const ep_use_case *ep_args_find(const ep_commands *commands, const char *group, const char *verb)
{
    for (int i = 0; i < command_count(commands); i++) {
        const ep_use_case *c = command_at(commands, i);
        if (c->verb && strcmp(c->group, group) == 0 && strcmp(c->verb, verb ? verb : "") == 0) {
            return c;
        }
    }
    return NULL;
}

bool ep_args_is_group(const ep_commands *commands, const char *group)
{
    for (int i = 0; i < command_count(commands); i++) {
        const ep_use_case *c = command_at(commands, i);
        if (c->verb && strcmp(c->group, group) == 0) {
            return true;
        }
    }
    return false;
}

// --- which command ---

static void add_word(const char **words, int *n, const char *word)
{
    for (int i = 0; i < *n; i++) {
        if (strcmp(words[i], word) == 0) {
            return;
        }
    }
    if (*n < WORDS_MAX) {
        words[(*n)++] = word;
    }
}

static ep_status no_such_group(const ep_commands *cmds, const char *group, ep_err *err)
{
    const char *words[WORDS_MAX];
    int n = 0;
    for (int i = 0; i < command_count(cmds); i++) {
        const ep_use_case *c = command_at(cmds, i);
        if (c->verb) {
            add_word(words, &n, c->group);
        }
    }
    const char *guess = ep_args_guess(group, words, n);
    if (guess) {
        return ep_err_set(err, EP_E_USAGE, "", "there is no command '%s'; did you mean '%s'?",
                          group, guess);
    }
    return ep_err_set(err, EP_E_USAGE, "", "there is no command '%s'; 'evenpool help' lists them",
                      group);
}

static ep_status no_such_verb(const ep_commands *cmds, const char *group, const char *verb,
                              ep_err *err)
{
    const char *words[WORDS_MAX];
    int n = 0;
    char list[256] = "";
    size_t len = 0;
    for (int i = 0; i < command_count(cmds); i++) {
        const ep_use_case *c = command_at(cmds, i);
        if (c->verb && strcmp(c->group, group) == 0) {
            add_word(words, &n, c->verb);
            int k = snprintf(list + len, sizeof list - len, "%s%s", len ? ", " : "", c->verb);
            len = k > 0 && len + (size_t)k < sizeof list ? len + (size_t)k : len;
        }
    }
    if (!verb) {
        return ep_err_set(err, EP_E_USAGE, "", "'%s' needs one of: %s", group, list);
    }
    const char *guess = ep_args_guess(verb, words, n);
    if (guess) {
        return ep_err_set(err, EP_E_USAGE, "", "'%s' has no '%s'; did you mean '%s %s'?", group,
                          verb, group, guess);
    }
    return ep_err_set(err, EP_E_USAGE, "", "'%s' has no '%s', only: %s", group, verb, list);
}

// takes the words of the command off argv; *at ends behind them
static ep_status find_command(const ep_commands *cmds, char **argv, int *at, ep_args *out,
                              ep_err *err)
{
    out->group = argv[*at];
    if (!ep_args_is_group(cmds, out->group)) {
        return no_such_group(cmds, out->group, err);
    }
    (*at)++;
    const char *next = argv[*at];
    bool word = next && next[0] != '-';
    const ep_use_case *c = word ? ep_args_find(cmds, out->group, next) : NULL;
    if (c) {
        out->verb = next;
        (*at)++;
    } else {
        c = ep_args_find(cmds, out->group, NULL);
    }
    out->c = c;
    if (c) {
        return EP_OK;
    }
    // "evenpool recipe --help" asks about the group
    for (int i = *at; argv[i]; i++) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "-h") == 0) {
            out->on.help = true;
            return EP_OK;
        }
    }
    return no_such_verb(cmds, out->group, word ? next : NULL, err);
}

// --- which options ---

typedef struct option_set {
    struct option option[OPTIONS_MAX];
    char name[OPTIONS_MAX][NAME_MAX_LEN];
    int n;
} option_set;

static void add_option(option_set *set, const char *name, int has_arg, int value)
{
    if (set->n < OPTIONS_MAX - 1) {
        snprintf(set->name[set->n], NAME_MAX_LEN, "%s", name);
        set->option[set->n] = (struct option){set->name[set->n], has_arg, NULL, value};
        set->n++;
    }
}

static void collect_options(option_set *set, const ep_use_case *c)
{
    memset(set, 0, sizeof *set);
    for (int i = 0; i < N_SWITCHES; i++) {
        add_option(set, switch_options[i].name, switch_options[i].has_arg, switch_options[i].val);
    }
    for (int i = 0; c && i < c->n_fields; i++) {
        char name[NAME_MAX_LEN - 4], no[NAME_MAX_LEN];
        ep_args_option(c->field[i].name, name, sizeof name);
        if (c->field[i].kind == EP_FIELD_BOOL) {
            add_option(set, name, optional_argument, OPT_FIELD + i);
            snprintf(no, sizeof no, "no-%s", name);
            add_option(set, no, no_argument, OPT_NO_FIELD + i);
        } else {
            add_option(set, name, required_argument, OPT_FIELD + i);
        }
    }
}

// the name part of "--name=value"
static void typed_name(const char *arg, char *buf, size_t cap)
{
    arg += strspn(arg, "-");
    snprintf(buf, cap, "%.*s", (int)strcspn(arg, "="), arg);
}

static ep_status no_such_option(const option_set *set, const char *arg, ep_err *err)
{
    char name[NAME_MAX_LEN];
    typed_name(arg, name, sizeof name);
    const char *words[OPTIONS_MAX];
    for (int i = 0; i < set->n; i++) {
        words[i] = set->name[i];
        if (strcmp(set->name[i], name) == 0) {
            return ep_err_set(err, EP_E_USAGE, name, "--%s takes no value", name);
        }
    }
    const char *guess = ep_args_guess(name, words, set->n);
    if (guess) {
        return ep_err_set(err, EP_E_USAGE, name, "there is no option '%s'; did you mean '--%s'?",
                          arg, guess);
    }
    return ep_err_set(err, EP_E_USAGE, name, "there is no option '%s' here", arg);
}

static bool is_shortened(const option_set *set, int index, const char *arg)
{
    char name[NAME_MAX_LEN];
    typed_name(arg, name, sizeof name);
    return strcmp(set->name[index], name) != 0;
}

// --- values ---

static ep_status set_speed(ep_switches *on, const char *text, ep_err *err)
{
    double v = 0;
    if (!ep_number_parse(text, &v) || !(v > 0 && v <= 1e7)) {
        return ep_err_set(err, EP_E_ARG, "clock-speed",
                          "clock-speed: '%s' is not a number above 0 and up to 10000000", text);
    }
    on->clock_speed = v;
    return EP_OK;
}

static ep_status set_units(ep_switches *on, const char *text, ep_err *err)
{
    if (strcmp(text, "metric") != 0 && strcmp(text, "us") != 0) {
        return ep_err_set(err, EP_E_ARG, "units", "units: '%s' is neither metric nor us", text);
    }
    on->units = text;
    return EP_OK;
}

static ep_status set_switch(ep_switches *on, int option, const char *value, ep_err *err)
{
    switch (option) {
    case OPT_DB:
        on->db = value;
        return EP_OK;
    case OPT_INPUT:
        on->input = value;
        return EP_OK;
    case OPT_CLOCK:
        on->clock = value;
        return EP_OK;
    case OPT_SPEED:
        return set_speed(on, value, err);
    case OPT_UNITS:
        return set_units(on, value, err);
    case OPT_JSON:
        on->json = true;
        return EP_OK;
    case OPT_VERSION:
        on->version = true;
        return EP_OK;
    default:
        on->help = true;
        return EP_OK;
    }
}

// texts of the fields as typed, before they become JSON: a list may be given in several options
typedef struct typed {
    char *text[OPTIONS_MAX];  // owned
} typed;

static ep_status set_text(const ep_use_case *c, typed *t, int i, const char *text, ep_err *err)
{
    const ep_field *f = &c->field[i];
    char *whole = NULL;
    if (!t->text[i]) {
        whole = strdup(text);
    } else if (f->kind != EP_FIELD_LIST) {
        char name[NAME_MAX_LEN];
        return ep_err_set(err, EP_E_USAGE, f->name, "--%s is given twice",
                          ep_args_option(f->name, name, sizeof name));
    } else if (asprintf(&whole, "%s%s%s", t->text[i], f->n_items > 2 ? "; " : ", ", text) < 0) {
        whole = NULL;
    }
    if (!whole) {
        return ep_err_set(err, EP_E_MEMORY, f->name, "out of memory");
    }
    free(t->text[i]);
    t->text[i] = whole;
    return EP_OK;
}

static ep_status add_word_to(char **text, const char *word, ep_err *err)
{
    char *whole = NULL;
    if (asprintf(&whole, "%s %s", *text, word) < 0) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    free(*text);
    *text = whole;
    return EP_OK;
}

static ep_status set_positional(const ep_use_case *c, typed *t, const char *text, ep_err *err)
{
    int last = -1;
    for (int i = 0; i < c->n_fields; i++) {
        const ep_field *f = &c->field[i];
        if (!ep_args_positional(f)) {
            continue;
        }
        if (!t->text[i]) {
            return set_text(c, t, i, text, err);
        }
        last = i;
    }
    // "burn read K7QF flame 23 mm": number and unit are two words
    if (last >= 0 && c->field[last].word && c->field[last].kind == EP_FIELD_VALUE) {
        return add_word_to(&t->text[last], text, err);
    }
    return ep_err_set(err, EP_E_USAGE, "",
                      "'%s' is one word too many; fields are given as "
                      "--field value",
                      text);
}

// one step of getopt_long; returns -1 in *option at the end
static ep_status next_option(const option_set *set, int argc, char **argv, int *option, int *index,
                             ep_err *err)
{
    int at = optind > 0 ? optind : 1;  // 0 asks getopt to start afresh, at 1
    *option = getopt_long(argc, argv, "-:h", set->option, index);
    const char *arg = at < argc ? argv[at] : "";
    if (*option == '?') {
        return no_such_option(set, arg, err);
    }
    if (*option == ':') {
        return ep_err_set(err, EP_E_USAGE, arg + strspn(arg, "-"), "%s needs a value", arg);
    }
    if (*option >= OPT_DB && is_shortened(set, *index, arg)) {
        return ep_err_set(err, EP_E_USAGE, "", "write '%s' in full: --%s", arg, set->name[*index]);
    }
    return EP_OK;
}

static ep_status scan(const option_set *set, int argc, char **argv, ep_args *out, typed *t,
                      ep_err *err)
{
    for (;;) {
        int option = 0;
        int index = 0;
        ep_status s = next_option(set, argc, argv, &option, &index, err);
        if (s != EP_OK || option == -1) {
            return s;
        }
        if (option == 1) {
            s = set_positional(out->c, t, optarg, err);
        } else if (option >= OPT_NO_FIELD) {
            s = set_text(out->c, t, option - OPT_NO_FIELD, "false", err);
        } else if (option >= OPT_FIELD) {
            s = set_text(out->c, t, option - OPT_FIELD, optarg ? optarg : "true", err);
        } else {
            s = set_switch(&out->on, option, optarg, err);
        }
        if (s != EP_OK) {
            return s;
        }
    }
}

// words behind "--" are never options
static ep_status scan_tail(int argc, char **argv, ep_args *out, typed *t, ep_err *err)
{
    ep_status s = EP_OK;
    while (s == EP_OK && optind < argc) {
        s = set_positional(out->c, t, argv[optind++], err);
    }
    return s;
}

static ep_status read_input_file(const char *path, json_t *in, ep_err *err)
{
    json_error_t where;
    json_t *file = strcmp(path, "-") == 0 ? json_loadf(stdin, JSON_REJECT_DUPLICATES, &where)
                                          : json_load_file(path, JSON_REJECT_DUPLICATES, &where);
    if (!json_is_object(file)) {
        json_decref(file);
        return ep_err_set(err, EP_E_PARSE, "input", "input: %s holds no JSON object (line %d: %s)",
                          path, file ? 1 : where.line, file ? "something else" : where.text);
    }
    int failed = json_object_update(in, file);
    json_decref(file);
    return failed ? ep_err_set(err, EP_E_MEMORY, "", "out of memory") : EP_OK;
}

static ep_status make_input(const ep_use_case *c, const ep_switches *on, const typed *t, json_t *in,
                            ep_err *err)
{
    ep_status s = on->input ? read_input_file(on->input, in, err) : EP_OK;
    for (int i = 0; i < c->n_fields && (s == EP_OK || !on->input); i++) {
        if (!t->text[i]) {
            continue;
        }
        ep_err_next(err);
        const ep_field *f = &c->field[i];
        bool file = f->kind == EP_FIELD_FILE || f->kind == EP_FIELD_BYTES;
        json_t *v =
            file ? ep_file_field(f, t->text[i], err) : ep_field_from_text(f, t->text[i], err);
        if (!v) {
            s = err->status != EP_OK ? err->status : EP_E_MEMORY;
        } else if (json_object_set_new(in, c->field[i].name, v) != 0) {
            s = ep_err_set(err, EP_E_MEMORY, c->field[i].name, "out of memory");
        }
    }
    return s;
}

// the table's own commands are checked by ep_app_call
static ep_status check_extra(ep_args *out, ep_err *err)
{
    json_t *checked = NULL;
    ep_status s = ep_fields_check(out->c->field, out->c->n_fields, out->in, "", &checked, err);
    if (s == EP_OK) {
        json_decref(out->in);
        out->in = checked;
    }
    return s;
}

// options before the command: only switches make sense there
static ep_status scan_front(int argc, char **argv, ep_args *out, ep_err *err)
{
    option_set set;
    collect_options(&set, NULL);
    for (;;) {
        int at = optind > 0 ? optind : 1;
        int index = 0;
        int option = getopt_long(argc, argv, "+:h", set.option, &index);
        const char *arg = at < argc ? argv[at] : "";
        if (option == -1) {
            return EP_OK;
        }
        if (option == '?') {
            return no_such_option(&set, arg, err);
        }
        if (option == ':') {
            return ep_err_set(err, EP_E_USAGE, "", "%s needs a value", arg);
        }
        ep_status s = set_switch(&out->on, option, optarg, err);
        if (s != EP_OK) {
            return s;
        }
    }
}

// a command refused before its --json was read still owes its error as JSON
static bool asks_json(int argc, char **argv)
{
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++) {
        if (strcmp(argv[i], "--json") == 0) {
            return true;
        }
    }
    return false;
}

static ep_status parse(const ep_commands *commands, int argc, char **argv, ep_args *out,
                       ep_err *err)
{
    opterr = 0;
    optind = 0;  // glibc: start afresh
    ep_status s = scan_front(argc, argv, out, err);
    if (s != EP_OK || optind >= argc) {
        return s;
    }
    int at = optind;
    s = find_command(commands, argv, &at, out, err);
    out->rest = argv + at;
    if (s != EP_OK || !out->c) {
        return s;
    }
    out->in = json_object();
    if (!out->in) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    option_set set;
    typed t = {0};
    collect_options(&set, out->c);
    // getopt wants a program name in front of what it scans
    optind = 0;
    s = scan(&set, argc - at + 1, argv + at - 1, out, &t, err);
    if (s == EP_OK) {
        s = scan_tail(argc - at + 1, argv + at - 1, out, &t, err);
    }
    if (s == EP_OK && !out->on.help) {
        s = make_input(out->c, &out->on, &t, out->in, err);
        if (s == EP_OK && !out->c->fn) {
            s = check_extra(out, err);
        }
    }
    for (int i = 0; i < OPTIONS_MAX; i++) {
        free(t.text[i]);
    }
    return s;
}

ep_status ep_args_parse(const ep_commands *commands, int argc, char **argv, ep_args *out,
                        ep_err *err)
{
    *out = (ep_args){.on = {.clock_speed = 1}};
    ep_status s = parse(commands, argc, argv, out, err);
    out->on.json = out->on.json || (s != EP_OK && asks_json(argc, argv));
    return s;
}

void ep_args_clear(ep_args *a)
{
    json_decref(a->in);
    a->in = NULL;
}
