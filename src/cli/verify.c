// "verify": hands a case file to the engine's verify door and shows what comes back.
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/verify.h"
#include "cli/run.h"

#define CASE_MAX (1024u * 1024u)

static ep_status read_case(const char *path, ep_text *text, ep_err *err)
{
    FILE *f = strcmp(path, "-") == 0 ? stdin : fopen(path, "r");
    if (!f) {
        return ep_err_set(err, EP_E_ARG, "case", "case: cannot open %s (%s)", path,
                          strerror(errno));
    }
    char buf[8192];
    size_t n = 0;
    while (text->len <= CASE_MAX && (n = fread(buf, 1, sizeof buf, f)) > 0) {
        ep_text_add_n(text, buf, n);
    }
    bool failed = ferror(f) != 0;
    if (f != stdin) {
        fclose(f);
    }
    if (failed) {
        return ep_err_set(err, EP_E_IO, "case", "case: cannot read %s", path);
    }
    if (text->len > CASE_MAX) {
        return ep_err_set(err, EP_E_ARG, "case", "case: %s is larger than 1 MiB", path);
    }
    if (text->ok && strlen(ep_text_str(text)) != text->len) {
        return ep_err_set(err, EP_E_PARSE, "case", "case: %s is no JSON text", path);
    }
    return text->ok ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
}

static int show_answer(const ep_args *a, const char *answer)
{
    ep_show show = ep_terminal(&a->on);
    json_t *root = a->on.json ? NULL : json_loads(answer, 0, NULL);
    if (root) {
        ep_show_object(&show, root, 0);
        json_decref(root);
    } else {
        ep_text_add(&show.out, answer);
        ep_text_add(&show.out, "\n");
    }
    return ep_print(&show.out, EP_EXIT_OK);
}

int ep_verify_command(const ep_args *a)
{
    ep_err err = {0};
    ep_text text;
    ep_text_init(&text);
    char *answer = NULL;
    ep_status s = read_case(ep_show_get_text(a->in, "case"), &text, &err);
    if (s == EP_OK) {
        s = ep_verify_run(ep_text_str(&text), &answer, &err);
    }
    ep_text_clear(&text);
    if (s != EP_OK) {
        err.status = s;
        return ep_report_error(&a->on, a, &err);
    }
    int status = show_answer(a, answer);
    free(answer);
    return status;
}
