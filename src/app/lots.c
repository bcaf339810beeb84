// Lots: deliveries by the code on their label.
#include <math.h>

#include "app/app_int.h"

enum { LOT_KINDS = 1u << EP_THING_MATERIAL | 1u << EP_THING_SERIES | 1u << EP_THING_CONTAINER };

ep_status ep_shape_lot(ep_app *app, const char *lot_id, json_t **out, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", lot_id)};
    ep_status status = ep_store_one(app->store, EP_Q_LOT_GET, bind, 1, out, err);
    return status == EP_E_NOT_FOUND
               ? ep_err_set(err, status, "lot", "lot: there is none with the id “%s”", lot_id)
               : status;
}

ep_status ep_case_lots(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP] = "";
    ep_thing kind;
    ep_status status = EP_OK;
    if (ep_in_has(in, "material")) {
        status =
            ep_find_thing(app, LOT_KINDS, ep_in_text(in, "material"), "material", &kind, id, err);
    }
    json_t *rows = NULL;
    if (status == EP_OK) {
        ep_bind bind[] = {ep_bind_text_or_null("thing", id)};
        status = ep_store_json(app->store, EP_Q_LOT_LIST, bind, 1, &rows, err);
    }
    if (status == EP_OK) {
        *out = json_pack("{s:o}", "lots", rows);
    }
    return status;
}

static ep_status save_lot(ep_app *app, const json_t *in, const char *id, ep_thing kind,
                          const char *thing, ep_err *err)
{
    ep_time_ms received = ep_in_time(in, "received", -1);
    ep_bind bind[] = {
        ep_bind_text("id", id),
        ep_bind_text("material", kind == EP_THING_MATERIAL ? thing : NULL),
        ep_bind_text("series", kind == EP_THING_SERIES ? thing : NULL),
        ep_bind_text("container", kind == EP_THING_CONTAINER ? thing : NULL),
        ep_bind_text("code", ep_in_text(in, "code")),
        received < 0 ? ep_bind_null("received") : ep_bind_int("received", received),
        ep_bind_real("quantity", ep_unit_from_si(EP_U_G, ep_in_real(in, "quantity", (double)NAN))),
        ep_bind_text("note", ep_in_text(in, "note")),
        ep_bind_int("at", ep_app_now(app)),
    };
    ep_err inner = {0};
    ep_status status = ep_store_run(app->store, EP_Q_LOT_ADD, bind, EP_COUNT_OF(bind), &inner);
    if (status == EP_E_CONFLICT) {
        return ep_err_set(err, status, "code", "code: lot “%s” of this is already entered",
                          ep_in_text(in, "code"));
    }
    return status == EP_OK ? EP_OK : ep_err_as(err, &inner, inner.field);
}

ep_status ep_case_lot_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char id[EP_ID_CAP], thing[EP_ID_CAP];
    ep_thing kind;
    ep_status status =
        ep_find_thing(app, LOT_KINDS, ep_in_text(in, "material"), "material", &kind, thing, err);
    if (status == EP_OK) {
        ep_in_new_id(app, in, id);
        status = save_lot(app, in, id, kind, thing, err);
    }
    return status == EP_OK ? ep_shape_lot(app, id, out, err) : status;
}
