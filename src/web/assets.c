// Serving the pages. A file name is only ever looked up among the packed names, or opened below one
// folder when every part of it is plain; nothing a client sends can climb out.
#include "web/assets.h"

#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

#define FILE_MAX     (16 * 1024 * 1024)
#define PATH_MAX_LEN 256

static const struct {
    const char *ending, *type;
} types[] = {
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".json", "application/json"},
    {".webmanifest", "application/manifest+json"},
    {".svg", "image/svg+xml"},
    {".png", "image/png"},
    {".jpg", "image/jpeg"},
    {".ico", "image/x-icon"},
    {".woff2", "font/woff2"},
    {".txt", "text/plain; charset=utf-8"},
    {".map", "application/json"},
};

const char *ep_assets_type(const char *path)
{
    const char *dot = strrchr(path, '.');
    for (size_t i = 0; dot && i < sizeof types / sizeof types[0]; i++) {
        if (strcmp(dot, types[i].ending) == 0) {
            return types[i].type;
        }
    }
    return "application/octet-stream";
}

ep_status ep_assets_open(const char *dir, ep_assets *out, ep_err *err)
{
    int fd = -1;
    if (dir) {
        fd = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (fd < 0) {
            return ep_err_set(err, EP_E_IO, "assets", "assets: cannot open the folder %s", dir);
        }
    }
    *out = (ep_assets){.dir_fd = fd};
    return EP_OK;
}

void ep_assets_close(ep_assets *a)
{
    if (a->dir_fd >= 0) {
        close(a->dir_fd);
    }
    a->dir_fd = -1;
}

static const ep_asset *packed(const char *path)
{
    for (int i = 0; i < ep_assets_packed_n; i++) {
        if (strcmp(ep_assets_packed[i].path, path) == 0) {
            return &ep_assets_packed[i];
        }
    }
    return NULL;
}

bool ep_assets_have_pages(const ep_assets *a)
{
    return a->dir_fd >= 0 ? faccessat(a->dir_fd, "index.html", R_OK, 0) == 0
                          : packed("index.html") != NULL;
}

