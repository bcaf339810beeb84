/// A workshop in a file with a clock the test sets, its door open to the network, and a phone
/// played from another loopback address.
#pragma once
#include <stdatomic.h>
#include <stdbool.h>

#include "app/app.h"
#include "client.h"
#include "web/lan.h"
#include "web/web.h"

typedef struct lan_door {
    char dir[64];
    ep_app *app;
    ep_web *web;
    int port;
    _Atomic int64_t now;  ///< of the app's clock, ms; read by the door's threads
    char cookie[160];     ///< header line of the paired phone, "" before lan_pair
    char device[48];      ///< its id
} lan_door;

int lan_setup(void **state);
int lan_teardown(void **state);
/// Door and app closed and opened again on the same file and, when it can be had, the same port.
void lan_restart(lan_door *d, bool lan);

/// Raw bytes to an address, from an address (NULL = any). status 0 when nobody listens.
client_reply raw_to(const char *address, const char *from, int port, const char *bytes);
client_reply phone_raw(const lan_door *d, const char *from, const char *bytes);
/// From 127.0.0.2, called by 127.0.0.1. `extra` are header lines.
client_reply phone_ask(const lan_door *d, const char *method, const char *path, const char *extra,
                       const char *body);
/// From 127.0.0.`last`.
client_reply from_ask(const lan_door *d, int last, const char *method, const char *path,
                      const char *extra, const char *body);
/// From the computer itself.
client_reply here_ask(const lan_door *d, const char *method, const char *path, const char *body);
int here_status(const lan_door *d, const char *method, const char *path);
int here_confirm(const lan_door *d, const char *id, const char *number);

void lan_invite(const lan_door *d, const char *role, char code[40]);
/// Answer of POST /api/pair, which must go well.
json_t *phone_asks_in(const lan_door *d, const char *from, const char *code, const char *name);
client_reply phone_wait(const lan_door *d, const char *ticket);
/// The whole way in: d->cookie and d->device.
void lan_pair(lan_door *d, const char *role);
const char *lan_text(const json_t *o, const char *key);

/// A fortnight passes; a recipe "fig" with one candle, lit at 2026-12-10T12:00Z.
void lan_lit_candle(lan_door *d, char code[16]);

/// An event stream of the phone.
int phone_stream(const lan_door *d, const char *cookie);
/// Read on until `text` came by; false when the stream ended before. What follows it is kept for
/// the next call only when it comes in a later packet, so ask for what stands last.
bool stream_reads(int fd, const char *text);
/// Read to the end; false when `text` came by or the stream stayed open.
bool stream_ends_without(int fd, const char *text);
