// Who asks, and who may call what.
#include <string.h>

#include "app/devices.h"
#include "app/devices_int.h"

#define SEEN_EVERY_MS ((ep_time_ms)60 * 1000)

const char *ep_who_name(ep_who who)
{
    static const char *const names[] = {[EP_WHO_STRANGER] = "stranger",
                                        [EP_WHO_BENCH] = "bench",
                                        [EP_WHO_ALL] = "all",
                                        [EP_WHO_HERE] = "here"};
    return names[who];
}

ep_who ep_case_who(const ep_use_case *c)
{
    static const struct {
        const char *name;
        ep_who who;
    } exceptions[] = {
        // what the bench writes down
        {"session_light", EP_WHO_BENCH},
        {"session_end", EP_WHO_BENCH},
        {"reading_add", EP_WHO_BENCH},
        {"reading_batch", EP_WHO_BENCH},
        {"reading_keep", EP_WHO_BENCH},
        {"photo_add", EP_WHO_BENCH},
        {"photo_describe", EP_WHO_BENCH},
        {"photo_take_out", EP_WHO_BENCH},
        {"candle_weigh", EP_WHO_BENCH},
        {"candle_finish", EP_WHO_BENCH},
        // a lost phone may be shut out from the tablet; letting in takes somebody at the computer
        {"device_list", EP_WHO_ALL},
        {"device_revoke", EP_WHO_ALL},
        {"device_invite", EP_WHO_HERE},
        {"device_confirm", EP_WHO_HERE},
        {"device_pair", EP_WHO_STRANGER},
        {"device_wait", EP_WHO_STRANGER},
    };
    for (int i = 0; i < EP_COUNT_OF(exceptions); i++) {
        if (strcmp(exceptions[i].name, c->name) == 0) {
            return exceptions[i].who;
        }
    }
    return c->method && strcmp(c->method, "GET") == 0 ? EP_WHO_BENCH : EP_WHO_ALL;
}

ep_time_ms ep_app_time(const ep_app *app)
{
    return ep_app_now(app);
}

static bool looks_like_token(const char *text)
{
    return strlen(text) == EP_TOKEN_LEN && strspn(text, "0123456789abcdef") == EP_TOKEN_LEN;
}

// failing to note a visit is no reason to turn a device away: what it asks for says what is wrong
static void note_seen(ep_app *app, const char *id, ep_time_ms seen)
{
    ep_time_ms now = ep_app_now(app);
    ep_bind bind[] = {ep_bind_text("id", id), ep_bind_int("at", now)};
    if (seen && now - seen < SEEN_EVERY_MS) {
        return;
    }
    if (ep_app_begin(app, true, "device_seen", NULL) == EP_OK) {
        ep_status status = ep_store_run(app->store, EP_Q_DEVICE_SEEN, bind, 2, NULL);
        (void)ep_app_end(app, status, NULL);
    }
}

static ep_status find_visitor(ep_app *app, const char *token, json_t **row, ep_err *err)
{
    char hash[EP_HASH_LEN + 1];
    ep_secret_hash("token", "", token, hash);
    ep_bind bind[] = {ep_bind_text("token", hash)};
    ep_status status = ep_app_begin(app, false, "device_recognise", err);
    if (status != EP_OK) {
        return status;
    }
    status = ep_store_one(app->store, EP_Q_DEVICE_OF_TOKEN, bind, 1, row, err);
    bool none = status == EP_E_NOT_FOUND;
    status = ep_app_end(app, none ? EP_OK : status, err);
    return status == EP_OK && none ? EP_E_NOT_FOUND : status;
}

ep_status ep_visitor_of_token(ep_app *app, const char *token, ep_visitor *out, ep_err *err)
{
    json_t *row = NULL;
    ep_status status =
        looks_like_token(token) ? find_visitor(app, token, &row, err) : EP_E_NOT_FOUND;
    if (status == EP_OK && ep_device_state_at(row, ep_app_now(app)) != EP_DEVICE_PAIRED) {
        status = EP_E_NOT_FOUND;
    }
    if (status == EP_OK) {
        bool all = strcmp(ep_row_text(row, "role"), "all") == 0;
        *out = (ep_visitor){.who = all ? EP_WHO_ALL : EP_WHO_BENCH};
        snprintf(out->id, sizeof out->id, "%s", ep_row_text(row, "id"));
        snprintf(out->name, sizeof out->name, "%s", ep_row_text(row, "name"));
        note_seen(app, out->id, ep_row_int(row, "seen_ms", 0));
    }
    json_decref(row);
    if (status == EP_E_NOT_FOUND) {
        return ep_err_set(err, EP_E_DENIED, "device",
                          "device: it is not paired with this workshop");
    }
    return status;
}
