// The forgetting disk of cutvfs.h.
#include "cutvfs.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILES = 8, SECTOR = 512, NAME_CAP = 256 };

typedef struct change {
    int64_t at;  ///< offset, or the new size of a truncation
    int n;       ///< bytes; -1 = truncation
    unsigned char *bytes;
} change;

typedef struct image {
    unsigned char *bytes;
    int64_t size;
    int exists;
} image;

typedef struct file {
    char name[NAME_CAP];
    image live, durable, kept;
    change *pending;
    int n_pending, cap_pending;
} file;

typedef struct handle {
    sqlite3_file base;
    file *f;
} handle;

// the disk outlives every handle, as a disk does
static struct disk {
    file file[FILES];
    int64_t operations, fail_at;
    int off;
    sqlite3_vfs *real;
} disk;

static void *must_alloc(void *old, size_t n)
{
    void *p = realloc(old, n ? n : 1);
    if (!p) {
        abort();
    }
    return p;
}

static void resize(image *i, int64_t size)
{
    if (size > i->size) {
        i->bytes = must_alloc(i->bytes, (size_t)size);
        memset(i->bytes + i->size, 0, (size_t)(size - i->size));
    }
    i->size = size;
}

static void put(image *i, int64_t at, const unsigned char *bytes, int n)
{
    if (at + n > i->size) {
        resize(i, at + n);
    }
    memcpy(i->bytes + at, bytes, (size_t)n);
}

static void copy_image(image *to, const image *from)
{
    to->bytes = must_alloc(to->bytes, (size_t)from->size);
    if (from->size > 0) {
        memcpy(to->bytes, from->bytes, (size_t)from->size);
    }
    to->size = from->size;
    to->exists = from->exists;
}

static void forget_pending(file *f)
{
    for (int i = 0; i < f->n_pending; i++) {
        free(f->pending[i].bytes);
    }
    f->n_pending = 0;
}

static void remember(file *f, int64_t at, const void *bytes, int n)
{
    if (f->n_pending == f->cap_pending) {
        f->cap_pending = f->cap_pending ? 2 * f->cap_pending : 16;
        f->pending = must_alloc(f->pending, (size_t)f->cap_pending * sizeof *f->pending);
    }
    change *c = &f->pending[f->n_pending++];
    *c = (change){.at = at, .n = n, .bytes = NULL};
    if (n > 0) {
        c->bytes = must_alloc(NULL, (size_t)n);
        memcpy(c->bytes, bytes, (size_t)n);
    }
}

/// Counts one operation; true when the power is gone.
static int power_gone(void)
{
    disk.operations++;
    if (disk.fail_at > 0 && disk.operations >= disk.fail_at) {
        disk.off = 1;
    }
    return disk.off;
}

static int x_close(sqlite3_file *h)
{
    (void)h;
    return SQLITE_OK;
}

static int x_read(sqlite3_file *h, void *out, int n, sqlite3_int64 at)
{
    const image *i = &((handle *)h)->f->live;
    if (disk.off) {
        return SQLITE_IOERR_READ;
    }
    int64_t there = at < i->size ? i->size - at : 0;
    int got = there < n ? (int)there : n;
    if (got > 0) {
        memcpy(out, i->bytes + at, (size_t)got);
    }
    if (got < n) {
        memset((char *)out + got, 0, (size_t)(n - got));
        return SQLITE_IOERR_SHORT_READ;
    }
    return SQLITE_OK;
}

static int x_write(sqlite3_file *h, const void *bytes, int n, sqlite3_int64 at)
{
    file *f = ((handle *)h)->f;
    // the write under way when the power fails may still reach the disk in part
    remember(f, at, bytes, n);
    if (power_gone()) {
        return SQLITE_IOERR_WRITE;
    }
    put(&f->live, at, bytes, n);
    return SQLITE_OK;
}

static int x_truncate(sqlite3_file *h, sqlite3_int64 size)
{
    file *f = ((handle *)h)->f;
    remember(f, size, NULL, -1);
    if (power_gone()) {
        return SQLITE_IOERR_TRUNCATE;
    }
    resize(&f->live, size);
    return SQLITE_OK;
}

static int x_sync(sqlite3_file *h, int flags)
{
    file *f = ((handle *)h)->f;
    (void)flags;
    if (power_gone()) {
        return SQLITE_IOERR_FSYNC;
    }
    copy_image(&f->durable, &f->live);
    forget_pending(f);
    return SQLITE_OK;
}

static int x_size(sqlite3_file *h, sqlite3_int64 *size)
{
    *size = ((handle *)h)->f->live.size;
    return SQLITE_OK;
}

static int x_lock(sqlite3_file *h, int level)
{
    (void)h;
    (void)level;
    return SQLITE_OK;
}

static int x_reserved(sqlite3_file *h, int *out)
{
    (void)h;
    *out = 0;
    return SQLITE_OK;
}

static int x_control(sqlite3_file *h, int op, void *arg)
{
    (void)h;
    (void)op;
    (void)arg;
    return SQLITE_NOTFOUND;
}

static int x_sector(sqlite3_file *h)
{
    (void)h;
    return SECTOR;
}

