// Words of the trade, explained by command as they are on the pages.
#include "cli/terms.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

static const ep_term terms[] = {
#define TERM(word, forms, means) {word, forms, means},
#include "../../data/terms.def"
#undef TERM
};

#define N_TERMS     (sizeof terms / sizeof terms[0])
#define TEXT_COLUMN 24

static bool is_form(const char *forms, const char *word)
{
    size_t n = strlen(word);
    for (const char *at = forms; *at;) {
        size_t len = strcspn(at, "|");
        if (len == n && strncasecmp(at, word, n) == 0) {
            return true;
        }
        at += len + (at[len] == '|');
    }
    return false;
}

const ep_term *ep_term_find(const char *word)
{
    for (size_t i = 0; i < N_TERMS; i++) {
        if (strcasecmp(terms[i].word, word) == 0 || is_form(terms[i].forms, word)) {
            return &terms[i];
        }
    }
    return NULL;
}

void ep_term_show(ep_show *show, const ep_term *term)
{
    char first[80];
    snprintf(first, sizeof first, "  %s  ", term->word);
    ep_show_wrap(show, TEXT_COLUMN, first, term->means);
}

void ep_terms_show(ep_show *show)
{
    for (size_t i = 0; i < N_TERMS; i++) {
        ep_term_show(show, &terms[i]);
    }
}
