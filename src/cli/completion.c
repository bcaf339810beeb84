// A bash completion script, written out from the table: groups, verbs, options, choices, files.
#include <stdio.h>
#include <string.h>

#include "cli/help.h"

static const ep_use_case *at(const ep_commands *cmds, int i)
{
    return i < cmds->n_cases ? &cmds->cases[i] : &cmds->extra[i - cmds->n_cases];
}

static int all(const ep_commands *cmds)
{
    return cmds->n_cases + cmds->n_extra;
}

// each group once, in the table's order
static bool is_first_of_group(const ep_commands *cmds, int i)
{
    for (int k = 0; k < i; k++) {
        if (at(cmds, k)->verb && strcmp(at(cmds, k)->group, at(cmds, i)->group) == 0) {
            return false;
        }
    }
    return at(cmds, i)->verb != NULL;
}

static void add_groups(ep_text *out, const ep_commands *cmds)
{
    for (int i = 0; i < all(cmds); i++) {
        if (is_first_of_group(cmds, i)) {
            ep_text_addf(out, " %s", at(cmds, i)->group);
        }
    }
}

static void add_verbs(ep_text *out, const ep_commands *cmds, const char *group)
{
    for (int i = 0; i < all(cmds); i++) {
        const ep_use_case *c = at(cmds, i);
        if (c->verb && *c->verb && strcmp(c->group, group) == 0) {
            ep_text_addf(out, " %s", c->verb);
        }
    }
}

static void add_options(ep_text *out, const ep_use_case *c)
{
    for (int i = 0; i < c->n_fields; i++) {
        char name[80];
        if (!ep_args_positional(&c->field[i])) {
            ep_text_addf(out, " --%s", ep_args_option(c->field[i].name, name, sizeof name));
        }
    }
    for (const ep_switch_doc *d = ep_switch_docs; d->name; d++) {
        ep_text_addf(out, " --%s", d->name);
    }
}

static void add_choices(ep_text *out, const ep_use_case *c)
{
    for (int i = 0; i < c->n_fields; i++) {
        const ep_field *f = &c->field[i];
        char name[80];
        if (f->kind == EP_FIELD_CHOICE && !ep_args_positional(f)) {
            ep_text_addf(out, "    '%s %s --%s') words='", c->group, c->verb,
                         ep_args_option(f->name, name, sizeof name));
            for (const char *p = f->choices; *p; p++) {
                ep_text_addf(out, "%c", *p == '|' ? ' ' : *p);
            }
            ep_text_add(out, "' ;;\n");
        }
    }
}

void ep_help_completion(ep_text *out, const ep_commands *cmds)
{
    ep_text_add(out, "# bash completion of evenpool: source <(evenpool completion)\n"
                     "_evenpool() {\n"
                     "    local now=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
                     "    local group=${COMP_WORDS[1]} verb=${COMP_WORDS[2]} words=''\n"
                     "    COMPREPLY=()\n"
                     "    case $before in\n"
                     "    --db|--input|--assets) COMPREPLY=($(compgen -f -- \"$now\")); return ;;\n"
                     "    --units) COMPREPLY=($(compgen -W 'metric us' -- \"$now\")); return ;;\n"
                     "    esac\n"
                     "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
                     "        COMPREPLY=($(compgen -W '");
    add_groups(out, cmds);
    ep_text_add(out, "' -- \"$now\")); return\n"
                     "    fi\n"
                     "    if [ \"$COMP_CWORD\" -eq 2 ] && [ \"${now#-}\" = \"$now\" ]; then\n"
                     "        case $group in\n");
    for (int i = 0; i < all(cmds); i++) {
        if (is_first_of_group(cmds, i)) {
            ep_text_addf(out, "        '%s') words='", at(cmds, i)->group);
            add_verbs(out, cmds, at(cmds, i)->group);
            ep_text_add(out, "' ;;\n");
        }
    }
    ep_text_add(out, "        verify) COMPREPLY=($(compgen -f -- \"$now\")); return ;;\n"
                     "        esac\n"
                     "        COMPREPLY=($(compgen -W \"$words\" -- \"$now\")); return\n"
                     "    fi\n"
                     "    case \"$group $verb $before\" in\n");
    for (int i = 0; i < all(cmds); i++) {
        if (at(cmds, i)->verb) {
            add_choices(out, at(cmds, i));
        }
    }
    ep_text_add(out, "    *)\n"
                     "        case \"$group $verb\" in\n");
    // commands of two words first: "limits list" must not be read as "limits"
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < all(cmds); i++) {
            const ep_use_case *c = at(cmds, i);
            if (!c->verb || (*c->verb != '\0') == (pass == 1)) {
                continue;
            }
            ep_text_addf(out, pass == 0 ? "        '%s %s') words='" : "        '%s '%s*) words='",
                         c->group, c->verb);
            add_options(out, c);
            ep_text_add(out, "' ;;\n");
        }
    }
    ep_text_add(out, "        esac ;;\n"
                     "    esac\n"
                     "    COMPREPLY=($(compgen -W \"$words\" -- \"$now\"))\n"
                     "}\n"
                     "complete -F _evenpool evenpool\n");
}
