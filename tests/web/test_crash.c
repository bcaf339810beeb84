// The server is killed (SIGKILL) in the middle of a stream of writes, several times over; whatever
// it had acknowledged is there when the file is opened again. EVENPOOL names the program.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <jansson.h>
#include <pthread.h>
#include <signal.h>
#include <spawn.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/uuid.h"
#include "client.h"

extern char **environ;

enum { ROUNDS = 4, WRITERS = 3, PER_WRITER = 60 };

typedef struct server {
    pid_t pid;
    int port;
} server;

static char dir[64], db[96];
static char acknowledged[ROUNDS * WRITERS * PER_WRITER][EP_UUID_LEN + 1];
static atomic_int n_acknowledged;
static char material[64];

static server start_server(void)
{
    server s = {0};
    int out[2];
    assert_int_equal(pipe(out), 0);
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, out[1], STDOUT_FILENO);
    posix_spawn_file_actions_addclose(&actions, out[0]);
    char program[] = "evenpool", a1[] = "serve", a2[] = "--port", a3[] = "0", a4[] = "--open";
    char a5[] = "no", a6[] = "--db";
    char *argv[] = {program, a1, a2, a3, a4, a5, a6, db, NULL};
    const char *path = getenv("EVENPOOL");
    assert_non_null(path);
    assert_int_equal(posix_spawn(&s.pid, path, &actions, NULL, argv, environ), 0);
    posix_spawn_file_actions_destroy(&actions);
    close(out[1]);
    char line[128] = "";
    FILE *f = fdopen(out[0], "r");
    assert_non_null(fgets(line, sizeof line, f));
    fclose(f);
    assert_int_equal(sscanf(line, "http://127.0.0.1:%d/", &s.port), 1);
    return s;
}

static int stop_server(const server *s, int signal_number)
{
    int status = 0;
    kill(s->pid, signal_number);
    waitpid(s->pid, &status, 0);
    return status;
}

// the id of any material a container can be made of
static void find_material(int port)
{
    client_reply r = client_ask(port, "GET", "/api/materials?kind=container", "", NULL);
    json_t *list = json_loads(r.body, 0, NULL);
    json_t *first = json_array_get(json_object_get(list, "materials"), 0);
    const char *id = json_string_value(json_object_get(first, "id"));
    assert_non_null(id);
    snprintf(material, sizeof material, "%s", id);
    json_decref(list);
    client_reply_clear(&r);
}

// writes until the server is gone or the share is written; keeps every id that was answered with
// 200
static void *write_things(void *ctx)
{
    const int *port = ctx;
    int fd = client_connect(*port);
    for (int i = 0; fd >= 0 && i < PER_WRITER; i++) {
        ep_clock clock = ep_clock_system();
        ep_uuid id = ep_uuid_make(ep_clock_now(&clock));
        char body[512];
        snprintf(body, sizeof body,
                 "{\"id\":\"%s\",\"name\":\"Jar %s\",\"material\":\"%s\",\"inner_diameter\":74,"
                 "\"height\":90,\"wall\":3}",
                 id.text, id.text, material);
        client_reply r = client_ask_on(fd, "POST", "/api/containers", "", body);
        bool ok = r.status == 200;
        client_reply_clear(&r);
        if (!ok) {
            break;
        }
        int at = atomic_fetch_add(&n_acknowledged, 1);
        memcpy(acknowledged[at], id.text, sizeof id.text);
    }
    if (fd >= 0) {
        close(fd);
    }
    return NULL;
}

static void test_nothing_acknowledged_is_lost(void **state)
{
    (void)state;
    for (int round = 0; round < ROUNDS; round++) {
        server s = start_server();
        find_material(s.port);
        pthread_t writer[WRITERS];
        for (int i = 0; i < WRITERS; i++) {
            assert_int_equal(pthread_create(&writer[i], NULL, write_things, &s.port), 0);
        }
        // a different moment each round, always with writes under way
        int before = atomic_load(&n_acknowledged);
        for (int wait = 0; wait < 5000 && atomic_load(&n_acknowledged) < before + 10 + 7 * round;
             wait++) {
            usleep(1000);
        }
        int status = stop_server(&s, SIGKILL);
        assert_true(WIFSIGNALED(status));
        for (int i = 0; i < WRITERS; i++) {
            pthread_join(writer[i], NULL);
        }
        assert_true(atomic_load(&n_acknowledged) >= before + 10);
    }
    server s = start_server();
    client_reply r = client_ask(s.port, "GET", "/api/containers", "", NULL);
    assert_int_equal(r.status, 200);
    int n = atomic_load(&n_acknowledged);
    for (int i = 0; i < n; i++) {
        if (!strstr(r.body, acknowledged[i])) {
            fail_msg("%s was acknowledged and is gone (%d of %d)", acknowledged[i], i, n);
        }
    }
    client_reply_clear(&r);
    stop_server(&s, SIGTERM);
}

static void test_signals_end_it_cleanly(void **state)
{
    (void)state;
    static const int signals[] = {SIGINT, SIGTERM};
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        server s = start_server();
        client_reply r = client_ask(s.port, "GET", "/api/meta", "", NULL);
        assert_int_equal(r.status, 200);
        client_reply_clear(&r);
        int status = stop_server(&s, signals[i]);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 0);
    }
}

static int setup(void **state)
{
    (void)state;
    snprintf(dir, sizeof dir, "/tmp/ep-crash-XXXXXX");
    if (!mkdtemp(dir)) {
        return -1;
    }
    snprintf(db, sizeof db, "%s/w.evenpool", dir);
    signal(SIGPIPE, SIG_IGN);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    char command[128];
    snprintf(command, sizeof command, "rm -r '%s'", dir);
    return system(command);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_acknowledged_is_lost),
        cmocka_unit_test(test_signals_end_it_cleanly),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
