/*
 * Reading files: regular ones only, bounded, opened so that nothing a person names can make the
 * program wait; and names that stay inside their folder. Writing is in files.c.
 */
/* realpath is an XSI function: POSIX.1-2008 alone does not declare it in every C library. */
#define _XOPEN_SOURCE 700 /* NOLINT: the name is the standard's own */

#include "base/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"

/* The system's words; the locale is never set, so they are the C locale's. */
static tw_code cannot(const char *path, const char *name, tw_code code, int number,
                      tw_error *error) {
    tw_fail(error, code, name, "cannot be read: %s", strerror(number));
    tw_fail_at(error, path, 0, 0);
    return code;
}

static tw_code not_regular(const char *path, mode_t mode, tw_error *error) {
    const char *what = S_ISDIR(mode)    ? "a folder"
                       : S_ISFIFO(mode) ? "a pipe"
                       : S_ISSOCK(mode) ? "a socket"
                                        : "a device";
    tw_fail(error, TW_INPUT, "not-a-regular-file", "not a regular file but %s", what);
    tw_fail_at(error, path, 0, 0);
    return TW_INPUT;
}

static tw_code cannot_open(const char *path, int number, tw_error *error) {
    if (number == ENXIO) /* what open says of a socket */
        return not_regular(path, S_IFSOCK, error);
    if (number == ENOENT || number == ENOTDIR) {
        tw_fail(error, TW_INPUT, "missing-file", "there is no such file");
        tw_fail_at(error, path, 0, 0);
        return TW_INPUT;
    }
    bool machine = number == EIO || number == ENOMEM || number == EMFILE || number == ENFILE;
    return cannot(path, "unreadable-file", machine ? TW_IO : TW_INPUT, number, error);
}

tw_code tw_file_open(const char *path, int *descriptor, int64_t *size, tw_error *error) {
    struct stat facts;
    /* Not blocking: opening a pipe nobody writes to would wait for ever. */
    int opened = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    if (opened < 0)
        return cannot_open(path, errno, error);
    tw_code code = TW_OK;
    if (fstat(opened, &facts) != 0)
        code = cannot(path, "read-failed", TW_IO, errno, error);
    else if (!S_ISREG(facts.st_mode))
        code = not_regular(path, facts.st_mode, error);
    if (code != TW_OK) {
        close(opened);
        return code;
    }
    *descriptor = opened;
    *size = facts.st_size;
    return TW_OK;
}

bool tw_file_get(int descriptor, unsigned char *bytes, size_t length, int64_t at) {
    while (length > 0) {
        ssize_t done = pread(descriptor, bytes, length, (off_t)at);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return false;
        bytes += done;
        at += done;
        length -= (size_t)done;
    }
    return true;
}

static tw_file_state state_of(const struct stat *facts) {
    return (tw_file_state){.size = facts->st_size,
                           .seconds = facts->st_mtim.tv_sec,
                           .nanoseconds = facts->st_mtim.tv_nsec,
                           .device = facts->st_dev,
                           .inode = facts->st_ino,
                           .changed_seconds = facts->st_ctim.tv_sec,
                           .changed_nanoseconds = facts->st_ctim.tv_nsec};
}

tw_code tw_file_look(int descriptor, tw_file_state *out, tw_error *error) {
    struct stat facts;
    if (fstat(descriptor, &facts) != 0)
        return tw_fail(error, TW_IO, "read-failed", "the file cannot be looked at: %s",
                       strerror(errno));
    *out = state_of(&facts);
    return TW_OK;
}

tw_code tw_file_look_at(const char *path, tw_file_state *out, tw_error *error) {
    struct stat facts;
    if (stat(path, &facts) != 0)
        return cannot_open(path, errno, error);
    *out = state_of(&facts);
    return TW_OK;
}

bool tw_file_state_same(const tw_file_state *a, const tw_file_state *b) {
    return a->size == b->size && a->seconds == b->seconds && a->nanoseconds == b->nanoseconds &&
           a->device == b->device && a->inode == b->inode;
}

static tw_code read_all(const char *path, int descriptor, char *bytes, size_t size, size_t *got,
                        tw_error *error) {
    *got = 0;
    while (*got < size) {
        ssize_t count = read(descriptor, bytes + *got, size - *got);
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            return cannot(path, "read-failed", TW_IO, errno, error);
        if (count == 0) /* it became shorter while being read: what is there is taken */
            break;
        *got += (size_t)count;
    }
    return TW_OK;
}

static tw_code too_big(const char *path, int64_t size, size_t most, tw_error *error) {
    tw_fail(error, TW_INPUT, "file-too-big", "is %lld bytes long: at most %zu are allowed",
            (long long)size, most);
    tw_fail_at(error, path, 0, 0);
    return TW_INPUT;
}

tw_code tw_file_read(tw_arena *arena, const char *path, size_t most, char **bytes, size_t *length,
                     tw_error *error) {
    int descriptor = -1;
    int64_t size = 0;
    tw_code code = tw_file_open(path, &descriptor, &size, error);
    if (code != TW_OK)
        return code;
    char *room = NULL;
    if ((uint64_t)size > most)
        code = too_big(path, size, most, error);
    else if ((room = tw_arena_take(arena, (size_t)size + 1)) == NULL)
        code = tw_no_memory(error);
    else
        code = read_all(path, descriptor, room, (size_t)size, length, error);
    close(descriptor);
    if (code == TW_OK)
        *bytes = room;
    return code;
}

