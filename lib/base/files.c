/*
 * A set of files that appear together or not at all: temporaries in the folder, synced, then
 * renamed one after the other, then the folder itself synced. A rename cannot be half done; when
 * one fails the remaining temporaries are removed and the message says what is new already.
 */
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"

enum { ATTEMPTS_MOST = 1000 };

typedef struct entry {
    char *name;
    char *temporary; /* whole path, or NULL: the name is to be removed at commit */
    bool done;
} entry;

struct tw_files {
    tw_allocator allocator;
    bool own_allocator; /* false: plain malloc */
    char *folder;
    int descriptor; /* of the folder: renames stay in it even when its path changes hands */
    bool made;      /* the folder is ours, and goes again when it stays empty */
    bool failed;    /* a write broke off: the set must not be committed */
    entry *entries;
    size_t count, room;
};

static const tw_allocator *allocator_of(const tw_files *files) {
    return files->own_allocator ? &files->allocator : NULL;
}

static tw_code machine_failed(const char *folder, const char *name, const char *what, int number,
                              tw_error *error) {
    char path[256];
    snprintf(path, sizeof path, "%.150s%s%.100s", folder, name == NULL ? "" : "/",
             name == NULL ? "" : name);
    tw_fail(error, TW_IO, "not-writable", "%s: %s", what, strerror(number));
    tw_fail_at(error, path, 0, 0);
    if (number == ENOSPC || number == EDQUOT)
        tw_fail_hint(error, "make room on the disk, or write elsewhere");
    return TW_IO;
}

static char *text_block(const tw_files *files, const char *text) {
    char *copy = tw_block_new(allocator_of(files), strlen(text) + 1);
    if (copy != NULL)
        memcpy(copy, text, strlen(text) + 1);
    return copy;
}

static tw_code open_folder(tw_files *files, const char *folder, tw_error *error) {
    files->made = mkdir(folder, 0777) == 0;
    if (!files->made && errno != EEXIST)
        return machine_failed(folder, NULL, "this folder cannot be made", errno, error);
    files->descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (files->descriptor < 0)
        return machine_failed(folder, NULL, "this folder cannot be written to", errno, error);
    if (faccessat(files->descriptor, ".", W_OK | X_OK, 0) != 0)
        return machine_failed(folder, NULL, "this folder cannot be written to", errno, error);
    return TW_OK;
}

tw_code tw_files_start(const tw_allocator *allocator, const char *folder, tw_files **out,
                       tw_error *error) {
    *out = NULL;
    tw_files *files = tw_block_new(allocator, sizeof *files);
    if (files == NULL)
        return tw_no_memory(error);
    files->descriptor = -1;
    files->own_allocator = allocator != NULL;
    if (allocator != NULL)
        files->allocator = *allocator;
    files->folder = text_block(files, folder);
    tw_code code = files->folder == NULL ? tw_no_memory(error) : open_folder(files, folder, error);
    if (code != TW_OK)
        tw_files_abandon(files);
    else
        *out = files;
    return code;
}

/* Names come from our own code and, for removals, from the JSON of an earlier run: from outside. */
static tw_code check_name(const tw_files *files, const char *name, tw_error *error) {
    bool plain = name[0] != '\0' && strchr(name, '/') == NULL && strcmp(name, ".") != 0 &&
                 strcmp(name, "..") != 0 && strlen(name) <= TW_FILE_NAME_MOST;
    if (plain)
        return TW_OK;
    tw_fail(error, TW_INPUT, "bad-file-name", "\"%.200s\" is not a plain file name", name);
    tw_fail_at(error, files->folder, 0, 0);
    return TW_INPUT;
}

/* What has the final name now may be replaced only when it is a file or a link. */
static tw_code check_target(const tw_files *files, const char *name, tw_error *error) {
    struct stat facts;
    if (fstatat(files->descriptor, name, &facts, AT_SYMLINK_NOFOLLOW) != 0) {
        if (errno == ENOENT)
            return TW_OK;
        return machine_failed(files->folder, name, "cannot be written", errno, error);
    }
    if (S_ISREG(facts.st_mode) || S_ISLNK(facts.st_mode))
        return TW_OK;
    tw_fail(error, TW_IO, "not-writable", "\"%s\" in %s is not a file and cannot be replaced", name,
            files->folder);
    tw_fail_hint(error, "move it away, or write to another folder");
    return TW_IO;
}

