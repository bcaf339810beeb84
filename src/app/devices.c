// Cases: letting devices of the network in, one by one, and shutting them out again.
//
// The computer makes a code. A device that shows it in time gets a ticket and a number; the number
// typed at the computer lets the device in; with its ticket it then fetches its cookie. So a code
// that was seen by somebody else lets nobody in whose number is not typed by the maker.
#include "app/devices.h"

#include <string.h>

#include "app/devices_int.h"

#define CODE_LIFE_MS  ((ep_time_ms)2 * 60 * 1000)
#define ASK_LIFE_MS   ((ep_time_ms)2 * 60 * 1000)
#define FETCH_LIFE_MS ((ep_time_ms)10 * 60 * 1000)
#define AWAY_LIFE_MS  ((ep_time_ms)180 * 24 * 3600 * 1000)
#define POLL_SECONDS  2

static ep_time_ms time_at(const json_t *row, const char *key)
{
    return ep_row_int(row, key, 0);
}

static ep_time_ms latest_sign(const json_t *row)
{
    ep_time_ms seen = time_at(row, "seen_ms"), token = time_at(row, "token_ms");
    return seen > token ? seen : token;
}

ep_device_state ep_device_state_at(const json_t *row, ep_time_ms now)
{
    ep_time_ms confirmed = time_at(row, "confirmed_ms");
    if (time_at(row, "revoked_ms")) {
        return EP_DEVICE_REVOKED;
    }
    if (!confirmed) {
        bool refused = ep_row_int(row, "wrong_numbers", 0) >= EP_NUMBER_TRIES;
        bool late = now >= time_at(row, "until_ms");
        return refused ? EP_DEVICE_REFUSED : late ? EP_DEVICE_LAPSED : EP_DEVICE_PENDING;
    }
    ep_time_ms ends =
        time_at(row, "token_ms") ? latest_sign(row) + AWAY_LIFE_MS : confirmed + FETCH_LIFE_MS;
    return now >= ends ? EP_DEVICE_LAPSED : EP_DEVICE_PAIRED;
}

static const struct {
    const char *key, *text;
} states[] = {
    [EP_DEVICE_PENDING] = {"pending", "waits for its number to be typed at the computer"},
    [EP_DEVICE_PAIRED] = {"paired", "may come in"},
    [EP_DEVICE_REFUSED] = {"refused", "a wrong number was typed three times"},
    [EP_DEVICE_LAPSED] = {"lapsed", "not confirmed in time, or away for 180 days: pair it again"},
    [EP_DEVICE_REVOKED] = {"revoked", "shut out"},
};

static void out_time_or_null(json_t *o, const char *key, ep_time_ms t)
{
    if (t) {
        ep_out_time(o, key, t);
    } else {
        ep_out_null(o, key);
    }
}

static json_t *shape_device(const json_t *row, ep_time_ms now)
{
    ep_device_state state = ep_device_state_at(row, now);
    bool pending = state == EP_DEVICE_PENDING;
    json_t *o = json_object();
    ep_out_text(o, "id", ep_row_text(row, "id"));
    ep_out_text(o, "name", ep_row_text(row, "name"));
    ep_out_text(o, "role", ep_row_text(row, "role"));
    ep_out_text(o, "state", states[state].key);
    ep_out_text(o, "state_text", states[state].text);
    ep_out_time(o, "asked_at", time_at(row, "asked_ms"));
    out_time_or_null(o, "until", pending ? time_at(row, "until_ms") : 0);
    ep_out_new(o, "tries_left",
               pending ? json_integer(EP_NUMBER_TRIES - ep_row_int(row, "wrong_numbers", 0))
                       : NULL);
    out_time_or_null(o, "confirmed_at", time_at(row, "confirmed_ms"));
    out_time_or_null(o, "last_seen_at", time_at(row, "seen_ms"));
    out_time_or_null(o, "revoked_at", time_at(row, "revoked_ms"));
    return o;
}