static int x_traits(sqlite3_file *h)
{
    (void)h;
    return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

static const sqlite3_io_methods methods = {
    .iVersion = 1,
    .xClose = x_close,
    .xRead = x_read,
    .xWrite = x_write,
    .xTruncate = x_truncate,
    .xSync = x_sync,
    .xFileSize = x_size,
    .xLock = x_lock,
    .xUnlock = x_lock,
    .xCheckReservedLock = x_reserved,
    .xFileControl = x_control,
    .xSectorSize = x_sector,
    .xDeviceCharacteristics = x_traits,
};

static file *find(const char *name, int make)
{
    file *unused = NULL;
    for (int i = 0; i < FILES; i++) {
        file *f = &disk.file[i];
        if (f->name[0] && strcmp(f->name, name) == 0) {
            return f;
        }
        unused = unused || f->name[0] ? unused : f;
    }
    if (make && unused) {
        snprintf(unused->name, sizeof unused->name, "%s", name);
    }
    return make ? unused : NULL;
}

static int x_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *h, int flags, int *out_flags)
{
    (void)vfs;
    handle *handle_out = (handle *)h;
    handle_out->base.pMethods = NULL;
    file *f = name ? find(name, flags & SQLITE_OPEN_CREATE) : NULL;
    if (disk.off || !f || (!f->live.exists && !(flags & SQLITE_OPEN_CREATE))) {
        return SQLITE_CANTOPEN;
    }
    f->live.exists = 1;
    handle_out->f = f;
    handle_out->base.pMethods = &methods;
    if (out_flags) {
        *out_flags = flags;
    }
    return SQLITE_OK;
}

static int x_delete(sqlite3_vfs *vfs, const char *name, int sync_folder)
{
    (void)vfs;
    (void)sync_folder;
    file *f = find(name, 0);
    if (power_gone()) {
        return SQLITE_IOERR_DELETE;
    }
    if (f) {
        f->live.exists = f->durable.exists = 0;
        f->live.size = f->durable.size = 0;
        forget_pending(f);
    }
    return SQLITE_OK;
}

static int x_access(sqlite3_vfs *vfs, const char *name, int flags, int *out)
{
    (void)vfs;
    (void)flags;
    const file *f = find(name, 0);
    *out = f && f->live.exists && f->live.size > 0;
    return SQLITE_OK;
}

static int x_full(sqlite3_vfs *vfs, const char *name, int cap, char *out)
{
    (void)vfs;
    snprintf(out, (size_t)cap, "%s", name);
    return SQLITE_OK;
}

static int x_random(sqlite3_vfs *vfs, int n, char *out)
{
    (void)vfs;
    return disk.real->xRandomness(disk.real, n, out);
}

static int x_sleep(sqlite3_vfs *vfs, int us)
{
    (void)vfs;
    return us;
}

static int x_time(sqlite3_vfs *vfs, double *out)
{
    (void)vfs;
    return disk.real->xCurrentTime(disk.real, out);
}

void cut_start(void)
{
    static sqlite3_vfs vfs = {
        .iVersion = 1,
        .szOsFile = sizeof(handle),
        .mxPathname = NAME_CAP - 1,
        .zName = "forgetting",
        .xOpen = x_open,
        .xDelete = x_delete,
        .xAccess = x_access,
        .xFullPathname = x_full,
        .xRandomness = x_random,
        .xSleep = x_sleep,
        .xCurrentTime = x_time,
    };
    disk.real = sqlite3_vfs_find(NULL);
    sqlite3_vfs_register(&vfs, 1);
}

void cut_format(void)
{
    for (int i = 0; i < FILES; i++) {
        file *f = &disk.file[i];
        forget_pending(f);
        free(f->pending);
        free(f->live.bytes);
        free(f->durable.bytes);
        free(f->kept.bytes);
        memset(f, 0, sizeof *f);
    }
}

void cut_keep(void)
{
    for (int i = 0; i < FILES; i++) {
        copy_image(&disk.file[i].kept, &disk.file[i].live);
    }
}

void cut_restore(void)
{
    for (int i = 0; i < FILES; i++) {
        file *f = &disk.file[i];
        forget_pending(f);
        copy_image(&f->live, &f->kept);
        copy_image(&f->durable, &f->kept);
    }
}

void cut_power_off_after(int64_t after)
{
    disk.operations = 0;
    disk.fail_at = after;
    disk.off = 0;
}

int64_t cut_operations(void)
{
    return disk.operations;
}

int cut_is_off(void)
{
    return disk.off;
}

/// SplitMix64: which sectors reach the disk must not depend on the machine.
static uint64_t throw_dice(uint64_t *seed)
{
    uint64_t z = *seed += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/// Lay one unsynced change over what is on the disk, sector by sector, each kept or lost.
static void land(image *i, const change *c, uint64_t *seed)
{
    if (c->n < 0) {
        if (throw_dice(seed) & 1) {
            resize(i, c->at);
        }
        return;
    }
    for (int64_t at = c->at; at < c->at + c->n;) {
        int64_t end = (at / SECTOR + 1) * SECTOR;
        end = end < c->at + c->n ? end : c->at + c->n;
        if (throw_dice(seed) & 1) {
            put(i, at, c->bytes + (at - c->at), (int)(end - at));
        }
        at = end;
    }
}

void cut_power_on(uint64_t seed)
{
    for (int i = 0; i < FILES; i++) {
        file *f = &disk.file[i];
        int made = f->live.exists && !f->durable.exists;
        for (int k = 0; k < f->n_pending; k++) {
            land(&f->durable, &f->pending[k], &seed);
        }
        // a new file that was never synced may be missing altogether
        f->durable.exists = f->durable.exists || (made && (throw_dice(&seed) & 1));
        if (!f->durable.exists) {
            f->durable.size = 0;
        }
        forget_pending(f);
        copy_image(&f->live, &f->durable);
    }
    cut_power_off_after(0);
}
