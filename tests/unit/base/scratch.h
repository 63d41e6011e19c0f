/* A folder of its own for a test that needs files, and small words to fill it and look into it. */
#ifndef TW_SCRATCH_H
#define TW_SCRATCH_H

#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "testing.h"

static char scratch[200];

static inline int scratch_start(void **state) {
    (void)state;
    snprintf(scratch, sizeof scratch, "%s/scratch-XXXXXX", TRIMWELL_BUILD);
    return mkdtemp(scratch) == NULL;
}

/* scratch/name in one of four buffers, used in turn. */
static inline const char *in_scratch(const char *name) {
    static char out[4][512];
    static int turn;
    turn = (turn + 1) % 4;
    snprintf(out[turn], sizeof out[turn], "%s/%s", scratch, name);
    return out[turn];
}

static inline void remove_tree(int parent, const char *name) {
    int folder = openat(parent, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW);
    DIR *listing = folder < 0 ? NULL : fdopendir(folder);
    if (listing != NULL) {
        for (struct dirent *entry; (entry = readdir(listing)) != NULL;)
            if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
                remove_tree(folder, entry->d_name);
        closedir(listing);
        unlinkat(parent, name, AT_REMOVEDIR);
    } else {
        unlinkat(parent, name, 0);
    }
}

static inline int scratch_finish(void **state) {
    (void)state;
    remove_tree(AT_FDCWD, scratch);
    return access(scratch, F_OK) == 0;
}

static inline void put_file(const char *name, const char *bytes) {
    FILE *out = fopen(in_scratch(name), "wb");
    assert_non_null(out);
    assert_int_equal(fputs(bytes, out) < 0, 0);
    assert_int_equal(fclose(out), 0);
}

static inline void assert_file(const char *name, const char *bytes) {
    char seen[512] = "";
    FILE *in = fopen(in_scratch(name), "rb");
    if (in == NULL)
        fail_msg("%s is not there", name);
    seen[fread(seen, 1, sizeof seen - 1, in)] = '\0';
    fclose(in);
    assert_string_equal(seen, bytes);
}

static inline int count_entries(const char *name) {
    int count = 0;
    DIR *listing = opendir(in_scratch(name));
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing)) != NULL;)
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(listing);
    return count;
}

#endif
