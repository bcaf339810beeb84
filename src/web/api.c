// Routes of the table: matching, input, reply.
#include "web/api.h"

#include <assert.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "web/pair.h"
#include "web/web.h"

// digits enough for every reading and every forecast, and 76.2 stays 76.2
#define JSON_OUT (JSON_COMPACT | JSON_REAL_PRECISION(12))

// Does a row's path fit? Returns -1 when not, else how many of its parts are literal.
static int match(const char *path, const ep_target *t)
{
    int literal = 0;
    const char *p = path;
    for (int i = 0; i < t->n_segments; i++) {
        if (*p != '/') {
            return -1;
        }
        p++;
        size_t n = strcspn(p, "/");
        bool parameter = *p == '{';
        if (parameter ? t->segment[i][0] == '\0'
                      : strlen(t->segment[i]) != n || strncmp(t->segment[i], p, n) != 0) {
            return -1;
        }
        literal += !parameter;
        p += n;
    }
    return *p == '\0' ? literal : -1;
}

const ep_use_case *ep_api_find(const ep_api *api, const char *method, const ep_target *target,
                               const char **allow)
{
    // HEAD is GET without the body
    const char *wanted = strcmp(method, "HEAD") == 0 ? "GET" : method;
    const ep_use_case *found = NULL;
    int best = -1;
    bool get = false;
    bool post = false;
    for (int i = 0; i < api->n_cases; i++) {
        const ep_use_case *c = &api->cases[i];
        int literal = c->path ? match(c->path, target) : -1;
        if (literal < 0) {
            continue;
        }
        get = get || strcmp(c->method, "GET") == 0;
        post = post || strcmp(c->method, "POST") == 0;
        if (strcmp(c->method, wanted) == 0 && literal > best) {
            best = literal;
            found = c;
        }
    }
    *allow = NULL;
    if (get) {
        *allow = post ? "GET, HEAD, POST" : "GET, HEAD";
    } else if (post) {
        *allow = "POST";
    }
    return found;
}

static const ep_field *field_of(const ep_use_case *c, const char *name, size_t len)
{
    for (int i = 0; i < c->n_fields; i++) {
        if (strlen(c->field[i].name) == len && strncmp(c->field[i].name, name, len) == 0) {
            return &c->field[i];
        }
    }
    return NULL;
}

// put one field given as text; a name the case does not know goes through as it is, so that the
// refusal of unknown fields has one wording
static ep_status put_text(json_t *in, const ep_field *f, const char *name, const char *text,
                          ep_err *err)
{
    json_t *value = f ? ep_field_from_text(f, text, err) : json_string(text);
    if (!value) {
        return err->status != EP_OK ? err->status : ep_err_set(err, EP_E_MEMORY, name, "%s", name);
    }
    if (json_object_set_new(in, name, value) != 0) {
        return ep_err_set(err, EP_E_MEMORY, name, "out of memory");
    }
    return EP_OK;
}

static ep_status put_path(json_t *in, const ep_use_case *c, const ep_target *t, ep_err *err)
{
    const char *p = c->path;
    for (int i = 0; i < t->n_segments; i++) {
        p++;
        size_t n = strcspn(p, "/");
        if (*p == '{') {
            const ep_field *f = field_of(c, p + 1, n - 2);
            assert(f && "a path parameter must be a field of its case");
            ep_status s = put_text(in, f, f->name, t->segment[i], err);
            if (s != EP_OK) {
                return s;
            }
        }
        p += n;
    }
    return EP_OK;
}

static ep_status put_query(json_t *in, const ep_use_case *c, const ep_target *t, ep_err *err)
{
    for (int i = 0; i < t->n_pairs; i++) {
        const char *key = t->key[i];
        if (strcmp(c->method, "POST") == 0) {
            return ep_err_set(err, EP_E_USAGE, key, "%s: a POST takes its fields from the body",
                              key);
        }
        if (json_object_get(in, key)) {
            return ep_err_set(err, EP_E_ARG, key, "%s: given in the address and in the query", key);
        }
        // "?kind=" is how a form says: nothing chosen
        ep_status s = t->value[i][0] == '\0'
                          ? EP_OK
                          : put_text(in, field_of(c, key, strlen(key)), key, t->value[i], err);
        if (s != EP_OK) {
            return s;
        }
    }
    return EP_OK;
}

// Lists in lists in lists cost stack at every step from here on, and a connection's thread has
// little; looked at before anything walks into them. What is no JSON is told by the parser.
static bool is_deep(const char *text, size_t len)
{
    int depth = 0;
    bool quoted = false;
    for (size_t i = 0; i < len; i++) {
        char c = text[i];
        if (quoted) {
            i += c == '\\';  // whatever it escapes does not end the string
            quoted = c != '"';
        } else if (c == '"') {
            quoted = true;
        } else if (c == '[' || c == '{') {
            if (++depth > EP_WEB_DEPTH_MAX) {
                return true;
            }
        } else if (c == ']' || c == '}') {
            depth--;
        }
    }
    return false;
}

