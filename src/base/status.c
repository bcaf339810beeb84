// Status texts and the error record.
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

const char *ep_status_text(ep_status status)
{
    switch (status) {
#define X(name, value, text)                                                                       \
    case name:                                                                                     \
        return text;
        EP_STATUS_LIST(X)
#undef X
    }
    return "unknown status";
}

const char *ep_status_name(ep_status status)
{
    switch (status) {
#define X(name, value, text)                                                                       \
    case name:                                                                                     \
        return #name;
        EP_STATUS_LIST(X)
#undef X
    }
    return "EP_E_UNKNOWN";
}

/// Where the next further mistake goes; NULL when nobody asked for it or there is no room.
static ep_mistake *further(ep_err *err)
{
    if (!err->next || !err->more) {
        return NULL;
    }
    err->next = false;
    if (err->more->n == EP_MISTAKES_MAX) {
        err->more->left_out++;
        return NULL;
    }
    return &err->more->at[err->more->n++];
}

ep_status ep_err_set(ep_err *err, ep_status status, const char *field, const char *fmt, ...)
{
    if (!err) {
        return status;
    }
    // the first error is the cause; later ones are its echo, unless they look at something else
    ep_mistake *at = err->status != EP_OK ? further(err) : NULL;
    if (err->status != EP_OK && !at) {
        return status;
    }
    char *text = at ? at->text : err->text;
    char *where = at ? at->field : err->field;
    *(at ? &at->status : &err->status) = status;
    err->next = false;
    snprintf(where, sizeof err->field, "%s", field ? field : "");
    va_list args;
    va_start(args, fmt);
    vsnprintf(text, sizeof err->text, fmt, args);
    va_end(args);
    return status;
}

void ep_err_next(ep_err *err)
{
    if (err) {
        err->next = true;
    }
}

bool ep_err_names(const ep_err *err, const char *field)
{
    if (!err || err->status == EP_OK) {
        return false;
    }
    bool named = strcmp(err->field, field) == 0;
    for (int i = 0; err->more && i < err->more->n; i++) {
        named = named || strcmp(err->more->at[i].field, field) == 0;
    }
    return named;
}

void ep_err_clear(ep_err *err)
{
    if (!err) {
        return;
    }
    ep_mistakes *more = err->more;
    if (more) {
        more->n = more->left_out = 0;
    }
    *err = (ep_err){.more = more};
}
