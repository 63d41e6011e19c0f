/* The image file under the pixels (see image_file.h). */
#include "output/image_file.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { WINDOW = 256 << 10 };

static tw_code look(const tw_image_file *file, struct stat *facts, tw_error *error) {
    if (fstat(file->descriptor, facts) == 0)
        return TW_OK;
    return tw_fail(error, TW_IO, "read-failed", "the file cannot be looked at: %s",
                   strerror(errno));
}

static tw_code remember(tw_image_file *file, tw_error *error) {
    struct stat facts;
    tw_code code = look(file, &facts, error);
    if (code == TW_OK) {
        file->modified = facts.st_mtim;
    }
    return code;
}

static tw_code open_it(tw_image_file *file, tw_error *error) {
    int64_t size = 0;
    tw_code code = tw_file_open(file->image->path, &file->descriptor, &size, error);
    if (code != TW_OK)
        return code;
    if (size != file->image->bytes)
        return tw_fail(error, TW_INPUT, "image-changed",
                       "the file was %lld bytes long when it was looked at and is %lld now",
                       (long long)file->image->bytes, (long long)size);
    file->window = tw_block_new(file->allocator, WINDOW);
    if (file->window == NULL)
        return tw_no_memory(error);
    tw_source_start(&file->source, file->descriptor, size, file->window, WINDOW);
    return remember(file, error);
}

tw_code tw_image_file_open(tw_image_file *file, const tw_allocator *allocator,
                           const tw_image *image, tw_error *error) {
    *file = (tw_image_file){.allocator = allocator, .image = image, .descriptor = -1};
    tw_code code = open_it(file, error);
    if (code != TW_OK)
        tw_fail_at(error, image->path, 0, 0);
    return code;
}

static bool same_time(struct timespec a, struct timespec b) {
    return a.tv_sec == b.tv_sec && a.tv_nsec == b.tv_nsec;
}

tw_code tw_image_file_same(const tw_image_file *file, tw_error *error) {
    struct stat facts;
    tw_code code = look(file, &facts, error);
    if (code == TW_OK &&
        (facts.st_size != file->image->bytes || !same_time(facts.st_mtim, file->modified)))
        code = tw_fail(error, TW_INPUT, "image-changed", "the file was changed while it was read");
    if (code != TW_OK)
        tw_fail_at(error, file->image->path, 0, 0);
    return code;
}

void tw_image_file_close(tw_image_file *file) {
    if (file->descriptor >= 0)
        (void)close(file->descriptor);
    file->descriptor = -1;
    tw_block_free(file->allocator, file->window);
    file->window = NULL;
}
