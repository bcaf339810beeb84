// Fields that carry a whole file: text, or bytes in base64. What is in it is the case's matter;
// here it is only measured.
#include <string.h>

#include "app/app_int.h"

static ep_status refuse(ep_err *err, const char *name, const char *what)
{
    return ep_err_set(err, EP_E_PARSE, name, "%s: %s needed here", name, what);
}

static ep_status check_size(size_t n, const ep_field *f, const char *name, ep_err *err)
{
    size_t most = (size_t)f->max;
    return n <= most ? EP_OK
                     : ep_err_set(err, EP_E_ARG, name, "%s: %zu bytes are too many, at most %zu",
                                  name, n, most);
}

/// Bytes that base64 text stands for; false when it is none (RFC 4648 section 4, padded).
static bool bytes_in(const char *text, size_t n, size_t *bytes)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    size_t said = strspn(text, digits), pad = n - said;
    *bytes = n / 4 * 3 - pad;
    return n > 0 && n % 4 == 0 && pad <= 2 && strspn(text + said, "=") == pad;
}

ep_status ep_field_file_check(const ep_field *f, const char *name, const json_t *in, json_t **out,
                              ep_err *err)
{
    const char *text = json_string_value(in);
    size_t n = json_string_length(in);
    if (!text) {
        return refuse(err, name, "the content of a file is");
    }
    if (f->kind == EP_FIELD_BYTES && !bytes_in(text, n, &n)) {
        return refuse(err, name, "bytes in base64 are");
    }
    ep_status status = check_size(n, f, name, err);
    if (status == EP_OK) {
        *out = json_incref((json_t *)(uintptr_t)in);
    }
    return status;
}
