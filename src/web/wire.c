// The first byte tells: a TLS handshake begins with record type 22 (RFC 8446 5.1), a request of
// HTTP with a letter.
#include "web/wire.h"

#include <arpa/inet.h>
#include <errno.h>
#include <gnutls/gnutls.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/uio.h>

#include "base/text.h"

#define DRAIN_MAX 65536
#define PARTS_MAX 32

// by the address it reached us at: what it called us is not to be trusted yet
static void own_address(int fd, char text[INET_ADDRSTRLEN])
{
    struct sockaddr_storage all = {0};
    struct sockaddr_in in;
    socklen_t len = sizeof all;
    void *any = &all;
    snprintf(text, INET_ADDRSTRLEN, "127.0.0.1");
    if (getsockname(fd, any, &len) == 0 && all.ss_family == AF_INET) {
        memcpy(&in, &all, sizeof in);
        inet_ntop(AF_INET, &in.sin_addr, text, INET_ADDRSTRLEN);
    }
}

// what was sent is read first: a socket closed over unread bytes takes the answer back
static void drain(int fd)
{
    char waste[2048];
    for (size_t got = 0; got < DRAIN_MAX;) {
        ssize_t n = recv(fd, waste, sizeof waste, MSG_DONTWAIT);
        if (n <= 0) {
            return;
        }
        got += (size_t)n;
    }
}

static void say_where(const ep_wire *w)
{
    char ip[INET_ADDRSTRLEN];
    own_address(w->fd, ip);
    ep_text body, all;
    ep_text_init(&body);
    ep_text_init(&all);
    ep_text_addf(&body,
                 "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\">"
                 "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"
                 "<title>Evenpool: https only</title><p>This port speaks https only. Open "
                 "<a href=\"https://%s:%d/\">https://%s:%d/</a>, or, when this device does not "
                 "trust the workshop yet, <a href=\"http://%s:%d/\">http://%s:%d/</a>.\n",
                 ip, w->tls_port, ip, w->tls_port, ip, w->plain_port, ip, w->plain_port);
    ep_text_addf(&all,
                 "HTTP/1.1 400 Bad Request\r\nContent-Type: text/html; charset=utf-8\r\n"
                 "Content-Length: %zu\r\nConnection: close\r\nCache-Control: no-store\r\n"
                 "Content-Security-Policy: default-src 'none'\r\n"
                 "X-Content-Type-Options: nosniff\r\n\r\n%s",
                 body.len, ep_text_str(&body));
    drain(w->fd);
    if (body.ok && all.ok) {
        // a few hundred bytes into an empty buffer: they go whole or the client is gone
        (void)!send(w->fd, all.data, all.len, MSG_NOSIGNAL | MSG_DONTWAIT);
    }
    ep_text_clear(&body);
    ep_text_clear(&all);
}

static ssize_t pull(gnutls_transport_ptr_t ptr, void *to, size_t size)
{
    ep_wire *w = ptr;
    unsigned char first = 0;
    if (!w->heard && recv(w->fd, &first, 1, MSG_PEEK) == 1) {
        w->heard = true;
        if (first >= 'A' && first <= 'Z') {
            say_where(w);
            errno = ECONNRESET;
            return -1;
        }
    }
    return recv(w->fd, to, size, 0);
}

// all records of one step of the handshake at once: sent one by one, each would wait for the other
// end to acknowledge the one before (Nagle's algorithm and delayed acknowledgements, 40 ms)
static ssize_t push(gnutls_transport_ptr_t ptr, const giovec_t *from, int n)
{
    struct iovec part[PARTS_MAX];
    int count = n < PARTS_MAX ? n : PARTS_MAX;
    for (int i = 0; i < count; i++) {
        part[i] = (struct iovec){.iov_base = from[i].iov_base, .iov_len = from[i].iov_len};
    }
    const struct msghdr message = {.msg_iov = part, .msg_iovlen = (size_t)count};
    return sendmsg(((const ep_wire *)ptr)->fd, &message, MSG_NOSIGNAL);
}

void ep_wire_under(ep_wire *wire, struct gnutls_session_int *session)
{
    wire->heard = false;
    gnutls_transport_set_ptr(session, wire);
    gnutls_transport_set_pull_function(session, pull);
    gnutls_transport_set_vec_push_function(session, push);
}
