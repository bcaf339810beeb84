// The demo's photos. They are drawings, made by tools/demo-drawings.mjs from the demo's readings,
// and say so.
#include <string.h>

#include "app/demo_int.h"

// data/demo/drawings.json, made into bytes by tools/embed
extern const unsigned char ep_demo_drawing_list[];

static const json_t *drawing_of(const json_t *list, const char *size, int session, double minute)
{
    size_t i;
    const json_t *one;
    json_array_foreach(list, i, one)
    {
        if (strcmp(ep_row_text(one, "size"), size) == 0 &&
            json_integer_value(json_object_get(one, "session")) == session &&
            json_number_value(json_object_get(one, "minute")) == minute) {
            return one;
        }
    }
    return NULL;
}

ep_status ep_demo_drawings_read(json_t **list, ep_err *err)
{
    json_error_t bad;
    *list = json_loads((const char *)ep_demo_drawing_list, JSON_REJECT_DUPLICATES, &bad);
    return *list ? EP_OK
                 : ep_err_set(err, EP_E_PARSE, "demo", "demo: drawings.json line %d: %s", bad.line,
                              bad.text);
}

ep_status ep_demo_drawing(ep_demo *d, const char *size, int session, double minute,
                          const char *reading, ep_err *err)
{
    const json_t *one = drawing_of(d->drawings, size, session, minute);
    return one ? ep_demo_call(d, "photo_add",
                              json_pack("{s:s, s:s, s:s}", "reading", reading, "alt",
                                        ep_row_text(one, "alt"), "jpeg", ep_row_text(one, "jpeg")),
                              NULL, err)
               : EP_OK;
}
