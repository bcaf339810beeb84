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

ep_status ep_err_set(ep_err *err, ep_status status, const char *field, const char *fmt, ...)
{
    // the first error is the cause; later ones are its echo
    if (!err || err->status != EP_OK) {
        return status;
    }
    err->status = status;
    snprintf(err->field, sizeof err->field, "%s", field ? field : "");
    va_list args;
    va_start(args, fmt);
    vsnprintf(err->text, sizeof err->text, fmt, args);
    va_end(args);
    return status;
}

void ep_err_clear(ep_err *err)
{
    if (err) {
        memset(err, 0, sizeof *err);
    }
}
