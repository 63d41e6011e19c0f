/*
 * Rows of a JPEG (rows.h) by way of libjpeg, with its usual exact decoding (slow integer DCT,
 * smooth upsampling). It fails by jumping and warns through callbacks; both end here: every call
 * into it is made by `guarded`, and a warning counts as damage, since what it warns of is that
 * pixels were made up.
 *
 * A damaged image of several scans is decoded up to its fault and no further: libjpeg is told there
 * that the image ends, and shows what its scans have brought so far, coarser than it was (T.81
 * Annex G). One of a single scan goes row by row and needs nothing of the kind.
 *
 * Of a progressive image decoded to 1/8 the scans that only refine what is inside a block are left
 * out undecoded: such a block is one pixel, its mean, of which they say nothing.
 *
 * Memory: libjpeg takes its own. Sequential files need a few rows; the coefficients of a whole
 * progressive one must fit into TW_JPEG_MEMORY_MOST.
 */
#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>

#include <jerror.h>

#include "base/limits.h"
#include "image/image_file.h"
#include "image/jpeg_watch.h"
#include "image/rows.h"

/* A scan is a pass over the whole picture; writers make about ten, a hostile file thousands. */
enum { SCANS_MOST = 100 };
/* Bytes given to libjpeg at a time. With 512 and more of them it decodes by a shorter way that
 * takes a code nothing has for a zero and says nothing; damage must not go by. */
enum { BYTES_AT_A_TIME = 480, BYTES_WHEN_SMALL = 64 << 10 };

typedef enum jpeg_action { START, NEXT_ROW, TO_END } jpeg_action;

typedef struct jpeg_rows {
    tw_rows rows;
    tw_image_file file;
    struct jpeg_decompress_struct jpeg;
    struct jpeg_error_mgr errors;
    struct jpeg_source_mgr source;
    struct jpeg_progress_mgr progress;
    jmp_buf back;
    bool made;
    unsigned eighths;            /* of each side that are decoded */
    tw_jpeg_watch watch;         /* of the bytes it was given, while scans may be left out */
    bool leaves_out;             /* they may */
    int64_t piece_at;            /* where the bytes it was given last begin */
    int64_t stop_at;             /* it is told that the image ends there; 0: nowhere */
    uint32_t reached;            /* rows the scans before that have brought */
    int last_said;               /* libjpeg's number of its last complaint */
    char words[JMSG_LENGTH_MAX]; /* what it said first */
    tw_code read_code;           /* of a failed read, with read_error */
    tw_error read_error;
} jpeg_rows;

/* ------------------------------------------------ callbacks */

static void keep_words(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    own->last_said = jpeg->err->msg_code;
    if (own->words[0] == '\0')
        jpeg->err->format_message(jpeg, own->words);
}

static void jump_back(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    longjmp(own->back, 1);
}

static void on_error(j_common_ptr jpeg) {
    keep_words(jpeg);
    jump_back(jpeg);
}

static void on_message(j_common_ptr jpeg, int level) {
    const jpeg_rows *own = jpeg->client_data;
    if (level < 0 &&
        own->stop_at == 0) /* else it says what it was told to: that the end is early */
        keep_words(jpeg);
}

static void no_output(j_common_ptr jpeg) {
    (void)jpeg;
}

static void nothing(j_decompress_ptr jpeg) {
    (void)jpeg;
}

/* Rows that have something of every component: all of them once each had its first scan, which
 * brings the coarsest of it; in the midst of that, what it has come to, less what libjpeg
 * smooths towards what is not there: two rows of blocks, and colours between two of them. */
static uint32_t rows_reached(const struct jpeg_decompress_struct *jpeg) {
    uint32_t block = (uint32_t)jpeg->max_v_samp_factor * DCTSIZE, done = jpeg->input_iMCU_row;
    bool progressive = jpeg->progressive_mode,
         first = !progressive || (jpeg->Ss == 0 && jpeg->Ah == 0);
    if (!progressive && jpeg->input_scan_number < jpeg->num_components)
        return 0; /* a scan for each component: the last is not begun */
    for (int i = 0; progressive && i < jpeg->num_components; i++)
        if (jpeg->coef_bits == NULL || jpeg->coef_bits[i][0] < 0)
            return 0;
    if (!first || done >= jpeg->total_iMCU_rows)
        return jpeg->image_height;
    return done > 3 ? (done - 3) * block : 0;
}

