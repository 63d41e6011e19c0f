/* The image file under the pixels (see image_file.h). */
#include "image/image_file.h"

#include <unistd.h>

enum { WINDOW = 256 << 10 };

static tw_code changed(tw_error *error, const char *when) {
    (void)tw_fail(error, TW_INPUT, "image-changed", "the file was changed %s", when);
    tw_fail_hint(error, "leave the images as they are while they are printed, and run it again");
    return TW_INPUT;
}

static tw_code check_still(const tw_image_file *file, const char *when, tw_error *error) {
    tw_file_state now;
    tw_code code = tw_file_look(file->descriptor, &now, error);
    if (code == TW_OK && !tw_file_state_same(&now, &file->image->state))
        code = changed(error, when);
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
    return check_still(file, "after it was looked at", error);
}

tw_code tw_image_file_open(tw_image_file *file, const tw_allocator *allocator,
                           const tw_image *image, tw_error *error) {
    *file = (tw_image_file){.allocator = allocator, .image = image, .descriptor = -1};
    tw_code code = open_it(file, error);
    if (code != TW_OK)
        tw_fail_at(error, image->path, 0, 0);
    return code;
}

tw_code tw_image_file_same(const tw_image_file *file, tw_error *error) {
    tw_code code = check_still(file, "while it was read", error);
    if (code != TW_OK)
        tw_fail_at(error, file->image->path, 0, 0);
    return code;
}

tw_code tw_image_file_still(const tw_image *image, tw_error *error) {
    tw_file_state now;
    tw_code code = tw_file_look_at(image->path, &now, error);
    if (code == TW_OK && !tw_file_state_same(&now, &image->state)) {
        code = changed(error, "while it was printed: nothing was written");
        tw_fail_at(error, image->path, 0, 0);
    }
    return code;
}

void tw_image_file_close(tw_image_file *file) {
    if (file->descriptor >= 0)
        (void)close(file->descriptor);
    file->descriptor = -1;
    tw_block_free(file->allocator, file->window);
    file->window = NULL;
}