static ep_status put_body(json_t *in, const ep_http_req *rq, ep_err *err)
{
    if (rq->body_len == 0) {
        return EP_OK;
    }
    if (is_deep(rq->body, rq->body_len)) {
        return ep_err_set(err, EP_E_PARSE, "", "the body is nested deeper than %d levels",
                          EP_WEB_DEPTH_MAX);
    }
    json_error_t where;
    json_t *body = json_loadb(rq->body, rq->body_len, JSON_REJECT_DUPLICATES, &where);
    if (!body) {
        return ep_err_set(err, EP_E_PARSE, "", "the body is not JSON: %s at byte %d", where.text,
                          where.position);
    }
    ep_status s = EP_OK;
    if (!json_is_object(body)) {
        s = ep_err_set(err, EP_E_PARSE, "", "the body must be a JSON object");
    }
    const char *key = NULL;
    json_t *value = NULL;
    json_object_foreach(body, key, value)
    {
        json_t *there = json_object_get(in, key);
        if (there && !json_equal(there, value)) {
            s = ep_err_set(err, EP_E_ARG, key, "%s: the address and the body disagree", key);
        } else if (!there && json_object_set(in, key, value) != 0) {
            s = ep_err_set(err, EP_E_MEMORY, key, "out of memory");
        }
    }
    json_decref(body);
    return s;
}

json_t *ep_api_input(const ep_use_case *c, const ep_http_req *rq, const ep_target *target,
                     ep_err *err)
{
    json_t *in = json_object();
    if (!in) {
        ep_err_set(err, EP_E_MEMORY, "", "out of memory");
        return NULL;
    }
    ep_status s = put_path(in, c, target, err);
    if (s == EP_OK) {
        s = put_query(in, c, target, err);
    }
    if (s == EP_OK) {
        s = put_body(in, rq, err);
    }
    if (s != EP_OK) {
        json_decref(in);
        return NULL;
    }
    return in;
}

static void out_of_memory(ep_http_reply *reply)
{
    ep_err err = {.status = EP_E_MEMORY};
    ep_http_reply_error(reply, 500, &err);
}

static void reply_json(ep_http_reply *reply, const json_t *value)
{
    char *body = value ? json_dumps(value, JSON_OUT) : NULL;
    if (!body) {
        out_of_memory(reply);
        return;
    }
    *reply = (ep_http_reply){.status = 200,
                             .type = "application/json",
                             .body = body,
                             .len = strlen(body),
                             .owned = body};
}

// an answer that is a file: text to be saved, or bytes a page shows
static void reply_file(ep_http_reply *reply, const char *type, const json_t *value)
{
    const char *text = json_string_value(json_object_get(value, "text"));
    const char *base64 = json_string_value(json_object_get(value, "base64"));
    const char *name = json_string_value(json_object_get(value, "name"));
    size_t n = strlen(text ? text : base64 ? base64 : ""), len = n;
    unsigned char *body = malloc(n + 1);
    bool ok = body && (text || base64);
    if (ok && text) {
        memcpy(body, text, n);
    } else if (ok) {
        ok = sodium_base642bin(body, n + 1, base64, n, NULL, &len, NULL,
                               sodium_base64_VARIANT_ORIGINAL) == 0;
    }
    if (!ok) {
        free(body);
        out_of_memory(reply);
        return;
    }
    *reply = (ep_http_reply){.status = 200, .type = type, .body = body, .len = len, .owned = body};
    if (text && name) {
        snprintf(reply->file, sizeof reply->file, "%s", name);
    }
}

static void call(const ep_api *api, const ep_use_case *c, const ep_http_req *rq,
                 const ep_target *target, ep_http_reply *reply)
{
    ep_mistakes more = {0};
    ep_err err = {.more = &more};
    json_t *out = NULL;
    json_t *in = ep_api_input(c, rq, target, &err);
    ep_status s = in ? ep_app_call_for(api->app, rq->waiter, c, in, &out, &err) : err.status;
    json_decref(in);
    if (s == EP_OK) {
        char cookie[sizeof reply->cookie];
        if (strcmp(c->method, "POST") == 0 && ep_pair_is_news(c, out)) {
            ep_events_post(api->events, c->name);
        }
        ep_pair_complete(api, c, rq, out, cookie, sizeof cookie);
        if (c->gives) {
            reply_file(reply, c->gives, out);
        } else {
            reply_json(reply, out);
        }
        memcpy(reply->cookie, cookie, sizeof cookie);
    } else {
        err.status = s;
        ep_http_reply_error(reply, ep_http_status_of(s), &err);
    }
    json_decref(out);
}

static bool is_path(const ep_target *t, const char *name)
{
    return t->n_segments == 2 && strcmp(t->segment[1], name) == 0;
}

void ep_api_answer(const ep_api *api, const ep_http_req *rq, const ep_target *target,
                   ep_http_reply *reply)
{
    bool get = strcmp(rq->method, "GET") == 0;
    if (is_path(target, "events") && get) {
        *reply = (ep_http_reply){.status = 200, .type = "text/event-stream", .stream = true};
        return;
    }
    if (is_path(target, "openapi.json") && strcmp(rq->method, "POST") != 0) {
        json_t *doc = ep_openapi_build(api->cases, api->n_cases);
        reply_json(reply, doc);
        json_decref(doc);
        return;
    }
    const char *allow = NULL;
    const ep_use_case *c = ep_api_find(api, rq->method, target, &allow);
    if (c) {
        call(api, c, rq, target, reply);
        return;
    }
    if (is_path(target, "events")) {
        allow = "GET";
    } else if (is_path(target, "openapi.json")) {
        allow = "GET, HEAD";
    }
    ep_err err = {0};
    if (allow) {
        ep_err_set(&err, EP_E_USAGE, "", "%s is not answered here, only %s", rq->method, allow);
        ep_http_reply_error(reply, 405, &err);
        reply->allow = allow;
    } else {
        ep_err_set(&err, EP_E_NOT_FOUND, "", "there is no such address");
        ep_http_reply_error(reply, 404, &err);
    }
}