static boolean say_end(jpeg_rows *own) {
    static const JOCTET end[2] = {0xFF, JPEG_EOI};
    if (own->jpeg.input_scan_number > 0 && own->rows.passes == 0) {
        own->reached = rows_reached(&own->jpeg);
        own->rows.passes = own->jpeg.input_scan_number;
    }
    own->source.next_input_byte = end;
    own->source.bytes_in_buffer = sizeof end;
    return TRUE;
}

/* A scan by its header (T.81, B.2.3): how many components, the first's name and tables, the first
 * and last of the coefficients. It holds one component if it is finer than the mean of a block, and
 * of one that is not subsampled a block becomes one pixel. */
static bool is_needless(const jpeg_rows *own) {
    const struct jpeg_decompress_struct *jpeg = &own->jpeg;
    const tw_jpeg_watch *watch = &own->watch;
    bool known = jpeg->progressive_mode && jpeg->max_h_samp_factor > 0;
    if (!known || watch->head_length != 6 || watch->head[0] != 1 || watch->head[3] == 0)
        return false;
    for (int i = 0; i < jpeg->num_components; i++) {
        const jpeg_component_info *c = &jpeg->comp_info[i];
        if (c->component_id == watch->head[1])
            return c->h_samp_factor == jpeg->max_h_samp_factor &&
                   c->v_samp_factor == jpeg->max_v_samp_factor;
    }
    return false;
}

/* The bytes it was given last go by: whether a needless scan's header begins among them. What is
 * wrong with them libjpeg says. */
static bool meets_needless(jpeg_rows *own) {
    size_t used = 0;
    for (size_t at = 0; at < own->source.bytes_in_buffer && own->leaves_out; at += used) {
        bool data = tw_jpeg_watch_in_data(&own->watch);
        tw_code seen = tw_jpeg_watch_bytes(&own->watch, own->source.next_input_byte + at,
                                           own->source.bytes_in_buffer - at, &used, NULL);
        own->leaves_out = seen == TW_OK && !own->watch.ended;
        if (own->leaves_out && !data && tw_jpeg_watch_in_data(&own->watch) &&
            own->watch.marker_at >= own->piece_at && is_needless(own))
            return true;
    }
    return false;
}

/* Up to `most` of the bytes that the watch looks at next. */
static tw_code let_go_by(jpeg_rows *own, size_t most) {
    tw_source *source = &own->file.source;
    const unsigned char *bytes;
    size_t got = 0, used;
    source->at = own->watch.at;
    tw_code code = tw_source_take(source, most, &bytes, &got, &own->read_error);
    if (code == TW_OK)
        code = tw_jpeg_watch_bytes(&own->watch, bytes, got, &used, &own->read_error);
    source->at = own->watch.at;
    return code;
}

/* What libjpeg passed over goes by, too. */
static void catch_up(jpeg_rows *own) {
    int64_t to = own->file.source.at;
    while (own->leaves_out && own->watch.at < to)
        own->leaves_out =
            let_go_by(own, (size_t)(to - own->watch.at)) == TW_OK && !own->watch.ended;
    own->file.source.at = to;
}

static tw_code pass_over_scan(jpeg_rows *own) {
    tw_code code = TW_OK;
    while (code == TW_OK && tw_jpeg_watch_in_data(&own->watch))
        code = let_go_by(own, SIZE_MAX);
    return code;
}

static tw_code take_piece(jpeg_rows *own, size_t most) {
    own->piece_at = own->file.source.at;
    return tw_source_take(&own->file.source, most, &own->source.next_input_byte,
                          &own->source.bytes_in_buffer, &own->read_error);
}

/* A piece that ends where a needless scan begins, or begins where one ends. */
static tw_code take_needed(jpeg_rows *own, size_t most) {
    tw_code code = TW_OK;
    catch_up(own);
    if (own->jpeg.max_h_samp_factor == 0)
        most = BYTES_AT_A_TIME; /* until libjpeg knows what a scan's header is held against */
    while (code == TW_OK) {
        code = take_piece(own, most);
        if (code != TW_OK || !meets_needless(own))
            return code;
        own->source.bytes_in_buffer = (size_t)(own->watch.marker_at - own->piece_at);
        if (own->source.bytes_in_buffer == 0)
            code = pass_over_scan(own);
        tw_jpeg_watch_back(&own->watch);
        own->file.source.at = own->watch.at;
        if (own->source.bytes_in_buffer > 0)
            return code;
    }
    return code;
}

