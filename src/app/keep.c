// Kept answers: found again by a hash over what they rest on.
#include "app/keep_int.h"

#include "base/log.h"
#include "base/uuid.h"
#include "burn/burn.h"

ep_status ep_kept_find(ep_app *app, const ep_kept_key *key, unsigned char **bytes, size_t *len,
                       ep_err *err)
{
    const ep_bind bind[] = {ep_bind_text("inputs", key->inputs), ep_bind_text("kind", key->kind),
                            ep_bind_text("engine", EP_ENGINE_VERSION),
                            ep_bind_text("tables", ep_tables_version()),
                            ep_bind_int("seed", key->seed)};
    *bytes = NULL;
    ep_status s = ep_app_begin(app, false, "keep", err);
    if (s != EP_OK) {
        return s;
    }
    s = ep_store_bytes(app->store, EP_Q_KEPT_BODY, bind, EP_COUNT_OF(bind), bytes, len, err);
    return ep_app_end(app, s == EP_E_NOT_FOUND ? EP_OK : s, err);
}

static ep_status add(ep_app *app, const ep_kept_key *key, const unsigned char *bytes, size_t len,
                     int most, ep_err *err)
{
    const ep_time_ms now = ep_app_now(app);
    const ep_uuid id = ep_uuid_make(now);
    const ep_bind row[] = {ep_bind_text("id", id.text),
                           ep_bind_text("kind", key->kind),
                           ep_bind_text("recipe", key->recipe_id),
                           ep_bind_text("about", key->about ? key->about : ""),
                           ep_bind_text("engine", EP_ENGINE_VERSION),
                           ep_bind_text("tables", ep_tables_version()),
                           ep_bind_int("seed", key->seed),
                           ep_bind_text("inputs", key->inputs),
                           ep_bind_bytes("body", bytes, len),
                           ep_bind_int("at", now)};
    const ep_bind room[] = {ep_bind_text("recipe", key->recipe_id), ep_bind_text("kind", key->kind),
                            ep_bind_text("about", key->about ? key->about : ""),
                            ep_bind_int("most", most)};
    ep_status s = ep_store_run(app->store, EP_Q_KEPT_ADD, row, EP_COUNT_OF(row), err);
    return s == EP_OK ? ep_store_run(app->store, EP_Q_KEPT_MAKE_ROOM, room, EP_COUNT_OF(room), err)
                      : s;
}

void ep_kept_add(ep_app *app, const ep_kept_key *key, const unsigned char *bytes, size_t len,
                 int most)
{
    ep_err err = {0};
    ep_status s = ep_app_begin(app, true, "keep", &err);
    s = s == EP_OK ? ep_app_end(app, add(app, key, bytes, len, most, &err), &err) : s;
    if (s != EP_OK) {
        ep_log(EP_LOG_WARN, "what was worked out could not be kept: %s", err.text);
    }
}