static tw_code add_entry(tw_files *files, const char *name, entry **out, tw_error *error) {
    if (files->count == files->room) {
        size_t room = files->room == 0 ? 8 : files->room * 2;
        entry *moved = tw_block_resize(allocator_of(files), files->entries,
                                       files->count * sizeof *moved, room * sizeof *moved);
        if (moved == NULL)
            return tw_no_memory(error);
        files->entries = moved;
        files->room = room;
    }
    *out = &files->entries[files->count];
    **out = (entry){.name = text_block(files, name)};
    if ((*out)->name == NULL)
        return tw_no_memory(error);
    files->count++;
    return TW_OK;
}

/* The temporary's name in the folder: the last part of its path. */
static const char *temporary_name(const entry *of) {
    return tw_path_last(of->temporary);
}

/* An empty new file under the first free name. Temporaries left by a crash are stepped over:
 * they may as well belong to another run going on now. */
static tw_code make_temporary(tw_files *files, entry *of, int *descriptor, tw_error *error) {
    size_t size = strlen(files->folder) + strlen(of->name) + 32;
    char *path = tw_block_new(allocator_of(files), size);
    if (path == NULL)
        return tw_no_memory(error);
    for (int attempt = 0; attempt < ATTEMPTS_MOST; attempt++) {
        snprintf(path, size, "%s/.%s.trimwell-tmp", files->folder, of->name);
        if (attempt > 0)
            snprintf(path + strlen(path), size - strlen(path), "-%d", attempt);
        *descriptor = openat(files->descriptor, tw_path_last(path),
                             O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (*descriptor >= 0) {
            of->temporary = path;
            return TW_OK;
        }
        if (errno != EEXIST)
            break;
    }
    int number = errno;
    tw_block_free(allocator_of(files), path);
    return machine_failed(files->folder, of->name, "cannot be written", number, error);
}

/* Takes back the entry just added. */
static void drop_last(tw_files *files) {
    entry *last = &files->entries[--files->count];
    tw_block_free(allocator_of(files), last->name);
    *last = (entry){0};
}

/* The entry that has a temporary for this name already. */
static const entry *written(const tw_files *files, const char *name) {
    for (size_t i = 0; i < files->count; i++)
        if (files->entries[i].temporary != NULL && strcmp(files->entries[i].name, name) == 0)
            return &files->entries[i];
    return NULL;
}

static tw_code add_open(tw_files *files, const char *name, entry **out, int *descriptor,
                        tw_error *error) {
    tw_code code = check_name(files, name, error);
    if (code == TW_OK && written(files, name) != NULL)
        code = tw_fail(error, TW_BUG, "doubled-file", "\"%s\" is written twice", name);
    if (code == TW_OK)
        code = check_target(files, name, error);
    if (code == TW_OK)
        code = add_entry(files, name, out, error);
    if (code != TW_OK)
        return code;
    code = make_temporary(files, *out, descriptor, error);
    if (code != TW_OK)
        drop_last(files);
    return code;
}

tw_code tw_files_add(tw_files *files, const char *name, const char **temporary, tw_error *error) {
    entry *added = NULL;
    int descriptor = -1;
    tw_code code = add_open(files, name, &added, &descriptor, error);
    if (code != TW_OK || added == NULL)
        return code;
    close(descriptor);
    *temporary = added->temporary;
    return TW_OK;
}

static int write_all(int descriptor, const char *bytes, size_t length) {
    while (length > 0) {
        ssize_t count = write(descriptor, bytes, length);
        if (count < 0 && errno != EINTR)
            return errno;
        if (count > 0) {
            bytes += count;
            length -= (size_t)count;
        }
    }
    return 0;
}

/* Closes it, too. */
static tw_code fill(tw_files *files, int descriptor, const char *name, const char *bytes,
                    size_t length, tw_error *error) {
    int number = write_all(descriptor, bytes, length);
    if (close(descriptor) != 0 && number == 0)
        number = errno; /* some file systems tell a full disk only here */
    files->failed = files->failed || number != 0;
    if (number != 0)
        return machine_failed(files->folder, name, "cannot be written", number, error);
    return TW_OK;
}

tw_code tw_files_write(tw_files *files, const char *name, const char *bytes, size_t length,
                       tw_error *error) {
    entry *added = NULL;
    int descriptor = -1;
    tw_code code = add_open(files, name, &added, &descriptor, error);
    return code == TW_OK ? fill(files, descriptor, name, bytes, length, error) : code;
}

tw_code tw_files_append(tw_files *files, const char *name, const char *bytes, size_t length,
                        tw_error *error) {
    const entry *of = written(files, name);
    if (of == NULL)
        return tw_files_write(files, name, bytes, length, error);
    int descriptor =
        openat(files->descriptor, temporary_name(of), O_WRONLY | O_APPEND | O_CLOEXEC | O_NOFOLLOW);
    if (descriptor < 0)
        return machine_failed(files->folder, name, "cannot be written", errno, error);
    return fill(files, descriptor, name, bytes, length, error);
}

tw_code tw_files_remove(tw_files *files, const char *name, tw_error *error) {
    entry *added;
    tw_code code = check_name(files, name, error);
    return code == TW_OK ? add_entry(files, name, &added, error) : code;
}

static tw_code sync_entry(const tw_files *files, const entry *of, tw_error *error) {
    int number = 0;
    int descriptor =
        openat(files->descriptor, temporary_name(of), O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (descriptor < 0 || fsync(descriptor) != 0)
        number = errno;
    if (descriptor >= 0)
        close(descriptor);
    if (number != 0)
        return machine_failed(files->folder, of->name, "cannot be written", number, error);
    return TW_OK;
}

static tw_code rename_entry(const tw_files *files, entry *of, size_t before, tw_error *error) {
    if (renameat(files->descriptor, temporary_name(of), files->descriptor, of->name) == 0) {
        of->done = true;
        return TW_OK;
    }
    machine_failed(files->folder, of->name, "cannot be put in place", errno, error);
    if (before > 0)
        tw_fail_hint(error,
                     "files renamed before it (%zu) are new already, the rest are as they were: "
                     "run the same command again",
                     before);
    return TW_IO;
}

static tw_code remove_entry(const tw_files *files, entry *of, tw_error *error) {
    struct stat facts;
    of->done = true;
    if (fstatat(files->descriptor, of->name, &facts, AT_SYMLINK_NOFOLLOW) != 0 ||
        !S_ISREG(facts.st_mode) || written(files, of->name) != NULL)
        return TW_OK;
    if (unlinkat(files->descriptor, of->name, 0) != 0 && errno != ENOENT)
        return machine_failed(files->folder, of->name, "cannot be removed", errno, error);
    return TW_OK;
}

tw_code tw_files_commit(tw_files *files, tw_error *error) {
    tw_code code = TW_OK;
    size_t renamed = 0;
    if (files->failed)
        return tw_fail(error, TW_BUG, "broken-set",
                       "a set with a half written file cannot be kept");
    for (size_t i = 0; i < files->count && code == TW_OK; i++)
        if (files->entries[i].temporary != NULL)
            code = sync_entry(files, &files->entries[i], error);
    for (size_t i = 0; i < files->count && code == TW_OK; i++)
        if (files->entries[i].temporary != NULL)
            code = rename_entry(files, &files->entries[i], renamed++, error);
    for (size_t i = 0; i < files->count && code == TW_OK; i++)
        if (files->entries[i].temporary == NULL)
            code = remove_entry(files, &files->entries[i], error);
    if (code == TW_OK && fsync(files->descriptor) != 0 && errno != EINVAL)
        code = machine_failed(files->folder, NULL, "this folder cannot be synced", errno, error);
    return code;
}

void tw_files_abandon(tw_files *files) {
    if (files == NULL)
        return;
    tw_allocator copy = files->allocator;
    const tw_allocator *allocator = files->own_allocator ? &copy : NULL;
    for (size_t i = 0; i < files->count; i++) {
        entry *at = &files->entries[i];
        if (at->temporary != NULL && !at->done)
            unlinkat(files->descriptor, temporary_name(at), 0);
        tw_block_free(allocator, at->temporary);
        tw_block_free(allocator, at->name);
    }
    if (files->descriptor >= 0)
        close(files->descriptor);
    if (files->made)
        rmdir(files->folder); /* fails, as it should, when anything is in it */
    tw_block_free(allocator, files->entries);
    tw_block_free(allocator, files->folder);
    tw_block_free(allocator, files);
}
