// The commands outside the table of use cases.
#include <stdio.h>
#include <string.h>

#include "cli/help.h"
#include "cli/run.h"
#include "cli/terms.h"

static const ep_field serve_fields[] = {
    {.name = "port",
     .kind = EP_FIELD_INT,
     .min = 0,
     .max = 65535,
     .label = "port to listen on",
     .help = "default 8377; 0 takes any free one"},
    {.name = "demo",
     .kind = EP_FIELD_BOOL,
     .label = "fill a new workshop with the demo workshop",
     .help = "an invented studio to look around in"},
    {.name = "lan",
     .kind = EP_FIELD_BOOL,
     .label = "let devices of this computer's network in",
     .help = "each must be paired once; without --tls unencrypted, for a network of your own"},
    {.name = "tls",
     .kind = EP_FIELD_BOOL,
     .label = "with --lan: devices come in encrypted (https)",
     .help = "each must be told once to trust this workshop's certificate"},
    {.name = "tls_port",
     .kind = EP_FIELD_INT,
     .min = 1,
     .max = 65535,
     .label = "port for https",
     .help = "default: the one after --port"},
    {.name = "assets",
     .kind = EP_FIELD_TEXT,
     .label = "folder to read the pages from",
     .help = "while designing them: ui/dist"},
    {.name = "open",
     .kind = EP_FIELD_CHOICE,
     .choices = "yes|no",
     .label = "open a browser",
     .help = "default: when started from a terminal on a desktop"},
};
static const ep_field help_fields[] = {
    {.name = "group",
     .kind = EP_FIELD_TEXT,
     .path = true,
     .label = "a group, a word of the trade, or 'words' for all of those",
     .help = "recipe"},
    {.name = "verb",
     .kind = EP_FIELD_TEXT,
     .path = true,
     .label = "one of its verbs",
     .help = "add"},
};
static const ep_field verify_fields[] = {
    {.name = "case",
     .kind = EP_FIELD_TEXT,
     .path = true,
     .required = true,
     .label = "file of one plain melting case",
     .help = "- reads standard input; docs/verify.md shows the form"},
};

#define FIELDS(a) .field = (a), .n_fields = (int)(sizeof(a) / sizeof((a)[0]))

static const ep_use_case extra[] = {
    {.name = "serve",
     .group = "serve",
     .verb = "",
     FIELDS(serve_fields),
     .summary = "Open the workshop's pages on this computer"},
    {.name = "verify",
     .group = "verify",
     .verb = "",
     FIELDS(verify_fields),
     .summary = "Run the engine's heat and melting alone on a case with a known answer"},
    {.name = "help",
     .group = "help",
     .verb = "",
     FIELDS(help_fields),
     .summary = "Explain all commands, a group, one command, or a word of the trade"},
    {.name = "version", .group = "version", .verb = "", .summary = "Print the version"},
    {.name = "completion",
     .group = "completion",
     .verb = "",
     .summary = "Print a completion script for bash"},
    {.name = "man", .group = "man", .verb = "", .summary = "Print the manual page"},
};

const ep_use_case *ep_extra_commands(int *n)
{
    *n = (int)(sizeof extra / sizeof extra[0]);
    return extra;
}

static int run_version(const ep_commands *commands, const ep_args *a)
{
    (void)commands;
    (void)a;
    ep_text t;
    ep_text_init(&t);
    ep_text_add(&t, "evenpool " EP_VERSION "\n");
    return ep_print(&t, EP_EXIT_OK);
}

static int run_completion(const ep_commands *commands, const ep_args *a)
{
    (void)a;
    ep_text t;
    ep_text_init(&t);
    ep_help_completion(&t, commands);
    return ep_print(&t, EP_EXIT_OK);
}

static int run_man(const ep_commands *commands, const ep_args *a)
{
    (void)a;
    ep_text t;
    ep_text_init(&t);
    ep_help_man(&t, commands);
    return ep_print(&t, EP_EXIT_OK);
}

// "melt pool" comes as group and verb
static const ep_term *find_word(const char *group, const char *verb)
{
    char word[80];
    snprintf(word, sizeof word, "%s%s%s", group, verb ? " " : "", verb ? verb : "");
    return ep_term_find(word);
}

static int run_help(const ep_commands *commands, const ep_args *a)
{
    const char *group = json_string_value(json_object_get(a->in, "group"));
    const char *verb = json_string_value(json_object_get(a->in, "verb"));
    ep_show show = ep_terminal(&a->on);
    const ep_use_case *c = group ? ep_args_find(commands, group, verb) : NULL;
    if (c) {
        ep_help_command(&show, c);
    } else if (group && !verb && ep_args_is_group(commands, group)) {
        ep_help_group(&show, commands, group);
    } else if (group && !verb && strcmp(group, "words") == 0) {
        ep_terms_show(&show);
    } else if (group && find_word(group, verb)) {
        ep_term_show(&show, find_word(group, verb));
    } else if (group) {
        ep_err err = {0};
        ep_err_set(&err, EP_E_USAGE, "",
                   "there is no command and no word '%s%s%s'; 'evenpool help' lists the commands, "
                   "'evenpool help words' the words",
                   group, verb ? " " : "", verb ? verb : "");
        ep_text_clear(&show.out);
        return ep_report_error(&a->on, NULL, &err);
    } else {
        ep_help_overview(&show, commands);
    }
    return ep_print(&show.out, EP_EXIT_OK);
}

static int run_serve(const ep_commands *commands, const ep_args *a)
{
    (void)commands;
    return ep_serve_run(a);
}

static int run_verify(const ep_commands *commands, const ep_args *a)
{
    (void)commands;
    return ep_verify_command(a);
}

int ep_extra_run(const ep_commands *commands, const ep_args *a)
{
    static const struct {
        const char *name;
        int (*fn)(const ep_commands *commands, const ep_args *a);
    } table[] = {
        {"serve", run_serve},     {"verify", run_verify},         {"help", run_help},
        {"version", run_version}, {"completion", run_completion}, {"man", run_man},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (strcmp(a->c->group, table[i].name) == 0) {
            return table[i].fn(commands, a);
        }
    }
    return EP_EXIT_FAILED;
}
