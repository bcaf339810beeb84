// The table of use cases as an OpenAPI 3.1 document (spec.openapis.org/oas/v3.1.0): what it takes
// to write a client without reading our code.
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "web/api.h"

static json_t *choices_of(const char *choices)
{
    json_t *list = json_array();
    while (choices && *choices) {
        size_t n = strcspn(choices, "|");
        json_array_append_new(list, json_stringn(choices, n));
        choices += n + (choices[n] == '|');
    }
    return list;
}

static bool has_range(const ep_field *f)
{
    return f->min < f->max;
}

static json_t *with_range(const ep_field *f, json_t *schema, const char *least, const char *most)
{
    if (has_range(f)) {
        // a length is a whole number, a value need not be
        bool length = f->kind == EP_FIELD_TEXT || f->kind == EP_FIELD_LIST;
        json_object_set_new(schema, least,
                            length ? json_integer((json_int_t)f->min) : json_real(f->min));
        json_object_set_new(schema, most,
                            length ? json_integer((json_int_t)f->max) : json_real(f->max));
    }
    return schema;
}

static json_t *number_schema(const ep_field *f, const char *type)
{
    return with_range(f, json_pack("{s:s}", "type", type), "minimum", "maximum");
}

// a quantity is a text with its unit, or a bare number in the field's own unit
static json_t *quantity_schema(const ep_field *f)
{
    return json_pack("{s:[o, {s:s, s:s}]}", "anyOf", number_schema(f, "number"), "type", "string",
                     "description", "number and unit");
}

static json_t *object_schema(const ep_field *field, int n_fields);

static json_t *list_schema(const ep_field *f)
{
    json_t *s = json_pack("{s:s}", "type", "array");
    if (f->item) {
        json_object_set_new(s, "items", object_schema(f->item, f->n_items));
    }
    return with_range(f, s, "minItems", "maxItems");
}

static json_t *map_schema(const ep_field *f)
{
    json_t *s = json_pack("{s:s}", "type", "object");
    if (f->unit != EP_U_NONE) {
        json_object_set_new(s, "additionalProperties", quantity_schema(f));
    }
    return s;
}

static json_t *schema_of(const ep_field *f)
{
    switch (f->kind) {
    case EP_FIELD_TEXT:
        return with_range(f, json_pack("{s:s}", "type", "string"), "minLength", "maxLength");
    case EP_FIELD_ID:
        return json_pack("{s:s}", "type", "string");
    case EP_FIELD_BOOL:
        return json_pack("{s:s}", "type", "boolean");
    case EP_FIELD_INT:
        return number_schema(f, "integer");
    case EP_FIELD_QUANTITY:
        return quantity_schema(f);
    case EP_FIELD_CHOICE:
        return json_pack("{s:s, s:o}", "type", "string", "enum", choices_of(f->choices));
    case EP_FIELD_TIME:
        return json_pack("{s:s, s:s}", "type", "string", "format", "date-time");
    case EP_FIELD_LIST:
        return list_schema(f);
    case EP_FIELD_OBJECT:
        return map_schema(f);
    case EP_FIELD_FILE:
        return json_pack("{s:s, s:i}", "type", "string", "maxLength", (int)f->max);
    case EP_FIELD_BYTES:
        return json_pack("{s:s, s:s, s:i}", "type", "string", "contentEncoding", "base64",
                         "maxLength", ((int)f->max + 2) / 3 * 4);
    case EP_FIELD_VALUE:
        return json_pack("{s:[s, s, s]}", "type", "string", "number", "boolean");
    }
    return NULL;
}

static json_t *describe(const ep_field *f)
{
    ep_text t;
    ep_text_init(&t);
    ep_text_add(&t, f->label ? f->label : f->name);
    if (f->kind == EP_FIELD_QUANTITY && ep_unit_symbol(f->unit)[0]) {
        ep_text_addf(&t, ", %s", ep_unit_symbol(f->unit));
    }
    if (f->help && f->help[0]) {
        ep_text_addf(&t, ". %s", f->help);
    }
    json_t *s = json_string(ep_text_str(&t));
    ep_text_clear(&t);
    return s;
}

