// The demo's shelf and recipes: steps of data/demo/workshop.json, one call each.
#include "app/demo_int.h"

// data/demo/workshop.json, made into bytes by tools/embed
extern const unsigned char ep_demo_workshop[];

ep_status ep_demo_shelf(ep_demo *d, ep_err *err)
{
    json_error_t bad;
    json_t *steps = json_loads((const char *)ep_demo_workshop, JSON_REJECT_DUPLICATES, &bad), *step;
    if (!steps) {
        return ep_err_set(err, EP_E_PARSE, "demo", "demo: workshop.json line %d: %s", bad.line,
                          bad.text);
    }
    ep_status status = EP_OK;
    size_t i;
    json_array_foreach(steps, i, step)
    {
        ep_demo_at(d, json_number_value(json_object_get(step, "days")), 0.0);
        json_t *in = json_deep_copy(json_object_get(step, "in"));
        status = ep_demo_call(d, json_string_value(json_object_get(step, "case")), in, NULL, err);
        if (status != EP_OK) {
            break;
        }
    }
    json_decref(steps);
    return status;
}
