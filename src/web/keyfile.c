// Files that hold a key.
#include "web/keyfile.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static ep_status fail(ep_err *err, const char *path, const char *what, int why)
{
    return ep_err_set(err, EP_E_IO, "tls", "tls: %s %s (%s)", path, what, strerror(why));
}

// also says no to a folder, a device, a link: what stands there was not made by us
static ep_status judge(int fd, const char *path, size_t *size, ep_err *err)
{
    struct stat st;
    if (fstat(fd, &st) != 0) {
        return fail(err, path, "cannot be read", errno);
    }
    if (!S_ISREG(st.st_mode) || st.st_size < 0 || (size_t)st.st_size > EP_KEYFILE_MAX) {
        return ep_err_set(err, EP_E_IO, "tls", "tls: %s is no file of a key (at most %u bytes)",
                          path, EP_KEYFILE_MAX);
    }
    if ((st.st_mode & 077) != 0) {
        return ep_err_set(
            err, EP_E_IO, "tls",
            "tls: others on this computer may read %s (mode %03o, allowed is 600): if "
            "nobody did, chmod 600 it, else remove it and let every phone trust a "
            "new one",
            path, (unsigned)(st.st_mode & 0777));
    }
    *size = (size_t)st.st_size;
    return EP_OK;
}

static ep_status read_all(int fd, const char *path, char *to, size_t size, ep_err *err)
{
    size_t got = 0;
    while (got < size) {
        ssize_t n = read(fd, to + got, size - got);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n <= 0) {
            return fail(err, path, "cannot be read", n < 0 ? errno : EIO);
        }
        got += (size_t)n;
    }
    return EP_OK;
}

ep_status ep_keyfile_read(const char *path, char **text, size_t *len, ep_err *err)
{
    int fd = open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0 && errno == ENOENT) {
        return EP_E_NOT_FOUND;
    }
    if (fd < 0) {
        return fail(err, path, "cannot be read", errno);
    }
    size_t size = 0;
    char *data = NULL;
    ep_status s = judge(fd, path, &size, err);
    if (s == EP_OK) {
        data = calloc(1, size + 1);
        s = data ? read_all(fd, path, data, size, err)
                 : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    close(fd);
    if (s != EP_OK) {
        ep_keyfile_free(data, size);
        return s;
    }
    *text = data;
    *len = size;
    return EP_OK;
}

static bool write_all(int fd, const char *text, size_t len)
{
    for (size_t done = 0; done < len;) {
        ssize_t n = write(fd, text + done, len - done);
        if (n < 0 && errno != EINTR) {
            return false;
        }
        done += n > 0 ? (size_t)n : 0;
    }
    return fsync(fd) == 0;
}

// the new name reaches the disk with its folder; a system that cannot do that has done its best
static void sync_folder(const char *path)
{
    char *copy = strdup(path);
    int fd = copy ? open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
    free(copy);
}

// a file system that knows no "only when there is none" is asked first instead
static int give_name(const char *part, const char *path)
{
    if (renameat2(AT_FDCWD, part, AT_FDCWD, path, RENAME_NOREPLACE) == 0) {
        return 0;
    }
    if (errno != EINVAL && errno != ENOSYS) {
        return -1;
    }
    if (access(path, F_OK) == 0) {
        errno = EEXIST;
        return -1;
    }
    return rename(part, path);
}

ep_status ep_keyfile_make(const char *path, const char *text, size_t len, ep_err *err)
{
    char part[4096];
    int n = snprintf(part, sizeof part, "%s.XXXXXX", path);
    if (n < 0 || (size_t)n >= sizeof part) {
        return fail(err, path, "cannot be written", ENAMETOOLONG);
    }
    int fd = mkostemp(part, O_CLOEXEC);  // with mode 0600
    if (fd < 0) {
        return fail(err, path, "cannot be written", errno);
    }
    bool written = write_all(fd, text, len);
    int why = errno;
    if (close(fd) != 0 && written) {
        written = false;
        why = errno;
    }
    if (written && give_name(part, path) != 0) {
        written = false;
        why = errno;
    }
    if (!written) {
        unlink(part);
        return why == EEXIST
                   ? ep_err_set(err, EP_E_CONFLICT, "tls", "tls: there is a file %s", path)
                   : fail(err, path, "cannot be written", why);
    }
    sync_folder(path);
    return EP_OK;
}

void ep_keyfile_free(char *text, size_t len)
{
    if (text) {
        explicit_bzero(text, len);
        free(text);
    }
}
