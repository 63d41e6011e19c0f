/*
 * Files: bounded reading of regular files, names that stay inside their folder, and writing
 * that leaves either the old file or the whole new one.
 */
#ifndef TW_BASE_FILE_H
#define TW_BASE_FILE_H

#include "base/error.h"

/* Read a whole regular file of at most `most` bytes into the arena, NUL ended. A directory, a
 * device or a pipe is TW_INPUT "not a regular file" (opened without blocking); a missing or
 * unreadable one TW_INPUT; a read error midway TW_IO. */
TW_USE_RESULT tw_code tw_file_read(tw_arena *arena, const char *path, size_t most, char **bytes,
                                   size_t *length, tw_error *error);

/* Open for reading with the same checks. The descriptor is the caller's. */
TW_USE_RESULT tw_code tw_file_open(const char *path, int *descriptor, int64_t *size,
                                   tw_error *error);

/* `length` bytes at `at`, all of them; false: errno, or the file ends before. */
TW_USE_RESULT bool tw_file_get(int descriptor, unsigned char *bytes, size_t length, int64_t at);

/* Which file it is and how it stands: the same as long as nobody writes into it or puts another in
 * its place. */
typedef struct tw_file_state {
    int64_t size, seconds, nanoseconds; /* last written */
    uint64_t device, inode;
    /* Last changed in any way, a new link, name or owner too, and not to be set by anybody: for who
     * must know without reading that the bytes are the same. tw_file_state_same leaves it out, so
     * that a link made while a day is printed stops nothing. */
    int64_t changed_seconds, changed_nanoseconds;
} tw_file_state;

/* Of an open file; of the file that has this name now. TW_IO "read-failed"; by name also
 * TW_INPUT "missing-file". The second names the file in `error`. */
TW_USE_RESULT tw_code tw_file_look(int descriptor, tw_file_state *out, tw_error *error);
TW_USE_RESULT tw_code tw_file_look_at(const char *path, tw_file_state *out, tw_error *error);
bool tw_file_state_same(const tw_file_state *a, const tw_file_state *b);

bool tw_path_is_folder(const char *path);
bool tw_path_exists(const char *path);
/* The folder part ("." when there is none), the last part, and folder/name, in the arena. An
 * absolute name is kept as it is by tw_path_join. NULL: no memory. */
char *tw_path_folder(tw_arena *arena, const char *path);
const char *tw_path_last(const char *path);
char *tw_path_join(tw_arena *arena, const char *folder, const char *name);

/* Find `name` (may hold '/') in `folder`, exact case first, then the only entry that differs in
 * ASCII case alone. The result, symbolic links resolved, must lie in the folder: else TW_INPUT
 * "outside its folder". Not found: TW_INPUT with the nearest entry as hint. */
TW_USE_RESULT tw_code tw_path_find_inside(tw_arena *arena, const char *folder, const char *name,
                                          char **out, tw_error *error);

/*
 * A set of files to appear together. Each is written as a temporary in the folder; nothing has
 * its final name until tw_files_commit, which syncs and renames all of them. tw_files_abandon
 * (also after a failed commit) removes every temporary. Names are plain: no '/', not "." or "..",
 * and an existing final name must be a regular file (a symbolic link there is replaced, not
 * followed).
 */
typedef struct tw_files tw_files;

#define TW_FILE_NAME_MOST 200 /* bytes of such a name */

/* Makes the folder (one level) when it is missing. */
TW_USE_RESULT tw_code tw_files_start(const tw_allocator *allocator, const char *folder,
                                     tw_files **out, tw_error *error);
/* A new empty temporary for `name`; *temporary is its path, owned by the set. */
TW_USE_RESULT tw_code tw_files_add(tw_files *files, const char *name, const char **temporary,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_files_write(tw_files *files, const char *name, const char *bytes,
                                     size_t length, tw_error *error);
/* The same behind what the set holds for `name` already: for what is made bit by bit. */
TW_USE_RESULT tw_code tw_files_append(tw_files *files, const char *name, const char *bytes,
                                      size_t length, tw_error *error);
/* Remove this final name at commit, if it is a regular file. */
TW_USE_RESULT tw_code tw_files_remove(tw_files *files, const char *name, tw_error *error);
TW_USE_RESULT tw_code tw_files_commit(tw_files *files, tw_error *error);
void tw_files_abandon(tw_files *files); /* frees the set; NULL allowed; fine after commit */

#endif
