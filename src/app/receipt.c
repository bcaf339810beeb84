// Writes that carry a client's id are done once: a phone that lost the answer may send them again.
#include <stdlib.h>
#include <string.h>

#include "app/app_int.h"
#include "base/hash.h"

/// Over the sorted compact JSON. It tells a repeat from a mix-up of ids.
static ep_status content_hash(const json_t *content, char out[EP_HASH_CAP], ep_err *err)
{
    char *text = json_dumps(content, JSON_COMPACT | JSON_SORT_KEYS | JSON_ENCODE_ANY);
    if (!text) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    ep_hash_write(ep_hash_bytes(ep_hash_start(), text, strlen(text)), out);
    free(text);
    return EP_OK;
}

ep_status ep_receipt_find(ep_app *app, const char *id, const char *use_case, const json_t *content,
                          json_t **answer, ep_err *err)
{
    *answer = NULL;
    ep_bind bind[] = {ep_bind_text("id", id)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_RECEIPT_GET, bind, 1, &row, err);
    if (status == EP_E_NOT_FOUND) {
        return EP_OK;
    }
    char hash[EP_HASH_CAP];
    if (status == EP_OK) {
        status = content_hash(content, hash, err);
    }
    if (status == EP_OK && (strcmp(ep_row_text(row, "use_case"), use_case) != 0 ||
                            strcmp(ep_row_text(row, "content"), hash) != 0)) {
        status = ep_err_set(err, EP_E_CONFLICT, "id",
                            "id: %s was already used for something else; nothing was changed", id);
    }
    if (status == EP_OK) {
        *answer = json_loads(ep_row_text(row, "answer"), JSON_DECODE_ANY, NULL);
        status = *answer ? EP_OK : ep_err_set(err, EP_E_DB, "id", "the kept answer is damaged");
    }
    json_decref(row);
    return status;
}

ep_status ep_receipt_keep(ep_app *app, const char *id, const char *use_case, const json_t *content,
                          const json_t *answer, ep_err *err)
{
    char hash[EP_HASH_CAP];
    ep_status status = content_hash(content, hash, err);
    char *text = json_dumps(answer, JSON_COMPACT | JSON_ENCODE_ANY);
    if (status == EP_OK && !text) {
        status = ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    if (status == EP_OK) {
        ep_bind bind[] = {ep_bind_text("id", id), ep_bind_text("use_case", use_case),
                          ep_bind_text("content", hash), ep_bind_text("answer", text),
                          ep_bind_int("at", ep_app_now(app))};
        status = ep_store_run(app->store, EP_Q_RECEIPT_ADD, bind, EP_COUNT_OF(bind), err);
    }
    free(text);
    return status;
}
