// Any bytes as a request's head and target: never a crash; what the guard lets pass keeps its
// rules, and what a target decodes to is clean text of at most what was sent.
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "web/guard.h"
#include "web/target.h"
#include "web/web.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int holds)
{
    if (!holds) {
        abort();
    }
}

static void try_target(const char *raw)
{
    ep_target t = {.n_pairs = -1};
    ep_err err = {0};
    if (ep_target_parse(raw, &t, &err) != EP_OK) {
        must(t.n_pairs == -1 && err.status == EP_E_PARSE && err.text[0]);
        return;
    }
    size_t sum = 0;
    for (int i = 0; i < t.n_segments; i++) {
        must(ep_text_clean(t.segment[i]));
        sum += strlen(t.segment[i]);
    }
    for (int i = 0; i < t.n_pairs; i++) {
        must(ep_text_clean(t.key[i]) && ep_text_clean(t.value[i]));
        sum += strlen(t.key[i]) + strlen(t.value[i]);
        for (int k = 0; k < i; k++) {
            must(strcmp(t.key[i], t.key[k]) != 0);
        }
    }
    must(t.n_segments >= 1 && sum <= strlen(raw));
    ep_target_clear(&t);
}

// lines "name:value" after the first, which is "method target"
static int read_headers(char *text, ep_http_header *header, int cap)
{
    int n = 0;
    char *rest = text;
    for (char *line = strsep(&rest, "\n"); line && n < cap; line = strsep(&rest, "\n")) {
        char *colon = strchr(line, ':');
        const char *value = colon ? colon + 1 : "";
        size_t name_len = colon ? (size_t)(colon - line) : strlen(line);
        header[n++] = (ep_http_header){line, value, name_len, strlen(value)};
    }
    return n;
}

static int is_api(const char *target)
{
    ep_target t = {0};
    ep_err err = {0};
    int found = ep_target_parse(target, &t, &err) == EP_OK && strcmp(t.segment[0], "api") == 0;
    ep_target_clear(&t);
    return found;
}

static void try_guard(const char *method, const char *target, char *headers)
{
    ep_http_header header[EP_WEB_HEADERS_MAX + 1];
    ep_http_req rq = {.method = method, .version = "HTTP/1.1", .target = target, .header = header};
    rq.n_headers = read_headers(headers, header, EP_WEB_HEADERS_MAX + 1);
    ep_err err = {0};
    int refused = ep_guard_check(&rq, &err);
    must((refused == 0) == (err.status == EP_OK));
    must(refused == 0 || (refused >= 400 && refused <= 505));
    if (refused == 0) {
        size_t n = 0;
        must(ep_guard_body_len(&rq) <= EP_WEB_BODY_MAX);
        must(target[0] == '/' && strlen(target) <= EP_WEB_URI_MAX);
        must(ep_http_find(&rq, "Host", &n) != NULL && n >= 5);
        must(ep_http_find(&rq, "Transfer-Encoding", &n) == NULL);
        must(strcmp(method, "POST") == 0 || ep_guard_body_len(&rq) == 0);
        // another site's page starts nothing, however its address is written
        must(!ep_http_is(&rq, "Sec-Fetch-Site", "cross-site") || !is_api(target));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    must(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    char *headers = strchr(text, '\n');
    if (headers) {
        *headers++ = '\0';
    }
    char *target = strchr(text, ' ');
    if (target) {
        *target++ = '\0';
        if (target[0] == '/') {
            try_target(target);
        }
        char none[1] = "";
        try_guard(text, target, headers ? headers : none);
    }
    free(text);
    return 0;
}
