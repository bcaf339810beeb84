// The program: reads the command line, runs the command.
#include <stdio.h>

#include "cli/help.h"
#include "cli/run.h"

static int explain(const ep_commands *commands, const ep_args *a)
{
    ep_show show = ep_terminal(&a->on);
    if (a->c) {
        ep_help_command(&show, a->c);
    } else if (a->group) {
        ep_help_group(&show, commands, a->group);
    } else {
        ep_help_overview(&show, commands);
    }
    return ep_print(&show.out, EP_EXIT_OK);
}

static int run(const ep_commands *commands, const ep_args *a)
{
    if (a->on.help) {
        return explain(commands, a);
    }
    if (a->on.version) {
        puts("evenpool " EP_VERSION);
        return EP_EXIT_OK;
    }
    if (!a->c) {
        // no words at all: say how to begin, but that was no command
        fputs("usage: evenpool GROUP VERB [NAME] --field value ...\n"
              "'evenpool help' lists the commands, 'evenpool serve' opens the pages\n",
              stderr);
        return EP_EXIT_USAGE;
    }
    return a->c->fn ? ep_table_run(a) : ep_extra_run(commands, a);
}

int main(int argc, char **argv)
{
    ep_commands commands = {0};
    commands.cases = ep_use_cases(&commands.n_cases);
    commands.extra = ep_extra_commands(&commands.n_extra);
    ep_args a;
    ep_mistakes more = {0};
    ep_err err = {.more = &more};
    ep_status s = ep_args_parse(&commands, argc, argv, &a, &err);
    int status = 0;
    if (s == EP_OK) {
        status = run(&commands, &a);
    } else {
        err.status = s;
        status = ep_report_error(&a.on, &a, &err);
    }
    ep_args_clear(&a);
    return status;
}
