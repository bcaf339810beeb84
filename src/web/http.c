// Requests and replies of the door as plain data.
#include "web/http.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

const char *ep_http_find(const ep_http_req *rq, const char *name, size_t *len)
{
    size_t n = strlen(name);
    for (int i = 0; i < rq->n_headers; i++) {
        const ep_http_header *h = &rq->header[i];
        if (h->name_len == n && strncasecmp(h->name, name, n) == 0) {
            *len = h->value_len;
            return h->value;
        }
    }
    *len = 0;
    return NULL;
}

bool ep_http_is(const ep_http_req *rq, const char *name, const char *text)
{
    size_t len = 0;
    const char *value = ep_http_find(rq, name, &len);
    return value && len == strlen(text) && strncasecmp(value, text, len) == 0;
}

int ep_http_status_of(ep_status status)
{
    switch (status) {
    case EP_OK:
        return 200;
    case EP_E_ARG:
    case EP_E_PARSE:
    case EP_E_USAGE:
        return 400;
    case EP_E_DENIED:
        return 403;
    case EP_E_NOT_FOUND:
        return 404;
    case EP_E_CONFLICT:
    case EP_E_STATE:
        return 409;
    case EP_E_IO:
    case EP_E_DIVERGED:
    case EP_E_DB:
    case EP_E_MEMORY:
        return 500;
    }
    return 500;
}

// further mistakes of the same input, so that a form can mark all of them at once
static void put_further(json_t *error, const ep_mistakes *more)
{
    if (!error || !more || more->n == 0) {
        return;
    }
    json_t *list = json_array();
    for (int i = 0; i < more->n; i++) {
        const ep_mistake *m = &more->at[i];
        json_array_append_new(list,
                              json_pack("{s:s, s:s, s:s}", "status", ep_status_name(m->status),
                                        "field", m->field, "text", m->text));
    }
    json_object_set_new(error, "more", list);
}

void ep_http_reply_error(ep_http_reply *reply, int http_status, const ep_err *err)
{
    ep_http_reply_clear(reply);
    reply->status = http_status;
    reply->type = "application/json";
    const char *text = err->text[0] ? err->text : ep_status_text(err->status);
    json_t *root = json_pack("{s:{s:s, s:s, s:s}}", "error", "status", ep_status_name(err->status),
                             "field", err->field, "text", text);
    put_further(json_object_get(root, "error"), err->more);
    char *body = root ? json_dumps(root, JSON_COMPACT) : NULL;
    json_decref(root);
    if (body) {
        reply->owned = body;
        reply->body = body;
        reply->len = strlen(body);
        return;
    }
    // no memory, or a text that is no UTF-8: the status alone still tells what happened
    static const char plain[] =
        "{\"error\":{\"status\":\"EP_E_MEMORY\",\"field\":\"\",\"text\":\"out of memory\"}}";
    reply->body = plain;
    reply->len = sizeof plain - 1;
}

void ep_http_reply_clear(ep_http_reply *reply)
{
    free(reply->owned);
    memset(reply, 0, sizeof *reply);
}
