/// A blunt HTTP client for the tests: sends exactly the bytes it is given, reads one answer.
#pragma once
#include <stdbool.h>
#include <stddef.h>

typedef struct client_reply {
    int status;  ///< 0 when the server closed without an answer
    char *head;  ///< owned: status line and headers, terminated
    char *body;  ///< owned, terminated; chunks joined
    size_t body_len;
} client_reply;

/// Connected socket with a 20 s limit on reading and writing, or -1.
int client_connect(int port);
bool client_send(int fd, const char *bytes, size_t n);
/// Read one answer. `head_only` for the answer to a HEAD.
client_reply client_read(int fd, bool head_only);
/// Send bytes on a new connection, read the answer, close.
client_reply client_raw(int port, const char *bytes, size_t n);
/// One well-formed request on a new connection. `extra` are whole header lines ending in \r\n.
client_reply client_ask(int port, const char *method, const char *path, const char *extra,
                        const char *body);
/// The same on a connection that stays open.
client_reply client_ask_on(int fd, const char *method, const char *path, const char *extra,
                           const char *body);
void client_reply_clear(client_reply *r);
/// Value of a header of the answer, copied into buf; "" when missing. Returns buf.
const char *client_header(const client_reply *r, const char *name, char *buf, size_t cap);