ep_status ep_case_device_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *rows = NULL, *row, *devices = json_array(), *pending = json_array();
    bool all = ep_in_bool(in, "all", false);
    ep_time_ms now = ep_app_now(app);
    ep_status status = ep_store_json(app->store, EP_Q_DEVICE_LIST, NULL, 0, &rows, err);
    size_t i;
    json_array_foreach(rows, i, row)
    {
        ep_device_state state = ep_device_state_at(row, now);
        if (state == EP_DEVICE_PENDING) {
            json_array_append_new(pending, shape_device(row, now));
        } else if (all || state == EP_DEVICE_PAIRED) {
            json_array_append_new(devices, shape_device(row, now));
        }
    }
    json_decref(rows);
    if (status != EP_OK) {
        json_decref(devices);
        json_decref(pending);
        return status;
    }
    *out = json_pack("{s:o, s:o}", "devices", devices, "pending", pending);
    return EP_OK;
}

static ep_status get_device(ep_app *app, const char *id, json_t **row, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id)};
    ep_status status = ep_store_one(app->store, EP_Q_DEVICE_GET, bind, 1, row, err);
    return status == EP_E_NOT_FOUND
               ? ep_err_set(err, status, "id", "id: there is no device of that id")
               : status;
}

static ep_status give_device(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    json_t *row = NULL;
    ep_status status = get_device(app, id, &row, err);
    if (status == EP_OK) {
        *out = shape_device(row, ep_app_now(app));
        json_decref(row);
    }
    return status;
}

static ep_status mark(ep_app *app, const char *id, const char *kind, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id), ep_bind_text("kind", kind),
                      ep_bind_int("at", ep_app_now(app))};
    return ep_store_run(app->store, EP_Q_DEVICE_MARK, bind, EP_COUNT_OF(bind), err);
}

// --- at the computer ---

ep_status ep_case_device_invite(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char code[2 * EP_CODE_BYTES + 1], hash[EP_HASH_LEN + 1], id[EP_ID_CAP];
    const char *role = ep_in_text(in, "role") ? ep_in_text(in, "role") : "bench";
    ep_time_ms now = ep_app_now(app);
    ep_secret_make(code, EP_CODE_BYTES);
    ep_secret_hash("code", "", code, hash);
    ep_in_new_id(app, NULL, id);
    ep_bind bind[] = {ep_bind_text("id", id), ep_bind_text("code", hash),
                      ep_bind_text("role", role), ep_bind_int("at", now),
                      ep_bind_int("until", now + CODE_LIFE_MS)};
    ep_status status = ep_app_begin(app, true, "device_invite", err);
    if (status != EP_OK) {
        return status;
    }
    status = ep_store_run(app->store, EP_Q_INVITE_ADD, bind, EP_COUNT_OF(bind), err);
    status = ep_app_end(app, status, err);
    if (status != EP_OK) {
        return status;
    }
    json_t *o = json_object();
    ep_out_text(o, "id", id);
    ep_out_text(o, "role", role);
    ep_out_text(o, "code", code);
    ep_out_textf(o, "path", "/pair#%s", code);
    ep_out_time(o, "now", now);
    ep_out_time(o, "until", now + CODE_LIFE_MS);
    *out = o;
    return EP_OK;
}

/// "482 913" is the same as "482913".
static void digits_of(const char *text, char out[EP_NUMBER_DIGITS + 2])
{
    int n = 0;
    for (; *text && n <= EP_NUMBER_DIGITS; text++) {
        if (*text != ' ' && *text != '-') {
            out[n++] = *text;
        }
    }
    out[n] = '\0';
}

static ep_status number_fits(ep_app *app, const char *id, const char *typed, bool *fits,
                             ep_err *err)
{
    char number[EP_NUMBER_DIGITS + 2], hash[EP_HASH_LEN + 1];
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_DEVICE_NUMBER, bind, 1, &row, err);
    if (status == EP_OK) {
        digits_of(typed, number);
        ep_secret_hash("number", id, number, hash);
        *fits = ep_secret_same(hash, ep_row_text(row, "number_hash"));
        json_decref(row);
    }
    return status;
}

