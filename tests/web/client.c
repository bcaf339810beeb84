// The blunt client.
#include "client.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include "base/text.h"

int client_connect(int port)
{
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    struct sockaddr_in addr = {.sin_family = AF_INET,
                               .sin_port = htons((unsigned short)port),
                               .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    struct timeval limit = {.tv_sec = 20};
    setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
    setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
    const void *any = &addr;
    if (connect(fd, any, sizeof addr) != 0) {
        close(fd);
        return -1;
    }
    return fd;
}

bool client_send(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t k = send(fd, bytes, n, MSG_NOSIGNAL);
        if (k <= 0) {
            return false;
        }
        bytes += k;
        n -= (size_t)k;
    }
    return true;
}

static bool read_some(int fd, ep_text *t)
{
    char buf[16384];
    ssize_t n = recv(fd, buf, sizeof buf, 0);
    if (n > 0) {
        ep_text_add_n(t, buf, (size_t)n);
    }
    return n > 0;
}

const char *client_header(const client_reply *r, const char *name, char *buf, size_t cap)
{
    buf[0] = '\0';
    size_t n = strlen(name);
    for (const char *p = r->head ? strchr(r->head, '\n') : NULL; p; p = strchr(p + 1, '\n')) {
        if (strncasecmp(p + 1, name, n) == 0 && p[1 + n] == ':') {
            const char *v = p + 2 + n + strspn(p + 2 + n, " ");
            snprintf(buf, cap, "%.*s", (int)strcspn(v, "\r\n"), v);
            break;
        }
    }
    return buf;
}

// joins chunks read so far; true when the last one has come
static bool unchunk(const char *from, ep_text *to)
{
    while (*from) {
        char *end = NULL;
        unsigned long n = strtoul(from, &end, 16);
        const char *data = strstr(end, "\r\n");
        if (!data || strlen(data + 2) < n + 2) {
            return false;
        }
        if (n == 0) {
            return true;
        }
        ep_text_add_n(to, data + 2, n);
        from = data + 2 + n + 2;
    }
    return false;
}

static void read_body(int fd, ep_text *t, size_t head_len, client_reply *r)
{
    char value[64];
    if (strcasecmp(client_header(r, "Transfer-Encoding", value, sizeof value), "chunked") == 0) {
        ep_text body;
        ep_text_init(&body);
        while (!unchunk(ep_text_str(t) + head_len, &body)) {
            ep_text_clear(&body);
            ep_text_init(&body);
            if (!read_some(fd, t)) {
                break;
            }
        }
        r->body_len = body.len;
        r->body = strdup(ep_text_str(&body));
        ep_text_clear(&body);
        return;
    }
    size_t want = strtoul(client_header(r, "Content-Length", value, sizeof value), NULL, 10);
    while (t->len - head_len < want && read_some(fd, t)) {
    }
    r->body_len = t->len - head_len < want ? t->len - head_len : want;
    r->body = malloc(r->body_len + 1);
    if (r->body) {
        memcpy(r->body, ep_text_str(t) + head_len, r->body_len);
        r->body[r->body_len] = '\0';
    }
}

client_reply client_read(int fd, bool head_only)
{
    client_reply r = {0};
    ep_text t;
    ep_text_init(&t);
    const char *end = NULL;
    while (!(end = strstr(ep_text_str(&t), "\r\n\r\n")) && read_some(fd, &t)) {
    }
    if (end) {
        size_t head_len = (size_t)(end - ep_text_str(&t)) + 4;
        r.head = strndup(ep_text_str(&t), head_len);
        r.status = atoi(r.head + strcspn(r.head, " "));
        if (!head_only && r.status != 304) {
            read_body(fd, &t, head_len, &r);
        }
    }
    ep_text_clear(&t);
    return r;
}

client_reply client_raw(int port, const char *bytes, size_t n)
{
    client_reply r = {0};
    int fd = client_connect(port);
    if (fd >= 0) {
        client_send(fd, bytes, n);
        r = client_read(fd, false);
        close(fd);
    }
    return r;
}

client_reply client_ask_on(int fd, const char *method, const char *path, const char *extra,
                           const char *body)
{
    ep_text t;
    ep_text_init(&t);
    ep_text_addf(&t, "%s %s HTTP/1.1\r\nHost: 127.0.0.1\r\n%s", method, path, extra);
    if (body) {
        ep_text_addf(&t, "Content-Type: application/json\r\nContent-Length: %zu\r\n", strlen(body));
    }
    ep_text_add(&t, "\r\n");
    ep_text_add(&t, body ? body : "");
    client_send(fd, ep_text_str(&t), t.len);
    ep_text_clear(&t);
    return client_read(fd, strcmp(method, "HEAD") == 0);
}

client_reply client_ask(int port, const char *method, const char *path, const char *extra,
                        const char *body)
{
    client_reply r = {0};
    int fd = client_connect(port);
    if (fd >= 0) {
        r = client_ask_on(fd, method, path, extra, body);
        close(fd);
    }
    return r;
}

void client_reply_clear(client_reply *r)
{
    free(r->head);
    free(r->body);
    *r = (client_reply){0};
}
