/// Status codes shared by every room, and the error record that explains one to a person.
/// Needs: nothing. Allocates: nothing. Thread use: any, no shared state.
#pragma once

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

/// What went wrong, for the person who typed it. First error wins: ep_err_set on a filled record
/// keeps the first one. Zero-initialise before use.
typedef struct ep_err {
    ep_status status;  ///< EP_OK while empty
    char field[64];    ///< the input field, "" when none applies
    char text[384];    ///< one sentence: field, value seen, allowed range
} ep_err;

/// The fixed sentence of a status; never NULL.
const char *ep_status_text(ep_status status);

/// The identifier of a status as text ("EP_E_ARG"); never NULL.
const char *ep_status_name(ep_status status);

/// Record an error (printf style) and return `status`, so a caller can write
/// `return ep_err_set(err, EP_E_ARG, "load", "...")`. err may be NULL.
ep_status ep_err_set(ep_err *err, ep_status status, const char *field, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/// Empty the record again.
void ep_err_clear(ep_err *err);