static boolean fill(j_decompress_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    size_t most = own->eighths < 8 ? BYTES_WHEN_SMALL : BYTES_AT_A_TIME;
    own->piece_at = own->file.source.at;
    if (own->stop_at > 0 && own->piece_at >= own->stop_at)
        return say_end(own);
    if (own->stop_at > 0 && own->stop_at - own->piece_at < (int64_t)most)
        most = (size_t)(own->stop_at - own->piece_at);
    own->read_code = own->leaves_out ? take_needed(own, most) : take_piece(own, most);
    if (own->read_code != TW_OK)
        jump_back((j_common_ptr)jpeg);
    return TRUE;
}

static void skip(j_decompress_ptr jpeg, long count) {
    jpeg_rows *own = jpeg->client_data;
    size_t have = own->source.bytes_in_buffer, wanted = count > 0 ? (size_t)count : 0;
    size_t here = wanted < have ? wanted : have;
    own->source.next_input_byte += here;
    own->source.bytes_in_buffer -= here;
    own->file.source.at += (int64_t)(wanted - here);
}

static void on_progress(j_common_ptr jpeg) {
    jpeg_rows *own = jpeg->client_data;
    if (own->jpeg.input_scan_number <= SCANS_MOST)
        return;
    (void)snprintf(own->words, sizeof own->words, "over %d scans", SCANS_MOST);
    jump_back(jpeg);
}

/* ------------------------------------------------ one call at a time */

/* What the facts say rules over the library's own guess, so that every road shows the same. */
static void set_spaces(jpeg_rows *own) {
    const tw_image *image = own->file.image;
    bool changed = image->colour_transform > 0;
    if (image->space == TW_RGB) {
        own->jpeg.jpeg_color_space = changed ? JCS_YCbCr : JCS_RGB;
        own->jpeg.out_color_space = JCS_RGB;
    } else if (image->space == TW_CMYK) {
        own->jpeg.jpeg_color_space = changed ? JCS_YCCK : JCS_CMYK;
        own->jpeg.out_color_space = JCS_CMYK;
    }
}

static bool is_same(const jpeg_rows *own) {
    const tw_image *image = own->file.image;
    return own->jpeg.image_width == image->width && own->jpeg.image_height == image->height &&
           own->jpeg.num_components == image->jpeg_components;
}

static void start(jpeg_rows *own) {
    jpeg_create_decompress(&own->jpeg);
    own->made = true;
    own->jpeg.client_data = own; /* creating it clears all but the error manager */
    own->jpeg.src = &own->source;
    own->jpeg.progress = &own->progress;
    own->jpeg.mem->max_memory_to_use = TW_JPEG_MEMORY_MOST;
    (void)jpeg_read_header(&own->jpeg, TRUE);
    if (!is_same(own)) {
        own->read_code = tw_fail(&own->read_error, TW_INPUT, "image-changed",
                                 "the file is not the one that was looked at");
        return;
    }
    set_spaces(own);
    own->jpeg.scale_num = own->eighths;
    own->jpeg.scale_denom = 8;
    if (own->leaves_out)
        own->jpeg.do_block_smoothing = FALSE; /* it would take what is left out for missing */
    (void)jpeg_start_decompress(&own->jpeg);
    if (own->jpeg.output_width != own->rows.form.width ||
        own->jpeg.output_height != own->rows.form.height)
        own->read_code = tw_fail(&own->read_error, TW_BUG, "bug", "a JPEG comes in another size");
}

static tw_code say(const jpeg_rows *own, tw_error *error) {
    if (own->read_code != TW_OK) {
        if (error != NULL)
            *error = own->read_error;
        return own->read_code;
    }
    if (own->last_said == JERR_OUT_OF_MEMORY)
        return tw_no_memory(error);
    if (own->last_said == JERR_NO_BACKING_STORE) {
        (void)tw_fail(
            error, TW_INPUT, "image-size",
            "the JPEG is progressive and so large that decoding it takes more than %ld MiB",
            TW_JPEG_MEMORY_MOST >> 20);
        tw_fail_hint(error, "export it again as a baseline JPEG, or as TIFF or PNG");
        return TW_INPUT;
    }
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the JPEG is damaged in row %lu: %s",
                   (unsigned long)own->rows.y, own->words);
}

/* The one place libjpeg jumps back to. No local is changed between setjmp and a jump. */
static tw_code guarded(jpeg_rows *own, jpeg_action action, unsigned char *row, tw_error *error) {
    if (setjmp(own->back) != 0)
        return say(own, error);
    if (action == START)
        start(own);
    else if (action == NEXT_ROW)
        (void)jpeg_read_scanlines(&own->jpeg, &row, 1);
    else
        (void)jpeg_finish_decompress(&own->jpeg);
    return own->words[0] != '\0' || own->read_code != TW_OK ? say(own, error) : TW_OK;
}

