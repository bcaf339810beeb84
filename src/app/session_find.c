// A burn session by its id, or by the code of a candle: at the bench the code is what one reads.
#include <string.h>

#include "app/bench_int.h"
#include "base/text.h"

// the session a candle is lit in, or was lit in last
static ep_status session_of_candle(ep_app *app, const ep_candle *c, const char *field,
                                   char id[EP_ID_CAP], ep_err *err)
{
    json_t *rows = NULL;
    ep_bind bind[] = {ep_bind_text("candle", c->id)};
    ep_status status = ep_store_json(app->store, EP_Q_BURNS_OF_CANDLE, bind, 1, &rows, err);
    const json_t *last =
        json_array_get(rows, json_array_size(rows) - 1);  // NULL when there is none
    if (status == EP_OK && !last) {
        status = ep_err_set(err, EP_E_STATE, field, "%s: %s was never lit", field, c->code);
    }
    if (status == EP_OK) {
        ep_copy(id, EP_ID_CAP, ep_row_text(last, "session_id"));
    }
    json_decref(rows);
    return status;
}

ep_status ep_session_find(ep_app *app, const char *text, char id[EP_ID_CAP], ep_candle *by,
                          ep_err *err)
{
    json_t *row = NULL;
    ep_err ignored = {0};
    ep_bind bind[] = {ep_bind_text("id", text)};
    *by = (ep_candle){0};
    ep_status status = ep_store_one(app->store, EP_Q_SESSION_GET, bind, 1, &row, &ignored);
    json_decref(row);
    if (status == EP_OK) {
        ep_copy(id, EP_ID_CAP, text);
        return EP_OK;
    }
    if (ep_candle_load(app, text, "id", by, &ignored) == EP_OK) {
        return session_of_candle(app, by, "id", id, err);
    }
    return ep_err_set(err, EP_E_NOT_FOUND, "id",
                      "id: there is no burn session and no candle “%.60s”", text);
}
