/* Where a profile that somebody named is: beside what names it, in the job's folder, or in the
 * folders where a person and the system keep profiles. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "job/readers.h"

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

/* Where desktops put the profiles a person installs: "icc" in the data folder (freedesktop.org, XDG
 * Base Directory Specification 0.8; the name "icc" is common practice). NULL: there is none. */
static const char *own_folder(tw_reader *r) {
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    if (data != NULL && data[0] == '/') /* the specification: others are to be ignored */
        return tw_got(r, tw_path_join(r->arena, data, "icc"));
    return home != NULL && home[0] == '/'
               ? tw_got(r, tw_path_join(r->arena, home, ".local/share/icc"))
               : NULL;
}

const char *tw_profile_find(tw_reader *r, const char *folder, const char *name) {
    const char *path = file_in(r, folder, name);
    if (path == NULL && r->home != NULL)
        path = file_in(r, r->home, name);
    if (path != NULL || name[0] == '/' || name[0] == '.')
        return path;
    const char *folders[] = {own_folder(r), "/usr/share/color/icc", "/usr/local/share/color/icc"};
    for (size_t i = 0; i < sizeof folders / sizeof *folders && path == NULL; i++)
        if (folders[i] != NULL)
            path = find_in_system(r, folders[i], name);
    return path;
}
