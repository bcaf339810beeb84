/// What a citation key stands for: the bibliographies of data/ as a table, made by tools/sources.
#pragma once

typedef struct ep_source {
    const char *key;
    const char *text;  ///< author, title, where and when it appeared
    const char *note;  ///< in what form it was before us when it was read; "" = nothing to say
} ep_source;

extern const ep_source ep_sources[];
extern const int ep_n_sources;

/// NULL for a key that no bibliography has: a note of the maker's own.
const ep_source *ep_source_find(const char *key);