/// Marks what the number says; `refusal` is filled when it was the wrong one.
static ep_status judge_number(ep_app *app, const char *id, const char *typed, ep_err *refusal,
                              ep_err *err)
{
    json_t *row = NULL;
    bool fits = false;
    ep_status status = get_device(app, id, &row, err);
    if (status != EP_OK) {
        return status;
    }
    ep_device_state state = ep_device_state_at(row, ep_app_now(app));
    long long left = EP_NUMBER_TRIES - 1 - ep_row_int(row, "wrong_numbers", 0);
    json_decref(row);
    if (state == EP_DEVICE_PAIRED) {
        return EP_OK;  // the answer was lost and this is the same again
    }
    if (state != EP_DEVICE_PENDING) {
        return ep_err_set(err, EP_E_STATE, "id", "id: this device no longer waits (%s): %s",
                          states[state].key, states[state].text);
    }
    status = number_fits(app, id, typed, &fits, err);
    if (status == EP_OK && !fits) {
        ep_err_set(refusal, EP_E_DENIED, "number", "number: this is not what the device shows; %s",
                   left > 1    ? "two tries are left"
                   : left == 1 ? "one try is left"
                               : "it was the third wrong one, begin again with a new code");
    }
    return status == EP_OK ? mark(app, id, fits ? "confirmed" : "wrong_number", err) : status;
}

ep_status ep_case_device_confirm(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    ep_err refusal = {0};
    json_t *device = NULL;
    ep_status status = ep_app_begin(app, true, "device_confirm", err);
    if (status != EP_OK) {
        return status;
    }
    status = judge_number(app, id, ep_in_text(in, "number"), &refusal, err);
    if (status == EP_OK) {
        status = give_device(app, id, &device, err);
    }
    // a wrong try is kept though the answer is a refusal
    status = ep_app_end(app, status, err);
    if (status == EP_OK && refusal.status != EP_OK) {
        status = ep_err_set(err, refusal.status, refusal.field, "%s", refusal.text);
    }
    if (status != EP_OK) {
        json_decref(device);
        return status;
    }
    *out = device;
    return EP_OK;
}

ep_status ep_case_device_revoke(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    json_t *row = NULL;
    ep_status status = get_device(app, id, &row, err);
    if (status == EP_OK && !time_at(row, "revoked_ms")) {
        status = mark(app, id, "revoked", err);
    }
    json_decref(row);
    return status == EP_OK ? give_device(app, id, out, err) : status;
}

// --- at the device ---

static ep_status find_invite(ep_app *app, const char *code, char id[EP_ID_CAP], ep_err *err)
{
    char hash[EP_HASH_LEN + 1];
    json_t *row = NULL;
    ep_secret_hash("code", "", code, hash);
    ep_bind bind[] = {ep_bind_text("code", hash), ep_bind_int("now", ep_app_now(app))};
    ep_status status = ep_store_one(app->store, EP_Q_INVITE_OF_CODE, bind, 2, &row, err);
    if (status == EP_E_NOT_FOUND) {
        // wrong, used and too late sound the same: who guesses learns nothing
        return ep_err_set(err, EP_E_DENIED, "code",
                          "code: it does not hold (any more); make a new one at the computer");
    }
    if (status == EP_OK) {
        snprintf(id, EP_ID_CAP, "%s", ep_row_text(row, "id"));
        json_decref(row);
    }
    return status;
}

