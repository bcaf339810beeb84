// Putting things away and taking them out again; and finding a thing of any kind by id or name.
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

typedef ep_status (*finder)(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                            ep_err *err);

static ep_status find_any_material(ep_app *app, const char *text, const char *field,
                                   char id[EP_ID_CAP], ep_err *err)
{
    return ep_find_material(app, -1, text, field, id, err);
}

ep_status ep_find_thing(ep_app *app, unsigned kinds, const char *text, const char *field,
                        ep_thing *kind, char id[EP_ID_CAP], ep_err *err)
{
    static const finder find[EP_THING_COUNT_] = {
        [EP_THING_MATERIAL] = find_any_material,
        [EP_THING_SERIES] = ep_find_series,
        [EP_THING_CONTAINER] = ep_find_container,
        [EP_THING_RECIPE] = ep_find_recipe,
    };
    int hits = 0;
    for (int k = 0; k < EP_THING_COUNT_; k++) {
        ep_err local = {0};
        char found[EP_ID_CAP];
        ep_status status = EP_E_NOT_FOUND;
        if (kinds & (1u << k)) {
            status = find[k](app, text, field, found, &local);
        }
        if (status == EP_OK) {
            hits++;
            *kind = (ep_thing)k;
            ep_copy(id, EP_ID_CAP, found);
        } else if (status != EP_E_NOT_FOUND) {
            return ep_err_set(err, status, local.field, "%s", local.text);
        }
    }
    char said[64];
    ep_text_excerpt(text, said, sizeof said);
    if (hits == 0) {
        return ep_err_set(err, EP_E_NOT_FOUND, field, "%s: there is nothing called “%s”", field,
                          said);
    }
    if (hits > 1) {
        return ep_err_set(err, EP_E_ARG, field, "%s: several things are called “%s”; give the id",
                          field, said);
    }
    return EP_OK;
}

ep_status ep_case_archive(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    static const char *const kind_key[EP_THING_COUNT_] = {
        [EP_THING_MATERIAL] = "material",
        [EP_THING_SERIES] = "series",
        [EP_THING_CONTAINER] = "container",
        [EP_THING_RECIPE] = "recipe",
    };
    ep_thing kind;
    char id[EP_ID_CAP];
    bool archived = ep_in_bool(in, "archived", true);
    ep_status status = ep_find_thing(app, (1u << EP_THING_COUNT_) - 1u, ep_in_text(in, "thing"),
                                     "thing", &kind, id, err);
    if (status == EP_OK && ep_app_archived(app, id) != archived) {
        ep_bind bind[] = {ep_bind_text("kind", kind_key[kind]), ep_bind_text("id", id),
                          ep_bind_int("archived", archived), ep_bind_int("at", ep_app_now(app))};
        status = ep_store_run(app->store, EP_Q_ARCHIVE_ADD, bind, EP_COUNT_OF(bind), err);
    }
    if (status == EP_OK) {
        *out = json_pack("{s:s, s:b}", "thing", id, "archived", archived);
    }
    return status;
}
