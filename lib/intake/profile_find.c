/* Where a profile that somebody named is: beside what names it, in the job's folder, or in the
 * folders where a system keeps its profiles. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "intake/parts.h"

#define SUBFOLDERS_MOST 200

static const char *file_in(tw_reader *r, const char *folder, const char *name) {
    const char *path = tw_got(r, tw_path_join(r->arena, folder, name));
    return path != NULL && tw_path_exists(path) && !tw_path_is_folder(path) ? path : NULL;
}

static int by_name(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* The folders in `folder`, sorted: the order of a directory is chance. */
static size_t subfolders(tw_reader *r, const char *folder, const char *out[SUBFOLDERS_MOST]) {
    DIR *directory = opendir(folder);
    size_t count = 0;
    const struct dirent *entry;
    if (directory == NULL)
        return 0;
    while (count < SUBFOLDERS_MOST && !tw_stopped(r) && (entry = readdir(directory)) != NULL) {
        const char *path = entry->d_name[0] == '.'
                               ? NULL
                               : tw_got(r, tw_path_join(r->arena, folder, entry->d_name));
        if (path != NULL && tw_path_is_folder(path))
            out[count++] = path;
    }
    (void)closedir(directory);
    if (count > 1)
        qsort(out, count, sizeof *out, by_name);
    return count;
}

static const char *find_in_system(tw_reader *r, const char *folder, const char *name) {
    const char *folders[SUBFOLDERS_MOST];
    const char *path = file_in(r, folder, name);
    size_t count = path == NULL ? subfolders(r, folder, folders) : 0;
    for (size_t i = 0; i < count && path == NULL; i++)
        path = file_in(r, folders[i], name);
    return path;
}

const char *tw_profile_find(tw_reader *r, const char *folder, const char *name) {
    static const char *const system_folders[] = {"/usr/share/color/icc",
                                                 "/usr/local/share/color/icc"};
    const char *path = file_in(r, folder, name);
    if (path == NULL && r->home != NULL)
        path = file_in(r, r->home, name);
    for (size_t i = 0; i < 2 && path == NULL && name[0] != '/' && name[0] != '.'; i++)
        path = find_in_system(r, system_folders[i], name);
    return path;
}
