/// The networks this machine is in: which names the door may be called by there, which addresses
/// are near enough to be answered, and what to type into a phone. IPv4 only, as the door listens.
/// Needs: base. Allocates: nothing. Thread use: any; ep_lan_read asks the system.
#pragma once
#include <net/if.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define EP_LAN_MAX 16  ///< addresses looked at

typedef struct ep_lan_address {
    uint32_t ip, mask;  ///< host byte order
    char text[16];      ///< "192.168.1.5"
    char interface[IF_NAMESIZE];
} ep_lan_address;

typedef struct ep_lan {
    int n;
    ep_lan_address address[EP_LAN_MAX];  ///< the likeliest for a phone first; never loopback
    char name[72];  ///< "laptop.local", or "" when the machine has no plain name
} ep_lan;

/// What the system says now. A machine without a network gives n = 0.
void ep_lan_read(ep_lan *out);

/// Is this the loopback address of the machine's own programs, 127.0.0.1 exactly? The rest of
/// 127.0.0.0/8 is treated like any other address.
bool ep_lan_is_self(uint32_t ip);

/// Is `ip` in one of the machine's own networks (or 127.0.0.0/8)? Keeps the internet out even where
/// a router forwards the port.
bool ep_lan_is_near(const ep_lan *lan, uint32_t ip);

/// Is a Host (without its port, len bytes) one of the machine's own addresses or its .local name?
/// lan may be NULL.
bool ep_lan_is_name(const ep_lan *lan, const char *host, size_t len);

/// "http://192.168.1.5:8377" of address i, or of the .local name where i == lan->n; "https" when
/// encrypted. Returns buf.
const char *ep_lan_url(const ep_lan *lan, int i, bool encrypted, int port, char *buf, size_t cap);
