/* Views kept from the last proof (views.h). */
#include "proof/views.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/inflate.h"
#include "base/limits.h"
#include "image/source.h"

/* Raise it when the key is made otherwise, or sampling gives other pixels of the same file. */
#define FORMAT 1

enum {
    VERSION = 16,             /* bytes of the library's version, filled up with zeros */
    OURS = 8 + VERSION + 4,   /* the same in every key of this program on this machine */
    NUMBERS = 18,             /* of 8 bytes, the high one first */
    KEY = OURS + 8 * NUMBERS, /* the last number is the pixels' length in bytes */
    HEAD = KEY + 4,           /* and the check sum */
    PIXELS_MOST = TW_PROOF_SIDE * TW_PROOF_SIDE * 8, /* CMYK of 16 bits */
    SETTLED = 2                                      /* seconds */
};

struct tw_kept_view {
    unsigned char head[HEAD];
    int64_t at; /* its pixels */
};

/* ------------------------------------------------ the key */

/* Samples of 16 bits lie as this machine has them: another's are not to be taken for them. */
static void describe_program(unsigned char key[OURS]) {
    static const unsigned char magic[8] = {'T', 'W', 'V', 'I', 'E', 'W', 'S', '\n'};
    static const uint16_t order[2] = {0x0102, FORMAT};
    memset(key, 0, OURS);
    memcpy(key, magic, sizeof magic);
    strncpy((char *)key + sizeof magic, tw_version(), VERSION);
    memcpy(key + sizeof magic + VERSION, order, sizeof order);
}

static void describe(const tw_proof_view *view, unsigned char key[KEY]) {
    const tw_image *image = view->image;
    const tw_file_state *file = &image->state;
    const uint64_t numbers[NUMBERS] = {
        (uint64_t)file->size,
        (uint64_t)file->seconds,
        (uint64_t)file->nanoseconds,
        (uint64_t)file->changed_seconds,
        (uint64_t)file->changed_nanoseconds,
        file->device,
        file->inode,
        image->format,
        image->space,
        image->width,
        image->height,
        (uint64_t)image->depth,
        image->inverted_cmyk,
        (uint64_t)image->orientation,
        view->across,
        view->down,
        view->pixel_bytes,
        (uint64_t)view->across * view->down * view->pixel_bytes,
    };
    describe_program(key);
    for (size_t i = 0; i < NUMBERS; i++) {
        tw_put_big32(key + OURS + 8 * i, (uint32_t)(numbers[i] >> 32));
        tw_put_big32(key + OURS + 8 * i + 4, (uint32_t)numbers[i]);
    }
}

static size_t length_in(const unsigned char key[KEY]) {
    return tw_big32(key + KEY - 8) == 0 ? tw_big32(key + KEY - 4) : SIZE_MAX;
}

static uint32_t check_sum(const unsigned char key[KEY], const unsigned char *pixels) {
    return tw_crc32(tw_crc32(0, key, KEY), pixels, length_in(key));
}

/* ------------------------------------------------ reading */

/* A link is not followed: the folder may be anybody's. -1: no regular file. */
static int open_file(const tw_allocator *allocator, const char *folder, int64_t *size) {
    struct stat facts;
    tw_arena *arena = tw_arena_new(allocator, 0);
    const char *path = arena == NULL ? NULL : tw_path_join(arena, folder, TW_VIEWS_FILE);
    int opened =
        path == NULL ? -1 : open(path, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC | O_NOCTTY);
    tw_arena_free(arena);
    if (opened >= 0 && (fstat(opened, &facts) != 0 || !S_ISREG(facts.st_mode))) {
        (void)close(opened);
        return -1;
    }
    if (opened >= 0)
        *size = facts.st_size;
    return opened;
}

