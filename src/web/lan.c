// Addresses of this machine.
#include "web/lan.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

static const uint32_t loopback_net = 0x7f000000u, loopback_mask = 0xff000000u;

// bridges of containers and virtual machines, tunnels: no phone comes that way
static bool is_unlikely(const struct ifaddrs *a)
{
    static const char *const prefix[] = {"docker", "br-", "veth", "virbr", "podman", "cni",
                                         "tun",    "tap", "wg",   "vmnet", "vbox",   NULL};
    for (const char *const *p = prefix; *p; p++) {
        if (strncmp(a->ifa_name, *p, strlen(*p)) == 0) {
            return true;
        }
    }
    return (a->ifa_flags & IFF_POINTOPOINT) != 0;
}

static uint32_t ip_of(const struct sockaddr *sa)
{
    struct sockaddr_in in;
    memcpy(&in, sa, sizeof in);
    return ntohl(in.sin_addr.s_addr);
}

static bool is_usable(const struct ifaddrs *a)
{
    return a->ifa_addr && a->ifa_netmask && a->ifa_addr->sa_family == AF_INET &&
           (a->ifa_flags & IFF_UP) && !(a->ifa_flags & IFF_LOOPBACK);
}

static void add(ep_lan *lan, const struct ifaddrs *a)
{
    if (lan->n >= EP_LAN_MAX) {
        return;
    }
    ep_lan_address *to = &lan->address[lan->n++];
    to->ip = ip_of(a->ifa_addr);
    to->mask = ip_of(a->ifa_netmask);
    struct in_addr net = {.s_addr = htonl(to->ip)};
    inet_ntop(AF_INET, &net, to->text, sizeof to->text);
    snprintf(to->interface, sizeof to->interface, "%s", a->ifa_name);
}

static void read_name(ep_lan *lan)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
    char host[64] = "";
    if (gethostname(host, sizeof host - 1) != 0) {
        return;
    }
    host[strcspn(host, ".")] = '\0';
    if (host[0] && strspn(host, plain) == strlen(host) && strcasecmp(host, "localhost") != 0) {
        snprintf(lan->name, sizeof lan->name, "%s.local", host);
    }
}

void ep_lan_read(ep_lan *out)
{
    memset(out, 0, sizeof *out);
    struct ifaddrs *all = NULL;
    if (getifaddrs(&all) == 0) {
        for (int unlikely = 0; unlikely < 2; unlikely++) {
            for (const struct ifaddrs *a = all; a; a = a->ifa_next) {
                if (is_usable(a) && is_unlikely(a) == (unlikely == 1)) {
                    add(out, a);
                }
            }
        }
        freeifaddrs(all);
    }
    read_name(out);
}

bool ep_lan_is_self(uint32_t ip)
{
    return ip == INADDR_LOOPBACK;
}

bool ep_lan_is_near(const ep_lan *lan, uint32_t ip)
{
    if ((ip & loopback_mask) == loopback_net) {
        return true;
    }
    for (int i = 0; i < lan->n; i++) {
        const ep_lan_address *a = &lan->address[i];
        // an interface that claims a network wider than any there is would let everybody in
        uint32_t mask = a->mask | loopback_mask;
        if ((ip & mask) == (a->ip & mask)) {
            return true;
        }
    }
    return false;
}

bool ep_lan_is_name(const ep_lan *lan, const char *host, size_t len)
{
    for (int i = 0; lan && i < lan->n; i++) {
        const char *text = lan->address[i].text;
        if (strlen(text) == len && memcmp(text, host, len) == 0) {
            return true;
        }
    }
    return lan && len > 0 && strlen(lan->name) == len && strncasecmp(lan->name, host, len) == 0;
}

const char *ep_lan_url(const ep_lan *lan, int i, bool encrypted, int port, char *buf, size_t cap)
{
    snprintf(buf, cap, "%s://%s:%d", encrypted ? "https" : "http",
             i < lan->n ? lan->address[i].text : lan->name, port);
    return buf;
}
