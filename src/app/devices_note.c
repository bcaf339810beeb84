// What plain http in the network of a home or a workshop means, for the person who switches it on.
// docs/phone.md says the same at more length.
#include "app/app_int.h"
#include "app/devices.h"

static const char *const seen[] = {
    "The pages travel unencrypted between phone and computer. Whoever is in the same network and "
    "listens in, another guest or a device with bad software on it, could read what is shown and "
    "typed.",
    "They could also copy the key a phone was given and come in with it until you revoke that "
    "phone. Revoke a device you do not recognise, or one that was lost.",
    "Nobody gets in by merely being in the network: a device needs a fresh code from this computer "
    "and its number typed here.",
};

static const char *const when[] = {
    "Use it in a network you run yourself, with a password on the Wi-Fi.",
    "Do not use it in a café, at a fair, in a hotel, or in a network shared with people you do not "
    "know. Start the program without --lan there.",
    "A guest network often keeps devices apart from each other: then the phone does not reach the "
    "computer at all.",
};

static const char *const without[] = {
    "The page cannot keep the phone's screen on: set a longer screen timeout in the phone itself, "
    "and do not rely on the phone alone for a reading that is due.",
    "The page cannot be opened while the computer is away. A page that is open stays open, and "
    "what is typed into it is kept and sent later.",
    "Pages cannot notify while the browser is closed.",
};

static json_t *list_of(const char *const *text, int n)
{
    json_t *list = json_array();
    for (int i = 0; i < n; i++) {
        json_array_append_new(list, json_string(text[i]));
    }
    return list;
}

json_t *ep_phone_note(void)
{
    json_t *o = json_object();
    ep_out_new(o, "seen", list_of(seen, EP_COUNT_OF(seen)));
    ep_out_new(o, "when", list_of(when, EP_COUNT_OF(when)));
    ep_out_new(o, "without", list_of(without, EP_COUNT_OF(without)));
    ep_out_text(
        o, "later",
        "Started with evenpool serve --lan --tls, the workshop speaks to devices encrypted "
        "(https): nobody reads along, the page can keep the screen on, and it opens while the "
        "computer is away. Each device must be told once to trust this workshop's "
        "certificate.");
    return o;
}