static ep_status add_device(ep_app *app, const json_t *in, json_t *o, ep_err *err)
{
    char invite[EP_ID_CAP], id[EP_ID_CAP], ticket[2 * EP_TICKET_BYTES + 1];
    char number[EP_NUMBER_DIGITS + 1], ticket_hash[EP_HASH_LEN + 1], number_hash[EP_HASH_LEN + 1];
    ep_status status = find_invite(app, ep_in_text(in, "code"), invite, err);
    if (status != EP_OK) {
        return status;
    }
    ep_time_ms now = ep_app_now(app);
    ep_in_new_id(app, NULL, id);
    ep_secret_make(ticket, EP_TICKET_BYTES);
    ep_secret_number(number);
    ep_secret_hash("ticket", "", ticket, ticket_hash);
    ep_secret_hash("number", id, number, number_hash);
    ep_bind bind[] = {ep_bind_text("id", id),
                      ep_bind_text("invite", invite),
                      ep_bind_text("name", ep_in_text(in, "name")),
                      ep_bind_text("ticket", ticket_hash),
                      ep_bind_text("number", number_hash),
                      ep_bind_int("at", now),
                      ep_bind_int("until", now + ASK_LIFE_MS)};
    ep_out_text(o, "id", id);
    ep_out_text(o, "ticket", ticket);
    ep_out_text(o, "number", number);
    ep_out_text(o, "state", states[EP_DEVICE_PENDING].key);
    ep_out_time(o, "now", now);
    ep_out_time(o, "until", now + ASK_LIFE_MS);
    ep_out_int(o, "wait_s", POLL_SECONDS);
    return ep_store_run(app->store, EP_Q_DEVICE_ADD, bind, EP_COUNT_OF(bind), err);
}

ep_status ep_case_device_pair(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *o = json_object();
    ep_status status = ep_app_begin(app, true, "device_pair", err);
    if (status == EP_OK) {
        status = ep_app_end(app, add_device(app, in, o, err), err);
    }
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}

static ep_status give_token(ep_app *app, const char *id, json_t *o, ep_err *err)
{
    char token[EP_TOKEN_LEN + 1], hash[EP_HASH_LEN + 1];
    ep_secret_make(token, EP_TOKEN_BYTES);
    ep_secret_hash("token", "", token, hash);
    ep_bind bind[] = {ep_bind_text("id", id), ep_bind_text("token", hash),
                      ep_bind_int("at", ep_app_now(app))};
    // the door takes this out of the answer and makes the cookie of it
    ep_out_text(o, "token", token);
    return ep_store_run(app->store, EP_Q_DEVICE_TOKEN_ADD, bind, EP_COUNT_OF(bind), err);
}

static ep_status answer_ticket(ep_app *app, const char *ticket, json_t *o, ep_err *err)
{
    char hash[EP_HASH_LEN + 1];
    json_t *row = NULL;
    ep_secret_hash("ticket", "", ticket, hash);
    ep_bind bind[] = {ep_bind_text("ticket", hash)};
    ep_time_ms now = ep_app_now(app);
    ep_status status = ep_store_one(app->store, EP_Q_DEVICE_OF_TICKET, bind, 1, &row, err);
    // a device that came in with its cookie, or had long enough to fetch it, needs no ticket
    bool over = status == EP_OK && time_at(row, "confirmed_ms") &&
                (time_at(row, "seen_ms") || now >= time_at(row, "confirmed_ms") + FETCH_LIFE_MS);
    if (status == EP_E_NOT_FOUND || over) {
        json_decref(row);
        return ep_err_set(err, EP_E_DENIED, "ticket",
                          "ticket: it does not hold (any more); begin again with a new code");
    }
    if (status != EP_OK) {
        return status;
    }
    ep_device_state state = ep_device_state_at(row, now);
    ep_out_text(o, "state", states[state].key);
    ep_out_text(o, "state_text", states[state].text);
    ep_out_text(o, "name", ep_row_text(row, "name"));
    ep_out_text(o, "role", ep_row_text(row, "role"));
    ep_out_time(o, "now", now);
    if (state == EP_DEVICE_PAIRED) {
        // asked again because the answer was lost: the new cookie replaces the one before
        status = give_token(app, ep_row_text(row, "id"), o, err);
    }
    json_decref(row);
    return status;
}

ep_status ep_case_device_wait(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *o = json_object();
    ep_status status = ep_app_begin(app, true, "device_wait", err);
    if (status == EP_OK) {
        status = ep_app_end(app, answer_ticket(app, ep_in_text(in, "ticket"), o, err), err);
    }
    if (status != EP_OK) {
        json_decref(o);
        return status;
    }
    *out = o;
    return EP_OK;
}
