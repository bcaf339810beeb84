/// Files on the command line: a field that carries one, and answers that are one.
/// Needs: base, app, libsodium (base64).
#pragma once
#include "app/app.h"

/// Content of the file a FILE or BYTES field names, - for standard input, as the value
/// ep_app_call expects. NULL on error: EP_E_IO, EP_E_ARG (larger than the field allows),
/// EP_E_PARSE.
json_t *ep_file_field(const ep_field *f, const char *path, ep_err *err);

/// Write an answer that is a file to standard output. Bytes do not go to a terminal. Returns the
/// exit status.
int ep_file_print(const json_t *answer);
