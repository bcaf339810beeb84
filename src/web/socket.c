// Listening, and who is still there.
#include "web/socket.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <poll.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

static ep_status fail(const char *field, int fd, int port, ep_err *err)
{
    int why = errno;
    if (fd >= 0) {
        close(fd);
    }
    return ep_err_set(err, EP_E_IO, field, "%s: %d cannot be opened (%s); choose another", field,
                      port, strerror(why));
}

ep_status ep_socket_listen(const char *field, int *port, bool lan, int *fd, ep_err *err)
{
    struct sockaddr_in addr = {.sin_family = AF_INET,
                               .sin_port = htons((uint16_t)*port),
                               .sin_addr.s_addr = htonl(lan ? INADDR_ANY : INADDR_LOOPBACK)};
    socklen_t len = sizeof addr;
    const int yes = 1;
    int s = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (s < 0) {
        return fail(field, s, *port, err);
    }
    // a door that was just closed may be opened again at once
    setsockopt(s, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    union {
        struct sockaddr_in *in;
        struct sockaddr *any;
    } to = {.in = &addr};
    if (bind(s, to.any, len) != 0 || listen(s, 64) != 0 || getsockname(s, to.any, &len) != 0) {
        return fail(field, s, *port, err);
    }
    *port = ntohs(addr.sin_port);
    *fd = s;
    return EP_OK;
}

bool ep_socket_open(int fd)
{
    struct pollfd p = {.fd = fd, .events = POLLRDHUP};
    return poll(&p, 1, 0) <= 0 || !(p.revents & (POLLRDHUP | POLLHUP | POLLERR | POLLNVAL));
}