/* ------------------------------------------------ rows */

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    jpeg_rows *own = (jpeg_rows *)rows;
    if (own->stop_at > 0 && rows->y >= own->reached)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "no scan has brought row %lu",
                       (unsigned long)rows->y);
    tw_code code = guarded(own, NEXT_ROW, row, error);
    if (code != TW_OK)
        tw_fail_at(error, own->file.image->path, 0, 0);
    else if (own->file.image->inverted_cmyk)
        for (size_t i = 0; i < rows->form.row_bytes; i++)
            row[i] = (unsigned char)(255 - row[i]);
    return code;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    jpeg_rows *own = (jpeg_rows *)rows;
    bool looks = own->file.image->damage.words == NULL;
    tw_code code = looks ? guarded(own, TO_END, NULL, error) : TW_OK;
    if (code != TW_OK)
        tw_fail_at(error, own->file.image->path, 0, 0);
    return code == TW_OK ? tw_image_file_same(&own->file, error) : code;
}

static void close_rows(tw_rows *rows) {
    jpeg_rows *own = (jpeg_rows *)rows;
    const tw_allocator *allocator = own->file.allocator;
    if (own->made)
        jpeg_destroy_decompress(&own->jpeg); /* only frees: it cannot jump */
    tw_image_file_close(&own->file);
    tw_block_free(allocator, own);
}

static void set_callbacks(jpeg_rows *own) {
    own->jpeg.err = jpeg_std_error(&own->errors);
    own->jpeg.client_data = own;
    own->errors.error_exit = on_error;
    own->errors.emit_message = on_message;
    own->errors.output_message = no_output;
    own->source.init_source = nothing;
    own->source.fill_input_buffer = fill;
    own->source.skip_input_data = skip;
    own->source.resync_to_restart = jpeg_resync_to_restart;
    own->source.term_source = nothing;
    own->progress.progress_monitor = on_progress;
}

/* Where libjpeg can be told that the image ends: not in the midst of a segment. */
static tw_code find_stop(jpeg_rows *own, tw_error *error) {
    tw_source *source = &own->file.source;
    tw_jpeg_watch watch = {0};
    tw_code code = TW_OK, seen = TW_OK;
    int64_t left = own->piece_at;
    source->at = 0;
    while (code == TW_OK && seen == TW_OK && left > 0 && !watch.ended) {
        const unsigned char *bytes;
        size_t got = 0, used;
        code = tw_source_take(source, (size_t)left, &bytes, &got, error);
        if (code == TW_OK)
            seen = tw_jpeg_watch_bytes(&watch, bytes, got, &used, NULL);
        left -= (int64_t)got;
    }
    own->stop_at = watch.ended ? own->piece_at : tw_jpeg_watch_whole(&watch, seen);
    return code;
}

/* Once more from the start, up to the piece in which the fault was. */
static tw_code start_damaged(jpeg_rows *own, tw_error *error) {
    tw_code code = find_stop(own, error);
    if (code != TW_OK)
        return code;
    if (own->made)
        jpeg_destroy_decompress(&own->jpeg);
    own->jpeg = (struct jpeg_decompress_struct){0};
    own->source = (struct jpeg_source_mgr){0};
    own->made = false;
    own->words[0] = '\0';
    own->read_code = TW_OK;
    own->file.source.at = 0;
    set_callbacks(own);
    return guarded(own, START, NULL, error);
}

tw_code tw_rows_jpeg_open(const tw_allocator *allocator, const tw_image *image, unsigned eighths,
                          tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    jpeg_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    own->rows.form =
        (tw_rows_form){.width = (uint32_t)(((uint64_t)image->width * eighths + 7) / 8),
                       .height = (uint32_t)(((uint64_t)image->height * eighths + 7) / 8),
                       .space = image->space,
                       .channels = channels[image->space],
                       .bits = 8};
    tw_rows_form_finish(&own->rows.form);
    own->eighths = eighths;
    own->leaves_out = eighths == 1 && image->progressive;
    own->watch.stops = true;
    set_callbacks(own);
    tw_code code = tw_image_file_open(&own->file, allocator, image, error);
    if (code == TW_OK)
        code = guarded(own, START, NULL, error);
    if (code == TW_DAMAGED && image->damage.words != NULL)
        code = start_damaged(own, error);
    if (code == TW_OK)
        *out = &own->rows;
    else
        close_rows(&own->rows);
    return code;
}
