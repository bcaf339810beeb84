// One call of a use case: check the input, take the lock, begin, run, remember the answer, commit.
#include <string.h>

#include "app/app_int.h"

void ep_app_lock(ep_app *app)
{
    pthread_mutex_lock(&app->lock);
}

void ep_app_unlock(ep_app *app)
{
    pthread_mutex_unlock(&app->lock);
}

ep_status ep_app_begin(ep_app *app, bool write, const char *who, ep_err *err)
{
    ep_app_lock(app);
    ep_status status = ep_store_begin(app->store, write, who, err);
    if (status != EP_OK) {
        ep_app_unlock(app);
    }
    return status;
}

ep_status ep_app_end(ep_app *app, ep_status status, ep_err *err)
{
    if (status == EP_OK) {
        status = ep_store_commit(app->store, err);
    } else {
        ep_store_rollback(app->store);
    }
    ep_app_unlock(app);
    return status;
}

/// The client's id of this write, NULL when it gave none.
static const char *client_id(const ep_use_case *c, const json_t *in)
{
    const char *key = "request_id";
    for (int i = 0; i < c->n_fields; i++) {
        if (strcmp(c->field[i].name, "id") == 0 && !c->field[i].path) {
            key = "id";
        }
    }
    return c->needs == EP_NEEDS_WRITE ? ep_in_text(in, key) : NULL;
}

static ep_status run_once(ep_app *app, const ep_use_case *c, const json_t *in, json_t **out,
                          ep_err *err)
{
    const char *id = client_id(c, in);
    if (!id) {
        return c->fn(app, in, out, err);
    }
    json_t *answer = NULL;
    ep_status status = ep_receipt_find(app, id, c->name, in, &answer, err);
    if (status != EP_OK || answer) {
        *out = answer;
        return status;
    }
    status = c->fn(app, in, out, err);
    return status == EP_OK ? ep_receipt_keep(app, id, c->name, in, *out, err) : status;
}

const ep_waiter *ep_app_waiter(const ep_app *app)
{
    return pthread_getspecific(app->waiter);
}

ep_status ep_app_call_for(ep_app *app, const ep_waiter *w, const ep_use_case *c, const json_t *in,
                          json_t **out, ep_err *err)
{
    *out = NULL;
    if (pthread_setspecific(app->waiter, w) != 0) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    ep_status status = ep_app_call(app, c, in, out, err);
    (void)pthread_setspecific(app->waiter, NULL);
    return status;
}

ep_status ep_app_call(ep_app *app, const ep_use_case *c, const json_t *in, json_t **out,
                      ep_err *err)
{
    json_t *checked = NULL;
    json_t *answer = NULL;
    ep_err own = {0};
    err = err ? err : &own;
    *out = NULL;
    ep_status status = ep_fields_check(c->field, c->n_fields, in, "", &checked, err);
    if (status != EP_OK) {
        return status;
    }
    if (c->needs == EP_NEEDS_COMPUTE) {
        status = c->fn(app, checked, &answer, err);
    } else {
        status = ep_app_begin(app, c->needs == EP_NEEDS_WRITE, c->name, err);
        if (status == EP_OK) {
            status = ep_app_end(app, run_once(app, c, checked, &answer, err), err);
        }
    }
    json_decref(checked);
    if (status == EP_OK && !answer) {
        status = EP_E_MEMORY;  // the only way a case that went well has nothing to say
    }
    if (status != EP_OK) {
        json_decref(answer);
        // every error must be able to explain itself, and what was said is no second mistake
        return err->status != EP_OK ? status
                                    : ep_err_set(err, status, "", "%s", ep_status_text(status));
    }
    *out = answer;
    return EP_OK;
}
