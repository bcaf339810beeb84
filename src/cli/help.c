// Help texts.
#include "cli/help.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#define TEXT_COLUMN 28

const char *ep_help_argument(const ep_field *f, char *buf, size_t cap)
{
    switch (f->kind) {
    case EP_FIELD_TEXT:
        snprintf(buf, cap, "TEXT");
        break;
    case EP_FIELD_ID:
        snprintf(buf, cap, "NAME");
        break;
    case EP_FIELD_BOOL:
        snprintf(buf, cap, "%s", "");
        break;
    case EP_FIELD_INT:
        snprintf(buf, cap, "N");
        break;
    case EP_FIELD_QUANTITY:
        snprintf(buf, cap, "%s", ep_dim_name(ep_unit_dim(f->unit)));
        break;
    case EP_FIELD_CHOICE:
        snprintf(buf, cap, "%s", strlen(f->choices) < 24 ? f->choices : "WORD");
        break;
    case EP_FIELD_TIME:
        snprintf(buf, cap, "WHEN");
        break;
    case EP_FIELD_LIST:
    case EP_FIELD_OBJECT:
        snprintf(buf, cap, "LIST");
        break;
    case EP_FIELD_VALUE:
        snprintf(buf, cap, "VALUE");
        break;
    case EP_FIELD_FILE:
    case EP_FIELD_BYTES:
        snprintf(buf, cap, "FILE");
        break;
    }
    if (f->kind == EP_FIELD_QUANTITY) {
        for (char *p = buf; *p; p++) {
            *p = (char)(*p == ' ' ? '-' : toupper((unsigned char)*p));
        }
    }
    return buf;
}

static void add_range(ep_text *out, const ep_field *f)
{
    if (!(f->min < f->max)) {
        return;
    }
    const char *unit = ep_unit_symbol(f->unit);
    switch (f->kind) {
    case EP_FIELD_TEXT:
        ep_text_addf(out, "; up to %g characters", f->max);
        break;
    case EP_FIELD_LIST:
        ep_text_addf(out, "; up to %g of them", f->max);
        break;
    case EP_FIELD_FILE:
    case EP_FIELD_BYTES:
        ep_text_addf(out, "; up to %.0f KiB", f->max / 1024);
        break;
    case EP_FIELD_INT:
        ep_text_addf(out, "; %g to %g", f->min, f->max);
        break;
    case EP_FIELD_QUANTITY:
    case EP_FIELD_OBJECT:
        ep_text_addf(out, "; %g to %g%s%s", f->min, f->max, *unit ? " " : "", unit);
        break;
    case EP_FIELD_ID:
    case EP_FIELD_BOOL:
    case EP_FIELD_CHOICE:
    case EP_FIELD_TIME:
    case EP_FIELD_VALUE:
        break;
    }
}

static void add_units(ep_text *out, const ep_field *f)
{
    const char *unit = ep_unit_symbol(f->unit);
    if (f->kind != EP_FIELD_QUANTITY || !*unit) {
        return;
    }
    char units[160];
    ep_dim_units(ep_unit_dim(f->unit), units, sizeof units);
    if (strcmp(units, unit) == 0) {
        ep_text_addf(out, "; in %s", unit);
    } else {
        ep_text_addf(out, "; in %s when no unit is typed, else any of %s", unit, units);
    }
}

static void add_items(ep_text *out, const ep_field *f)
{
    if (f->n_items == 0) {
        return;
    }
    ep_text_add(out, "; each: ");
    for (int i = 0; i < f->n_items; i++) {
        const ep_field *item = &f->item[i];
        const char *unit = ep_unit_symbol(item->unit);
        ep_text_addf(out, "%s%s%s%s%s", i ? ", " : "", item->name,
                     item->kind == EP_FIELD_QUANTITY && *unit ? " in " : "",
                     item->kind == EP_FIELD_QUANTITY ? unit : "",
                     item->required ? "" : " (optional)");
    }
}

static void add_choices(ep_text *out, const ep_field *f)
{
    if (f->kind != EP_FIELD_CHOICE) {
        return;
    }
    ep_text_add(out, "; one of ");
    for (const char *p = f->choices; *p;) {
        size_t n = strcspn(p, "|");
        ep_text_add_n(out, p, n);
        p += n + (p[n] == '|');
        ep_text_add(out, *p ? ", " : "");
    }
}

void ep_help_field(ep_text *out, const ep_field *f)
{
    ep_text_add(out, f->label && f->label[0] ? f->label : f->name);
    add_choices(out, f);
    add_units(out, f);
    add_range(out, f);
    add_items(out, f);
    if (f->help && f->help[0]) {
        bool example = isdigit((unsigned char)f->help[0]);
        ep_text_addf(out, " (%s%s)", example ? "e.g. " : "", f->help);
    }
}

