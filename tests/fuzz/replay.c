/*
 * Runs a fuzz target on every file of the folders named: the corpus as an ordinary test. Each
 * input lies in memory of exactly its length, so that a sanitizer sees a byte read too many.
 */
#include <dirent.h>
#include <sys/stat.h>

#include "fuzz.h"

static int replay_file(const char *path) {
    struct stat facts;
    FILE *in = fopen(path, "rb");
    if (in == NULL || fstat(fileno(in), &facts) != 0)
        return 1;
    size_t length = (size_t)facts.st_size;
    uint8_t *bytes = malloc(length == 0 ? 1 : length);
    int bad = bytes == NULL || fread(bytes, 1, length, in) != length;
    fclose(in);
    if (!bad)
        LLVMFuzzerTestOneInput(bytes, length);
    free(bytes);
    return bad;
}

/* How many files were replayed; -1 when one could not be read. */
static int replay_folder(const char *folder) {
    char path[4096];
    int count = 0, bad = 0;
    DIR *listing = opendir(folder);
    if (listing == NULL)
        return -1;
    for (const struct dirent *entry; (entry = readdir(listing)) != NULL;) {
        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        bad |= replay_file(path);
        count++;
    }
    closedir(listing);
    return bad ? -1 : count;
}

int main(int argc, char **argv) {
    int bad = argc < 2;
    for (int i = 1; i < argc; i++) {
        int count = replay_folder(argv[i]);
        printf("%s: %d inputs\n", argv[i], count);
        bad |= count <= 0; /* an empty corpus would be a test that cannot fail */
    }
    return bad;
}
