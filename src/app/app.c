// Opening and closing the workshop.
#include "app/app.h"

#include <stdlib.h>

#include "app/app_int.h"

/// Answers to repeated writes are kept this long; a phone that was in a drawer for longer finds the
/// row itself in its way instead.
#define RECEIPT_LIFE_MS ((ep_time_ms)90 * 24 * 3600 * 1000)

ep_time_ms ep_app_now(const ep_app *app)
{
    return ep_clock_now(&app->clock);
}

static ep_status enter_builtin(ep_app *app, const ep_material *m, ep_err *err)
{
    int64_t there = 0;
    ep_bind id[] = {ep_bind_text("id", m->id)};
    ep_status status = ep_store_int(app->store, EP_Q_MATERIAL_HAS, id, 1, 0, &there, err);
    if (status != EP_OK || there > 0) {
        return status;
    }
    ep_bind bind[] = {ep_bind_text("id", m->id),
                      ep_bind_text("kind", ep_material_kind_key(m->kind)),
                      ep_bind_text("name", m->name), ep_bind_null("based_on"),
                      ep_bind_int("at", ep_app_now(app))};
    return ep_store_run(app->store, EP_Q_MATERIAL_ADD, bind, EP_COUNT_OF(bind), err);
}

/// Built-in materials stand in the file by id, so that rows can refer to them.
static ep_status enter_builtins(ep_app *app, ep_err *err)
{
    int64_t there = 0;
    int known = 0;
    for (int k = 0; k < EP_MAT_KIND_COUNT_; k++) {
        known += ep_builtin_count((ep_material_kind)k);
    }
    ep_status status =
        ep_store_int(app->store, EP_Q_MATERIAL_COUNT_BUILTIN, NULL, 0, 0, &there, err);
    if (status != EP_OK || there == known) {
        return status;
    }
    status = ep_store_begin(app->store, true, "entering the built-in materials", err);
    if (status != EP_OK) {
        return status;
    }
    for (int k = 0; status == EP_OK && k < EP_MAT_KIND_COUNT_; k++) {
        for (int i = 0; status == EP_OK && i < ep_builtin_count((ep_material_kind)k); i++) {
            status = enter_builtin(app, ep_builtin((ep_material_kind)k, i), err);
        }
    }
    if (status != EP_OK) {
        ep_store_rollback(app->store);
        return status;
    }
    return ep_store_commit(app->store, err);
}

static ep_status clear_receipts(ep_app *app, ep_err *err)
{
    int64_t old = 0;
    ep_bind bind[] = {ep_bind_int("before", ep_app_now(app) - RECEIPT_LIFE_MS)};
    ep_status status = ep_store_int(app->store, EP_Q_RECEIPT_OLD, bind, 1, 0, &old, err);
    return status == EP_OK && old > 0 ? ep_store_run(app->store, EP_Q_RECEIPT_CLEAR, bind, 1, err)
                                      : status;
}

static ep_status fill_demo(ep_app *app, ep_err *err)
{
#ifdef EP_HAVE_DEMO
    int64_t things = 0;
    ep_status status = ep_store_int(app->store, EP_Q_BOOK_EMPTY, NULL, 0, 0, &things, err);
    if (status != EP_OK || things > 0) {
        return status;  // a workshop that already holds something is left as it is
    }
    status = ep_store_begin(app->store, true, "filling the demo workshop", err);
    if (status != EP_OK) {
        return status;
    }
    status = ep_demo_fill(app, err);
    if (status != EP_OK) {
        ep_store_rollback(app->store);
        return status;
    }
    return ep_store_commit(app->store, err);
#else
    (void)app;
    return ep_err_set(err, EP_E_STATE, "demo", "this build has no demo workshop");
#endif
}

static ep_status make_lock(pthread_mutex_t *lock)
{
    pthread_mutexattr_t attr;
    if (pthread_mutexattr_init(&attr) != 0) {
        return EP_E_MEMORY;
    }
    pthread_mutexattr_settype(&attr, PTHREAD_MUTEX_RECURSIVE);
    int bad = pthread_mutex_init(lock, &attr);
    pthread_mutexattr_destroy(&attr);
    return bad ? EP_E_MEMORY : EP_OK;
}

ep_status ep_app_open(const ep_app_config *config, ep_app **out, ep_err *err)
{
    ep_app *app = calloc(1, sizeof *app);
    if (!app || make_lock(&app->lock) != EP_OK) {
        free(app);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    if (pthread_mutex_init(&app->darkroom, NULL) != 0 ||
        pthread_mutex_init(&app->thinking, NULL) != 0 ||
        pthread_key_create(&app->waiter, NULL) != 0 || !ep_turns_init(&app->turns)) {
        pthread_mutex_destroy(&app->lock);
        free(app);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    app->clock = config->clock;
    app->demo = config->demo;
    ep_status status = ep_store_open(config->db_path, &app->store, err);
    if (status == EP_OK) {
        status = enter_builtins(app, err);
    }
    if (status == EP_OK) {
        status = clear_receipts(app, err);
    }
    if (status == EP_OK && config->demo) {
        status = fill_demo(app, err);
    }
    if (status != EP_OK) {
        ep_app_close(app);
        return status;
    }
    *out = app;
    return EP_OK;
}

void ep_app_close(ep_app *app)
{
    if (!app) {
        return;
    }
    ep_store_close(app->store);
    ep_turns_clear(&app->turns);
    pthread_key_delete(app->waiter);
    pthread_mutex_destroy(&app->thinking);
    pthread_mutex_destroy(&app->darkroom);
    pthread_mutex_destroy(&app->lock);
    free(app);
}
