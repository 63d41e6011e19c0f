/* Which files an earlier run wrote into a folder, by the JSON it left there: what this run does not
 * write again may go. */
#ifndef TW_BASE_OLD_FILES_H
#define TW_BASE_OLD_FILES_H

#include "base/file.h"

/* {LIST: [{KEY: "name", ...}, ...], ...} */
typedef struct tw_old_list {
    const char *json;    /* the file's name, such as "plan.json" */
    const char *list;    /* such as "sheets" */
    const char *keys[2]; /* that hold names, such as "file"; NULL: there is no second one */
    bool (*is_ours)(const char *name); /* a name that this program gives such a file */
} tw_old_list;

/* Names in the arena, sorted, each once. A JSON that is missing or cannot be read as one gives
 * none: then nothing is known to be ours. Whatever it says, only names that are ours come back.
 * TW_MEMORY only. */
TW_USE_RESULT tw_code tw_old_files(tw_arena *arena, const char *folder, const tw_old_list *list,
                                   const char ***out, size_t *count, tw_error *error);

/* At commit those go that `files`, which are of this folder, do not write anew. TW_MEMORY only. */
TW_USE_RESULT tw_code tw_old_files_remove(tw_arena *arena, const char *folder,
                                          const tw_old_list *list, tw_files *files,
                                          tw_error *error);

#endif