static bool make_room(tw_proof_views *views, size_t *room) {
    if (views->count >= TW_PRINTS_MOST)
        return false;
    if (views->count < *room)
        return true;
    size_t more = *room == 0 ? 32 : *room * 2, one = sizeof *views->items;
    tw_kept_view *moved = tw_block_resize(views->allocator, views->items, *room * one, more * one);
    if (moved == NULL)
        return false;
    views->items = moved;
    *room = more;
    return true;
}

/* False when the file is not, to its last byte, records of this program. */
static bool read_heads(tw_proof_views *views, int64_t size) {
    unsigned char ours[OURS];
    size_t room = 0;
    describe_program(ours);
    for (int64_t at = 0; at < size;) {
        if (size - at < HEAD || !make_room(views, &room))
            return false;
        tw_kept_view *item = &views->items[views->count];
        if (!tw_file_get(views->descriptor, item->head, HEAD, at) ||
            memcmp(item->head, ours, OURS) != 0)
            return false;
        size_t length = length_in(item->head);
        item->at = at + HEAD;
        if (length > PIXELS_MOST || (int64_t)length > size - item->at)
            return false;
        at = item->at + (int64_t)length;
        views->count++;
    }
    return true;
}

static int by_key(const void *a, const void *b) {
    return memcmp(((const tw_kept_view *)a)->head, ((const tw_kept_view *)b)->head, KEY);
}

void tw_proof_views_open(tw_proof_views *views, const tw_allocator *allocator, const char *folder,
                         int64_t now) {
    int64_t size = 0;
    *views = (tw_proof_views){.allocator = allocator, .now = now};
    views->descriptor = open_file(allocator, folder, &size);
    if (views->descriptor < 0)
        return;
    if (!read_heads(views, size))
        views->count = 0;
    if (views->count > 0)
        qsort(views->items, views->count, sizeof *views->items, by_key);
}

void tw_proof_views_close(tw_proof_views *views) {
    if (views->descriptor >= 0)
        (void)close(views->descriptor);
    views->descriptor = -1;
    tw_block_free(views->allocator, views->items);
    views->items = NULL;
    views->count = 0;
}

/* ------------------------------------------------ one view */

/* What is partly transparent lies on white by its profile, which may be the job's; a damaged image
 * is what decoding said of it. */
static bool is_of_file_alone(const tw_image *image) {
    return image->damage.words == NULL && !image->alpha && !image->transparent_key;
}

/* Could it be written once more without its stamps telling? Those of FAT go by two seconds, so a
 * file that was touched less than that before it was read is not trusted (common practice). */
static bool is_settled(const tw_file_state *file, int64_t now) {
    return file->seconds < now - SETTLED && file->changed_seconds < now - SETTLED;
}

bool tw_proof_views_take(const tw_proof_views *views, const tw_proof_view *view) {
    tw_kept_view wanted;
    if (views->count == 0 || !is_of_file_alone(view->image))
        return false;
    describe(view, wanted.head);
    const tw_kept_view *found = bsearch(&wanted, views->items, views->count, sizeof wanted, by_key);
    return found != NULL &&
           tw_file_get(views->descriptor, view->pixels, length_in(found->head), found->at) &&
           check_sum(found->head, view->pixels) == tw_big32(found->head + KEY);
}

void tw_proof_views_pack(const tw_proof_views *views, const tw_proof_view *view, tw_buffer *out) {
    unsigned char head[HEAD];
    if (!is_of_file_alone(view->image) || !is_settled(&view->image->state, views->now))
        return;
    describe(view, head);
    tw_put_big32(head + KEY, check_sum(head, view->pixels));
    tw_buffer_add(out, (const char *)head, HEAD);
    tw_buffer_add(out, (const char *)view->pixels, length_in(head));
}

void tw_proof_views_text(const tw_proof_views *views, tw_buffer *out) {
    if (views->again > 0)
        tw_buffer_print(out,
                        "%zu of %zu images stand as they did at the last proof in this folder, "
                        "and what it saw of them was used again. To have all of them read, "
                        "remove " TW_VIEWS_FILE " there.\n",
                        views->again, views->images);
}