// letters, digits, '-', '_', '.', and no leading dot: neither "..", nor a hidden file
static bool is_plain(const char *segment)
{
    static const char allowed[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
                                  "0123456789-_.";
    return segment[0] != '\0' && segment[0] != '.' && segment[strspn(segment, allowed)] == '\0';
}

// "fonts/text.woff2" from the parts of a target; false when a part is not plain
static bool join(const ep_target *t, char *buf, size_t cap)
{
    size_t len = 0;
    buf[0] = '\0';
    for (int i = 0; i < t->n_segments; i++) {
        if (!is_plain(t->segment[i])) {
            return false;
        }
        int n = snprintf(buf + len, cap - len, "%s%s", i ? "/" : "", t->segment[i]);
        if (n < 0 || (size_t)n >= cap - len) {
            return false;
        }
        len += (size_t)n;
    }
    return true;
}

// RFC 9110 12.5.3: "gzip", "gzip;q=0.5" and "*" take it, "gzip;q=0" does not
bool ep_assets_accepts_gzip(const ep_http_req *rq)
{
    size_t n = 0;
    const char *value = ep_http_find(rq, "Accept-Encoding", &n);
    char text[256];
    if (!value || n >= sizeof text) {
        return false;
    }
    memcpy(text, value, n);
    text[n] = '\0';
    char *save = NULL;
    for (char *item = strtok_r(text, ",", &save); item; item = strtok_r(NULL, ",", &save)) {
        item += strspn(item, " \t");
        size_t name = strcspn(item, " \t;");
        bool ours = (name == 4 && strncasecmp(item, "gzip", 4) == 0) || (name == 1 && *item == '*');
        if (!ours) {
            continue;
        }
        const char *q = strstr(item + name, "q=");
        return !q || strpbrk(q, "123456789") != NULL;
    }
    return false;
}

static bool client_has(const ep_http_req *rq, const char *etag)
{
    size_t n = 0;
    const char *known = ep_http_find(rq, "If-None-Match", &n);
    return known && memmem(known, n, etag, strlen(etag)) != NULL;
}

// 304 when the client holds this very content
static void tag(const ep_http_req *rq, const char *etag, ep_http_reply *reply)
{
    snprintf(reply->etag, sizeof reply->etag, "%s", etag);
    if (client_has(rq, etag)) {
        reply->status = 304;
        reply->len = 0;
    }
}

static bool answer_packed(const char *path, const ep_http_req *rq, ep_http_reply *reply)
{
    const ep_asset *a = packed(path);
    if (!a) {
        return false;
    }
    bool has_gz = a->gz != a->gz_end;
    bool gzip = has_gz && ep_assets_accepts_gzip(rq);
    *reply = (ep_http_reply){.status = 200,
                             .type = ep_assets_type(path),
                             .body = gzip ? a->gz : a->raw,
                             .len = (size_t)(gzip ? a->gz_end - a->gz : a->raw_end - a->raw),
                             .gzip = gzip,
                             .varies = has_gz};
    tag(rq, a->etag, reply);
    return true;
}

static char *read_whole(int fd, size_t *len)
{
    struct stat st;
    if (fstat(fd, &st) != 0 || !S_ISREG(st.st_mode) || st.st_size > FILE_MAX) {
        return NULL;
    }
    size_t size = (size_t)st.st_size;
    char *data = malloc(size + 1);
    size_t got = 0;
    while (data && got < size) {
        ssize_t n = read(fd, data + got, size - got);
        if (n <= 0) {
            break;
        }
        got += (size_t)n;
    }
    *len = got;
    return data;
}

// FNV-1a, 64 bits: names a content for one designer's browser, guards nothing
static uint64_t hash_of(const char *data, size_t len)
{
    uint64_t h = 0xcbf29ce484222325u;
    for (size_t i = 0; i < len; i++) {
        h = (h ^ (unsigned char)data[i]) * 0x100000001b3u;
    }
    return h;
}

static bool answer_file(const ep_assets *a, const char *path, const ep_http_req *rq,
                        ep_http_reply *reply)
{
    int fd = openat(a->dir_fd, path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    if (fd < 0) {
        return false;
    }
    size_t len = 0;
    char *data = read_whole(fd, &len);
    close(fd);
    if (!data) {
        return false;
    }
    *reply = (ep_http_reply){
        .status = 200, .type = ep_assets_type(path), .body = data, .len = len, .owned = data};
    char etag[24];
    snprintf(etag, sizeof etag, "\"%016" PRIx64 "\"", hash_of(data, len));
    tag(rq, etag, reply);
    return true;
}

static bool answer_path(const ep_assets *a, const char *path, const ep_http_req *rq,
                        ep_http_reply *reply)
{
    return a->dir_fd >= 0 ? answer_file(a, path, rq, reply) : answer_packed(path, rq, reply);
}

static void answer_plain(ep_http_reply *reply, int status, const char *html)
{
    *reply = (ep_http_reply){
        .status = status, .type = "text/html; charset=utf-8", .body = html, .len = strlen(html)};
}

static const char not_built[] =
    "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Evenpool</title>"
    "<h1>The pages were not built</h1>"
    "<p>The workshop is running and its JSON door answers below <code>/api/</code>, but this "
    "program was built without the pages.</p>"
    "<p>Build them with <code>make</code> (it needs Node 18 or newer and npm), or by hand: "
    "<code>cd ui &amp;&amp; npm ci &amp;&amp; npm run build</code>, then build again, "
    "or start with <code>evenpool serve --assets ui/dist</code>.</p></html>\n";

static const char not_here[] =
    "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Evenpool</title>"
    "<h1>Nothing here</h1><p><a href=\"/\">Back to the workshop</a></p></html>\n";

void ep_assets_answer(const ep_assets *a, const ep_http_req *rq, const ep_target *target,
                      ep_http_reply *reply)
{
    char path[PATH_MAX_LEN];
    bool plain = join(target, path, sizeof path);
    if (plain && answer_path(a, path, rq, reply)) {
        return;
    }
    const char *last = target->segment[target->n_segments - 1];
    if (strchr(last, '.')) {
        answer_plain(reply, 404, not_here);
    } else if (!answer_path(a, "index.html", rq, reply)) {
        answer_plain(reply, 200, not_built);
    }
}