static void show_field(ep_show *show, const ep_field *f)
{
    char name[80], arg[48], first[160];
    ep_help_argument(f, arg, sizeof arg);
    if (ep_args_positional(f)) {
        snprintf(first, sizeof first, "  %s  ", ep_args_option(f->name, name, sizeof name));
        for (char *p = first; *p; p++) {
            *p = (char)toupper((unsigned char)*p);
        }
    } else {
        snprintf(first, sizeof first, "  --%s%s%s  ", ep_args_option(f->name, name, sizeof name),
                 *arg ? " " : "", arg);
    }
    if (ep_show_columns(first) > TEXT_COLUMN) {
        ep_text_addf(&show->out, "%s\n", first);
        first[0] = '\0';
    }
    ep_text t;
    ep_text_init(&t);
    ep_help_field(&t, f);
    ep_show_wrap(show, TEXT_COLUMN, first, ep_text_str(&t));
    ep_text_clear(&t);
}

static void show_fields(ep_show *show, const ep_use_case *c, const char *heading, bool required)
{
    bool any = false;
    for (int i = 0; i < c->n_fields; i++) {
        const ep_field *f = &c->field[i];
        if ((f->required || ep_args_positional(f)) != required) {
            continue;
        }
        if (!any) {
            ep_show_heading(show, heading);
        }
        any = true;
        show_field(show, f);
    }
}

static void show_switches(ep_show *show)
{
    ep_show_heading(show, "With every command");
    for (const ep_switch_doc *d = ep_switch_docs; d->name; d++) {
        char first[80];
        snprintf(first, sizeof first, "  --%s%s%s  ", d->name, *d->argument ? " " : "",
                 d->argument);
        ep_show_wrap(show, TEXT_COLUMN, first, d->text);
    }
}

static void usage_line(ep_text *out, const ep_use_case *c)
{
    ep_text_addf(out, "evenpool %s%s%s", c->group, *c->verb ? " " : "", c->verb);
    char name[80], arg[48];
    bool more = false;
    for (int i = 0; i < c->n_fields; i++) {
        const ep_field *f = &c->field[i];
        if (ep_args_positional(f)) {
            ep_args_option(f->name, name, sizeof name);
            for (char *p = name; *p; p++) {
                *p = (char)toupper((unsigned char)*p);
            }
            ep_text_addf(out, f->required ? " %s" : " [%s]", name);
        } else if (f->required) {
            ep_help_argument(f, arg, sizeof arg);
            ep_text_addf(out, " --%s%s%s", ep_args_option(f->name, name, sizeof name),
                         *arg ? " " : "", arg);
        } else {
            more = true;
        }
    }
    ep_text_add(out, more ? " [--option value ...]" : "");
}

void ep_help_command(ep_show *show, const ep_use_case *c)
{
    ep_text t;
    ep_text_init(&t);
    usage_line(&t, c);
    ep_show_wrap(show, 4, "", ep_text_str(&t));
    ep_text_clear(&t);
    ep_show_wrap(show, 2, "  ", c->summary);
    show_fields(show, c, "Needed", true);
    show_fields(show, c, "Optional", false);
    show_switches(show);
}

static void show_command_line(ep_show *show, const ep_use_case *c)
{
    char first[80];
    snprintf(first, sizeof first, "  %s%s%s  ", c->group, *c->verb ? " " : "", c->verb);
    ep_show_wrap(show, TEXT_COLUMN, first, c->summary);
}

void ep_help_group(ep_show *show, const ep_commands *commands, const char *group)
{
    for (int i = 0; i < commands->n_extra; i++) {
        if (strcmp(commands->extra[i].group, group) == 0) {
            show_command_line(show, &commands->extra[i]);
        }
    }
    for (int i = 0; i < commands->n_cases; i++) {
        const ep_use_case *c = &commands->cases[i];
        if (c->verb && strcmp(c->group, group) == 0) {
            show_command_line(show, c);
        }
    }
    ep_text_addf(&show->out, "\nevenpool help %s VERB explains one of them\n", group);
}

void ep_help_overview(ep_show *show, const ep_commands *commands)
{
    ep_show_wrap(
        show, 0, "",
        "Evenpool finds the wick of a container candle: describe jar, wax, scent and wick, "
        "foresee the burn, plan the test candles, pour, burn, judge.");
    ep_show_wrap(show, 0, "", "Usage: evenpool GROUP VERB [NAME] --field value ...");
    const ep_use_case *last = NULL;
    for (int i = 0; i < commands->n_cases; i++) {
        const ep_use_case *c = &commands->cases[i];
        if (!c->verb) {
            continue;
        }
        // groups stand apart, commands of one word stand together
        if (!last || (strcmp(c->group, last->group) != 0 && (*c->verb || *last->verb))) {
            ep_text_add(&show->out, "\n");
        }
        last = c;
        show_command_line(show, c);
    }
    ep_text_add(&show->out, "\n");
    for (int i = 0; i < commands->n_extra; i++) {
        show_command_line(show, &commands->extra[i]);
    }
    show_switches(show);
    ep_show_heading(show, "Exit");
    ep_show_wrap(show, 2, "  ",
                 "0 done; 1 done, and there is a finding to act on (stop-now, water fill and tape "
                 "disagree); 2 the "
                 "command was not understood or a value was refused; 3 something failed.");
    ep_text_add(&show->out, "\n");
    ep_show_wrap(
        show, 0, "",
        "Melting wax and burning candles can hurt people and set fire to a house. What is "
        "computed here is a forecast, never a promise: stay with a lit candle, keep to your "
        "insurer's and local rules, and leave approval to accredited laboratories.");
}