static json_t *parameters_of(const ep_use_case *c)
{
    bool post = strcmp(c->method, "POST") == 0;
    json_t *list = json_array();
    for (int i = 0; i < c->n_fields; i++) {
        const ep_field *f = &c->field[i];
        if (post && !f->path) {
            continue;
        }
        json_array_append_new(list, json_pack("{s:s, s:s, s:b, s:o, s:o}", "name", f->name, "in",
                                              f->path ? "path" : "query", "required",
                                              f->path || f->required, "description", describe(f),
                                              "schema", schema_of(f)));
    }
    return list;
}

// fields as the members of an object; path parameters stand elsewhere
static json_t *object_schema(const ep_field *field, int n_fields)
{
    json_t *properties = json_object();
    json_t *required = json_array();
    for (int i = 0; i < n_fields; i++) {
        const ep_field *f = &field[i];
        if (f->path) {
            continue;
        }
        json_t *schema = schema_of(f);
        json_object_set_new(schema, "description", describe(f));
        json_object_set_new(properties, f->name, schema);
        if (f->required) {
            json_array_append_new(required, json_string(f->name));
        }
    }
    return json_pack("{s:s, s:b, s:o, s:o}", "type", "object", "additionalProperties", 0,
                     "properties", properties, "required", required);
}

static json_t *body_of(const ep_use_case *c)
{
    json_t *schema = object_schema(c->field, c->n_fields);
    bool needed = json_array_size(json_object_get(schema, "required")) > 0;
    return json_pack("{s:b, s:{s:{s:o}}}", "required", needed, "content", "application/json",
                     "schema", schema);
}

static json_t *responses(const ep_use_case *c)
{
    json_t *ok = c->gives ? json_pack("{s:s, s:{s:{}}}", "description", "done", "content", c->gives)
                          : json_pack("{s:s, s:{s:{s:{s:s}}}}", "description", "done", "content",
                                      "application/json", "schema", "type", "object");
    json_t *no = json_pack("{s:s, s:{s:{s:{s:s}}}}", "description", "refused or failed", "content",
                           "application/json", "schema", "$ref", "#/components/schemas/Error");
    return json_pack("{s:o, s:o}", "200", ok, "default", no);
}

static json_t *operation_of(const ep_use_case *c)
{
    json_t *op = json_pack("{s:s, s:s, s:[s], s:o, s:o}", "operationId", c->name, "summary",
                           c->summary ? c->summary : c->name, "tags", c->group ? c->group : "other",
                           "parameters", parameters_of(c), "responses", responses(c));
    if (op && strcmp(c->method, "POST") == 0) {
        json_object_set_new(op, "requestBody", body_of(c));
    }
    return op;
}

static json_t *error_schema(void)
{
    json_t *text = json_pack("{s:s}", "type", "string");
    return json_pack("{s:s, s:{s:{s:s, s:{s:O, s:O, s:o}}}}", "type", "object", "properties",
                     "error", "type", "object", "properties", "status", text, "field", text, "text",
                     text);
}

json_t *ep_openapi_build(const ep_use_case *cases, int n_cases)
{
    json_t *paths = json_object();
    for (int i = 0; i < n_cases; i++) {
        const ep_use_case *c = &cases[i];
        if (!c->path) {
            continue;
        }
        json_t *item = json_object_get(paths, c->path);
        if (!item) {
            item = json_object();
            json_object_set_new(paths, c->path, item);
        }
        json_object_set_new(item, strcmp(c->method, "POST") == 0 ? "post" : "get", operation_of(c));
    }
    return json_pack("{s:s, s:{s:s, s:s, s:s}, s:o, s:{s:{s:o}}}", "openapi", "3.1.0", "info",
                     "title", "Evenpool", "version", EP_VERSION, "description",
                     "The use cases of a candle workshop. Contract in words: docs/api.md.", "paths",
                     paths, "components", "schemas", "Error", error_schema());
}
