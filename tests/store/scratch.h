// A folder of its own for each test program, and short ways to say things to a store.
#pragma once
// cmocka wants these four before it
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "store/store_int.h"

/// Path of `name` in a folder made for this process; the same buffer on each call with that name.
static inline const char *scratch_path(const char *name, char *buf, size_t cap)
{
    char folder[64];
    snprintf(folder, sizeof folder, "/tmp/ep-store-%d", (int)getpid());
    mkdir(folder, 0700);
    snprintf(buf, cap, "%s/%s", folder, name);
    return buf;
}

static inline void scratch_clear(void)
{
    char command[96];
    snprintf(command, sizeof command, "rm -rf /tmp/ep-store-%d", (int)getpid());
    if (system(command) != 0) {
        fprintf(stderr, "could not remove the scratch folder\n");
    }
}

static inline int scratch_teardown(void **state)
{
    (void)state;
    scratch_clear();
    return 0;
}

/// A new store under `name`; what was there is gone.
static inline ep_store *scratch_store(const char *name)
{
    char path[128];
    ep_store *s = NULL;
    ep_err err = {0};
    unlink(scratch_path(name, path, sizeof path));
    if (ep_store_open(path, &s, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return s;
}

static inline ep_store *scratch_reopen(const char *name)
{
    char path[128];
    ep_store *s = NULL;
    ep_err err = {0};
    if (ep_store_open(scratch_path(name, path, sizeof path), &s, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return s;
}

static inline int64_t ask(ep_store *s, const char *sql)
{
    int64_t value = -999;
    ep_err err = {0};
    if (ep_store_pragma_int(s, sql, &value, &err) != EP_OK) {
        fail_msg("%s: %s", sql, err.text);
    }
    return value;
}

static inline void must(ep_store *s, const char *sql)
{
    ep_err err = {0};
    if (ep_store_exec(s, sql, "test", &err) != EP_OK) {
        fail_msg("%s: %s", sql, err.text);
    }
}

/// Whole text of a file, owned by the caller; NULL when it cannot be read.
static inline char *slurp(const char *path, size_t *size)
{
    FILE *f = fopen(path, "rb");
    if (!f) {
        return NULL;
    }
    fseek(f, 0, SEEK_END);
    long n = ftell(f);
    rewind(f);
    char *text = malloc((size_t)n + 1);
    if (text) {
        size_t got = fread(text, 1, (size_t)n, f);
        text[got] = '\0';
        if (size) {
            *size = got;
        }
    }
    fclose(f);
    return text;
}

/// A setting, the smallest enduring row there is.
static inline ep_status put_setting(ep_store *s, const char *key, const char *value, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("key", key), ep_bind_text("value", value), ep_bind_int("at", 1)};
    return ep_store_run(s, EP_Q_SETTING_ADD, bind, 3, err);
}
