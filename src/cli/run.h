/// Running commands: through the table, or one of this room's own.
/// Needs: app, web, args, show, help. Every function gives back the exit status of the program:
/// 0 done, 1 done with a finding, 2 not understood or refused, 3 failed.
#pragma once
#include "cli/args.h"
#include "cli/show.h"

enum { EP_EXIT_OK = 0, EP_EXIT_FINDING = 1, EP_EXIT_USAGE = 2, EP_EXIT_FAILED = 3 };

/// The commands of this room (serve, help, ...), as rows of the table's form.
const ep_use_case *ep_extra_commands(int *n);

/// Run a command of this room. `a->in` holds its fields as text or numbers, unchecked.
int ep_extra_run(const ep_commands *commands, const ep_args *a);

/// Open the workshop, call the use case, print the answer.
int ep_table_run(const ep_args *a);

/// "serve": answer until interrupted.
int ep_serve_run(const ep_args *a);

/// "verify": a plain melting case through the engine's field; needs no workshop.
int ep_verify_command(const ep_args *a);

/// File of the workshop the switches, the environment or the default name. Borrowed.
const char *ep_workshop_path(const ep_switches *on);

/// Open the workshop the switches name. The clock state is borrowed by the app.
ep_status ep_workshop_open(const ep_switches *on, bool demo, ep_clock_scale *scale, ep_app **app,
                           ep_err *err);

/// Say on standard error what went wrong (as JSON with --json), and which exit status that is.
int ep_report_error(const ep_switches *on, const ep_args *a, const ep_err *err);

/// A fresh text surface for the terminal standard output is connected to.
ep_show ep_terminal(const ep_switches *on);

/// Print a text to standard output; EP_EXIT_FAILED when that did not work.
int ep_print(ep_text *text, int status);
