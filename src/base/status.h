/// Status codes shared by every room, and the error record that explains one to a person.
/// Needs: nothing. Allocates: nothing. Thread use: any, no shared state.
#pragma once
#include <stdbool.h>

/// One list, expanded wherever it is needed: X(NAME, value, sentence).
// clang-format off
#define EP_STATUS_LIST(X)                                                \
    X(EP_OK, 0, "ok")                                                    \
    X(EP_E_ARG, 1, "a value is missing or out of range")                 \
    X(EP_E_PARSE, 2, "the text could not be read")                       \
    X(EP_E_NOT_FOUND, 3, "there is no such thing")                       \
    X(EP_E_CONFLICT, 4, "this clashes with what is already recorded")    \
    X(EP_E_STATE, 5, "this is not possible in the present state")        \
    X(EP_E_DENIED, 6, "this is not allowed from here")                   \
    X(EP_E_IO, 7, "a file or connection failed")                         \
    X(EP_E_DIVERGED, 8, "the calculation did not settle")                \
    X(EP_E_DB, 9, "the database failed")                                 \
    X(EP_E_MEMORY, 10, "out of memory")                                  \
    X(EP_E_USAGE, 11, "the command line was not understood")
// clang-format on

typedef enum ep_status {
#define X(name, value, text) name = value,
    EP_STATUS_LIST(X)
#undef X
} ep_status;

/// One mistake: the input field, and a sentence.
typedef struct ep_mistake {
    ep_status status;
    char field[64];  ///< the input field, "" when none applies
    char text[384];  ///< one sentence: field, value seen, allowed range
} ep_mistake;

enum { EP_MISTAKES_MAX = 24 };

/// Further mistakes of the same input, in the order they were found. Zero-initialise before use.
typedef struct ep_mistakes {
    int n;         ///< those kept
    int left_out;  ///< those there was no room for
    ep_mistake at[EP_MISTAKES_MAX];
} ep_mistakes;

/// What went wrong, for the person who typed it. First error wins: ep_err_set on a filled record
/// keeps the first one. Zero-initialise before use. With `more` set by whoever wants to hear of
/// every mistake at once, the second and later ones go there (see ep_err_next).
typedef struct ep_err {
    ep_status status;   ///< EP_OK while empty
    char field[64];     ///< the input field, "" when none applies
    char text[384];     ///< one sentence: field, value seen, allowed range
    ep_mistakes *more;  ///< not owned; NULL keeps the first alone
    bool next;          ///< what is set next is another mistake, not an echo of the first
} ep_err;

/// The fixed sentence of a status; never NULL.
const char *ep_status_text(ep_status status);

/// The identifier of a status as text ("EP_E_ARG"); never NULL.
const char *ep_status_name(ep_status status);

/// Record an error (printf style) and return `status`, so a caller can write
/// `return ep_err_set(err, EP_E_ARG, "load", "...")`. err may be NULL.
ep_status ep_err_set(ep_err *err, ep_status status, const char *field, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/// The earlier of two outcomes that went wrong; checks go on after a mistake to tell all of them.
static inline ep_status ep_status_first(ep_status so_far, ep_status now)
{
    return so_far != EP_OK ? so_far : now;
}

/// Say that what follows looks at another part of the input: an error set then is another mistake
/// and is kept in `more`. Without this a second error is the echo of the first. err may be NULL.
void ep_err_next(ep_err *err);

/// What has been said about one field is enough: is `field` among the mistakes already?
bool ep_err_names(const ep_err *err, const char *field);

/// Empty the record again, and the list of further mistakes.
void ep_err_clear(ep_err *err);
