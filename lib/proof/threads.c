/*
 * The pictures of a proof, made on all cores: prints are taken by image, so that an image is
 * decoded once for as many prints as a round holds, and a round's pictures are written in order.
 * What a print shows depends on nothing but itself, so the bytes are the same for any number of
 * threads.
 */
#include "proof/views.h"

#include <stdatomic.h>
#include <stdlib.h>

#include "base/crew.h"
#include "base/locked.h"
#include "image/png_write.h"

enum { ROUND = 32 }; /* prints whose pictures are held at once */

typedef struct made {
    tw_proof_line *line;
    tw_buffer proof, map; /* PNG files */
    tw_buffer view;       /* of its image, to be kept: in the first print of the image alone */
    bool again;           /* it was taken from the last proof */
    tw_code code;
    tw_error error;
} made;

typedef struct making {
    const tw_proof_day *day;
    const tw_allocator *allocator; /* locked */
    made items[ROUND];             /* by image */
    size_t count, before, total;
    bool goes_on;                          /* the first one's image was in the round before */
    tw_proof_looker lookers[TW_CREW_MOST]; /* by part */
    atomic_size_t next, done;
    atomic_bool stop;
} making;

/* ------------------------------------------------ one print */

static tw_code pack(const tw_proof_picture *picture, const unsigned char *rgb, tw_buffer *out,
                    tw_error *error) {
    tw_png_write(rgb, picture->width, picture->height, out);
    return out->failed ? tw_no_memory(error) : TW_OK;
}

/* `scratch` holds the pixels, and goes with them. */
static tw_code make_both(const making *m, tw_arena *scratch, tw_proof_looker *looker,
                         const tw_proof_view *view, made *out) {
    const tw_proof_day *day = m->day;
    const tw_print *print = out->line->print;
    tw_proof_picture picture;
    tw_code code = tw_proof_look(scratch, day->job, print, view, looker, &picture, &out->error);
    if (code != TW_OK)
        return code;
    unsigned char *rgb = tw_arena_array(scratch, (size_t)picture.width * picture.height, 3);
    if (rgb == NULL)
        return tw_no_memory(&out->error);
    out->line->figures = picture.figures;
    code = tw_proof_paint(m->allocator, &picture, &day->papers[print->paper_index], day->simulate,
                          rgb, &out->error);
    if (code == TW_OK)
        code = pack(&picture, rgb, &out->proof, &out->error);
    if (code != TW_OK)
        return code;
    tw_proof_map(&picture, rgb);
    return pack(&picture, rgb, &out->map, &out->error);
}

static void make_print(const making *m, tw_proof_looker *looker, const tw_proof_view *view,
                       made *out) {
    tw_arena *scratch = tw_arena_new(m->allocator, 0);
    out->code =
        scratch == NULL ? tw_no_memory(&out->error) : make_both(m, scratch, looker, view, out);
    tw_arena_free(scratch);
}

/* ------------------------------------------------ a round */

static bool same_image(const making *m, size_t a, size_t b) {
    return m->items[a].line->print->image_index == m->items[b].line->print->image_index;
}

/* All prints of the image of `first`. */
static void make_image(making *m, tw_proof_looker *looker, size_t first) {
    tw_arena *arena = tw_arena_new(m->allocator, 0);
    made *item = &m->items[first];
    tw_proof_view view;
    const tw_proof_views *views = m->day->views;
    item->code = arena == NULL
                     ? tw_no_memory(&item->error)
                     : tw_proof_see(arena, item->line->print->image, views, &view, &item->error);
    bool seen = item->code == TW_OK;
    if (seen && views != NULL) {
        item->again = view.again;
        tw_proof_views_pack(views, &view, &item->view);
    }
    for (size_t i = first; seen && i < m->count && same_image(m, first, i); i++) {
        make_print(m, looker, &view, &m->items[i]);
        (void)atomic_fetch_add(&m->done, 1);
    }
    tw_arena_free(arena);
}

/* The caller's own thread alone asks and tells: part 0. */
static void look_around(making *m) {
    const tw_run *run = m->day->run;
    if (run == NULL)
        return;
    if (run->cancelled != NULL && run->cancelled(run->context))
        atomic_store(&m->stop, true);
    if (run->progress != NULL)
        run->progress(run->context, "proofing", m->before + atomic_load(&m->done), m->total);
}

