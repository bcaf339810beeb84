// Files on the command line.
#include "cli/file.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/run.h"

enum { STEP = 64 * 1024 };

// all of it, or one byte more than `most`; NULL when it cannot be read
static char *read_all(FILE *f, size_t most, size_t *len)
{
    char *data = NULL;
    size_t cap = 0;
    *len = 0;
    while (*len <= most && !feof(f)) {
        if (*len + STEP + 1 > cap) {
            cap = cap * 2 + STEP + 1;
            char *more = realloc(data, cap);
            if (!more) {
                free(data);
                return NULL;
            }
            data = more;
        }
        *len += fread(data + *len, 1, STEP, f);
        if (ferror(f)) {
            free(data);
            return NULL;
        }
    }
    data[*len] = '\0';
    return data;
}

static json_t *base64_of(const char *data, size_t len)
{
    size_t cap = sodium_base64_ENCODED_LEN(len, sodium_base64_VARIANT_ORIGINAL);
    char *text = malloc(cap);
    json_t *value = NULL;
    if (text) {
        sodium_bin2base64(text, cap, (const unsigned char *)data, len,
                          sodium_base64_VARIANT_ORIGINAL);
        value = json_string(text);
    }
    free(text);
    return value;
}

json_t *ep_file_field(const ep_field *f, const char *path, ep_err *err)
{
    bool standard = strcmp(path, "-") == 0;
    size_t most = (size_t)f->max, len = 0;
    FILE *in = standard ? stdin : fopen(path, "rb");
    char *data = in ? read_all(in, most, &len) : NULL;
    int why = errno;
    json_t *value = NULL;
    if (in && !standard) {
        fclose(in);
    }
    if (!data) {
        ep_err_set(err, EP_E_IO, f->name, "%s: %s cannot be read: %s", f->name, path,
                   strerror(why));
    } else if (len > most) {
        ep_err_set(err, EP_E_ARG, f->name, "%s: %s is larger than %zu bytes", f->name, path, most);
    } else if (f->kind == EP_FIELD_BYTES) {
        value = base64_of(data, len);
    } else {
        value = memchr(data, 0, len) ? NULL : json_stringn(data, len);
        if (!value) {
            ep_err_set(err, EP_E_PARSE, f->name, "%s: %s is no text in UTF-8", f->name, path);
        }
    }
    free(data);
    return value;
}

static int print_bytes(const char *base64)
{
    size_t len = strlen(base64), n = 0;
    unsigned char *bytes = malloc(len + 1);
    bool ok = bytes && sodium_base642bin(bytes, len, base64, len, NULL, &n, NULL,
                                         sodium_base64_VARIANT_ORIGINAL) == 0;
    ok = ok && fwrite(bytes, 1, n, stdout) == n && fflush(stdout) == 0;
    free(bytes);
    return ok ? EP_EXIT_OK : EP_EXIT_FAILED;
}

int ep_file_print(const json_t *answer)
{
    const char *text = json_string_value(json_object_get(answer, "text"));
    const char *base64 = json_string_value(json_object_get(answer, "base64"));
    const char *name = json_string_value(json_object_get(answer, "name"));
    if (base64 && isatty(STDOUT_FILENO)) {
        fprintf(stderr, "evenpool: this is no text: send it to a file, > %s\n",
                name ? name : "FILE");
        return EP_EXIT_USAGE;
    }
    int status = EP_EXIT_FAILED;
    if (base64) {
        status = print_bytes(base64);
    } else if (text) {
        status = fputs(text, stdout) >= 0 && fflush(stdout) == 0 ? EP_EXIT_OK : EP_EXIT_FAILED;
    }
    if (status == EP_EXIT_FAILED) {
        fprintf(stderr, "evenpool: the answer could not be written\n");
    }
    return status;
}
