/// Answers that cost much to work out, kept in the file until what they rest on changes (table
/// `kept`). Needs: app, foresee, learn. Every function takes the app's lock itself.
#pragma once
#include "app/app_int.h"
#include "base/hash.h"

/// Which answer. Two keys are the same when all that the answer rests on is the same.
typedef struct ep_kept_key {
    const char *kind;       ///< "belief", "look", "odds"
    const char *recipe_id;  ///< rows of one recipe, kind and subject make room for each other
    const char *about;      ///< subject; NULL = the recipe
    int seed;
    char inputs[EP_HASH_CAP];
} ep_kept_key;

/// *bytes is owned by the caller; NULL when there is none.
ep_status ep_kept_find(ep_app *app, const ep_kept_key *key, unsigned char **bytes, size_t *len,
                       ep_err *err);
/// Keep, and drop all but the newest `most` of this recipe, kind and
/// subject. What cannot be kept is still a
/// good answer: the failure is logged and goes no further.
void ep_kept_add(ep_app *app, const ep_kept_key *key, const unsigned char *bytes, size_t len,
                 int most);
