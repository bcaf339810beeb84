/// Help, the manual page and shell completion, all from the table of commands.
/// Needs: base, app, args, show.
#pragma once
#include "cli/args.h"
#include "cli/show.h"

/// What kind of value a field takes, as one word for usage lines: "LENGTH", "N", "yes|no"; "" for
/// switches. Returns buf.
const char *ep_help_argument(const ep_field *f, char *buf, size_t cap);

/// Label, unit, range and example of a field in one sentence.
void ep_help_field(ep_text *out, const ep_field *f);

/// All commands, one line each.
void ep_help_overview(ep_show *show, const ep_commands *commands);

/// The commands of one group.
void ep_help_group(ep_show *show, const ep_commands *commands, const char *group);

/// One command with every field.
void ep_help_command(ep_show *show, const ep_use_case *c);

/// The manual page evenpool(1) in man(7) form.
void ep_help_man(ep_text *out, const ep_commands *commands);

/// A bash completion script.
void ep_help_completion(ep_text *out, const ep_commands *cmds);
