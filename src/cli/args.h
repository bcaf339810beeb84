/// The command line: which command, which fields, which switches. Commands and options come from
/// the table of use cases; the few that are not in it (serve, help, ...) are rows of the same form.
/// Needs: base, app. Uses getopt_long, so one parse at a time.
#pragma once
#include <jansson.h>

#include "app/app.h"

/// Every command there is: the rows of the table that have a verb, and the ones of this room.
typedef struct ep_commands {
    const ep_use_case *cases;  ///< the table, borrowed
    int n_cases;
    const ep_use_case *extra;  ///< commands outside the table: no path, no fn, verb ""
    int n_extra;
} ep_commands;

/// Switches every command understands.
typedef struct ep_switches {
    const char *db;      ///< borrowed from argv or the environment
    const char *input;   ///< file of JSON input, "-" for standard input, or NULL
    const char *clock;   ///< start of a set clock, or NULL
    double clock_speed;  ///< > 0
    const char *units;   ///< "metric", "us", or NULL for the workshop's setting
    bool json, help, version;
} ep_switches;

typedef struct ep_args {
    ep_switches on;
    const char *group;     ///< first word as typed, or NULL
    const char *verb;      ///< second word when it was read as a verb, or NULL
    const ep_use_case *c;  ///< the command, NULL when the words name none
    json_t *in;            ///< owned: input of the command; NULL when c is NULL
    char **rest;           ///< words after the command when c is NULL, ends with NULL
} ep_args;

/// Read a command line.
/// @param out  written in any case; clear with ep_args_clear. With `on.help` set nothing about the
///             fields is checked.
/// @return EP_E_USAGE for what is no command or no option, EP_E_ARG or EP_E_PARSE for a bad value;
///         the text says what was meant, when that can be guessed
ep_status ep_args_parse(const ep_commands *commands, int argc, char **argv, ep_args *out,
                        ep_err *err);
void ep_args_clear(ep_args *a);

/// Is the field given as a word of its own, without an option's name?
bool ep_args_positional(const ep_field *f);

/// The option's name of a field: underscores become hyphens. Returns buf.
const char *ep_args_option(const char *field, char *buf, size_t cap);

/// The command of these words; verb may be NULL. NULL when there is none.
const ep_use_case *ep_args_find(const ep_commands *commands, const char *group, const char *verb);

/// Is this the first word of any command?
bool ep_args_is_group(const ep_commands *commands, const char *group);

/// One of the candidates that looks like what was typed, or NULL.
const char *ep_args_guess(const char *typed, const char *const *candidates, int n);

/// Description of the switches, for help, completion and the manual: name, argument ("" = none),
/// text. Ends with a NULL name.
typedef struct ep_switch_doc {
    const char *name, *argument, *text;
} ep_switch_doc;
extern const ep_switch_doc ep_switch_docs[];
