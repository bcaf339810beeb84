// The manual page, in the macros of man(7).
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "cli/help.h"

// text that roff must not read as a request, a macro or a typographic minus
static void roff(ep_text *out, const char *s)
{
    bool line_start = true;
    for (; *s; s++) {
        if (line_start && (*s == '.' || *s == '\'')) {
            ep_text_add(out, "\\&");
        }
        if (*s == '\\') {
            ep_text_add(out, "\\e");
        } else if (*s == '-') {
            ep_text_add(out, "\\-");
        } else {
            ep_text_add_n(out, s, 1);
        }
        line_start = *s == '\n';
    }
}

static void paragraph(ep_text *out, const char *s)
{
    ep_text_add(out, ".PP\n");
    roff(out, s);
    ep_text_add(out, "\n");
}

static void tagged(ep_text *out, const char *option, const char *argument, const char *text)
{
    ep_text_add(out, ".TP\n\\fB");
    roff(out, option);
    ep_text_add(out, "\\fR");
    if (*argument) {
        ep_text_add(out, " \\fI");
        roff(out, argument);
        ep_text_add(out, "\\fR");
    }
    ep_text_add(out, "\n");
    roff(out, text);
    ep_text_add(out, "\n");
}

static void field(ep_text *out, const ep_field *f)
{
    char name[80], option[96], arg[48];
    ep_args_option(f->name, name, sizeof name);
    if (ep_args_positional(f)) {
        for (char *p = name; *p; p++) {
            *p = (char)toupper((unsigned char)*p);
        }
        snprintf(option, sizeof option, "%s", name);
        arg[0] = '\0';
    } else {
        snprintf(option, sizeof option, "--%s", name);
        ep_help_argument(f, arg, sizeof arg);
    }
    ep_text t;
    ep_text_init(&t);
    ep_help_field(&t, f);
    if (f->required || ep_args_positional(f)) {
        ep_text_add(&t, " (needed)");
    }
    tagged(out, option, arg, ep_text_str(&t));
    ep_text_clear(&t);
}

static void command(ep_text *out, const ep_use_case *c)
{
    ep_text_add(out, ".SS \"");
    roff(out, c->group);
    if (*c->verb) {
        ep_text_add(out, " ");
        roff(out, c->verb);
    }
    ep_text_add(out, "\"\n");
    roff(out, c->summary);
    ep_text_add(out, "\n");
    for (int i = 0; i < c->n_fields; i++) {
        field(out, &c->field[i]);
    }
}

static void head(ep_text *out)
{
    ep_text_add(out, ".TH EVENPOOL 1 \"\" \"evenpool " EP_VERSION "\" \"User commands\"\n"
                     ".SH NAME\n"
                     "evenpool \\- find the wick of a container candle\n"
                     ".SH SYNOPSIS\n"
                     ".B evenpool\n"
                     ".I GROUP VERB\n"
                     ".RI [ NAME ]\n"
                     ".RB [ \\-\\-field\n"
                     ".IR value \" ...]\"\n"
                     ".SH DESCRIPTION\n");
    roff(out,
         "Describe a container, a wax, a scent and a wick; foresee how the candle burns; plan the "
         "fewest test candles; keep pours, burns and readings; judge the wick.");
    ep_text_add(out, "\n");
    paragraph(
        out,
        "A quantity is a number with its unit, such as \"3 in\" or \"185 F\"; a bare number is "
        "in the unit named at the field.");
    paragraph(out, "A NAME is an exact name, an id, or the short code written on a candle.");
}

static void tail(ep_text *out)
{
    ep_text_add(out, ".SH \"EXIT STATUS\"\n");
    tagged(out, "0", "", "done");
    tagged(out, "1", "", "done, and there is a finding: stop now, or water fill and tape disagree");
    tagged(out, "2", "", "the command was not understood, or a value was refused");
    tagged(out, "3", "", "something failed");
    ep_text_add(out, ".SH ENVIRONMENT\n");
    tagged(out, "EVENPOOL_DB", "", "workshop file when --db is not given");
    tagged(out, "EVENPOOL_CLOCK", "", "as --clock");
    tagged(out, "EVENPOOL_CLOCK_SPEED", "", "as --clock-speed");
    tagged(out, "EVENPOOL_LOG", "", "debug: one line per request on standard error");
    tagged(out, "NO_COLOR", "", "no colours");
    ep_text_add(out, ".SH FILES\n");
    tagged(out, "./workshop.evenpool", "", "the workshop, one file");
    ep_text_add(out, ".SH EXAMPLES\n");
    paragraph(out, "evenpool serve --demo --db demo.evenpool");
    paragraph(out, "evenpool predict \"My jar\" --wick 3 --json");
    ep_text_add(out, ".SH CAUTIONS\n");
    roff(out,
         "Hot wax burns and can ignite; a lit candle is a naked flame; glass can crack. A forecast "
         "or "
         "a passed check is no promise. Stay with a lit candle, keep to your insurer's and local "
         "rules, and leave approval to accredited laboratories.");
    ep_text_add(out, "\n");
}

void ep_help_man(ep_text *out, const ep_commands *commands)
{
    head(out);
    ep_text_add(out, ".SH OPTIONS\n");
    for (const ep_switch_doc *d = ep_switch_docs; d->name; d++) {
        char option[64];
        snprintf(option, sizeof option, "--%s", d->name);
        tagged(out, option, d->argument, d->text);
    }
    ep_text_add(out, ".SH COMMANDS\n");
    for (int i = 0; i < commands->n_cases; i++) {
        if (commands->cases[i].verb) {
            command(out, &commands->cases[i]);
        }
    }
    for (int i = 0; i < commands->n_extra; i++) {
        command(out, &commands->extra[i]);
    }
    tail(out);
}
