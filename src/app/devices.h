/// What the HTTP door asks about devices of the network, beside the table of cases: who is asking,
/// and who may call which case. docs/phone.md says it in plain words.
/// Needs: store, libsodium. Thread use: any; every function takes the app's lock itself.
#pragma once
#include "app/app.h"

/// Who asks, from least to most: each may do whatever those before it may.
typedef enum ep_who {
    EP_WHO_STRANGER,  ///< anybody who reaches the door: may only ask to be let in
    EP_WHO_BENCH,     ///< a paired device for the bench: reads, lights, takes readings
    EP_WHO_ALL,       ///< a paired device that may do everything but let others in
    EP_WHO_HERE,      ///< the workshop's own computer
} ep_who;

const char *ep_who_name(ep_who who);  ///< "stranger", "bench", "all", "here"

/// The least who may call a case. What is not named in the list of exceptions: reading takes
/// EP_WHO_BENCH, writing EP_WHO_ALL, so that a case added later is closed to the bench at first.
ep_who ep_case_who(const ep_use_case *c);

typedef struct ep_visitor {
    ep_who who;
    char id[40];    ///< of the device; "" for strangers and the computer itself
    char name[64];  ///< as its owner called it
} ep_visitor;

enum { EP_TOKEN_LEN = 64 };  ///< hex digits of a device's cookie: 32 random bytes

/// Which device holds this cookie. Notes that it was seen (to the minute).
/// @param token  as it came from outside, any text
/// @return EP_E_DENIED when it belongs to no device that may come in (unknown, revoked, replaced by
///         a newer cookie, or not seen for 180 days)
ep_status ep_visitor_of_token(ep_app *app, const char *token, ep_visitor *out, ep_err *err);

/// The app's own time: what "due" is measured by.
ep_time_ms ep_app_time(const ep_app *app);

/// What others in the network could see, when to use it, what does not work over plain http: texts
/// for people. {"seen": [..], "when": [..], "without": [..], "later": ".."}, new reference.
json_t *ep_phone_note(void);
