// Which question of an asker is the newest.
#include "app/turn_int.h"

#include <string.h>

bool ep_turns_init(ep_turns *t)
{
    memset(t, 0, sizeof *t);
    return pthread_mutex_init(&t->lock, NULL) == 0;
}

void ep_turns_clear(ep_turns *t)
{
    pthread_mutex_destroy(&t->lock);
}

static int find(const ep_turns *t, const char *asker)
{
    for (int i = 0; i < EP_TURN_ASKERS; i++) {
        if (strcmp(t->row[i].asker, asker) == 0) {
            return i;
        }
    }
    return -1;
}

static int least_heard(const ep_turns *t)
{
    int at = 0;
    for (int i = 1; i < EP_TURN_ASKERS; i++) {
        at = t->row[i].heard < t->row[at].heard ? i : at;
    }
    return at;
}

static bool nobody(const char *asker)
{
    return !asker || !asker[0] || strlen(asker) >= EP_TURN_ASKER_CAP;
}

void ep_turns_take(ep_turns *t, const char *asker, int turn)
{
    if (nobody(asker)) {
        return;
    }
    pthread_mutex_lock(&t->lock);
    int at = find(t, asker);
    if (at < 0) {
        at = least_heard(t);
        strcpy(t->row[at].asker, asker);
        t->row[at].turn = turn;
    }
    t->row[at].turn = turn > t->row[at].turn ? turn : t->row[at].turn;
    t->row[at].heard = ++t->heard;
    pthread_mutex_unlock(&t->lock);
}

bool ep_turns_wanted(ep_turns *t, const char *asker, int turn)
{
    if (nobody(asker)) {
        return true;
    }
    pthread_mutex_lock(&t->lock);
    int at = find(t, asker);
    bool wanted = at < 0 || t->row[at].turn <= turn;
    pthread_mutex_unlock(&t->lock);
    return wanted;
}
