/// The words of the trade that the program uses, explained: data/terms.def, which the pages and
/// docs/glossary.md share.
/// Needs: base, show.
#pragma once
#include "cli/show.h"

typedef struct ep_term {
    const char *word;
    const char *forms;  ///< other spellings, divided by |, "" when there are none
    const char *means;  ///< one or two sentences, no full stop at the end
} ep_term;

/// The term a word stands for, by itself or in another form, whatever the case of its letters; NULL
/// when it is none of ours.
const ep_term *ep_term_find(const char *word);

/// Explain one.
void ep_term_show(ep_show *show, const ep_term *term);

/// Explain all of them, in the order of the table.
void ep_terms_show(ep_show *show);