bool tw_path_is_folder(const char *path) {
    struct stat facts;
    return stat(path, &facts) == 0 && S_ISDIR(facts.st_mode);
}

bool tw_path_exists(const char *path) {
    struct stat facts;
    return stat(path, &facts) == 0;
}

const char *tw_path_last(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

char *tw_path_folder(tw_arena *arena, const char *path) {
    const char *slash = strrchr(path, '/');
    if (slash == NULL)
        return tw_arena_string(arena, ".");
    return tw_arena_copy(arena, path, slash == path ? 1 : (size_t)(slash - path));
}

char *tw_path_join(tw_arena *arena, const char *folder, const char *name) {
    if (name[0] == '/' || folder[0] == '\0')
        return tw_arena_string(arena, name);
    size_t length = strlen(folder);
    const char *between = folder[length - 1] == '/' ? "" : "/";
    return tw_arena_print(arena, "%s%s%s", folder, between, name);
}

/* The search for one name in one folder's entries. */
typedef struct search {
    const char *name;
    char same[256]; /* an entry that differs in ASCII case alone */
    size_t same_count;
    char near[256]; /* the nearest by spelling, the first in byte order on a tie */
} search;

static void look_at(search *find, const char *entry) {
    if (strlen(entry) >= sizeof find->same || entry[0] == '.')
        return;
    if (tw_same_ignoring_case(entry, find->name)) {
        memcpy(find->same, entry, strlen(entry) + 1);
        find->same_count++;
    }
    /* The two in byte order, so that the folder's own order does not decide a tie. */
    bool first = find->near[0] == '\0' || strcmp(entry, find->near) < 0;
    const char *pair[2] = {first ? entry : find->near, first ? find->near : entry};
    const char *near = tw_nearest(find->name, pair, pair[1][0] == '\0' ? 1 : 2);
    if (near != NULL && near != find->near)
        memmove(find->near, near, strlen(near) + 1);
}

/* False when the folder cannot be listed. */
static bool look_through(const char *folder, search *find) {
    DIR *listing = opendir(folder);
    if (listing == NULL)
        return false;
    for (const struct dirent *entry; (entry = readdir(listing)) != NULL;)
        look_at(find, entry->d_name);
    closedir(listing);
    return true;
}

static tw_code not_found(const char *folder, const char *name, const search *find,
                         tw_error *error) {
    tw_fail(error, TW_INPUT, "missing-file", "\"%s\" is not in the folder %s", name, folder);
    if (find->same_count > 1)
        tw_fail_hint(error, "%zu names differ from it in capitals alone: write one exactly",
                     find->same_count);
    else if (find->near[0] != '\0')
        tw_fail_hint(error, "nearest: \"%s\"", find->near);
    return TW_INPUT;
}

/* Is `path`, symbolic links resolved, the folder itself or in it? A prefix counts only up to a
 * '/', so that /photos-old is not in /photos. */
static tw_code check_inside(const char *folder, const char *path, const char *name,
                            tw_error *error) {
    char real_folder[PATH_MAX], real_path[PATH_MAX];
    if (realpath(folder, real_folder) == NULL)
        return cannot_open(folder, errno, error);
    if (realpath(path, real_path) == NULL)
        return cannot_open(path, errno, error);
    size_t length = strlen(real_folder);
    bool root = length == 1;
    bool border = root || real_path[length] == '/' || real_path[length] == '\0';
    if (strncmp(real_path, real_folder, length) == 0 && border)
        return TW_OK;
    tw_fail(error, TW_INPUT, "outside-folder", "\"%s\" lies outside its folder %s", name, folder);
    tw_fail_hint(error, "put the file into the folder, or name its own folder in the job");
    return TW_INPUT;
}

/* The path with its last part as the folder spells it. */
static tw_code find_spelling(tw_arena *arena, const char *folder, const char *name, char **path,
                             tw_error *error) {
    search find = {.name = tw_path_last(*path)};
    char *parent = tw_path_folder(arena, *path);
    if (parent == NULL)
        return tw_no_memory(error);
    if (!tw_path_is_folder(parent))
        return not_found(folder, name, &find, error);
    tw_code code = check_inside(folder, parent, name, error); /* list nothing outside */
    if (code != TW_OK)
        return code;
    if (!look_through(parent, &find) || find.same_count != 1)
        return not_found(folder, name, &find, error);
    *path = tw_path_join(arena, parent, find.same);
    return *path == NULL ? tw_no_memory(error) : TW_OK;
}

tw_code tw_path_find_inside(tw_arena *arena, const char *folder, const char *name, char **out,
                            tw_error *error) {
    tw_code code = TW_OK;
    if (name[0] == '\0')
        return tw_fail(error, TW_INPUT, "missing-file", "no file is named");
    char *path = tw_path_join(arena, folder, name);
    if (path == NULL)
        return tw_no_memory(error);
    if (!tw_path_exists(path))
        code = find_spelling(arena, folder, name, &path, error);
    if (code == TW_OK)
        code = check_inside(folder, path, name, error);
    if (code == TW_OK)
        *out = path;
    return code;
}
