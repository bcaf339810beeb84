/// Questions put again and again by one asker (a page whose slider is being dragged): each carries
/// the asker's id and a number that rises, and a newer one makes the older ones unwanted.
#pragma once
#include <pthread.h>
#include <stdbool.h>

enum { EP_TURN_ASKERS = 32, EP_TURN_ASKER_CAP = 40 };

/// The newest turn of the latest askers; the one not heard of for longest makes room. Thread-safe.
typedef struct ep_turns {
    pthread_mutex_t lock;
    struct {
        char asker[EP_TURN_ASKER_CAP];
        int turn;
        long heard;  ///< order of asking
    } row[EP_TURN_ASKERS];
    long heard;
} ep_turns;

/// false when the system has no lock to give
bool ep_turns_init(ep_turns *t);
void ep_turns_clear(ep_turns *t);

/// Note that `asker` has asked its question number `turn`. NULL or "" is nobody and is not noted.
void ep_turns_take(ep_turns *t, const char *asker, int turn);

/// Has `asker` asked nothing newer than `turn`? Always true for nobody and for one forgotten.
bool ep_turns_wanted(ep_turns *t, const char *asker, int turn);