/* A part is a thread's share: whatever image is next. */
static void work(void *context, size_t part) {
    making *m = context;
    for (;;) {
        size_t at = atomic_fetch_add(&m->next, 1);
        if (part == 0)
            look_around(m);
        if (at >= m->count || atomic_load(&m->stop))
            return;
        if (at == 0 || !same_image(m, at - 1, at))
            make_image(m, &m->lookers[part], at);
    }
}

/* Once an image, in an order that is always the same. */
static tw_code write_view(const making *m, size_t at, tw_error *error) {
    const made *item = &m->items[at];
    tw_proof_views *views = m->day->views;
    if (views == NULL || (at == 0 ? m->goes_on : same_image(m, at - 1, at)))
        return TW_OK;
    views->images++;
    views->again += item->again;
    if (item->view.failed)
        return tw_no_memory(error);
    return tw_files_append(m->day->files, TW_VIEWS_FILE, item->view.bytes, item->view.length,
                           error);
}

static tw_code write_item(const tw_proof_day *day, const made *item, tw_error *error) {
    if (item->code != TW_OK) {
        if (error != NULL)
            *error = item->error;
        return item->code;
    }
    tw_code code =
        tw_files_write(day->files, item->line->file, item->proof.bytes, item->proof.length, error);
    return code == TW_OK ? tw_files_write(day->files, item->line->map, item->map.bytes,
                                          item->map.length, error)
                         : code;
}

static tw_code make_round(making *m, tw_error *error) {
    int wanted = m->day->threads > 0 ? m->day->threads : tw_crew_cores();
    size_t images = 0, cores = wanted < TW_CREW_MOST ? (size_t)wanted : TW_CREW_MOST;
    tw_code code = TW_OK;
    for (size_t i = 0; i < m->count; i++)
        images += i == 0 || !same_image(m, i - 1, i);
    for (size_t i = 0; i < cores; i++)
        m->lookers[i].threads = images < cores ? (int)cores : 1;
    tw_crew_each((int)cores, cores, work, m);
    if (atomic_load(&m->stop))
        code = tw_fail(error, TW_CANCELLED, "cancelled", "stopped as asked");
    for (size_t i = 0; i < m->count; i++) {
        if (code == TW_OK)
            code = write_item(m->day, &m->items[i], error);
        if (code == TW_OK)
            code = write_view(m, i, error);
        tw_buffer_free(&m->items[i].view);
        tw_buffer_free(&m->items[i].proof);
        tw_buffer_free(&m->items[i].map);
    }
    return code;
}

/* ------------------------------------------------ all */

static int by_image(const void *a, const void *b) {
    const tw_proof_line *x = *(tw_proof_line *const *)a, *y = *(tw_proof_line *const *)b;
    if (x->print->image_index != y->print->image_index)
        return x->print->image_index < y->print->image_index ? -1 : 1;
    return x < y ? -1 : x > y;
}

static void begin_round(making *m, tw_proof_line **lines, size_t first, size_t count) {
    m->count = count - first < ROUND ? count - first : ROUND;
    m->before = first;
    m->total = count;
    m->goes_on =
        first > 0 && lines[first - 1]->print->image_index == lines[first]->print->image_index;
    atomic_store(&m->next, 0);
    atomic_store(&m->done, 0);
    for (size_t i = 0; i < m->count; i++) {
        m->items[i] = (made){.line = lines[first + i]};
        tw_buffer_start(&m->items[i].view, m->allocator);
        tw_buffer_start(&m->items[i].proof, m->allocator);
        tw_buffer_start(&m->items[i].map, m->allocator);
    }
}

tw_code tw_proof_pictures(tw_arena *arena, const tw_proof_day *day, tw_proof_line *lines,
                          size_t count, tw_error *error) {
    tw_locked memory;
    tw_proof_line **order = tw_arena_array(arena, count, sizeof(tw_proof_line *));
    making *m = tw_arena_take(arena, sizeof *m);
    tw_code code = TW_OK;
    if (order == NULL || m == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < count; i++)
        order[i] = &lines[i];
    qsort(order, count, sizeof *order, by_image);
    if (!tw_locked_begin(&memory, tw_arena_allocator(arena)))
        return tw_no_memory(error);
    m->day = day;
    m->allocator = &memory.shared;
    for (size_t i = 0; i < TW_CREW_MOST; i++)
        m->lookers[i].gamuts.allocator = &memory.shared;
    for (size_t first = 0; first < count && code == TW_OK; first += ROUND) {
        begin_round(m, order, first, count);
        code = make_round(m, error);
    }
    for (size_t i = 0; i < TW_CREW_MOST; i++)
        tw_gamuts_close(&m->lookers[i].gamuts);
    tw_locked_end(&memory);
    return code;
}
