// Reading checked input: absent and null are the same to a case that does not ask which.
#include <stdio.h>

#include "app/app_int.h"
#include "base/uuid.h"

const json_t *ep_in_any(const json_t *in, const char *key)
{
    const json_t *value = json_object_get(in, key);
    return json_is_null(value) ? NULL : value;
}

bool ep_in_has(const json_t *in, const char *key)
{
    return ep_in_any(in, key) != NULL;
}

bool ep_in_cleared(const json_t *in, const char *key)
{
    return json_is_null(json_object_get(in, key));
}

const char *ep_in_text(const json_t *in, const char *key)
{
    return json_string_value(json_object_get(in, key));
}

double ep_in_real(const json_t *in, const char *key, double absent)
{
    const json_t *value = ep_in_any(in, key);
    return json_is_number(value) ? json_number_value(value) : absent;
}

int ep_in_int(const json_t *in, const char *key, int absent)
{
    const json_t *value = ep_in_any(in, key);
    return json_is_integer(value) ? (int)json_integer_value(value) : absent;
}

bool ep_in_bool(const json_t *in, const char *key, bool absent)
{
    const json_t *value = ep_in_any(in, key);
    return json_is_boolean(value) ? json_is_true(value) : absent;
}

ep_time_ms ep_in_time(const json_t *in, const char *key, ep_time_ms absent)
{
    const json_t *value = ep_in_any(in, key);
    return json_is_integer(value) ? json_integer_value(value) : absent;
}

void ep_in_new_id(const ep_app *app, const json_t *in, char id[EP_ID_CAP])
{
    const char *given = in ? ep_in_text(in, "id") : NULL;
    if (given) {
        int i = 0;
        for (; given[i] && i < EP_ID_CAP - 1; i++) {
            id[i] = (char)(given[i] >= 'A' && given[i] <= 'F' ? given[i] + 32 : given[i]);
        }
        id[i] = '\0';
        return;
    }
    ep_uuid fresh = ep_uuid_make(ep_app_now(app));
    snprintf(id, EP_ID_CAP, "%s", fresh.text);
}

const char *ep_row_text(const json_t *row, const char *key)
{
    const char *text = json_string_value(json_object_get(row, key));
    return text ? text : "";
}
