// What a person types for one field on the command line, as the JSON the field expects.
//   list of texts:    "a, b"
//   list of pairs:    "0 mm: 70 mm, 90 mm: 74 mm"
//   longer elements:  "1 = 0.9 g/m, 2 mm; 2 = 1.1 g/m"   (values in the order of the item's fields)
//   names and values: "K7QF: 312 g, M2XA: 298 g"
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

/// A piece of text between two places, blanks around it left out.
typedef struct piece {
    const char *at;
    size_t len;
} piece;

static piece trim(const char *at, size_t len)
{
    while (len > 0 && strchr(" \t\r\n", at[0])) {
        at++;
        len--;
    }
    while (len > 0 && strchr(" \t\r\n", at[len - 1])) {
        len--;
    }
    return (piece){at, len};
}

/// Cut the next piece off `rest` at `separator`; false when nothing is left.
static bool next_piece(const char **rest, char separator, piece *out)
{
    if (!*rest || **rest == '\0') {
        return false;
    }
    const char *end = strchr(*rest, separator);
    size_t len = end ? (size_t)(end - *rest) : strlen(*rest);
    *out = trim(*rest, len);
    *rest = end ? end + 1 : NULL;
    return true;
}

static const char *find_in(piece p, char c)
{
    return p.len ? memchr(p.at, c, p.len) : NULL;
}

/// The sign between name and value: '=' when there is one, else the first ':'.
static const char *split_at(piece p)
{
    const char *equals = find_in(p, '=');
    return equals ? equals : find_in(p, ':');
}

static json_t *json_of(piece p)
{
    return json_stringn(p.at, p.len);
}

static json_t *complain(const ep_field *f, const char *what, piece p, ep_err *err)
{
    char *copy = strndup(p.at, p.len);
    char said[64];
    ep_err_set(err, EP_E_PARSE, f->name, "%s: “%s” %s; example: %s", f->name,
               ep_text_excerpt(copy, said, sizeof said), what, f->help ? f->help : "");
    free(copy);
    return NULL;
}

/// "name = first, second" into an object with the item's field names.
static json_t *element_of(const ep_field *f, piece p, ep_err *err)
{
    json_t *o = json_object();
    const char *sign = f->n_items > 1 ? split_at(p) : NULL;
    piece head = sign ? trim(p.at, (size_t)(sign - p.at)) : p;
    json_object_set_new(o, f->item[0].name, json_of(head));
    if (!sign) {
        return o;
    }
    char *tail = strndup(sign + 1, (size_t)(p.at + p.len - sign - 1));
    const char *rest = tail;
    piece value;
    int i = 1;
    while (next_piece(&rest, ',', &value)) {
        if (i >= f->n_items) {
            json_decref(o);
            o = complain(f, "has more values than expected", p, err);
            break;
        }
        json_object_set_new(o, f->item[i++].name, json_of(value));
    }
    free(tail);
    return o;
}

static json_t *list_of(const ep_field *f, const char *text, ep_err *err)
{
    json_t *list = json_array();
    const char *rest = text;
    char separator = strchr(text, ';') ? ';' : ',';
    piece p;
    while (list && next_piece(&rest, separator, &p)) {
        if (p.len == 0) {
            continue;  // a trailing separator
        }
        json_t *element = f->item ? element_of(f, p, err) : json_of(p);
        if (!element || json_array_append_new(list, element) != 0) {
            json_decref(list);
            list = NULL;
        }
    }
    return list;
}

static json_t *members_of(const ep_field *f, const char *text, ep_err *err)
{
    json_t *object = json_object();
    const char *rest = text;
    char separator = strchr(text, ';') ? ';' : ',';
    piece p;
    while (object && next_piece(&rest, separator, &p)) {
        if (p.len == 0) {
            continue;
        }
        const char *sign = split_at(p);
        piece name = sign ? trim(p.at, (size_t)(sign - p.at)) : p;
        if (!sign || name.len == 0) {
            json_decref(object);
            return complain(f, "has no name before its value", p, err);
        }
        piece value = trim(sign + 1, (size_t)(p.at + p.len - sign - 1));
        json_object_setn_new(object, name.at, name.len, json_of(value));
    }
    return object;
}

static json_t *loaded(const ep_field *f, const char *text, ep_err *err)
{
    json_error_t error;
    json_t *value = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (!value) {
        char said[JSON_ERROR_TEXT_LENGTH];
        ep_err_set(err, EP_E_PARSE, f->name, "%s: this is no valid JSON: %s (character %d)",
                   f->name, ep_text_excerpt(error.text, said, sizeof said), error.position);
    }
    return value;
}

json_t *ep_field_from_text(const ep_field *f, const char *text, ep_err *err)
{
    bool structured = f->kind == EP_FIELD_LIST || f->kind == EP_FIELD_OBJECT;
    if (!structured) {
        json_t *value = json_string(text);
        if (!value) {
            ep_err_set(err, EP_E_PARSE, f->name, "%s: the text is not valid UTF-8", f->name);
        }
        return value;
    }
    const char *start = text + strspn(text, " \t\r\n");
    if (*start == '[' || *start == '{') {
        return loaded(f, text, err);
    }
    json_t *value = f->kind == EP_FIELD_LIST ? list_of(f, text, err) : members_of(f, text, err);
    if (!value) {
        ep_err_set(err, EP_E_PARSE, f->name, "%s: the text could not be read", f->name);
    }
    return value;
}
